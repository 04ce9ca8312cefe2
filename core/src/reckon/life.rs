//! One animal's life as dated events, for the timeline and the lists of the day.

use crate::flock::{AnimalFile, Flock, Outcome, RecordRef, Tested};
use crate::phrase;
use crate::terms::speech::said;
use crate::terms::{Day, Fate, MarkKind, Moment};

/// What kind of event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EventKind {
    /// Born.
    Birth,
    /// Joined with a ram.
    Joining,
    /// Lambed.
    Lambing,
    /// Treated.
    Treatment,
    /// Weighed.
    Weighing,
    /// Moved to a pen.
    Pen,
    /// Came, left or died.
    Standing,
    /// A job of the care plan ticked, put off or left out.
    Job,
    /// Keeper's note.
    Note,
}

impl EventKind {
    /// All, in the order of the timeline's lanes.
    pub const ALL: [Self; 9] = [
        Self::Birth,
        Self::Joining,
        Self::Lambing,
        Self::Treatment,
        Self::Weighing,
        Self::Pen,
        Self::Standing,
        Self::Job,
        Self::Note,
    ];

    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Birth => "born",
            Self::Joining => "joining",
            Self::Lambing => "lambing",
            Self::Treatment => "treatment",
            Self::Weighing => "weighing",
            Self::Pen => "pen",
            Self::Standing => "came or left",
            Self::Job => "job",
            Self::Note => "note",
        }
    }
}

/// One event of a life.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The record behind it.
    pub record: RecordRef,
    /// What kind.
    pub kind: EventKind,
    /// When.
    pub at: Moment,
    /// Until, for a joining.
    pub until: Option<Day>,
    /// One line in words.
    pub text: String,
    /// Struck out.
    pub struck: bool,
}

/// Marks, crayons, scans and tests.
fn mating(flock: &Flock, file: &AnimalFile, all: &mut Vec<Event>) {
    let mut add = |record, kind, on: Day, text: String, struck: bool| {
        all.push(Event { record, kind, at: Moment::day(on), until: None, text, struck });
    };
    for m in &file.marks {
        let colour = m.colour.as_ref().map(|c| format!(", {c}")).unwrap_or_default();
        let ram = m.ram.map(|r| phrase!(" by {}", &flock.tag(r))).unwrap_or_default();
        let what = match m.kind {
            MarkKind::Crayon => "Crayon mark",
            MarkKind::Seen => "Mating seen",
        };
        let text = phrase!("{what}{colour}{ram}");
        add(RecordRef::Mark(m.id), EventKind::Joining, m.on, text, m.struck.is_some());
    }
    for c in &file.crayons {
        let text =
            if c.colour.is_empty() { phrase!("Crayon off") } else { phrase!("Crayon on: {}", c.colour) };
        add(RecordRef::Crayon(c.id), EventKind::Joining, c.on, text, c.struck.is_some());
    }
    for s in &file.scans {
        let age = s.age_days.map(|d| phrase!(", {d} days gone")).unwrap_or_default();
        let text = phrase!("Scanned: {}{age}", s.found.words());
        add(RecordRef::Scan(s.id), EventKind::Joining, s.on, text, s.struck.is_some());
    }
    for s in &file.scores {
        let text = phrase!("Scored: {}", s.score.words());
        add(RecordRef::Scoring(s.id), EventKind::Weighing, s.at.day, text, s.struck.is_some());
    }
    for d in &file.decisions {
        let why = d.reason.as_ref().map(|r| format!(" ({r})")).unwrap_or_default();
        let text = phrase!("Decided: {}{why}", d.what.words());
        add(RecordRef::Decision(d.id), EventKind::Note, d.on, text, d.struck.is_some());
    }
    for t in &file.tests {
        let text = match &t.found {
            Tested::Scrapie(g) => phrase!("Tested: scrapie genotype {g}"),
            Tested::Recessive { gene, status } => phrase!("Tested: {gene}, {}", status.words()),
            Tested::Parentage { parent, is } => {
                let is = if *is { "is a parent" } else { "cannot be a parent" };
                phrase!("Tested: {} {is}", &flock.tag(*parent))
            }
            Tested::Other { what, result } => phrase!("Tested: {what}, {result}"),
        };
        add(RecordRef::GeneTest(t.id), EventKind::Note, t.on, text, t.struck.is_some());
    }
}

