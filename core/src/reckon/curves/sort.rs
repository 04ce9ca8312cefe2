//! Sorts of animals that grow alike: by sex, and by how many were born and reared together.

use crate::flock::{AnimalFile, Flock};
use crate::phrase;
use crate::terms::{AnimalId, Rearing, Sex, Status};

/// Animals that grow alike. What is not set makes no difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Sort {
    /// One sex.
    pub sex: Option<Sex>,
    /// Rams and wethers together.
    pub male: bool,
    /// Born together: 1, 2, or 3 for more.
    pub born: Option<u8>,
    /// Reared together: 0 on the bottle, 1, 2, or 3 for more.
    pub reared: Option<u8>,
}

const SINGLES: [&str; 4] = ["", "singles", "twins", "triplets or more"];

impl Sort {
    /// From itself to ever wider sorts: without the rearing, without the birth, all lambs.
    pub fn wider(self) -> [Self; 4] {
        let born = Self { reared: None, ..self };
        let male = self.sex.is_some_and(|s| s != Sex::Ewe);
        let sex = Self { sex: self.sex.filter(|s| *s == Sex::Ewe), male, born: None, reared: None };
        [self, born, sex, Self::default()]
    }

    /// As said of many: `ewe lambs born as twins and reared as singles`, `twin ewe lambs`.
    pub fn words(self) -> String {
        let lambs = match (self.sex, self.male) {
            (Some(sex), _) => phrase!("{}s", sex.lamb_words()),
            (None, true) => phrase!("ram and wether lambs"),
            (None, false) => phrase!("lambs"),
        };
        let named = |n: u8| SINGLES[usize::from(n.min(3))];
        match (self.born, self.reared) {
            (Some(1), None | Some(1)) => phrase!("single {lambs}"),
            (Some(2), None | Some(2)) => phrase!("twin {lambs}"),
            (Some(b), None) => phrase!("{lambs} born as {}", named(b)),
            (Some(b), Some(0)) => phrase!("{lambs} born as {}, reared on the bottle", named(b)),
            (Some(b), Some(r)) if b == r => phrase!("{lambs} born and reared as {}", named(b)),
            (Some(b), Some(r)) => phrase!("{lambs} born as {}, reared as {}", named(b), named(r)),
            (None, Some(0)) => phrase!("{lambs} reared on the bottle"),
            (None, Some(r)) => phrase!("{lambs} reared as {}", named(r)),
            (None, None) => lambs,
        }
    }
}

/// Days from birth within which a lamb that died does not count among those reared.
const REARED_DAYS: i64 = 60;
/// Lambs of one crop are born within so many days.
const CROP_DAYS: i64 = 30;

/// The sort of an animal: how many were born and reared together as written down, else as its lambing and the other
/// lambs of the ewe that reared it show.
pub fn sort_of(flock: &Flock, file: &AnimalFile) -> Sort {
    let a = &file.animal;
    let born = a.birth_type.map(|b| b.count()).or_else(|| {
        let birth = file.birth.as_ref()?;
        let lambing = flock.file(birth.ewe)?.lambings_standing().find(|l| l.id == birth.lambing)?;
        u8::try_from(lambing.lambs.len()).ok()
    });
    let reared = match a.rear_type {
        Some(r) => Some(r.count()),
        None if a.rearing == Rearing::Bottle => Some(0),
        None => born.and_then(|_| reared_beside(flock, file)),
    };
    Sort {
        sex: Some(a.sex),
        male: false,
        born: born.map(|b| b.clamp(1, 3)),
        reared: reared.map(|r| r.min(3)),
    }
}

/// Lambs the ewe reared with this one, itself included. Of lambs put on her only this one is known here.
fn reared_beside(flock: &Flock, file: &AnimalFile) -> Option<u8> {
    let a = &file.animal;
    let (ewe, on) = (flock.reared_by(a)?, a.born.exact()?);
    let with_her = |id: &AnimalId| {
        flock.animal(*id).is_some_and(|l| {
            let near = l.born.exact().is_some_and(|b| b.since(on).abs() <= CROP_DAYS);
            let lost = l.status == Status::Dead
                && l.status_on.zip(l.born.exact()).is_none_or(|(d, b)| d.since(b) <= REARED_DAYS);
            near && (l.id == a.id || (!lost && flock.reared_by(l) == Some(ewe)))
        })
    };
    let own = flock.file(ewe)?.offspring.iter().filter(|l| with_her(l)).count();
    let fostered = usize::from(a.dam != Some(ewe));
    u8::try_from(own + fostered).ok().filter(|n| *n > 0)
}
