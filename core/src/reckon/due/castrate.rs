//! A ram lamb decided to be castrated: the plan's job counts from the decision then, and says which methods the rules
//! of the place leave at his age.

use crate::flock::AnimalFile;
use crate::phrase;
use crate::plan::{DoneBy, Step};
use crate::rules::{Procedure, RuleSet};
use crate::terms::{Day, Decided};
use std::sync::Arc;

/// Days within which what was decided is to be done, where no rule ends sooner (common practice, no source).
const SOON: i64 = 7;
/// Days after which it is looked for no more.
const CLOSE: i64 = 180;

/// The day it was decided, for a step that castrates; none where the last decision is another.
pub(super) fn decided(f: &AnimalFile, step: &Step, anchor: Day, on: Day) -> Option<Day> {
    if step.done_by != DoneBy::Castrated || step.law != Some(Procedure::Castration) {
        return None;
    }
    let last = f.decisions.iter().rfind(|d| d.struck.is_none() && d.on <= on)?;
    (last.what == Decided::Castrate && last.on >= anchor).then_some(last.on)
}

/// Last day it is looked for.
pub(super) fn close(decided: Day) -> Day {
    decided.plus(CLOSE)
}

/// Its last day: that of rings while they are still allowed when it is decided, the day before the rules ask for more
/// than on the day of the decision, or a week.
pub(super) fn late(rules: Option<&RuleSet>, born: Day, decided: Day) -> Day {
    let week = decided.plus(SOON);
    let Some(rules) = rules else { return week };
    let ring = rules.ring(Procedure::Castration).map(|r| born.plus(r.last_day)).filter(|l| *l >= decided);
    let more = rules.asked(Procedure::Castration, born, decided).later.first().map(|(d, _)| d.plus(-1));
    [Some(week), ring, more].into_iter().flatten().min().unwrap_or(week)
}

/// Which methods the rules of the place leave for a ram lamb of this birth on a day, in a few words, and the caution that
/// goes with any of them; both defer to label, vet and local law.
pub fn castration(rules: Option<&RuleSet>, born: Day, on: Day) -> (String, String) {
    let ring = rules.and_then(|r| r.ring(Procedure::Castration)).map(|r| born.plus(r.last_day));
    let asked = rules.map(|r| r.asked(Procedure::Castration, born, on)).unwrap_or_default();
    let now = if asked.now.is_empty() { String::new() } else { format!(", {}", asked.now.join(" and ")) };
    let method = match ring {
        Some(last) if on <= last => phrase!("a ring may be used until {}{now}", last.short()),
        Some(last) => phrase!(
            "rings ended on {}, so by another method{}",
            last.short(),
            if now.is_empty() { phrase!(", as the vet says") } else { now }
        ),
        None if now.is_empty() => phrase!("method as the vet and local law say"),
        None => now.trim_start_matches(", ").to_string(),
    };
    let mut caution = match rules {
        None => {
            phrase!(
                "No rule set is chosen for this book: ask which method is allowed at this age, and who may do it."
            )
        }
        Some(r) => {
            let mut said = vec![phrase!("{}:", &r.name())];
            said.extend(asked.rows.iter().map(|row| format!("{row}.")));
            if asked.rows.is_empty() {
                said.push(phrase!("no limit on castration is known here; ask before you begin."));
            }
            said.extend(asked.later.first().map(|(d, words)| phrase!("From {}: {words}.", d.words())));
            said.join(" ")
        }
    };
    caution.push_str(
        " Label, vet and local law decide. Is the dam boosted against tetanus? If not, ask the vet first.",
    );
    (method, caution)
}

/// The step as it is to be done on a day.
pub(super) fn step(base: &Step, rules: Option<&RuleSet>, born: Day, on: Day) -> Arc<Step> {
    let (method, caution) = castration(rules, born, on);
    let job = phrase!("Castrate, as decided: {method}");
    let short = phrase!("Castrated, as decided");
    Arc::new(Step { job: job.chars().take(160).collect(), short, caution: Some(caution), ..base.clone() })
}
