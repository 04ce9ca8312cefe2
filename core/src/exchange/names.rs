//! Animals by tag, the same way out and in: what is written names the animal, and reading finds that one again.
//!
//! A worn mark goes before a lost one, a flock tag before other marks. Where a tag alone does not tell two
//! animals apart (a lost tag that another wears now), its day of birth does: `12 born 2019-03-04`.

use crate::flock::{Animal, Flock, Identity, Sire};
use crate::terms::{AnimalId, Born, IdentityKind, Misread, norm};
use std::collections::HashMap;

/// Worn marks rank by kind; ended ones after them.
const ENDED: u8 = 4;
/// Stands for a birth of which nothing is known.
const UNKNOWN: &str = "unknown";

#[derive(Debug, Clone, Copy)]
struct Mark {
    rank: u8,
    id: AnimalId,
    born: Born,
}

/// Every mark of the book, and of the rows of a file being read.
#[derive(Debug, Default)]
pub(super) struct Names {
    marks: HashMap<String, Vec<Mark>>,
}

/// Why no animal is found.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum NotFound {
    /// Nobody wears or wore it.
    None,
    /// Several did.
    Several(String),
}

impl Names {
    pub(super) fn of(flock: &Flock) -> Self {
        let mut names = Self::default();
        for f in flock.files() {
            for i in &f.animal.identities {
                names.add(f.animal.id, i.kind, i.tag.as_str(), i.ended.is_some(), f.animal.born);
            }
        }
        names
    }

    pub(super) fn add(&mut self, id: AnimalId, kind: IdentityKind, tag: &str, ended: bool, born: Born) {
        let place = IdentityKind::ALL.iter().position(|k| *k == kind).unwrap_or(0) as u8;
        let rank = if ended { ENDED } else { place };
        self.marks.entry(norm(tag)).or_default().push(Mark { rank, id, born });
    }

    /// The animal of this name.
    pub(super) fn find(&self, text: &str) -> Result<AnimalId, NotFound> {
        if let Some(marks) = self.marks.get(&norm(text)) {
            return one(marks, text);
        }
        // Of a tag that was worn more than once, the day of birth tells which.
        if let Some((tag, born)) = text.rsplit_once(" born ")
            && let Some(marks) = self.marks.get(&norm(tag))
            && let Ok(born) = if born == UNKNOWN { Ok(Born::Unknown) } else { Born::parse(born) }
        {
            let marks: Vec<Mark> = marks.iter().copied().filter(|m| m.born == born).collect();
            return one(&marks, text);
        }
        Err(NotFound::None)
    }

    /// The name by which [`Names::find`] finds this animal again: the shortest that does.
    pub(super) fn name(&self, a: &Animal) -> String {
        let finds = |text: &str| self.find(text) == Ok(a.id);
        if finds(a.tag()) {
            return a.tag().into();
        }
        let worn = a.identities.iter().filter(|i| i.ended.is_none());
        let born = |i: &Identity| with_birth(i.tag.as_str(), a.born);
        worn.map(|i| i.tag.to_string())
            .chain(a.called().map(born))
            .chain(a.identities.iter().map(born))
            .find(|n| finds(n))
            .unwrap_or_else(|| a.tag().into())
    }

    /// The name of an animal of the flock; nothing for none.
    pub(super) fn name_of(&self, flock: &Flock, id: Option<AnimalId>) -> String {
        id.and_then(|id| flock.animal(id)).map_or_else(String::new, |a| self.name(a))
    }

    /// A sire, or several with `|` between; a `|` or `\` within a tag has a `\` before it.
    pub(super) fn sire(&self, flock: &Flock, sire: &Sire) -> String {
        let names: Vec<String> =
            sire.possible().iter().map(|id| escaped(&self.name_of(flock, Some(*id)))).collect();
        names.join("|")
    }

    /// A sire as written. `mend` says what to do about a tag nobody wears.
    pub(super) fn read_sire(&self, text: &str, mend: &str) -> Result<Sire, Misread> {
        let mut rams = Vec::new();
        for name in listed(text) {
            let id = self.find(&name).map_err(|why| why.misread(&name, mend))?;
            if !rams.contains(&id) {
                rams.push(id);
            }
        }
        Ok(match rams.as_slice() {
            [] => Sire::Unknown,
            [one] => Sire::Known(*one),
            _ => Sire::OneOf(rams),
        })
    }