/// Every event of an animal in order of time, struck ones included.
pub fn life(flock: &Flock, file: &AnimalFile) -> Vec<Event> {
    let units = flock.holding().units;
    let a = &file.animal;
    let mut all = Vec::new();
    if let Some(day) = a.born.day() {
        let weight = a.birth_weight.map(|w| format!(", {}", w.show(units))).unwrap_or_default();
        let fate = file.birth.as_ref().filter(|b| b.fate == Fate::BornDead).map_or("", |_| ", dead");
        all.push(Event {
            record: RecordRef::Animal(a.id),
            kind: EventKind::Birth,
            at: Moment::day(day),
            until: None,
            text: phrase!("Born {}{weight}{fate}", a.born.words()),
            struck: false,
        });
    }
    for j in &file.joinings {
        all.push(Event {
            record: RecordRef::Joining(j.id),
            kind: EventKind::Joining,
            at: Moment::day(j.from),
            until: j.to,
            text: phrase!(
                "With ram {}{}{}",
                &flock.tag(j.ram),
                j.group.as_ref().map(|g| phrase!(" in {g}")).unwrap_or_default(),
                j.to.map_or(String::new(), |t| phrase!(" until {}", t.words()))
            ),
            struck: j.struck.is_some(),
        });
    }
    mating(flock, file, &mut all);
    for l in &file.lambings {
        all.push(Event {
            record: RecordRef::Lambing(l.id),
            kind: EventKind::Lambing,
            at: l.at,
            until: None,
            text: phrase!("Lambed {}: {}", litter(l.lambs.len()), lambs(flock, &l.lambs)),
            struck: l.struck.is_some(),
        });
    }
    for t in &file.treatments {
        let dose = t.dose.map(|d| format!(", {d}")).unwrap_or_default();
        let why = t.reason.as_ref().map(|r| phrase!(" for {r}")).unwrap_or_default();
        let course = t.more.course.map(|c| phrase!(", dose {} of {}", c.nth, c.of)).unwrap_or_default();
        all.push(Event {
            record: RecordRef::Treatment(t.id),
            kind: EventKind::Treatment,
            at: t.at,
            until: None,
            text: format!("{}{dose}{course}{why}", t.product),
            struck: t.struck.is_some(),
        });
    }
    for w in &file.weighings {
        all.push(Event {
            record: RecordRef::Weighing(w.id),
            kind: EventKind::Weighing,
            at: w.at,
            until: None,
            text: phrase!("Weighed {}", w.weight.show(units)),
            struck: w.struck.is_some(),
        });
    }
    for p in &file.pen_moves {
        all.push(Event {
            record: RecordRef::PenMove(p.id),
            kind: EventKind::Pen,
            at: Moment::day(p.on),
            until: None,
            text: p.pen.as_ref().map_or(phrase!("Out of the pen"), |p| phrase!("To {p}")),
            struck: p.struck.is_some(),
        });
    }
    for m in &file.movements {
        let other = m.other.as_ref().map(|o| format!(", {o}")).unwrap_or_default();
        let why = m.reason.as_ref().map(|r| format!(": {r}")).unwrap_or_default();
        let mut word = m.to.words().to_string();
        if let Some(first) = word.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        all.push(Event {
            record: RecordRef::Movement(m.id),
            kind: EventKind::Standing,
            at: Moment::day(m.on),
            until: None,
            text: phrase!("{word}{other}{why}"),
            struck: m.struck.is_some(),
        });
    }
    for t in &file.ticks {
        let step =
            flock.plan().all().find(|s| s.key == t.step).map_or(t.step.as_str().into(), |s| s.short_said());
        let did = match t.outcome {
            Outcome::Done => phrase!("done"),
            Outcome::Skipped => phrase!("left out"),
            Outcome::PutOff(until) => phrase!("put off to {}", until.short()),
        };
        let why = t.note.as_ref().map(|n| format!(": {n}")).unwrap_or_default();
        all.push(Event {
            record: RecordRef::Tick(t.id),
            kind: EventKind::Job,
            at: t.at,
            until: None,
            text: format!("{step} {did}{why}"),
            struck: t.struck.is_some(),
        });
    }
    for r in &file.remarks {
        all.push(Event {
            record: RecordRef::Remark(r.id),
            kind: EventKind::Note,
            at: Moment::day(r.on),
            until: None,
            text: r.text.clone(),
            struck: r.struck.is_some(),
        });
    }
    all.sort_by_key(|e| (e.at, e.kind));
    all
}

/// single, twins, triplets, …
pub fn litter(n: usize) -> String {
    match n {
        0 => phrase!("no lamb written down"),
        1 => phrase!("a single"),
        2 => phrase!("twins"),
        3 => phrase!("triplets"),
        4 => phrase!("quadruplets"),
        n => phrase!("{n} lambs"),
    }
}

fn lambs(flock: &Flock, ids: &[crate::terms::AnimalId]) -> String {
    let units = flock.holding().units;
    ids.iter()
        .filter_map(|id| flock.file(*id))
        .map(|f| {
            let w = f.animal.birth_weight.map(|w| format!(" {}", w.show(units))).unwrap_or_default();
            let dead = f.birth.as_ref().filter(|b| b.fate == Fate::BornDead).map_or("", |_| " dead");
            phrase!("{} {}{w}{dead}", &f.animal.tag(), said(f.animal.sex.words()))
        })
        .collect::<Vec<_>>()
        .join(", ")
}
