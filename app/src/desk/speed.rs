//! How fast the program is where it runs: times of its frames, kept as they are drawn, and a panel that shows them.
//! The panel is shown by a key and asks for no frame of its own: it tells of those that were drawn for other reasons.
//!
//! With `HIRSEL_TIMES` the same figures are written to the file it names, a line a page, for `.ci/speed`.

use super::{Desk, Stage};
use crate::look::{self, space};
use hirsel_core::phrase;
use std::collections::VecDeque;
use std::io::Write as _;
use std::path::PathBuf;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Frames that are remembered.
const KEPT: usize = 600;

/// Times of the last frames.
#[derive(Debug, Default)]
pub struct Frames {
    last: VecDeque<Duration>,
    worst: Duration,
    drawn: u64,
}

impl Frames {
    /// A frame was drawn in this time.
    pub fn took(&mut self, time: Duration) {
        if self.last.len() == KEPT {
            self.last.pop_front();
        }
        self.last.push_back(time);
        self.worst = self.worst.max(time);
        self.drawn += 1;
    }

    /// How many were drawn in all.
    pub fn drawn(&self) -> u64 {
        self.drawn
    }

    /// The last one.
    pub fn last(&self) -> Duration {
        self.last.back().copied().unwrap_or_default()
    }

    /// The longest of all.
    pub fn worst(&self) -> Duration {
        self.worst
    }

    /// The time that so many in a hundred of those remembered did not exceed (nearest rank).
    pub fn share(&self, percent: usize) -> Duration {
        let mut all: Vec<Duration> = self.last.iter().copied().collect();
        all.sort_unstable();
        let rank = (all.len() * percent).div_ceil(100);
        all.get(rank.saturating_sub(1)).copied().unwrap_or_default()
    }
}

/// What is measured, and whether it is shown.
#[derive(Default)]
pub(super) struct Speed {
    pub shown: bool,
    frames: Frames,
    log: Option<Log>,
}

/// Figures on their way to a file.
struct Log {
    path: PathBuf,
    /// The page they are of; none before the book is open.
    page: Option<&'static str>,
    frames: Frames,
    told_usable: bool,
}

impl Speed {
    /// With a log where the user asked for one.
    pub(super) fn of_user() -> Self {
        let path = std::env::var_os("HIRSEL_TIMES").filter(|p| !p.is_empty());
        let log =
            path.map(|p| Log { path: p.into(), page: None, frames: Frames::default(), told_usable: false });
        Self { log, ..Self::default() }
    }

    /// A frame of a page was drawn; none while no book is open.
    pub(super) fn took(&mut self, time: Duration, page: Option<&'static str>, ctx: &egui::Context) {
        self.frames.took(time);
        let Some(log) = &mut self.log else { return };
        if log.page != page {
            log.end_of_page();
            // The frame in which the book came is on the screen when the next one begins.
            if log.page.is_none() {
                ctx.request_repaint();
            }
            log.page = page;
        }
        if page.is_some() {
            log.frames.took(time);
        }
    }

    /// A frame begins: the one before is on the screen.
    pub(super) fn begins(&mut self) {
        let Some(log) = self.log.as_mut().filter(|l| l.page.is_some() && !l.told_usable) else { return };
        log.told_usable = true;
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        log.line(&format!("usable\t{:.1}", now.as_secs_f64() * 1000.0));
    }

    /// The window closes.
    pub(super) fn ends(&mut self) {
        if let Some(log) = &mut self.log {
            log.end_of_page();
        }
    }
}

impl Log {
    fn end_of_page(&mut self) {
        let f = std::mem::take(&mut self.frames);
        if let Some(page) = self.page.filter(|_| f.drawn > 0) {
            let [median, high, worst] = [f.share(50), f.share(99), f.worst].map(|t| t.as_micros());
            self.line(&format!("page\t{page}\t{}\t{median}\t{high}\t{worst}", f.drawn));
        }
    }

    /// A file that cannot be written is no reason to stop.
    fn line(&self, text: &str) {
        let file = std::fs::OpenOptions::new().create(true).append(true).open(&self.path);
        let _ = file.and_then(|mut f| writeln!(f, "{text}"));
    }
}

