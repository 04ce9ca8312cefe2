//! Weighings as rows.

use super::names::{ADD_FIRST, Names};
use super::sessions::Keys;
use super::sheet::Sheet;
use super::{Taken, Unfit};
use crate::entry::{Checked, Entry, WeighingDraft, weighings};
use crate::flock::{Flock, Weighing};
use crate::terms::{Day, Minute, Moment, SessionId, Units, Weight};

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let keys = Keys::of(flock);
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut sessions: Vec<Option<SessionId>> = Vec::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let day = c.day("on");
        let time = c.may("time", Minute::parse);
        let weight = c.must("weight_kg", "a weight", |t| Weight::parse(t, Units::Metric));
        let note = c.words("note");
        let session = keys.read(&mut c);
        if let (Some(animal), Some(day), Some(weight), true) = (animal, day, weight, c.good()) {
            let at = Moment { day, time };
            let held = flock.file(animal).is_some_and(|f| {
                f.weighings.iter().any(|w| {
                    w.struck.is_none()
                        && (w.at, w.weight, w.note.as_deref(), w.session)
                            == (at, weight, note.as_deref(), session)
                })
            });
            if held {
                same.push(line.number);
                continue;
            }
            drafts.push(WeighingDraft { animal, at, weight, note });
            sessions.push(session);
            order.push(i);
        }
    }
    let check = (!drafts.is_empty()).then(|| {
        weighings(drafts, flock, today).map(|c| {
            let Entry::Weighings(mut all) = c.entry().clone() else { return c };
            all.iter_mut().zip(sessions).for_each(|(w, session)| w.session = session);
            Checked::new(Entry::Weighings(all), c.sentence().to_string(), c.questions().to_vec())
        })
    });
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Weighings(all) => all.iter().map(|w| row(flock, names, &keys, w)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let keys = Keys::of(flock);
    let mut all: Vec<&Weighing> =
        flock.files().flat_map(|f| &f.weighings).filter(|w| w.struck.is_none()).collect();
    all.sort_by(|a, b| {
        let place = |w: &Weighing| (w.at, keys.place(w.session));
        // Within a session in the order of the race.
        let tags = || match a.session {
            Some(_) => std::cmp::Ordering::Equal,
            None => crate::flock::natural(flock.tag(a.animal), flock.tag(b.animal)),
        };
        place(a).cmp(&place(b)).then_with(tags).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|w| row(flock, names, &keys, w)).collect()
}

fn row(flock: &Flock, names: &Names, keys: &Keys, w: &Weighing) -> Vec<String> {
    vec![
        names.name_of(flock, Some(w.animal)),
        w.at.day.to_string(),
        w.weight.kg_text(),
        w.at.time.map(|t| t.to_string()).unwrap_or_default(),
        w.note.as_deref().unwrap_or_default().to_string(),
        keys.name(w.session),
    ]
}
