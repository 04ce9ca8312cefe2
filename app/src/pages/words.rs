//! Words that pages share: an animal in one line, a refusal beside its field.

use hirsel_core::entry::Refusal;
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, ElectronicId, Sex, Status};

/// One line that tells an animal from others.
pub fn detail(f: &AnimalFile, today: Day) -> String {
    let a = &f.animal;
    let what = if a.is_lamb(today) && a.sex != Sex::Wether { a.sex.lamb_words() } else { a.sex.words() };
    let mut parts = vec![crate::look::said(what).into_owned()];
    if a.born.day().is_some() {
        parts.push(phrase!("born {}", a.born.words()));
    }
    match (&a.status, &a.pen) {
        (Status::Present, Some(pen)) => parts.push(phrase!("in {pen}")),
        (Status::Present, None) => {}
        (other, _) => parts.push(other.words().to_string()),
    }
    parts.join(", ")
}

/// The first refusal of a field (and row), as the words that stand beside it.
pub fn refusal_of(refusals: &[Refusal], name: &str, row: usize) -> Option<String> {
    refusals.iter().find(|r| r.field.name == name && r.field.row == row).map(ToString::to_string)
}

/// What to say of an electronic number that finds no animal, or none that fits the field; nothing of other texts.
pub fn nobody(flock: &Flock, text: &str, today: Day) -> Option<String> {
    let number = match ElectronicId::typed(text)? {
        Ok(number) => number,
        Err(why) => return Some(why.0),
    };
    Some(match flock.numbered(number).and_then(|id| flock.file(id)) {
        Some(f) => phrase!("{number} is {}, {}: not one that fits here", f.animal.title(), detail(f, today)),
        None => phrase!(
            "no animal wears {number}: read it again, or give it to its animal under Flock, Read a list"
        ),
    })
}
