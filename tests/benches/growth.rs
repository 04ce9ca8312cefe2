//! The pages of growth, keeping and figures over a large flock: what the first frame of each part costs, a frame once it
//! is made, and the frames after a write, against the bounds of the design (a frame 4 ms, after a write 50 ms). And what
//! growth, of which much is reckoned over the whole flock, costs on whatever thread it runs.

#[allow(dead_code)] // of what benches share only a little is used here
mod made;

use egui::{Context, Event, Key, Modifiers, RawInput};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{Sure, WeighingDraft, weighings};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::curves::{bands, falling_behind};
use hirsel_core::reckon::flock_figures::Years;
use hirsel_core::reckon::growth::fixed::{FixedAge, Using};
use hirsel_core::reckon::growth::milk::milk;
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_core::reckon::{at_scale, watch};
use hirsel_core::terms::{Moment, Weight};
use made::{book, copy, today, unless_tried};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// Ewes over five seasons that come to about 100,000 animals.
const LARGE: u32 = 9_530;

struct Window {
    ctx: Context,
    desk: Desk,
}

impl Window {
    /// Draws a frame; tells how many milliseconds it took.
    fn frame(&mut self, events: Vec<Event>) -> f64 {
        let input = RawInput {
            screen_rect: Some(egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1240.0, 800.0))),
            events,
            focused: true,
            ..RawInput::default()
        };
        let start = Instant::now();
        let out = self.ctx.run_ui(input, |ui| self.desk.view(ui));
        out.drop_without_applying_deltas();
        ms(start)
    }

    /// A key down and up; tells how long the slower frame took.
    fn key(&mut self, key: Key, modifiers: Modifiers) -> f64 {
        let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
        self.frame(vec![event(true)]).max(self.frame(vec![event(false)]))
    }

    /// Draws until no frame was slow for a second and a half: the slowest, and when the last slow one was.
    fn settle(&mut self) -> (f64, f64) {
        let (start, mut last, mut worst) = (Instant::now(), Instant::now(), 0.0_f64);
        let mut slow_at = 0.0;
        while last.elapsed() < Duration::from_millis(quiet()) {
            let took = self.frame(Vec::new());
            worst = worst.max(took);
            if took > 4.0 {
                (last, slow_at) = (Instant::now(), ms(start));
            }
            std::thread::sleep(Duration::from_millis(8));
        }
        (worst, slow_at)
    }

    /// A frame of the page as it stands: the median of many.
    fn median(&mut self) -> f64 {
        let mut all: Vec<f64> = (0..60).map(|_| self.frame(Vec::new())).collect();
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    }

    /// First frame, frames after it, a frame at rest, and frames after a write was taken back and done again.
    fn told(&mut self, name: &str, first: f64) {
        let (worst, at) = self.settle();
        let rest = self.median();
        let undo = self.key(Key::Z, Modifiers::COMMAND);
        let (after, after_at) = self.settle();
        let redo = self.key(Key::Z, Modifiers::COMMAND.plus(Modifiers::SHIFT));
        let (again, _) = self.settle();
        println!(
            "{name:34} first {first:7.1}  then {worst:7.1} (last slow {at:6.0})  at rest {rest:5.2}  write {:6.1}  then {:7.1} (last slow {after_at:6.0})",
            undo.max(redo),
            after.max(again),
        );
    }
}

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1000.0
}

fn quiet() -> u64 {
    if unless_tried(1) == 1 { 1_500 } else { 20 }
}

fn timed<T>(name: &str, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let made = black_box(work());
    println!("{name:60} {:8.1} ms", ms(start));
    made
}

/// A weighing of the lamb at this place among those present.
fn weighing(flock: &Flock, n: usize) -> Sure {
    let lamb = flock.present().filter(|f| f.animal.is_lamb(today())).nth(n).expect("a lamb");
    let kg = lamb.last_weight(today()).map_or(4_000, |(_, w)| w.grams());
    let weight = Weight::from_grams(kg + 300).expect("a weight");
    let draft = WeighingDraft { animal: lamb.animal.id, at: Moment::day(today()), weight, note: None };
    weighings(vec![draft], flock, today()).expect("a weighing").despite("bench").expect("a word")
}

fn reckoned(book: &mut Book) {
    let flock = book.flock();
    timed("bands, first", || bands(&flock));
    let n = timed("falling behind, bands at hand, curves not", || falling_behind(&flock, today()).len());
    println!("{n} fall behind");
    timed("falling behind, again", || falling_behind(&flock, today()));
    timed("watched, curves at hand", || watch::watched(&flock, today()));
    let sessions = timed("sessions", || at_scale::sessions(&flock));
    if let Some(line) = sessions.iter().max_by_key(|s| s.weighed.n) {
        let rows = timed("the race of the largest session", || at_scale::race(&flock, line.session.id));
        let units = flock.holding().units;
        timed("what there is to look at in it", || at_scale::look_at(&flock, &rows, units, false));
        // With wrongly read tags where the flock is not too large for it.
        let few = &rows[..rows.len().min(300)];
        timed("wrongly read tags among 300", || at_scale::look_at(&flock, few, units, true));
    }
    timed("due for a session", || at_scale::due_for_session(&flock, today()));
    let rules = GrowthRules::of(&flock);
    for age in &rules.ages {
        timed(&format!("at {} days", age.days), || {
            FixedAge::of(&flock, &rules, age, Using::Own, today()).rows.len()
        });
    }
    timed("ewes' milk", || milk(&flock, &rules, Using::Table, today()));
    timed("figures of the seasons", || Years::of(&flock, today()));
    drop(flock);
    for n in 0..2 {
        let sure = weighing(&book.flock(), n);
        book.write(sure).expect("written");
        let flock = book.flock();
        timed("after a weighing: bands", || bands(&flock));
        timed("after a weighing: falling behind", || falling_behind(&flock, today()));
    }
}

fn pages(w: &mut Window) {
    let first = w.frame(Vec::new());
    w.told("Tonight", first);
    let parts = |name: &str, n: usize| (0..n).map(|i| format!("{name}, part {}", i + 1)).collect::<Vec<_>>();
    let pages =
        [(Key::Num7, parts("Weights", 5)), (Key::K, parts("Keep or part", 4)), (Key::G, parts("Figures", 4))];
    for (key, names) in pages {
        for (i, name) in names.iter().enumerate() {
            let first = match i {
                0 => w.key(key, Modifiers::COMMAND),
                _ => w.key(Key::PageDown, Modifiers::COMMAND),
            };
            w.told(name, first);
            if name.starts_with("Keep or part, part 4") {
                let first = w.key(Key::Enter, Modifiers::COMMAND);
                w.told("Breeding values, reckoned", first);
            }
        }
    }
}

fn main() {
    let path = book(unless_tried(LARGE));
    let kept = std::env::temp_dir().join("hirsel-bench-growth");
    let mut book = copy(&path);
    println!("{} animals", book.flock().len());
    reckoned(&mut book);
    drop(book);
    let mut book = copy(&path);
    let sure = weighing(&book.flock(), 0);
    book.write(sure).expect("written");
    let desk = Desk::with_book(Kept::at(&kept), book, today());
    let ctx = Context::default();
    ctx.enable_accesskit();
    hirsel_app::look::apply(&ctx);
    pages(&mut Window { ctx, desk });
    let _ = std::fs::remove_dir_all(&kept);
}
