//! Old blood behind the founders: their great-grandparents and those before, which many of them share. Counters and
//! dice of their own: the other facts stay what they are without these.

use crate::dice::Dice;
use crate::maker::mark;
use crate::names::{BREED, FARMS, SECTION, WORDS, ordinal};
use crate::sheep::{At, Sheep};
use hirsel_core::entry::AnimalDraft;
use hirsel_core::flock::Sire;
use hirsel_core::terms::{AnimalId, Born, Breed, Day, IdentityKind, Sex, Status};

/// How many generations are put above the grandparents of a sheep that came from elsewhere.
const ABOVE: usize = 2;

/// From so many on, old ewes or rams are used again rather than new ones made.
const MANY: usize = 200;

#[derive(Debug, Clone, Copy)]
struct Old {
    id: AnimalId,
    born: Day,
}

/// Ancestors of other flocks that may be used again.
pub(crate) struct OldBlood {
    ewes: Vec<Old>,
    rams: Vec<Old>,
    made: usize,
    dice: Dice,
}

impl OldBlood {
    pub(crate) fn new(seed: u64) -> Self {
        Self { ewes: Vec::new(), rams: Vec::new(), made: 0, dice: Dice::new(seed ^ 0x0b10_0d5e) }
    }

    /// Gives those ancestors that have none parents, and these some of their own.
    pub(crate) fn deepen(&mut self, drafts: &mut Vec<AnimalDraft>, lowest: &[At], sheep: &[Sheep]) {
        let days: std::collections::HashMap<AnimalId, Day> =
            lowest.iter().map(|at| (sheep[*at].id, sheep[*at].born)).collect();
        let mut new = Vec::new();
        for d in drafts.iter_mut() {
            let Some(born) = days.get(&d.id) else { continue };
            d.dam = Some(self.parent(Sex::Ewe, *born, ABOVE, &mut new));
            d.sire = Sire::Known(self.parent(Sex::Ram, *born, ABOVE, &mut new));
        }
        for at in lowest {
            let s = &sheep[*at];
            let old = Old { id: s.id, born: s.born };
            if s.sex == Sex::Ewe { self.ewes.push(old) } else { self.rams.push(old) }
        }
        drafts.append(&mut new);
    }

    /// A parent for one born on that day: one there is already, if its age fits, else a new one.
    fn parent(&mut self, sex: Sex, born: Day, above: usize, new: &mut Vec<AnimalDraft>) -> AnimalId {
        let known = if sex == Sex::Ewe { &self.ewes } else { &self.rams };
        // In a large flock enough have been made: it would only take time.
        let again = match (sex, known.len()) {
            (_, MANY..) => 0.9,
            (Sex::Ewe, _) => 0.1,
            _ => 0.2,
        };
        if !known.is_empty() && self.dice.chance(again) {
            for _ in 0..10 {
                let one = self.dice.pick(known);
                if (600..3300).contains(&born.since(one.born)) {
                    return one.id;
                }
            }
        }
        let own = born.plus(-365 * self.dice.between(2, 4) + self.dice.between(-25, 25));
        let parents = (above > 1).then(|| {
            (self.parent(Sex::Ewe, own, above - 1, new), self.parent(Sex::Ram, own, above - 1, new))
        });
        let n = self.made;
        self.made += 1;
        let farm = self.dice.pick(FARMS);
        let mut d = AnimalDraft::new(mark(&format!("QG B{:05}", n + 1)), sex);
        for i in &mut d.identities {
            i.kind = IdentityKind::Registry;
        }
        let word = WORDS[(n * 23 + 11) % WORDS.len()];
        d.name = Some(match n / WORDS.len() {
            0 => format!("Old {word}"),
            more => format!("Old {word} {}", ordinal(more + 1)),
        });
        d.prefix = Some(farm.into());
        d.section = Some(SECTION.into());
        d.breed = Breed::parse(BREED).ok().flatten();
        d.born = if self.dice.chance(0.8) { Born::Year(own.year()) } else { Born::On(own) };
        d.status = Status::Outside;
        if let Some((dam, sire)) = parents {
            (d.dam, d.sire) = (Some(dam), Sire::Known(sire));
        }
        let old = Old { id: d.id, born: own };
        new.push(d);
        if sex == Sex::Ewe {
            self.ewes.push(old)
        } else {
            self.rams.push(old)
        }
        old.id
    }
}
