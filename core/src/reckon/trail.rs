//! The trail: what was changed after it was written, and what was struck out, of the whole book, each with the way
//! to its record. Nothing here is ever erased; the old value stands beside the new one.

use crate::flock::{
    Amendment, AnimalFile, Batch, Cupboard, Document, DocumentOf, Flock, Link, Product, RecordRef, StockMove,
    Struck,
};
use crate::phrase;
use crate::terms::Day;

/// One change of a record, or a record struck out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// When, `2026-04-03 21:10`; the day alone where the minute is not known.
    pub at: String,
    /// Who; empty where it is not known.
    pub who: String,
    /// Which record.
    pub record: RecordRef,
    /// Where it is found.
    pub link: Link,
    /// What it is: 'treatment of 0412, 3 Apr 2026, levamisole drench'.
    pub what: String,
    /// The keeper's reason; empty where none was given.
    pub why: String,
    /// Field in words, old value, new value; none of a record struck out.
    pub fields: Vec<(String, String, String)>,
    /// It was struck out.
    pub struck: bool,
}

impl Change {
    /// Old value and new value of every field: 'dose: 25 ml → 2.5 ml'.
    pub fn from_to(&self) -> String {
        if self.struck {
            return phrase!("struck out");
        }
        let one = |(field, old, new): &(String, String, String)| format!("{field}: {old} → {new}");
        self.fields.iter().map(one).collect::<Vec<_>>().join("; ")
    }

    /// Something that stood there was replaced, not only a blank filled.
    pub fn replaces(&self) -> bool {
        self.struck || self.fields.iter().any(|(_, old, _)| old != "nothing")
    }
}

/// A record as the trail meets it.
struct Met<'a> {
    record: RecordRef,
    link: Link,
    struck: Option<&'a Struck>,
}

/// Every change and strike-out of the book, newest first.
pub fn trail(flock: &Flock) -> Vec<Change> {
    let mut all = Vec::new();
    for f in flock.files() {
        of_animal(flock, f, &mut all);
    }
    of_cupboard(flock, &mut all);
    of_papers(flock, &mut all);
    all.sort_by(|a, b| b.at.cmp(&a.at).then_with(|| a.what.cmp(&b.what)));
    all
}

fn take(flock: &Flock, met: &Met<'_>, what: impl Fn() -> String, all: &mut Vec<Change>) {
    let change = |at: String, who: String, why: String, fields, struck| Change {
        at,
        who,
        record: met.record,
        link: met.link,
        what: what(),
        why,
        fields,
        struck,
    };
    for a in flock.amendments(met.record) {
        let Amendment { at, who, reason, fields, .. } = a;
        all.push(change(at.to_string(), who.to_string(), reason.to_string(), fields.clone(), false));
    }
    if let Some(s) = met.struck {
        let by = flock.struck_by(met.record);
        let (at, who) =
            by.map_or_else(|| (s.on.to_string(), String::new()), |b| (b.at.clone(), b.who.clone()));
        all.push(change(at, who, s.reason.clone(), Vec::new(), true));
    }
}

