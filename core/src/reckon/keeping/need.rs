//! How many are to be kept, proposed from what the flock joins.

use super::settings::Settings;
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::mating::{ewes_to_join, rams_to_join};
use crate::terms::{AnimalId, Day, Decided, counted};
use std::collections::BTreeSet;

/// A number of animals with its ground.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Need {
    /// How many are above the line.
    pub asked: usize,
    /// How many are proposed, whatever the keeper asked.
    pub proposed: usize,
    /// Why so many are proposed.
    pub why: String,
}

impl Need {
    fn of(asked: Option<usize>, proposed: usize, why: String) -> Self {
        Self { asked: asked.unwrap_or(proposed), proposed, why }
    }
}

/// Of those who may be joined, who stays by what was decided last.
fn stay(flock: &Flock, all: Vec<AnimalId>, on: Day) -> usize {
    let goes = |id: &AnimalId| {
        let last = flock.file(*id).and_then(|f| f.decided(on)).map(|d| d.what);
        matches!(last, Some(Decided::Cull | Decided::Sell | Decided::Market))
    };
    all.into_iter().filter(|id| !goes(id)).count()
}

pub(super) fn rams(flock: &Flock, settings: &Settings, on: Day) -> Need {
    let all = ewes_to_join(flock, on);
    let of_age = all.len();
    let ewes = stay(flock, all, on);
    let here = stay(flock, rams_to_join(flock, on), on);
    let joined =
        || flock.files().flat_map(|f| f.joinings.iter().filter(|j| j.struck.is_none() && j.from <= on));
    let last = joined().map(|j| j.from).max();
    let used: BTreeSet<AnimalId> =
        joined().filter(|j| last.is_some_and(|l| l.since(j.from) < 200)).map(|j| j.ram).collect();
    let by_ewes = ewes.div_ceil(settings.ewes_a_ram);
    let wanted = used.len().max(by_ewes).max(usize::from(ewes > 0));
    let yearly = wanted.div_ceil(settings.ram_seasons);
    let proposed = wanted.saturating_sub(here).max(yearly);
    let why = if wanted == 0 {
        phrase!("No ewe of breeding age is in the flock, so no ram is needed.")
    } else {
        let who = match of_age - ewes {
            0 => phrase!("{} of breeding age", counted(ewes, "ewe")),
            leave => phrase!(
                "{} of breeding age, {leave} of them to leave by what was decided: {ewes}",
                counted(of_age, "ewe")
            ),
        };
        phrase!(
            "{who} and a ram for each {} ask for {}; {} served in the last joining. {} of breeding age here to stay; a ram is \
             used for {}: {} a year.",
            settings.ewes_a_ram,
            counted(by_ewes.max(1), "ram"),
            counted(used.len(), "ram"),
            counted(here, "ram"),
            counted(settings.ram_seasons, "season"),
            counted(yearly, "ram lamb"),
        )
    };
    Need::of(settings.keep_rams, proposed, why)
}

pub(super) fn ewes(flock: &Flock, settings: &Settings, on: Day) -> Need {
    let all = ewes_to_join(flock, on);
    let n = all.len();
    let leave = n - stay(flock, all, on);
    let proposed = n.div_ceil(settings.ewe_crops).max(leave);
    let why = phrase!(
        "{} of breeding age, each kept for {}; {} of them to leave by what was decided.",
        counted(n, "ewe"),
        counted(settings.ewe_crops, "crop"),
        leave
    );
    Need::of(settings.keep_ewes, proposed, why)
}
