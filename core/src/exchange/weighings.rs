//! Weighings as rows.

use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit};
use crate::entry::{Entry, WeighingDraft, weighings};
use crate::flock::{Flock, Weighing};
use crate::terms::{Day, Minute, Moment, Units, Weight};

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), 0);
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let day = c.day("on");
        let time = c.may("time", Minute::parse);
        let weight = c.must("weight_kg", "a weight", |t| Weight::parse(t, Units::Metric));
        let note = c.words("note");
        if let (Some(animal), Some(day), Some(weight), true) = (animal, day, weight, c.good()) {
            let at = Moment { day, time };
            let held = flock.file(animal).is_some_and(|f| {
                f.weighings
                    .iter()
                    .any(|w| w.struck.is_none() && w.at == at && w.weight == weight && w.note == note)
            });
            if held {
                same += 1;
                continue;
            }
            drafts.push(WeighingDraft { animal, at, weight, note });
            order.push(i);
        }
    }
    let check = (!drafts.is_empty()).then(|| weighings(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Weighings(all) => all.iter().map(|w| row(flock, names, w)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Weighing> =
        flock.files().flat_map(|f| &f.weighings).filter(|w| w.struck.is_none()).collect();
    all.sort_by(|a, b| {
        let tag = |w: &Weighing| flock.tag(w.animal).to_string();
        a.at.cmp(&b.at).then_with(|| crate::flock::natural(&tag(a), &tag(b))).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|w| row(flock, names, w)).collect()
}

fn row(flock: &Flock, names: &Names, w: &Weighing) -> Vec<String> {
    vec![
        names.name_of(flock, Some(w.animal)),
        w.at.day.to_string(),
        w.weight.kg_text(),
        w.at.time.map(|t| t.to_string()).unwrap_or_default(),
        w.note.clone().unwrap_or_default(),
    ]
}
