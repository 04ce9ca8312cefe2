//! How far the records go back, and what was changed later.

use super::given::Given;
use super::{Gap, Question, Sort, animals};
use crate::flock::{Flock, Link};
use crate::phrase;
use crate::reckon::trail::trail;
use crate::registers::minute_words;
use crate::terms::{Day, Status, counted};

/// Questions 14 and 15.
pub(super) fn questions(flock: &Flock, given: &Given<'_>, today: Day, since: Day) -> Vec<Question> {
    vec![back(flock, given, today, since), changed(flock)]
}

fn back(flock: &Flock, given: &Given<'_>, today: Day, since: Day) -> Question {
    let mut gaps = Vec::new();
    let mut gone = 0;
    for f in flock.files() {
        let a = &f.animal;
        if matches!(a.status, Status::Present | Status::Outside) {
            continue;
        }
        gone += 1;
        if a.status_on.is_none() {
            gaps.push(Gap {
                words: phrase!("{}: {}, and no day is written", &a.tag(), a.status.words()),
                link: Link::Animal(a.id),
                on: None,
                asked: true,
                sort: Sort::Missing,
            });
        }
    }
    let Some(oldest) = given.oldest else {
        return Question::new(14, phrase!("No treatment and no move is written yet."), gone > 0, gaps);
    };
    if oldest > since {
        let until = super::years_before(oldest, 0).plus(today.since(since));
        gaps.push(Gap {
            words: phrase!(
                "The book begins on {}: keep the papers from before, some of them until {}",
                oldest.words(),
                until.words()
            ),
            link: Link::Holding,
            on: Some(oldest),
            asked: false,
            sort: Sort::Missing,
        });
    }
    let found = phrase!(
        "The oldest treatment or move is of {}; {} dead, sold or gone {} kept with all records.",
        oldest.words(),
        animals(gone),
        if gone == 1 { "is" } else { "are" }
    );
    Question::new(14, found, true, gaps)
}

fn changed(flock: &Flock) -> Question {
    let all = trail(flock);
    let struck = all.iter().filter(|c| c.struck).count();
    let gaps = all
        .iter()
        // Facts added to a blank need no reason; nor does a product's label that is typed in whole.
        .filter(|c| c.why.trim().is_empty() && c.replaces())
        .map(|c| Gap {
            words: phrase!(
                "{}: changed on {} without a reason ({})",
                c.what,
                minute_words(&c.at),
                c.from_to()
            ),
            link: c.link,
            on: Day::parse_iso(c.at.get(..10).unwrap_or_default()).ok(),
            asked: c.struck,
            sort: Sort::Missing,
        })
        .collect();
    let found = phrase!(
        "{} and {}; old and new values, day, person and reason are kept, printed and taken out with the trail.",
        counted(all.len() - struck, "change"),
        if struck == 1 { phrase!("1 record struck out") } else { phrase!("{struck} records struck out") }
    );
    Question::new(15, found, !all.is_empty(), gaps)
}
