//! Slow work off the window's thread: with progress, a way to stop it, and a repaint when it is done.

use hirsel_core::terms::speech::Speech;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// What the working thread sees of its job.
#[derive(Clone)]
pub struct Reins {
    done: Arc<AtomicU32>,
    stop: Arc<AtomicBool>,
    ctx: egui::Context,
}

impl Reins {
    /// Tells how far it is, 0 to 100, and asks whether to go on.
    pub fn go_on(&self, percent: u32) -> bool {
        if self.done.swap(percent, Ordering::Relaxed) != percent {
            self.ctx.request_repaint();
        }
        !self.stop.load(Ordering::Relaxed)
    }
}

/// The work ended without an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Died;

/// A job under way, or its answer.
pub struct Job<T> {
    done: Arc<AtomicU32>,
    stop: Arc<AtomicBool>,
    answer: Receiver<T>,
}

/// How many jobs of a window are under way.
#[derive(Clone, Default)]
struct UnderWay(Arc<AtomicUsize>);

impl UnderWay {
    fn of(ctx: &egui::Context) -> Self {
        ctx.data_mut(|d| d.get_temp_mut_or_default::<Self>(egui::Id::NULL).clone())
    }
}

/// How many jobs of this window are under way; one that was told to stop counts until it has.
pub fn under_way(ctx: &egui::Context) -> usize {
    UnderWay::of(ctx).0.load(Ordering::Acquire)
}

/// Wakes the window when a thread ends, even if its work died.
struct End {
    ctx: egui::Context,
    under_way: UnderWay,
}

impl End {
    fn of(ctx: &egui::Context) -> Self {
        let under_way = UnderWay::of(ctx);
        under_way.0.fetch_add(1, Ordering::AcqRel);
        Self { ctx: ctx.clone(), under_way }
    }
}

impl Drop for End {
    fn drop(&mut self) {
        if std::thread::panicking() {
            crate::crash::work_died();
        }
        self.under_way.0.fetch_sub(1, Ordering::AcqRel);
        self.ctx.request_repaint();
    }
}

impl<T: Send + 'static> Job<T> {
    /// Starts a thread for `work`.
    pub fn start(ctx: &egui::Context, work: impl FnOnce(&Reins) -> T + Send + 'static) -> Self {
        let (send, answer) = channel();
        let reins = Reins { done: Arc::default(), stop: Arc::default(), ctx: ctx.clone() };
        let job = Self { done: Arc::clone(&reins.done), stop: Arc::clone(&reins.stop), answer };
        let end = End::of(ctx);
        // What is made for the window is said as the window says it.
        let speech = Speech::now();
        let work = move || {
            let _end = end;
            speech.set();
            let send = send; // let go before the window is woken
            let answer = work(&reins);
            let _ = send.send(answer); // nobody waits any more: the answer is not wanted
        };
        // Without a thread its answer is told as that of work that died.
        let _ = std::thread::Builder::new().name("work".into()).spawn(work);
        job
    }

    /// The answer, once; `None` while it is being worked out or when the work died.
    pub fn take(&self) -> Option<T> {
        self.answer.try_recv().ok()
    }

    /// The answer, once, or that the work died without one; `None` while it is being worked out.
    pub fn answer(&self) -> Option<Result<T, Died>> {
        match self.answer.try_recv() {
            Ok(answer) => Some(Ok(answer)),
            Err(TryRecvError::Disconnected) => Some(Err(Died)),
            Err(TryRecvError::Empty) => None,
        }
    }

    /// 0 to 100.
    pub fn percent(&self) -> u32 {
        self.done.load(Ordering::Relaxed)
    }

    /// Asks it to stop.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAUSE: std::time::Duration = std::time::Duration::from_millis(10);

    fn wait<T: Send + 'static>(job: &Job<T>) -> Result<T, Died> {
        for _ in 0..6_000 {
            if let Some(answer) = job.answer() {
                return answer;
            }
            std::thread::sleep(PAUSE);
        }
        panic!("no answer");
    }

    #[test]
    fn work_that_is_told_to_stop_stops() {
        let ctx = egui::Context::default();
        let job = Job::start(&ctx, |reins| {
            let mut rounds = 0;
            while reins.go_on(rounds % 100) {
                rounds += 1;
                std::thread::sleep(std::time::Duration::from_millis(1));
            }
            "stopped"
        });
        assert_eq!(job.answer(), None);
        assert_eq!(under_way(&ctx), 1);
        job.stop();
        assert_eq!(wait(&job), Ok("stopped"));
        (0..6_000).take_while(|_| under_way(&ctx) > 0).for_each(|_| std::thread::sleep(PAUSE));
        assert_eq!(under_way(&ctx), 0);
    }

    #[test]
    fn work_that_dies_is_not_waited_for() {
        let job: Job<u32> =
            Job::start(&egui::Context::default(), |_| std::panic::resume_unwind(Box::new(())));
        assert_eq!(wait(&job), Err(Died));
    }
}