fn of_animal(flock: &Flock, f: &AnimalFile, all: &mut Vec<Change>) {
    let id = f.animal.id;
    let some = !flock.all_amendments().is_empty();
    let mut look =
        |record, struck: Option<&Struck>, word: &dyn Fn() -> (&'static str, Option<Day>, String)| {
            if struck.is_none() && (!some || flock.amendments(record).is_empty()) {
                return;
            }
            let what = || {
                let (word, on, more) = word();
                let mut text = phrase!("{word} of {}", &f.animal.tag());
                if let Some(on) = on {
                    text.push_str(&phrase!(", {}", on.words()));
                }
                if !more.is_empty() {
                    text.push_str(&format!(", {more}"));
                }
                text
            };
            let link = match record {
                RecordRef::Animal(_) => Link::Animal(id),
                _ => Link::Record(id, record),
            };
            take(flock, &Met { record, link, struck }, what, all);
        };
    look(RecordRef::Animal(id), None, &|| ("facts", None, String::new()));
    for r in &f.lambings {
        look(RecordRef::Lambing(r.id), r.struck.as_deref(), &|| ("lambing", Some(r.at.day), String::new()));
    }
    for r in &f.joinings {
        look(RecordRef::Joining(r.id), r.struck.as_deref(), &|| {
            ("joining", Some(r.from), flock.tag(r.ram).into())
        });
    }
    for r in &f.weighings {
        look(RecordRef::Weighing(r.id), r.struck.as_deref(), &|| ("weighing", Some(r.at.day), String::new()));
    }
    for r in &f.treatments {
        let word = || ("treatment", Some(r.at.day), r.product.to_string());
        look(RecordRef::Treatment(r.id), r.struck.as_deref(), &word);
    }
    for r in &f.pen_moves {
        look(RecordRef::PenMove(r.id), r.struck.as_deref(), &|| {
            ("pen", Some(r.on), r.pen.as_deref().unwrap_or_default().to_string())
        });
    }
    for r in &f.movements {
        look(RecordRef::Movement(r.id), r.struck.as_deref(), &|| {
            ("standing", Some(r.on), r.to.words().into())
        });
    }
    for r in &f.remarks {
        look(RecordRef::Remark(r.id), r.struck.as_deref(), &|| ("note", Some(r.on), String::new()));
    }
    for r in &f.marks {
        look(RecordRef::Mark(r.id), r.struck.as_deref(), &|| ("mating mark", Some(r.on), String::new()));
    }
    for r in &f.crayons {
        look(RecordRef::Crayon(r.id), r.struck.as_deref(), &|| ("crayon", Some(r.on), r.colour.clone()));
    }
    for r in &f.scans {
        look(RecordRef::Scan(r.id), r.struck.as_deref(), &|| ("scan", Some(r.on), String::new()));
    }
    for r in &f.tests {
        look(RecordRef::GeneTest(r.id), r.struck.as_deref(), &|| ("test", Some(r.on), r.found.kind().into()));
    }
    for r in &f.scores {
        let word = || ("score", Some(r.at.day), r.score.words());
        look(RecordRef::Scoring(r.id), r.struck.as_deref(), &word);
    }
    for r in &f.decisions {
        let word = || ("decision", Some(r.on), r.what.words().into());
        look(RecordRef::Decision(r.id), r.struck.as_deref(), &word);
    }
    for r in &f.ticks {
        look(RecordRef::Tick(r.id), r.struck.as_deref(), &|| ("job", Some(r.at.day), String::new()));
    }
}

/// What a record of the cupboard is, in words: 'batch B12 of levamisole drench'. Nothing when it is not there.
pub fn kept_words(flock: &Flock, record: RecordRef) -> Option<String> {
    let c: &Cupboard = flock.cupboard();
    let product = |id| {
        let found = flock.products().iter().find(|p: &&Product| p.id == id);
        found.map_or("a product", |p| p.name.as_str())
    };
    let batch = |b: &Batch| phrase!("batch {} of {}", b.number, &product(b.product));
    Some(match record {
        RecordRef::Product(id) => phrase!("product {}", flock.products().iter().find(|p| p.id == id)?.name),
        RecordRef::Batch(id) => batch(c.batches.iter().find(|b| b.id == id)?),
        RecordRef::StockMove(id) => {
            let m: &StockMove = c.moves.iter().find(|m| m.id == id)?;
            phrase!("{} {}, {}", &product(m.product), m.change.word(), m.on.words())
        }
        RecordRef::Vet(id) => phrase!("vet {}", c.vet(id)?.name),
        RecordRef::Prescription(id) => {
            let p = c.prescription(id)?;
            phrase!("prescription of {}, {}", p.product, p.on.words())
        }
        RecordRef::Document(id) => {
            let d = flock.documents().get(id)?;
            let of = match d.of {
                DocumentOf::Record(RecordRef::Batch(id)) => c.batches.iter().find(|b| b.id == id).map(batch),
                DocumentOf::Record(RecordRef::Prescription(id)) => {
                    c.prescription(id).map(|p| phrase!("prescription of {}", p.product))
                }
                of => Some(super::papers::of_words(flock, of)),
            };
            phrase!("{} {}{}", d.word(), d.name, of.map(|o| format!(", {o}")).unwrap_or_default())
        }
        RecordRef::EggCount(id) => {
            phrase!("egg count, {}", c.egg_counts.iter().find(|e| e.id == id)?.on.words())
        }
        RecordRef::Money(id) => {
            let m = flock.daybook().money.iter().find(|m| m.id == id)?;
            phrase!("{}, {}", m.kind.words(), m.on.words())
        }
        RecordRef::Session(id) => {
            phrase!("session at the scale, {}", flock.daybook().session(id)?.on.words())
        }
        other => return feed_words(flock, other),
    })
}

