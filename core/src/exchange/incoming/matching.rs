//! Which animal of the book a row of animals is: by its marks, by its electronic number, by name, birth and dam. Where
//! that is in doubt the keeper is asked.

use super::preview::CouldBe;
use crate::exchange::names::Names;
use crate::exchange::scale::number;
use crate::flock::{Animal, Flock};
use crate::terms::{AnimalId, Born, IdentityKind, Sex, norm};
use std::collections::HashMap;

/// Who a row may be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Who {
    /// Nobody of the book.
    New,
    /// Surely this one.
    That(AnimalId),
    /// One of these, or new.
    CouldBe(Vec<CouldBe>),
}

/// The animals of the book by what a table may know of them.
pub(super) struct Known<'a> {
    flock: &'a Flock,
    marks: HashMap<String, Vec<(AnimalId, IdentityKind, bool)>>,
    named: HashMap<String, Vec<AnimalId>>,
}

/// The marks a row may name, with the kind of each.
pub(super) const MARKS: [(&str, IdentityKind); 4] = [
    ("tag", IdentityKind::Flock),
    ("electronic", IdentityKind::Electronic),
    ("official", IdentityKind::Official),
    ("registry", IdentityKind::Registry),
];

/// Births further apart than this are of two animals, not one mistyped.
const APART_DAYS: i64 = 60;

impl<'a> Known<'a> {
    pub(super) fn of(flock: &'a Flock) -> Self {
        let mut marks: HashMap<String, Vec<_>> = HashMap::new();
        let mut named: HashMap<String, Vec<AnimalId>> = HashMap::new();
        for f in flock.files() {
            for i in &f.animal.identities {
                let mark = (f.animal.id, i.kind, i.ended.is_some());
                marks.entry(norm(i.tag.as_str())).or_default().push(mark);
            }
            if let Some(name) = &f.animal.name {
                named.entry(name.trim().to_lowercase()).or_default().push(f.animal.id);
            }
        }
        Self { flock, marks, named }
    }

    /// Who the row is; `value` gives its values.
    pub(super) fn who<'r>(&self, names: &Names, value: impl Fn(&str) -> &'r str) -> Who {
        let mut worn: Vec<CouldBe> = Vec::new();
        let mut once: Vec<CouldBe> = Vec::new();
        let put = |all: &mut Vec<CouldBe>, animal: AnimalId, why: String| match all
            .iter_mut()
            .find(|c| c.animal == animal)
        {
            Some(c) => c.why = format!("{}; {why}", c.why),
            None => all.push(CouldBe { animal, why }),
        };
        for (column, kind) in MARKS {
            let text = value(column);
            for (id, of, ended) in
                self.marks.get(&norm(text)).into_iter().flatten().filter(|_| !text.is_empty())
            {
                // A flock tag may be the same text as another's registry number: only its own kind tells.
                let like = *of == kind || column == "tag";
                match (ended, like) {
                    (false, true) => put(&mut worn, *id, format!("it wears {} {text}", of.words())),
                    (true, true) => put(&mut once, *id, format!("it wore {} {text} once", of.words())),
                    _ => {}
                }
            }
        }
        // The name of the whole row as our own tables write it: `12 born 2019-03-04`.
        if worn.is_empty()
            && value("tag").contains(" born ")
            && let Ok(id) = names.find(value("tag"))
        {
            put(&mut worn, id, format!("it is {}", value("tag")));
        }
        // A flock tag tells more than other marks that read the same.
        let tag = value("tag");
        if let Some(by) =
            self.flock.wearing(IdentityKind::Flock, tag).filter(|_| worn.len() > 1 && !tag.is_empty())
        {
            let only_by_tag = |c: &CouldBe| {
                c.animal == by
                    || MARKS[1..].iter().any(|(col, kind)| {
                        !value(col).is_empty() && self.flock.wearing(*kind, value(col)) == Some(c.animal)
                    })
            };
            worn.retain(only_by_tag);
        }
        self.by_name(names, &value, &mut once, put);
        match worn.as_slice() {
            [one] => match self.against(one.animal, &value) {
                None => Who::That(one.animal),
                Some(but) => {
                    let why = format!("{}, but {but}", one.why);
                    Who::CouldBe(vec![CouldBe { animal: one.animal, why }])
                }
            },
            [] if once.is_empty() => Who::New,
            [] => Who::CouldBe(once),
            _ => Who::CouldBe(worn),
        }
    }

    /// The same name with the same birth, or the same dam.
    fn by_name<'r>(
        &self,
        names: &Names,
        value: &impl Fn(&str) -> &'r str,
        once: &mut Vec<CouldBe>,
        put: impl Fn(&mut Vec<CouldBe>, AnimalId, String),
    ) {
        let name = value("name").trim().to_lowercase();
        let born = Born::parse(value("born")).ok().filter(|b| *b != Born::Unknown);
        let dam = Some(value("dam"))
            .filter(|d| !d.is_empty())
            .and_then(|d| number::find(names, d).ok())
            .map(|d| d.0);
        for a in self.named.get(&name).into_iter().flatten().filter_map(|id| self.flock.animal(*id)) {
            let same_birth = born.is_some_and(|b| b == a.born);
            let same_dam = dam.is_some() && a.dam == dam;
            let other_dam = dam.is_some() && a.dam.is_some() && a.dam != dam;
            if same_birth && !other_dam {
                let too = if same_dam { ", day of birth and dam" } else { " and day of birth" };
                put(once, a.id, format!("it has the same name{too}"));
            }
        }
    }

    /// What of the row cannot be of this animal.
    fn against<'r>(&self, id: AnimalId, value: &impl Fn(&str) -> &'r str) -> Option<String> {
        let a: &Animal = self.flock.animal(id)?;
        if let Ok(sex) = Sex::parse(value("sex"))
            && (sex == Sex::Ewe) != (a.sex == Sex::Ewe)
        {
            return Some(format!("that one is a {}", a.sex.words()));
        }
        let born = Born::parse(value("born")).ok()?;
        let apart = match (born.earliest(), born.latest(), a.born.earliest(), a.born.latest()) {
            (Some(e), Some(l), Some(from), Some(to)) => e.since(to).max(from.since(l)),
            _ => 0,
        };
        (apart > APART_DAYS).then(|| format!("that one was born {}", a.born.words()))
    }

    /// Whether a mark of a row is worn by this animal.
    pub(super) fn wears(&self, id: AnimalId, kind: IdentityKind, text: &str) -> bool {
        let worn = |m: &(AnimalId, IdentityKind, bool)| m.0 == id && m.1 == kind && !m.2;
        self.marks.get(&norm(text)).is_some_and(|all| all.iter().any(worn))
    }
}
