//! Words about animals that several papers use: who, born when, reared by whom, clear when.

use crate::phrase;
use rapidhash::RapidHashMap;

use crate::flock::{Animal, AnimalFile, Flock, Lambing, Sire};
use crate::reckon::clearance::{Clear, Clearance, Side};
use crate::terms::{
    AnimalId, BirthType, Day, ElectronicId, Fate, IdentityKind, Minute, RearType, Rearing, Sex, Status,
};

/// Lambs counted as reared together when born at most so many days apart (own choice: a ewe lambs once in that time,
/// and fosterings are between ewes that lamb close together).
const SAME_CROP_DAYS: i64 = 40;

/// Living lambs by the ewe that rears them; made once for a paper.
pub(super) struct Nursery(RapidHashMap<AnimalId, Vec<(Day, AnimalId)>>);

impl Nursery {
    pub fn of(flock: &Flock) -> Self {
        let mut all: RapidHashMap<AnimalId, Vec<(Day, AnimalId)>> = RapidHashMap::default();
        for file in flock.files() {
            let living = file.animal.status != Status::Dead
                && file.birth.as_ref().is_none_or(|birth| birth.fate == Fate::Alive);
            if let (true, Some(ewe), Some(born)) =
                (living, flock.reared_by(&file.animal), file.animal.born.exact())
            {
                all.entry(ewe).or_default().push((born, file.animal.id));
            }
        }
        Nursery(all)
    }

    /// Living lambs this ewe rears that were born about this day, in order of birth.
    pub fn reared_with(&self, ewe: AnimalId, about: Day) -> Vec<AnimalId> {
        let mut near: Vec<(Day, AnimalId)> = self
            .0
            .get(&ewe)
            .into_iter()
            .flatten()
            .filter(|(day, _)| day.since(about).abs() <= SAME_CROP_DAYS)
            .copied()
            .collect();
        near.sort_unstable_by_key(|(day, _)| *day);
        near.into_iter().map(|(_, id)| id).collect()
    }

    /// How many are reared together: as written down, else counted.
    pub fn rear_type(&self, flock: &Flock, animal: &Animal) -> Option<RearType> {
        animal.rear_type.or_else(|| {
            let ewe = flock.reared_by(animal)?;
            let count = self.reared_with(ewe, animal.born.exact()?).len();
            u32::try_from(count).ok().filter(|n| *n > 0).and_then(RearType::new)
        })
    }
}

/// The lambing an animal was born in, if it is in the book.
pub(super) fn birth_lambing<'a>(flock: &'a Flock, file: &AnimalFile) -> Option<&'a Lambing> {
    let birth = file.birth.as_ref()?;
    flock.file(birth.ewe)?.lambings_standing().find(|l| l.id == birth.lambing)
}

/// The time of birth, if it was written down and the day agrees.
pub(super) fn birth_time(flock: &Flock, file: &AnimalFile) -> Option<Minute> {
    let lambing = birth_lambing(flock, file)?;
    (Some(lambing.at.day) == file.animal.born.exact()).then_some(lambing.at.time).flatten()
}

/// How many were born together: as written down, else from the lambing.
pub(super) fn birth_type(flock: &Flock, file: &AnimalFile) -> Option<BirthType> {
    let counted = || {
        let count = birth_lambing(flock, file)?.lambs.len();
        u32::try_from(count).ok().and_then(BirthType::new)
    };
    file.animal.birth_type.or_else(counted)
}

/// 'Born a twin, reared as a single', 'born a twin, reared on the bottle'; empty when nothing is known.
pub(super) fn litter_words(flock: &Flock, nursery: &Nursery, file: &AnimalFile) -> String {
    let article = |words: String| if words.starts_with("one of") { words } else { format!("a {words}") };
    let born = birth_type(flock, file).map(|b| phrase!("born {}", article(b.words())));
    let bottle = file.animal.rearing == Rearing::Bottle;
    let reared = match nursery.rear_type(flock, &file.animal) {
        _ if bottle => Some(phrase!("reared on the bottle")),
        Some(rear) if rear.count() == 0 => Some(phrase!("reared on the bottle")),
        Some(rear) => Some(phrase!("reared as {}", article(rear.words()))),
        None => None,
    };
    super::text::joined([born.as_deref(), reared.as_deref()].into_iter().flatten(), ", ").into_owned()
}

/// Tag and name of an animal; a dash and nothing when the book does not know it.
pub(super) fn tag_and_name(flock: &Flock, id: AnimalId) -> (String, String) {
    let animal = flock.animal(id);
    (flock.tag(id).to_owned(), animal.and_then(|a| a.name.clone()).unwrap_or_default().to_string())
}

/// The sire as tag and name, or in words.
pub(super) fn sire(flock: &Flock, sire: &Sire) -> Option<(String, String)> {
    match sire {
        Sire::Unknown => None,
        Sire::Known(id) => Some(tag_and_name(flock, *id)),
        Sire::OneOf(all) => {
            let rams: Vec<&str> = all.iter().map(|id| flock.tag(*id)).collect();
            Some((String::new(), phrase!("one of {}", rams.join(", "))))
        }
    }
}

