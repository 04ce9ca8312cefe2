//! Joinings as rows, one a ewe.

use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Entry, JoiningDraft, joinings};
use crate::flock::{Flock, Joining};
use crate::terms::Day;

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let ram = c.must("ram", "the ram's tag", |t| names.read(t, ADD_FIRST));
        let ewe = c.must("ewe", "the ewe's tag", |t| names.read(t, ADD_FIRST));
        let from = c.day("from");
        let to = c.may("to", Day::parse_iso);
        let (method, group) = (c.words("method"), c.words("group"));
        if let (Some(ram), Some(ewe), Some(from), true) = (ram, ewe, from, c.good()) {
            if ram == ewe {
                c.wrong("ewe", "an animal cannot be joined with itself: mend one of the two");
                continue;
            }
            let held = flock.file(ewe).is_some_and(|f| {
                f.joinings.iter().any(|j| {
                    // A table without the column says nothing of groups.
                    let grouped = !sheet.has("group") || j.group.as_deref() == group.as_deref();
                    let same =
                        (j.ram, j.from, j.to, j.method.as_deref()) == (ram, from, to, method.as_deref());
                    j.struck.is_none() && same && grouped
                })
            });
            if held {
                same.push(line.number);
                continue;
            }
            drafts.push(JoiningDraft { ram, ewes: vec![ewe], from, to, method, group });
            order.push(i);
        }
    }
    let check = (!drafts.is_empty()).then(|| joinings(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Joinings(all) => all.iter().map(|j| row(flock, names, j)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Joining> =
        flock.files().flat_map(|f| &f.joinings).filter(|j| j.struck.is_none()).collect();
    all.sort_by(|a, b| {
        let natural = |x, y| crate::flock::natural(flock.tag(x), flock.tag(y));
        a.from
            .cmp(&b.from)
            .then_with(|| natural(a.ram, b.ram))
            .then_with(|| natural(a.ewe, b.ewe))
            .then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|j| row(flock, names, j)).collect()
}

fn row(flock: &Flock, names: &Names, j: &Joining) -> Vec<String> {
    vec![
        names.name_of(flock, Some(j.ram)),
        names.name_of(flock, Some(j.ewe)),
        j.from.to_string(),
        j.to.map(|d| d.to_string()).unwrap_or_default(),
        text(&j.method),
        text(&j.group),
    ]
}