/// What a record of the feed room is, in words: 'barley delivered, 3 May 2026'.
fn feed_words(flock: &Flock, record: RecordRef) -> Option<String> {
    let room = flock.feedroom();
    Some(match record {
        RecordRef::Feed(id) => phrase!("feed {}", room.feed(id)?.name),
        RecordRef::FeedMove(id) => {
            let m = room.moves.iter().find(|m| m.id == id)?;
            phrase!("{} {}, {}", &room.name(m.feed), m.change.words(), m.on.words())
        }
        RecordRef::FeedSheet(id) => {
            let s = room.sheets.iter().find(|s| s.id == id)?;
            phrase!("analysis of {}, {}", &room.name(s.feed), s.on.words())
        }
        RecordRef::Measure(id) => {
            let m = room.measure(id)?;
            phrase!("{} of {}, {}", m.name, &room.name(m.feed), m.on.words())
        }
        RecordRef::Creep(id) => {
            let c = room.creeps.iter().find(|c| c.id == id)?;
            phrase!("creep in {}, from {}", c.pen, c.from.words())
        }
        RecordRef::Ration(id) => {
            let r = room.rations.iter().find(|r| r.id == id)?;
            phrase!("{} to {}, from {}", &room.name(r.feed), r.eaters.words(), r.from.words())
        }
        RecordRef::PenCheck(id) => {
            let c = room.checks.iter().find(|c| c.id == id)?;
            phrase!("{} in {}, {}", c.what.words(), c.pen, c.on.words())
        }
        _ => return None,
    })
}

fn of_papers(flock: &Flock, all: &mut Vec<Change>) {
    let changed =
        |d: &&Document| d.struck.is_some() || !flock.amendments(RecordRef::Document(d.id)).is_empty();
    let papers: Vec<&Document> = flock.documents().all().iter().filter(changed).collect();
    let links = super::papers::links(flock, papers.iter().copied());
    for (d, link) in papers.into_iter().zip(links) {
        let record = RecordRef::Document(d.id);
        let what = || kept_words(flock, record).unwrap_or_else(|| phrase!("a paper"));
        take(flock, &Met { record, link, struck: d.struck.as_deref() }, what, all);
    }
}

fn of_cupboard(flock: &Flock, all: &mut Vec<Change>) {
    let c = flock.cupboard();
    let mut look = |record, struck: Option<&Struck>| {
        let what = || kept_words(flock, record).unwrap_or_else(|| phrase!("a record of the cupboard"));
        take(flock, &Met { record, link: Link::Cupboard(record), struck }, what, all);
    };
    flock.products().iter().for_each(|p| look(RecordRef::Product(p.id), None));
    c.batches.iter().for_each(|r| look(RecordRef::Batch(r.id), r.struck.as_deref()));
    c.moves.iter().for_each(|r| look(RecordRef::StockMove(r.id), r.struck.as_deref()));
    c.vets.iter().for_each(|r| look(RecordRef::Vet(r.id), None));
    c.prescriptions.iter().for_each(|r| look(RecordRef::Prescription(r.id), r.struck.as_deref()));
    c.egg_counts.iter().for_each(|r| look(RecordRef::EggCount(r.id), r.struck.as_deref()));
    let mut look = |record, struck: Option<&Struck>| {
        let what = || kept_words(flock, record).unwrap_or_else(|| phrase!("a record"));
        take(flock, &Met { record, link: Link::Daybook(record), struck }, what, all);
    };
    let d = flock.daybook();
    d.sessions.iter().for_each(|r| look(RecordRef::Session(r.id), None));
    d.money.iter().for_each(|r| look(RecordRef::Money(r.id), r.struck.as_deref()));
    let mut look = |record, struck: Option<&Struck>| {
        let what = || feed_words(flock, record).unwrap_or_else(|| phrase!("a record of the feed room"));
        take(flock, &Met { record, link: Link::Feedroom(record), struck }, what, all);
    };
    let room = flock.feedroom();
    room.feeds.iter().for_each(|r| look(RecordRef::Feed(r.id), None));
    room.moves.iter().for_each(|r| look(RecordRef::FeedMove(r.id), r.struck.as_deref()));
    room.sheets.iter().for_each(|r| look(RecordRef::FeedSheet(r.id), r.struck.as_deref()));
    room.measures.iter().for_each(|r| look(RecordRef::Measure(r.id), r.struck.as_deref()));
    room.creeps.iter().for_each(|r| look(RecordRef::Creep(r.id), r.struck.as_deref()));
    room.rations.iter().for_each(|r| look(RecordRef::Ration(r.id), r.struck.as_deref()));
    room.checks.iter().for_each(|r| look(RecordRef::PenCheck(r.id), r.struck.as_deref()));
}