/// Official, electronic and registry numbers worn, other than the one the animal is called by. Electronic numbers
/// are written as 3 and 12 digits.
pub(super) fn numbers(animal: &Animal) -> Vec<(&'static str, String)> {
    let called = animal.called().map(|i| i.id);
    [
        (IdentityKind::Electronic, "Electronic no."),
        (IdentityKind::Official, "Official tag"),
        (IdentityKind::Registry, "Registry no."),
    ]
    .into_iter()
    .filter_map(|(kind, label)| {
        let worn = animal.worn(kind).filter(|i| Some(i.id) != called)?;
        let text = worn.tag.as_str();
        let shown = match kind {
            IdentityKind::Electronic => ElectronicId::parse(text).map(|e| e.to_string()),
            _ => Ok(text.to_owned()),
        };
        Some((label, shown.unwrap_or_else(|_| text.to_owned())))
    })
    .collect()
}

/// `Tue 14 Apr 2026`, never broken over two lines.
pub(super) fn weekday(day: Day) -> String {
    let long = day.long();
    super::text::unbroken(&format!("{} {}", long.get(..3).unwrap_or_default(), day.words()))
}

/// Two days as one span: `14–16 Apr`, `30 Apr–2 May`.
pub(super) fn span(from: Day, to: Day) -> String {
    if from >= to {
        from.short()
    } else if (from.year(), from.month()) == (to.year(), to.month()) {
        format!("{}–{}", from.day(), to.short())
    } else {
        format!("{}–{}", from.short(), to.short())
    }
}

/// What a card says of an animal under withdrawal.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Held {
    /// The days: 'Meat clear on Sat 2 May 2026'; empty when all is clear.
    pub days: String,
    /// The products behind them, each once.
    pub products: Vec<String>,
}

impl Held {
    /// As of a day. Milk is left out for males.
    pub fn of(clearance: &Clearance, on: Day, sex: Sex) -> Self {
        let none = Side::default();
        let (meat, milk) = (&clearance.meat, if sex == Sex::Ewe { &clearance.milk } else { &none });
        let said = |what: &'static str, side: &Side| match side.clear {
            _ if side.clear.is_clear(on) => None,
            Clear::From(day) => Some(phrase!("{what} clear on {}", weekday(day))),
            Clear::Unknown => Some(phrase!("{what} not clear: withdrawal not known")),
            Clear::Never => Some(phrase!("{what} never to be used")),
            Clear::Free => None,
        };
        let days = if meat.clear == milk.clear {
            said("Meat and milk", meat).into_iter().collect()
        } else {
            let milk_word = if meat.clear.is_clear(on) { "Milk" } else { "milk" };
            [said("Meat", meat), said(milk_word, milk)].into_iter().flatten().collect::<Vec<_>>()
        };
        let mut products: Vec<String> = Vec::new();
        for side in [meat, milk].into_iter().filter(|side| !side.clear.is_clear(on)) {
            let product = crate::registers::figures(&side.product);
            if !product.is_empty() && !products.contains(&product) {
                products.push(product);
            }
        }
        Held { days: days.join(", "), products }
    }

    /// Days and products together: 'Meat clear on Sat 2 May 2026 (oxytetracycline)'.
    pub fn words(&self) -> String {
        if self.products.is_empty() {
            self.days.clone()
        } else {
            format!("{} ({})", self.days, self.products.join("; "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn days_in_words() {
        assert_eq!(weekday(day("2026-04-14")), "Tue\u{a0}14\u{a0}Apr\u{a0}2026");
        assert_eq!(span(day("2026-04-14"), day("2026-04-16")), "14–16 Apr");
        assert_eq!(span(day("2026-04-30"), day("2026-05-02")), "30 Apr–2 May");
        assert_eq!(span(day("2026-04-30"), day("2026-04-30")), "30 Apr");
    }

    #[test]
    fn withdrawal_in_words() {
        let on = day("2026-04-14");
        let side = |clear, product: &str| Side { clear, product: product.into(), ..Side::default() };
        let may = Clear::From(day("2026-05-02"));
        let words = |meat, milk, on, sex| {
            Held::of(&Clearance { meat, milk, ..Clearance::default() }, on, sex)
                .words()
                .replace(super::super::text::NO_BREAK, " ")
        };
        let (meat, milk) = (side(may.clone(), "oxytetracycline"), side(may, "oxytetracycline"));
        assert_eq!(
            words(meat.clone(), milk.clone(), on, Sex::Ewe),
            "Meat and milk clear on Sat 2 May 2026 (oxytetracycline)"
        );
        assert_eq!(
            words(meat.clone(), milk.clone(), on, Sex::Ram),
            "Meat clear on Sat 2 May 2026 (oxytetracycline)"
        );
        assert_eq!(words(meat.clone(), milk, day("2026-05-02"), Sex::Ewe), "");
        assert_eq!(
            words(meat, side(Clear::Unknown, "Udder tube"), on, Sex::Ewe),
            "Meat clear on Sat 2 May 2026, milk not clear: withdrawal not known (oxytetracycline; Udder tube)"
        );
        assert_eq!(words(Side::default(), side(Clear::Never, ""), on, Sex::Ewe), "Milk never to be used");
    }
}
