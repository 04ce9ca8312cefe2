//! One event in a plain sentence.

use super::{Event, Line, What};
use crate::flock::{AnimalFile, Flock, RecordRef};
use crate::phrase;
use crate::reckon::clearance::clear_after;
use crate::reckon::due::State;
use crate::reckon::life;
use crate::terms::Day;

/// What happened, when, and what follows from it: `3 Apr 2026: Lambed twins: 0501 ewe 4.2 kg, 0502 ram 4 kg`.
pub fn say(flock: &Flock, file: &AnimalFile, line: &Line, event: &Event, today: Day) -> String {
    if let Some(job) = event.job.and_then(|n| line.jobs.get(n as usize)) {
        let stands = match &job.state {
            State::Early => phrase!("to do {}", job.when()),
            State::Due => phrase!("to do now, {}", job.when()),
            State::Overdue => phrase!("overdue, {}", job.when()),
            State::Done(Some(on)) => phrase!("done {}", on.words()),
            State::Done(None) => phrase!("done"),
            State::Skipped { on, .. } => phrase!("left out {}", on.words()),
            State::Missed => phrase!("not done, was {}", job.when()),
        };
        return format!("{}: {stands} ({})", job.step.job_said(), job.why(today));
    }
    if let What::Due { usual } = event.what {
        let (early, late) = (event.from.words(), event.to.words());
        return phrase!("May lamb from {early} to {late}, most likely about {}", usual.words());
    }
    let all = life::life(flock, file);
    let Some(e) = all.iter().find(|e| Some(e.record) == event.record) else { return String::new() };
    let mut said = phrase!("{}: {}", e.at.words(), e.text);
    match event.record {
        Some(RecordRef::Treatment(id)) => {
            if let Some(t) = file.treatments.iter().find(|t| t.id == id) {
                let clear = clear_after(t.at, t.meat);
                let is = if clear.is_clear(today) { "meat was" } else { "meat" };
                said.push_str(&phrase!("; {is} {}", clear.words()));
            }
        }
        Some(RecordRef::PenMove(_)) if event.to > event.from && event.to < today => {
            said.push_str(&phrase!(" until {}", event.to.words()));
        }
        _ => {}
    }
    said
}
