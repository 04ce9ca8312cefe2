//! The figures in words, each with its base.

use super::{FeedCosts, Gained, Row};
use crate::flock::Flock;
use crate::phrase;
use crate::terms::{Mass, Price, Units, counted};

/// An amount of money in hundredths: `12.50`.
pub(super) fn money(cents: f64) -> String {
    Price::from_cents(cents.round().clamp(0.0, f64::from(u32::MAX)) as u32).words()
}

fn mass(kg: f64, units: Units) -> String {
    let step = if kg >= 100.0 { 1.0 } else { 0.1 };
    Mass::from_kg((kg / step).round() * step).unwrap_or_default().show(units)
}

impl Gained {
    /// `212 kg of 34 lambs, weighed on 82 of 100 of their days`.
    pub fn words(&self, units: Units) -> String {
        let Some(share) = self.share() else {
            return match self.of {
                0 => phrase!("no lamb among them"),
                n => phrase!("none of {} was weighed twice in these days", counted(n as usize, "lamb")),
            };
        };
        let Some(kg) = self.all_kg() else {
            return phrase!("{} gained nothing by their weights", counted(self.lambs as usize, "lamb"));
        };
        let weighed = phrase!("{:.0} of 100 of their days lie between weights", 100.0 * share);
        let rough = if self.is_firm() { "" } else { ": take it as rough" };
        phrase!(
            "{} gained by {}, {} of them with weights; {weighed}{rough}",
            mass(kg, units),
            counted(self.of as usize, "lamb"),
            self.lambs
        )
    }
}

impl Row {
    /// All that stands behind a line.
    pub fn words(&self, flock: &Flock) -> String {
        let units = flock.holding().units;
        let feed = self.feed.map_or("all feeds", |f| flock.feedroom().name(f));
        let mut parts =
            vec![phrase!("{}, {feed}: {} as fed", self.who.words(), mass(self.kg, units), feed = &feed)];
        if let Some(dry) = self.dry_kg {
            parts.push(phrase!("{} of dry matter", mass(dry, units)));
        }
        parts.push(match self.cost() {
            Some(c) => phrase!("cost {}", money(c)),
            None if self.cents > 0.0 => phrase!(
                "cost {} and that of {} more, of which no price is known",
                money(self.cents),
                mass(self.unpriced_kg, units)
            ),
            None => phrase!("no price of it is known"),
        });
        if let Some(heads) = self.heads() {
            let heads = format!("{heads:.1}");
            let heads = heads.trim_end_matches(".0");
            parts.push(phrase!(
                "{heads} heads on the mean of {}",
                counted(self.days as usize, "day"),
                heads = &heads
            ));
        }
        if self.gained.of > 0 {
            parts.push(self.gained.words(units));
        }
        if let Some(c) = self.conversion() {
            let dry = self.conversion_dry().map(|d| phrase!(" ({d:.2} of dry matter)")).unwrap_or_default();
            parts.push(phrase!("{c:.2} kg as fed{dry} for each kg gained"));
        }
        format!("{}.", parts.join("; "))
    }
}

impl FeedCosts {
    /// Figures of the whole flock: label and words, each with its base.
    pub fn facts(&self, flock: &Flock) -> Vec<(&'static str, String)> {
        let units = flock.holding().units;
        let dash = || "–".to_string();
        let Some(all) = self.all() else {
            return vec![("Feed", phrase!("no feed was eaten in these days by the book"))];
        };
        let figure = |v: Option<f64>| v.map_or_else(dash, money);
        let ewes = format!("{:.1}", self.whole.ewes);
        let ewes = ewes.trim_end_matches(".0");
        let weaned = match self.whole.weaned {
            0 => phrase!("no lamb was weaned in these days"),
            n => phrase!("over {} weaned in these days", counted(n as usize, "lamb")),
        };
        vec![
            ("All feed", phrase!("{}: {} as fed", figure(all.cost()), mass(all.kg, units))),
            (
                "For each ewe",
                phrase!(
                    "{}: over {ewes} ewes on the mean of {}",
                    figure(self.per_ewe()),
                    counted(all.days as usize, "day"),
                    ewes = &ewes
                ),
            ),
            ("For each lamb reared", format!("{}: {weaned}", figure(self.per_lamb()))),
            (
                "For each kg gained",
                phrase!("{}: all feed, ewes' too; {}", figure(all.per_kg_gain()), all.gained.words(units)),
            ),
        ]
    }

    /// What is to be minded.
    pub fn cautions(&self, flock: &Flock) -> Vec<String> {
        let room = flock.feedroom();
        let named = |all: &[crate::terms::FeedId]| {
            all.iter().map(|f| room.name(*f).to_string()).collect::<Vec<_>>().join(", ")
        };
        let mut out = Vec::new();
        if !self.unpriced.is_empty() {
            out.push(phrase!(
                "No price is known of {}: write one with its delivery or with the feed, under Store",
                named(&self.unpriced)
            ));
        }
        if !self.undried.is_empty() {
            out.push(phrase!(
                "The dry matter of {} is not known: figures are as fed alone",
                named(&self.undried)
            ));
        }
        out
    }
}
