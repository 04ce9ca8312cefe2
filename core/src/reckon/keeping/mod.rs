//! Which to keep: the sheet of a season's ram lambs and ewe lambs in an order the keeper weighs, and the list of ewes
//! to leave with what each would cost in blood.
//!
//! Facts are gathered once for a flock and a day ([`Keeping::of`]); the order hangs on weights alone and is made anew
//! as often as they are moved ([`order`]). What is not known of an animal neither helps nor hurts it, and is said.

mod criteria;
mod culls;
mod dam;
mod gather;
mod grown;
mod need;
mod order;
mod read;
mod settings;
mod target;
#[cfg(test)]
mod tests;
mod told;
mod values;

pub use criteria::{COUNT, Criterion};
pub use culls::{Blood, Cull, Why};
pub use dam::Dam;
pub use gather::{Candidate, GeneSaid};
pub use grown::Ratio;
pub use need::Need;
pub use order::{Placed, Proposed, order};
pub use read::keepers as own_ground;
pub use settings::{CullKind, CullRule, Fault, Never, Settings, Weighted};
pub use target::Reached;
pub use told::{fault_words, ordinal};
pub use values::{Values, values};

use crate::flock::Flock;
use crate::reckon::kinship::Kindred;
use crate::terms::{Day, Sex};

/// What is asked of the sheet.
#[derive(Debug, Clone, Default)]
pub struct KeepingAsk {
    /// The year the lambs were born in; none: the last that has lambs in the flock.
    pub season: Option<i32>,
    /// Breeding values by animal, each with its accuracy; none: not reckoned.
    pub values: Option<Values>,
}

/// Everything of one flock and day.
#[derive(Debug, Clone)]
pub struct Keeping {
    version: u64,
    day: Option<Day>,
    /// The year the lambs were born in; none where the flock has no lamb.
    pub season: Option<i32>,
    /// Years with lambs in the flock, latest first.
    pub seasons: Vec<i32>,
    /// Settings it was made by.
    pub settings: Settings,
    /// What could not be read of the keeper's own settings: then those shipped hold.
    pub amiss: Option<String>,
    /// Entire ram lambs of the season in the flock, by tag.
    pub rams: Vec<Candidate>,
    /// Ewe lambs of the season in the flock, by tag.
    pub ewes: Vec<Candidate>,
    /// How many ram lambs are asked for, and why.
    pub need_rams: Need,
    /// How many ewe lambs.
    pub need_ewes: Need,
    /// Ewes with a reason to leave, or of which it was decided; most reasons first.
    pub culls: Vec<Cull>,
    /// Animals that are their own ancestors are in the way of kinship.
    pub circle: bool,
    /// Of what the breeding values are, where they were given; else why there are none.
    pub values: Result<String, String>,
}

impl Keeping {
    /// Gathers all of it as of a day. `kindred` is of the same version of the flock.
    pub fn of(flock: &Flock, kindred: &Kindred, ask: &KeepingAsk, on: Day) -> Self {
        let (settings, amiss) = match Settings::parse(&flock.holding().keeping) {
            Ok(settings) => (settings, None),
            Err(e) => (Settings::shipped().clone(), Some(e.0)),
        };
        let seasons = gather::seasons(flock, on);
        let season = ask.season.or_else(|| seasons.first().copied());
        let kindred = Some(kindred).filter(|k| k.circle().is_none());
        let mut ground = gather::Ground::of(flock, kindred, ask.values.as_ref(), &settings, on);
        let mut lambs = |sex| season.map_or_else(Vec::new, |year| ground.candidates(year, sex));
        let (rams, ewes) = (lambs(Sex::Ram), lambs(Sex::Ewe));
        let culls = culls::list(&mut ground);
        Self {
            version: flock.version(),
            day: Some(on),
            season,
            seasons,
            amiss,
            need_rams: need::rams(flock, &settings, on),
            need_ewes: need::ewes(flock, &settings, on),
            rams,
            ewes,
            culls,
            circle: kindred.is_none(),
            values: ask.values.as_ref().map(|v| v.words.clone()).ok_or_else(|| "not reckoned".into()),
            settings,
        }
    }

    /// Reckons breeding values first, where it can, and gathers all of it with them.
    pub fn whole(
        flock: &Flock,
        kindred: &Kindred,
        season: Option<i32>,
        on: Day,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Self {
        match values(flock, on, go_on) {
            Ok(values) => Self::of(flock, kindred, &KeepingAsk { season, values: Some(values) }, on),
            Err(why) => {
                let ask = KeepingAsk { season, values: None };
                Self { values: Err(why.to_string()), ..Self::of(flock, kindred, &ask, on) }
            }
        }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The day it is of.
    pub fn day(&self) -> Option<Day> {
        self.day
    }

    /// The lambs of a sex.
    pub fn lambs(&self, sex: Sex) -> &[Candidate] {
        if sex == Sex::Ewe { &self.ewes } else { &self.rams }
    }

    /// How many of a sex are asked for.
    pub fn need(&self, sex: Sex) -> &Need {
        if sex == Sex::Ewe { &self.need_ewes } else { &self.need_rams }
    }

    /// The lambs of a sex in order by the settings, and the proposed line.
    pub fn ordered(&self, sex: Sex) -> Vec<Placed> {
        order(self.lambs(sex), &self.settings.weights_of(sex), self.need(sex).asked)
    }
}
