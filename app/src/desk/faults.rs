//! Faults of our own, as the keeper is told of them: of work that died, on the status line; of a run that ended, at the
//! next start.

use super::{Desk, Stage, worker::Job};
use crate::crash::{self, Rehearsal, Untold};
use crate::look::Kind;
use hirsel_core::phrase;

impl Desk {
    /// Whether the last run ended while it opened its book: the same book is not opened by itself again.
    pub(super) fn stumbles(untold: Option<&Untold>) -> bool {
        untold.is_some_and(|u| u.page == crash::OPENING)
    }

    /// Says that the last run ended by a fault, where the report lies, and how the book is.
    pub(super) fn tell_of(&mut self, untold: &Untold) {
        let how = match &self.stage {
            Stage::Open(open) if open.book.is_being_looked_over() => {
                "it is being looked over now, and you are told if it is not whole"
            }
            Stage::Open(_) => "it was checked on opening and is whole",
            Stage::Start(_) => "open your book and it is checked",
        };
        let line = phrase!(
            "Hirsel failed and closed itself last time. What was written is in the book; {how}. Nothing was sent. Should it \
             happen again, read this report and give it to whoever you have Hirsel from: {}",
            untold.report.display()
        );
        let trouble = match &mut self.stage {
            Stage::Open(open) => &mut open.trouble,
            Stage::Start(state) => &mut state.trouble,
        };
        *trouble = Some(match trouble.take() {
            Some(first) => format!("{first}. {line}"),
            None => line,
        });
    }

    /// Says when a piece of work died of a fault.
    pub(super) fn tell_of_work(&mut self) {
        for report in crash::in_work() {
            let lies = match report {
                Some(path) => phrase!("nothing was sent. Report: {}", path.display()),
                None => "no report of it could be written".into(),
            };
            self.say(Kind::Refuse, phrase!("Some work failed and was given up; {lies}"));
        }
    }

    /// Fails on purpose, to see that it is reported.
    pub fn rehearse(&mut self, ctx: &egui::Context, what: Rehearsal) {
        match what {
            Rehearsal::Work => {
                let job: Job<()> = Job::start(ctx, |_| Rehearsal::fail());
                self.rehearsal = Some(job);
            }
            Rehearsal::Window | Rehearsal::Command => Rehearsal::fail(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::kept::Kept;
    use hirsel_core::terms::Day;

    #[test]
    fn work_that_fails_is_told_and_the_window_goes_on() {
        let folder = std::env::temp_dir().join(format!("hirsel-faults-{}", std::process::id()));
        crash::watch(&folder);
        let mut desk = Desk::at_start(Kept::at(&folder), Day::today());
        let ctx = egui::Context::default();
        desk.rehearse(&ctx, Rehearsal::Work);
        // Other tests of this program let work die, too: ours is one of the reports.
        let ours = || {
            let reports = std::fs::read_dir(folder.join("reports")).ok()?.flatten().map(|e| e.path());
            let mut texts = reports.filter_map(|p| std::fs::read_to_string(p).ok());
            texts.find(|t| t.contains("a fault on purpose"))
        };
        let mut told = false;
        // A trace of a large program that is not optimised takes seconds to name.
        let report = (0..12_000).find_map(|_| {
            std::thread::sleep(std::time::Duration::from_millis(10));
            desk.poll(&ctx);
            told |=
                desk.said.0 == Kind::Refuse && desk.said.1.starts_with("Some work failed and was given up; ");
            ours().filter(|_| told)
        });
        let report = report.expect("the status line tells it, and there is a report");
        assert!(report.contains("thread   work"), "{report}");
        assert!(desk.rehearsal.as_ref().is_some_and(|job| job.answer().is_some_and(|a| a.is_err())));
        let _ = std::fs::remove_dir_all(&folder);
    }

    #[test]
    fn a_book_the_last_run_stumbled_over_is_not_opened_by_itself() {
        let of = |page: &str| Untold { report: "fault.txt".into(), page: page.into() };
        assert!(Desk::stumbles(Some(&of(crash::OPENING))));
        assert!(!Desk::stumbles(Some(&of("Weights"))) && !Desk::stumbles(None));
        let mut desk = Desk::at_start(Kept::at(&std::env::temp_dir()), Day::today());
        desk.tell_of(&of(crash::OPENING));
        let Stage::Start(state) = &desk.stage else { panic!("no book was opened") };
        let told = state.trouble.as_deref().unwrap();
        assert!(told.contains("Nothing was sent") && told.ends_with("fault.txt"), "{told}");
    }
}
