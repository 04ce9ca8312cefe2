//! A ewe's pregnancy, or her try at one: the service it counts from, the window, the scan, how it stands.

use super::breeding::{Breeding, breedings};
use super::known::{Known, known};
use super::service::{self, Again, Service};
use super::{DueWindow, Length, rams_words};
use crate::flock::{AnimalFile, Flock};
use crate::phrase;
use crate::terms::{AnimalId, Day, Scanned};

/// Days after the last day of her window for which a ewe is still looked for (common practice, no source).
const PAST_DAYS: i64 = 30;

/// How a pregnancy stands on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// She is looked to lamb.
    Expected,
    /// Scanned empty, and neither joined nor marked since; the day of the scan.
    Empty(Day),
    /// She lambed to it.
    Lambed(Day),
    /// Her days are long past and no lambing is written.
    Past,
}

/// What is known of one pregnancy of a ewe.
#[derive(Debug, Clone, PartialEq)]
pub struct Pregnancy {
    /// The ewe.
    pub ewe: AnimalId,
    /// First day of a joining or mark that belongs to it.
    pub first: Day,
    /// The service it is counted from: the best evidence.
    pub service: Service,
    /// When she may lamb.
    pub window: DueWindow,
    /// The length it is reckoned with.
    pub length: Length,
    /// The last scan: its day and what it found.
    pub scan: Option<(Day, Scanned)>,
    /// Services that did not hold, oldest first.
    pub again: Vec<Again>,
    /// How it stands.
    pub state: State,
    /// What speaks against the service, in words.
    pub doubt: Option<String>,
}

impl Pregnancy {
    /// How many lambs the scanner counted. Never a birth count: see [`Scanned`].
    pub fn lambs(&self) -> Option<u8> {
        match self.scan?.1 {
            Scanned::One => Some(1),
            Scanned::Two => Some(2),
            Scanned::Three => Some(3),
            Scanned::Empty | Scanned::InLamb => None,
        }
    }

    /// What it rests on, a sentence each: the service, the days she goes, what was scanned, what is doubtful.
    pub fn words(&self, flock: &Flock) -> Vec<String> {
        let mut all = vec![self.service.words(flock)];
        for a in &self.again {
            let cycles = match a.cycles {
                Some(1) => "one cycle: she came back",
                Some(_) => "two cycles: she came back",
                None => "no whole cycle: she was served again",
            };
            let (before, on) = (a.before.day.short(), a.on.words());
            all.push(phrase!("Served on {before} and again on {on}, {} days later, {cycles}", a.days()));
        }
        if let Some((on, found)) = self.scan {
            all.push(phrase!("Scanned {} on {}", found.words(), on.words()));
        }
        all.push(phrase!("Reckoned with {}", self.length.words()));
        all.extend(self.doubt.clone());
        all
    }
}

fn made(flock: &Flock, ewe: &AnimalFile, b: &Breeding<'_>, known: &Known, today: Day) -> Pregnancy {
    let found = service::found(flock, ewe, b, &known.looks);
    let length = known.lengths.of_ewe(&ewe.animal);
    let window = found.service.window(&length);
    let doubt = found.other.map(|day| {
        phrase!(
            "By the age at scanning she was served about {}, which fits none of her marks: look at both",
            day.words()
        )
    });
    let state = match (b.lambed(ewe, today), b.empty()) {
        (Some(on), _) => State::Lambed(on),
        (None, Some(on)) => State::Empty(on),
        _ if window.late.is_some_and(|l| today.since(l) > PAST_DAYS) => State::Past,
        _ => State::Expected,
    };
    Pregnancy {
        ewe: ewe.animal.id,
        first: b.first,
        service: found.service,
        window,
        length,
        scan: b.scan().map(|s| (s.on, s.found)),
        again: found.again,
        state,
        doubt,
    }
}

/// The last pregnancy of a ewe by what the book knows on a day; none where she was never joined or marked.
pub fn of_ewe(flock: &Flock, ewe: &AnimalFile, today: Day) -> Option<Pregnancy> {
    with(flock, ewe, &known(flock), today)
}

fn with(flock: &Flock, ewe: &AnimalFile, known: &Known, today: Day) -> Option<Pregnancy> {
    // Most animals of a flock were never joined.
    if ewe.joinings.is_empty() && ewe.marks.is_empty() {
        return None;
    }
    let all = breedings(ewe, today);
    Some(made(flock, ewe, all.last()?, known, today))
}

/// Every pregnancy of a ewe, oldest first.
pub fn history(flock: &Flock, ewe: &AnimalFile, today: Day) -> Vec<Pregnancy> {
    let known = known(flock);
    breedings(ewe, today).iter().map(|b| made(flock, ewe, b, &known, today)).collect()
}

/// The last pregnancy of every ewe now in the flock, by due day.
pub fn pregnancies(flock: &Flock, today: Day) -> Vec<Pregnancy> {
    let known = known(flock);
    let mut all: Vec<Pregnancy> = flock.present().filter_map(|f| with(flock, f, &known, today)).collect();
    all.sort_by_key(|p| (p.window.due, p.ewe));
    all
}

/// A ewe that is looked to lamb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram; several where more than one may have served her, none where it is not known.
    pub rams: Vec<AnimalId>,
    /// When.
    pub window: DueWindow,
    /// What the last scan found.
    pub found: Option<Scanned>,
}

impl Expected {
    /// The ram in words: `R1`, `R1 or R7`, `ram not known`.
    pub fn rams_words(&self, flock: &Flock) -> String {
        rams_words(flock, &self.rams).unwrap_or_else(|| phrase!("ram not known"))
    }

    fn of(p: Pregnancy) -> Option<Self> {
        let found = p.scan.map(|(_, found)| found);
        let expected = Self { ewe: p.ewe, rams: p.service.rams, window: p.window, found };
        (p.state == State::Expected).then_some(expected)
    }
}

/// When a ewe is expected to lamb: by the best evidence of her last service, unless she has lambed since, was scanned
/// empty, or its window is long past (30 days).
pub fn expected_of(flock: &Flock, ewe: &AnimalFile, today: Day) -> Option<Expected> {
    Expected::of(of_ewe(flock, ewe, today)?)
}

/// Ewes of the flock that are expected to lamb, by due day.
pub fn expected(flock: &Flock, today: Day) -> Vec<Expected> {
    pregnancies(flock, today).into_iter().filter_map(Expected::of).collect()
}
