//! How far what is in store, given and spoiled may be off, by what was weighed and written.

use crate::flock::{Feed, Flock, Measure};
use crate::handbook::spring as book;
use crate::phrase;
use crate::terms::{Day, FeedChange, Mass};

/// Days of the past that tell what is spoiled.
const BACK: i64 = 365;

/// How far it may be off, and on what that rests.
pub(super) struct Offs {
    /// Of what is in store: standard deviation as a share.
    pub stock: f64,
    /// Of what is given.
    pub given: f64,
    /// Spoiled beside what is fed, and its deviation.
    pub spoiled: (f64, f64),
    /// What each rests on.
    pub words: Vec<String>,
}

/// Deviation of the mean of some weighed amounts, as a share of it; none of fewer than two.
fn mean_off(weighed: &[Mass]) -> Option<f64> {
    let n = weighed.len() as f64;
    let mean = weighed.iter().map(|m| m.kg()).sum::<f64>() / n;
    if weighed.len() < 2 || mean <= 0.0 {
        return None;
    }
    let squares: f64 = weighed.iter().map(|m| (m.kg() - mean).powi(2)).sum();
    Some((squares / (n - 1.0)).sqrt() / n.sqrt() / mean)
}

fn is_bale(m: &Measure) -> bool {
    let name = m.name.to_lowercase();
    ["bale", "bag", "round", "big"].iter().any(|w| name.contains(w))
}

impl Offs {
    /// Of a feed on a day; `used_kg` is what was fed of it in the year before.
    pub(super) fn of(flock: &Flock, feed: &Feed, today: Day, used_kg: f64, said: Option<f64>) -> Self {
        let room = flock.feedroom();
        let mut words = Vec::new();
        let of_feed =
            || room.measures.iter().filter(|m| m.feed == feed.id && m.struck.is_none() && m.on <= today);
        let bales = of_feed().filter(|m| is_bale(m)).max_by_key(|m| (m.on, m.id));
        let stock = match bales.and_then(|m| Some((m, mean_off(&m.weighed)?))) {
            Some((m, off)) => {
                words.push(phrase!(
                    "{} weighed on {}: their mean may be {:.0} % off (standard error)",
                    crate::terms::counted(m.weighed.len(), &m.name),
                    m.on.words(),
                    100.0 * off
                ));
                off
            }
            None => {
                let off = book::bale_off_percent();
                let bale = if feed.kind.is_forage() { "bale" } else { "bag" };
                words.push(phrase!(
                    "No {bale} of it was weighed: what is in store may be {off:.0} % off (standard deviation). \
                     Weigh five and write them down as a measure called {bale}"
                ));
                off / 100.0
            }
        };
        let flakes = of_feed().filter(|m| !is_bale(m)).max_by_key(|m| (m.on, m.id));
        let given = match flakes.and_then(|m| Some((m, mean_off(&m.weighed)?))) {
            Some((m, off)) => {
                words.push(phrase!(
                    "{} weighed on {}: what is given may be {:.0} % off (standard error)",
                    crate::terms::counted(m.weighed.len(), &m.name),
                    m.on.words(),
                    100.0 * off
                ));
                off
            }
            None => {
                let off = book::given_off_percent();
                words.push(phrase!(
                    "No flake or scoop of it was weighed: what is given may be {off:.0} % off the ration"
                ));
                off / 100.0
            }
        };
        let wasted: f64 = room
            .moves
            .iter()
            .filter(|m| m.struck.is_none() && m.feed == feed.id && m.change == FeedChange::Wasted)
            .filter(|m| m.on <= today && today.since(m.on) < BACK)
            .filter_map(|m| m.amount)
            .map(Mass::kg)
            .sum();
        let off = book::spoiled_off_percent() / 100.0;
        let spoiled = if let Some(said) = said {
            words.push(phrase!("Spoiled beside what is fed: {:.0} %, as you say", 100.0 * said));
            said
        } else if wasted > 0.0 && used_kg > 0.0 {
            let share = wasted / used_kg;
            words.push(phrase!(
                "Spoiled beside what is fed: {:.1} %, as written in the year before",
                100.0 * share
            ));
            share.min(1.0)
        } else {
            let percent = book::spoiled_percent();
            words.push(phrase!(
                "Spoiled beside what is fed: {percent:.0} % (common practice, no source), since none is written as wasted"
            ));
            percent / 100.0
        };
        Self { stock, given, spoiled: (spoiled, if said == Some(0.0) { 0.0 } else { off }), words }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_error_of_a_mean_by_hand() {
        // 18, 20, 22 kg: mean 20, deviation 2, of the mean 2 / √3 = 1.1547, 5.77 % of 20.
        let kg = [18.0, 20.0, 22.0].map(|k| Mass::from_kg(k).unwrap());
        assert!((mean_off(&kg).unwrap() - 0.057_735).abs() < 1e-6);
        assert_eq!(mean_off(&kg[..1]), None);
    }
}