/// Memory of the program that lies in the machine's own, in bytes; none where the system does not tell.
fn memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let kb = status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?.trim().strip_suffix(" kB")?;
    Some(kb.trim().parse::<u64>().ok()? * 1024)
}

fn ms(time: Duration) -> String {
    phrase!("{:.2} ms", time.as_secs_f64() * 1000.0)
}

impl Desk {
    /// The word of the page that is shown; none while no book is open.
    pub(super) fn page_words(&self) -> Option<&'static str> {
        match &self.stage {
            Stage::Open(open) => Some(open.pages.at.words()),
            Stage::Start(_) => None,
        }
    }

    /// The panel, over the page in its lower right corner. Nothing in it can be clicked or asks for another frame.
    pub(super) fn speed_panel(&self, ctx: &egui::Context) {
        if !self.speed.shown {
            return;
        }
        let f = &self.speed.frames;
        let mut lines = vec![
            ("Last frame", ms(f.last())),
            ("Worst frame", ms(f.worst())),
            ("Median of the last 600", ms(f.share(50))),
            ("99 in 100 within", ms(f.share(99))),
            ("Frames drawn", f.drawn().to_string()),
        ];
        lines.extend(memory().map(|m| ("Memory", phrase!("{} MB", m >> 20))));
        if let Some(flock) = self.flock() {
            lines.push(("Animals", flock.len().to_string()));
            lines.push(("Events", flock.events().to_string()));
        }
        egui::Area::new(egui::Id::unique("speed"))
            .order(egui::Order::Tooltip)
            .interactable(false)
            .anchor(egui::Align2::RIGHT_BOTTOM, [-space::L, -space::L * 3.0])
            .show(ctx, |ui| {
                egui::Frame::popup(ui.style()).show(ui, |ui| {
                    ui.set_width(260.0);
                    look::strong(ui, "How fast is it?");
                    egui::Grid::new("speed").num_columns(2).min_col_width(160.0).show(ui, |ui| {
                        for (words, figure) in lines {
                            ui.label(words);
                            ui.add(egui::Label::new(figure).selectable(false));
                            ui.end_row();
                        }
                    });
                });
            });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frames(micros: impl IntoIterator<Item = u64>) -> Frames {
        let mut f = Frames::default();
        micros.into_iter().for_each(|t| f.took(Duration::from_micros(t)));
        f
    }

    #[test]
    fn shares_are_of_the_last_600_and_the_worst_of_all() {
        assert_eq!(frames([]).share(50), Duration::ZERO);
        let f = frames([7]);
        assert_eq!((f.share(50), f.share(99), f.last()), (f.worst(), f.worst(), Duration::from_micros(7)));
        let f = frames(1..=100);
        assert_eq!((f.share(50), f.share(99)), (Duration::from_micros(50), Duration::from_micros(99)));
        let f = frames(std::iter::once(90_000).chain(1..=600));
        assert_eq!((f.share(100), f.drawn()), (Duration::from_micros(600), 601));
        assert_eq!(f.worst(), Duration::from_micros(90_000));
    }

    #[test]
    fn figures_of_each_page_go_to_the_file() {
        let folder = tempfile_like();
        let path = folder.join("times");
        let ctx = egui::Context::default();
        let log = Log { path: path.clone(), page: None, frames: Frames::default(), told_usable: false };
        let mut speed = Speed { log: Some(log), ..Speed::default() };
        for (us, page) in [(9, None), (4, Some("Tonight")), (6, Some("Tonight")), (3, Some("Flock"))] {
            speed.begins();
            speed.took(Duration::from_micros(us), page, &ctx);
        }
        speed.ends();
        let text = std::fs::read_to_string(&path).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines[0].starts_with("usable\t"), "{text}");
        assert_eq!(lines[1..], ["page\tTonight\t2\t4\t6\t6", "page\tFlock\t1\t3\t3\t3"]);
        let _ = std::fs::remove_dir_all(folder);
    }

    fn tempfile_like() -> PathBuf {
        let folder = std::env::temp_dir().join(format!("hirsel-speed-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        folder
    }
}
