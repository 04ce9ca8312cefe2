//! Why an animal stands where it stands, in words.

use super::Keeping;
use super::criteria::Criterion;
use super::gather::Candidate;
use super::order::{Placed, Proposed};
use crate::phrase;
use crate::reckon::evaluation::accuracy_word;
use crate::reckon::kinship::percent;
use crate::terms::{ScoreKind, Sex, Units, counted};

/// Complete generations under which an inbreeding says little.
const SHALLOW: f64 = crate::reckon::kinship::DEEP_ENOUGH;

/// What a score is called on the sheet.
pub fn fault_words(kind: ScoreKind) -> &'static str {
    if kind == ScoreKind::Lids { "eyelids" } else { kind.word() }
}

/// `1st`, `2nd`, `3rd`, `11th`.
pub fn ordinal(n: usize) -> String {
    let end = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{n}{end}")
}

impl Candidate {
    /// `112 of 8 ram lambs reared as twins`, or why it is not known.
    pub fn ratio_words(&self) -> String {
        match &self.ratio {
            None => phrase!("not weighed"),
            Some(r) => match r.percent {
                Some(p) => format!("{p:.0} %"),
                None => phrase!("group too small"),
            },
        }
    }

    /// `14.2 kg at 30 days, 250 g a day since birth; 112 % of the mean of its group of 8 (born 1 to 20 Apr; no factors)`.
    pub fn growth_words(&self, units: Units) -> String {
        let Some(r) = &self.ratio else {
            return phrase!("not weighed yet at an age that tells, or no birth weight can be taken for it");
        };
        let gain = r.gain.map(|g| phrase!(", {} since birth", g.show(units))).unwrap_or_default();
        let group = match r.percent {
            Some(p) => phrase!("{p:.0} % of the mean of its group of {}", r.of),
            None => phrase!("its group of {} is too small for a mean", r.of),
        };
        phrase!("{} at {} days{gain}; {group} ({}; {})", r.weight.show(units), r.age, r.group, r.factors)
    }

    /// `bite 1, eyelids 2`; empty where nothing was scored.
    pub fn score_words(&self, kinds: &[ScoreKind]) -> String {
        let all = kinds.iter().filter_map(|k| self.score(*k).map(|n| format!("{} {n}", fault_words(*k))));
        all.collect::<Vec<_>>().join(", ")
    }

    /// Genotypes and carrier chances: `ARR/ARQ; spider: carrier 50 %`.
    pub fn gene_words(&self) -> String {
        let mut said = Vec::new();
        if let Some((genotype, chance)) = &self.scrapie {
            let sure = *chance > 0.999;
            said.push(if sure {
                genotype.clone()
            } else {
                phrase!("{genotype} likely, {}", percent(*chance))
            });
        }
        for g in &self.genes {
            let near = if g.exact { "" } else { "about " };
            said.push(match (g.carrier, g.affected) {
                (_, a) if a > 0.999 => phrase!("{}: affected", g.gene),
                (c, a) if c + a < 0.0005 => phrase!("{}: clear", g.gene),
                (c, _) if c > 0.999 => phrase!("{}: carrier", g.gene),
                (c, a) if a < 0.0005 => phrase!("{}: carrier {near}{}", g.gene, percent(c)),
                (c, a) => phrase!("{}: carrier {near}{}, affected {}", g.gene, percent(c), percent(a)),
            });
        }
        said.join("; ")
    }

    /// The breeding value with its accuracy, or that it is not reckoned.
    pub fn value_words(&self, has_values: bool) -> String {
        match self.value {
            Some((v, a)) => phrase!("{v:+.2}, accuracy {a:.2} ({})", accuracy_word(a)).replace('-', "−"),
            None if has_values => phrase!("not known"),
            None => phrase!("not reckoned"),
        }
    }
}

