//! Which animal wears a mark: an index that keeps no text of its own, so that a new version of a flock of a hundred
//! thousand is copied at once. What it points to is looked at in the animal's file.

use super::AnimalFile;
use crate::terms::{AnimalId, ElectronicId, IdentityKind, norm};
use hashbrown::HashTable;
use rapidhash::quality::RapidHasher;
use std::borrow::Cow;
use std::hash::Hasher as _;

/// Where the file of an animal that wears a mark stands, with what its mark was hashed to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Entry {
    hash: u32,
    place: u32,
}

/// Places of files by the marks their animals wear.
#[derive(Debug, Clone, Default)]
pub(crate) struct Marks(HashTable<Entry>);

impl Marks {
    /// Room for so many marks.
    pub(crate) fn with_room(marks: usize) -> Self {
        Self(HashTable::with_capacity(marks))
    }

    /// The animal at this place wears this mark.
    pub(crate) fn add(&mut self, kind: IdentityKind, text: &str, place: u32) {
        self.put(Entry { hash: hash(kind, &form(kind, text)), place });
    }

    /// A file changed, came or went at this place: its marks are those it wears now.
    pub(super) fn change(&mut self, place: u32, was: &[u32], now: &[u32]) {
        for hash in was.iter().filter(|h| !now.contains(h)) {
            let gone = Entry { hash: *hash, place };
            if let Ok(entry) = self.0.find_entry(spread(*hash), |e| *e == gone) {
                entry.remove();
            }
        }
        now.iter().filter(|h| !was.contains(h)).for_each(|hash| self.put(Entry { hash: *hash, place }));
    }

    fn put(&mut self, entry: Entry) {
        // An animal that wears two marks that are compared alike is found by either once.
        self.0.entry(spread(entry.hash), |e| *e == entry, |e| spread(e.hash)).or_insert(entry);
    }

    /// The animal that wears a mark now; of two that do, which a book should not hold, the one that came last.
    pub(super) fn wearer<'a>(
        &self,
        kind: IdentityKind,
        text: &str,
        file: impl Fn(u32) -> Option<&'a AnimalFile>,
    ) -> Option<AnimalId> {
        let mark = form(kind, text);
        let hash = hash(kind, &mark);
        let places = self.0.iter_hash(spread(hash)).filter(|e| e.hash == hash);
        let wears = |f: &&AnimalFile| worn(f).any(|(k, text)| k == kind && form(k, text) == mark);
        let found = places.filter_map(|e| Some((e.place, file(e.place).filter(wears)?)));
        found.max_by_key(|(place, _)| *place).map(|(_, f)| f.animal.id)
    }
}

/// What the marks an animal wears are hashed to.
pub(super) fn hashes(file: &AnimalFile) -> Vec<u32> {
    worn(file).map(|(kind, text)| hash(kind, &form(kind, text))).collect()
}

fn worn(file: &AnimalFile) -> impl Iterator<Item = (IdentityKind, &str)> {
    file.animal.identities.iter().filter(|i| i.ended.is_none()).map(|i| (i.kind, i.tag.as_str()))
}

/// The form a mark of a kind is compared in: an electronic number as its 15 digits, whatever it was typed as.
fn form(kind: IdentityKind, text: &str) -> Cow<'_, str> {
    if kind == IdentityKind::Electronic
        && let Ok(number) = ElectronicId::parse(text)
    {
        return number.digits().into();
    }
    // Most tags are written as they are compared.
    if text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit()) {
        text.into()
    } else {
        norm(text).into()
    }
}

fn hash(kind: IdentityKind, form: &str) -> u32 {
    let mut hasher = RapidHasher::default();
    hasher.write_u8(kind as u8);
    hasher.write(form.as_bytes());
    hasher.finish() as u32
}

/// The table takes its places from the low bits of a hash and looks at the top ones first.
fn spread(hash: u32) -> u64 {
    u64::from(hash).wrapping_mul(0x9e37_79b9_7f4a_7c15)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::{Ended, Flock};
    use crate::papers::fixture::{animal, mark};
    use crate::terms::{Sex, Tag};

    #[test]
    fn an_animal_is_found_by_the_marks_it_wears_now() {
        use IdentityKind::{Electronic, Flock as Own, Official};
        let mut flock = Flock::default();
        let mut one = animal("b 12", "", Sex::Ewe);
        one.animal.identities.push(mark(Electronic, "826 000000000123"));
        one.animal.identities.push(mark(Official, "UK 1"));
        let two = animal("0007", "", Sex::Ewe);
        let (a, b) = (one.animal.id, two.animal.id);
        flock.put(one.clone());
        flock.put(two.clone());
        let before = flock.clone();
        assert_eq!(flock.wearing(Own, "B-12"), Some(a));
        assert_eq!(flock.wearing(Official, "B-12"), None, "a mark of another kind");
        assert_eq!(flock.wearing(Electronic, "826000000000123"), Some(a));
        assert_eq!(flock.by_tag("uk1"), Some(a));
        assert_eq!(flock.wearing(Own, "7"), None);

        one.animal.identities[0].ended = Some(Ended::Lost);
        flock.put(one.clone());
        assert_eq!(flock.wearing(Own, "B12"), None);
        assert_eq!(before.wearing(Own, "B12"), Some(a), "the version before is as it was");
        // The tag that was lost is given to the other, and back.
        let mut worn = two.clone();
        worn.animal.identities[0].tag = Tag::parse("B12").unwrap();
        flock.put(worn);
        assert_eq!((flock.wearing(Own, "B12"), flock.wearing(Own, "0007")), (Some(b), None));
        one.animal.identities[0].ended = None;
        flock.put(one.clone());
        flock.put(two);
        assert_eq!((flock.wearing(Own, "B12"), flock.wearing(Own, "0007")), (Some(a), Some(b)));
        flock.remove(a);
        assert_eq!((flock.by_tag("B12"), flock.by_tag("UK1")), (None, None));
    }

    #[test]
    fn what_is_hashed_alike_is_told_apart() {
        let files: Vec<AnimalFile> = (0..200).map(|n| animal(&format!("T{n}"), "", Sex::Ewe)).collect();
        for (text, found) in [("T13", Some(files[13].animal.id)), ("T200", None)] {
            let mut marks = Marks::default();
            // Every place says it has this mark.
            let own = hash(IdentityKind::Flock, text);
            (0..200).for_each(|place| marks.change(place, &[], &[own]));
            assert_eq!(marks.wearer(IdentityKind::Flock, text, |p| files.get(p as usize)), found);
        }
    }

    #[test]
    fn of_two_that_wear_one_mark_the_one_that_came_last_is_meant() {
        let mut flock = Flock::default();
        let (one, two) = (animal("A1", "", Sex::Ewe), animal("a 1", "", Sex::Ram));
        let (a, b) = (one.animal.id, two.animal.id);
        flock.put(one);
        flock.put(two);
        assert_eq!(flock.by_tag("A1"), Some(b));
        flock.remove(b);
        assert_eq!(flock.by_tag("A1"), Some(a));
    }
}