    /// One animal as written.
    pub(super) fn read(&self, text: &str, mend: &str) -> Result<AnimalId, Misread> {
        self.find(text).map_err(|why| why.misread(text, mend))
    }
}

/// What to do about a tag that no animal of the book wears.
pub(super) const ADD_FIRST: &str = "import the animal first, or mend the tag";

impl NotFound {
    pub(super) fn misread(&self, name: &str, mend: &str) -> Misread {
        match self {
            Self::None => Misread::new(format!("no animal wears the tag {name}: {mend}")),
            Self::Several(example) => Misread::new(format!(
                "several animals wore the tag {name}: write which by its day of birth, such as '{example}'"
            )),
        }
    }
}

fn one(marks: &[Mark], text: &str) -> Result<AnimalId, NotFound> {
    let best = marks.iter().map(|m| m.rank).min().ok_or(NotFound::None)?;
    let mut found: Vec<&Mark> = marks.iter().filter(|m| m.rank == best).collect();
    found.dedup_by_key(|m| m.id);
    match found.as_slice() {
        [one] => Ok(one.id),
        // Two rows of a file with one worn tag: said as a tag given twice, here the first will do.
        [first, ..] if best < ENDED => Ok(first.id),
        [first, ..] => Err(NotFound::Several(with_birth(text, first.born))),
        [] => Err(NotFound::None),
    }
}

fn with_birth(tag: &str, born: Born) -> String {
    match born {
        Born::Unknown => format!("{tag} born {UNKNOWN}"),
        born => format!("{tag} born {born}"),
    }
}

pub(super) fn escaped(name: &str) -> String {
    escaped_by(name, '|')
}

/// A name with a `\` before each sign that parts names.
pub(super) fn escaped_by(name: &str, sign: char) -> String {
    name.replace('\\', "\\\\").replace(sign, &format!("\\{sign}"))
}

/// Names between `|`, without blanks around them; a `\` before `|` or `\` takes it as it stands.
pub(super) fn listed(text: &str) -> Vec<String> {
    listed_by(text, '|')
}

/// The same with another sign between them.
pub(super) fn listed_by(text: &str, sign: char) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            c if c == sign => all.push(String::new()),
            '\\' => {
                let c = chars.next_if(|c| *c == sign || *c == '\\').unwrap_or('\\');
                all.last_mut().map(|s| s.push(c)).unwrap_or_default();
            }
            c => all.last_mut().map(|s| s.push(c)).unwrap_or_default(),
        }
    }
    all.into_iter().map(|n| n.trim().to_string()).filter(|n| !n.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(born: &str) -> Born {
        Born::parse(born).unwrap()
    }

    #[test]
    fn worn_before_lost_and_the_birthday_tells_two_apart() {
        let mut names = Names::default();
        let (old, new, ram) = (AnimalId::new(), AnimalId::new(), AnimalId::new());
        names.add(old, IdentityKind::Flock, "12", true, day("2019-03-04"));
        names.add(new, IdentityKind::Flock, "12", false, day("2024"));
        names.add(ram, IdentityKind::Registry, "12", false, day("2020"));
        assert_eq!(names.find("12"), Ok(new));
        assert_eq!(names.find("12 born 2019-03-04"), Ok(old));
        assert_eq!(names.find("12 born 2020"), Ok(ram));
        assert_eq!(names.find("12 born 2018"), Err(NotFound::None));
        assert_eq!(names.find("13"), Err(NotFound::None));
        names.add(old, IdentityKind::Flock, "7", true, day("2019-03-04"));
        assert_eq!(names.find("7"), Ok(old));
        names.add(new, IdentityKind::Flock, "7", true, day("2024"));
        assert_eq!(names.find("7"), Err(NotFound::Several("7 born 2019-03-04".into())));
    }

    #[test]
    fn lists_keep_any_tag() {
        for name in ["a|b", "a\\b", "\\", "x\\|y", "plain"] {
            assert_eq!(listed(&format!("{}|z", escaped(name))), [name, "z"], "{name}");
        }
        assert_eq!(listed(" 1 | 2 ||"), ["1", "2"]);
        assert_eq!(listed("a\\b"), ["a\\b"]);
    }
}