impl Keeping {
    /// Why an animal stands at its place: a sentence each, the most telling first.
    pub fn told(&self, sex: Sex, placed: &Placed, of: usize, units: Units) -> Vec<String> {
        let Some(c) = self.lambs(sex).get(placed.at) else { return Vec::new() };
        let he = if sex == Sex::Ewe { "She" } else { "He" };
        let mut said = Vec::new();
        let proposed = match placed.proposed {
            Proposed::Never => phrase!("never proposed, for {}", c.never.join(" and ")),
            Proposed::Keep => phrase!("above the line of {}", self.need(sex).asked),
            Proposed::Not => phrase!("below the line of {}", self.need(sex).asked),
        };
        said.push(phrase!("{he} is {} of {of}, {proposed}.", ordinal(placed.place)));
        let mut shares: Vec<(Criterion, f64)> = Criterion::ALL
            .into_iter()
            .filter_map(|k| placed.shares[k.at()].map(|s| (k, s)))
            .filter(|(_, s)| s.abs() >= 0.005)
            .collect();
        shares.sort_by(|a, b| b.1.total_cmp(&a.1));
        let list = |all: Vec<(Criterion, f64)>| {
            let words =
                all.into_iter().take(4).map(|(k, s)| phrase!("{} ({s:+.2})", k.words()).replace('-', "−"));
            words.collect::<Vec<_>>().join(", ")
        };
        let up: Vec<_> = shares.iter().filter(|s| s.1 > 0.0).copied().collect();
        let down: Vec<_> = shares.iter().rev().filter(|s| s.1 < 0.0).copied().collect();
        if !up.is_empty() {
            said.push(phrase!("For it: {}.", list(up)));
        }
        if !down.is_empty() {
            said.push(phrase!("Against it: {}.", list(down)));
        }
        let weights = self.settings.weights_of(sex);
        let unknown: Vec<&str> = Criterion::ALL
            .into_iter()
            .filter(|k| weights[k.at()] > 0 && placed.shares[k.at()].is_none())
            .map(Criterion::words)
            .collect();
        if !unknown.is_empty() {
            said.push(phrase!("Not known, so it neither helps nor hurts: {}.", unknown.join(", ")));
        }
        said.push(phrase!("Growth: {}.", c.growth_words(units)));
        if let Some(dam) = &c.dam {
            let milk = dam
                .milk
                .map(|(g, n)| phrase!(", {g:.0} g a day at her foot ({})", counted(n as usize, "lamb")));
            let scores = Some(dam.scores()).filter(|s| !s.is_empty()).map(|s| format!(", {s}"));
            said.push(phrase!(
                "Dam {}: {}{}{}.",
                dam.title,
                dam.words(),
                milk.unwrap_or_default(),
                scores.unwrap_or_default()
            ));
        }
        if let Some(f) = c.inbreeding {
            let shallow = c.depth.filter(|d| *d < SHALLOW);
            let but = shallow
                .map(|d| phrase!("; its pedigree is known for {d:.1} generations only, so it may be more"));
            said.push(phrase!("Inbreeding {}{}.", percent(f), but.unwrap_or_default()));
        }
        if let Some((k, n)) = c.kinship {
            let whom = if sex == Sex::Ewe { "ram" } else { "ewe" };
            said.push(phrase!(
                "A lamb by {} of breeding age would be {} inbred on the mean.",
                counted(n, whom),
                percent(k)
            ));
        }
        let genes = c.gene_words();
        if !genes.is_empty() {
            said.push(phrase!("Genes: {genes}."));
        }
        let scores = c.score_words(&[ScoreKind::Bite, ScoreKind::Lids, ScoreKind::Type, ScoreKind::Colour]);
        if !scores.is_empty() {
            said.push(phrase!("Scored {scores}."));
        }
        for (what, all) in [("Noted", &c.notes), ("Remarks", &c.remarks)] {
            if !all.is_empty() {
                said.push(phrase!("{what}: {}.", &all.join("; ").trim_end_matches('.')));
            }
        }
        if let (Some(r), Some(wanted)) = (&c.reached, self.settings.target) {
            said.push(format!("{}: {}.", wanted.show(units), r.words(units)));
        }
        if !c.ready {
            let when = match sex {
                Sex::Ewe => "not weaned yet",
                _ => "not yet at the end of week 3",
            };
            said.push(phrase!("{he} is {when}: this may change."));
        }
        said
    }
}
