//! What a head of a group needs a day.
//!
//! From the rows of the table by live weight (NRC, Nutrient Requirements of Sheep, 1985, Table 1; the notes of that table
//! as printed by New Mexico State University: thin ewes are fed by the next heavier row, fat ewes by the next lighter;
//! a kg of digestible nutrients is 4.4 Mcal of digestible energy, of which 82 % are metabolisable). The keeper's own
//! targets go before the table. Where nothing is known there is no figure.

use super::rules::{FeedRules, Limit, NeedRow};
use crate::handbook::Ground;
use crate::phrase;
use crate::terms::{Eaters, Nutrient};

/// Joules of a calorie (thermochemical), by definition: MJ of a Mcal.
const MJ_PER_MCAL: f64 = 4.184;

/// What is asked of a daily ration, in the order shown.
const DAILY: [Nutrient; 6] = [
    Nutrient::DryMatter,
    Nutrient::Protein,
    Nutrient::Energy,
    Nutrient::Tdn,
    Nutrient::Calcium,
    Nutrient::Phosphorus,
];

/// What needs are told for: dry matter kg, protein g, energy MJ, digestible nutrients kg, calcium g, phosphorus g a day.
pub fn daily() -> &'static [Nutrient] {
    &DAILY
}

/// The unit of a day's amount: `kg`, `g`, `MJ`, `mg`.
pub fn daily_unit(what: Nutrient) -> &'static str {
    match what {
        Nutrient::DryMatter | Nutrient::Tdn => "kg",
        Nutrient::Energy => "MJ",
        Nutrient::Protein | Nutrient::Calcium | Nutrient::Phosphorus | Nutrient::Fibre => "g",
        Nutrient::Copper | Nutrient::Molybdenum | Nutrient::Selenium => "mg",
    }
}

/// Whose needs are asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The group.
    pub eaters: Eaters,
    /// Live weight, kg; none: not known, and then only the keeper's target tells anything.
    pub weight_kg: Option<f64>,
    /// Mean condition score; none: taken as middling.
    pub condition: Option<f64>,
    /// For ewes in lamb: how many lambs are carried, as far as it is known.
    pub lambs: Option<u8>,
    /// For nursing ewes: days since lambing.
    pub days: Option<i64>,
}

impl Asked {
    /// A group at a weight, of middling condition.
    pub fn at(eaters: Eaters, weight_kg: f64) -> Self {
        Self { eaters, weight_kg: Some(weight_kg), condition: None, lambs: None, days: None }
    }
}

/// How a figure was come by.
#[derive(Debug, Clone, PartialEq)]
pub enum How {
    /// The row of this weight.
    Row(f64),
    /// Between the rows of two weights, in a straight line: no row of the table says it.
    Between(f64, f64),
    /// The last row of the table, which ends before that weight.
    End(f64),
    /// The keeper's target.
    Target,
    /// From the digestible nutrients of the row.
    FromTdn,
}

impl How {
    /// In words.
    pub fn words(&self) -> String {
        match self {
            Self::Row(kg) => phrase!("row of {kg} kg"),
            Self::Between(a, b) => phrase!("between the rows of {a} and {b} kg, in a straight line"),
            Self::End(kg) => phrase!("row of {kg} kg, where the table ends"),
            Self::Target => phrase!("your target"),
            Self::FromTdn => phrase!("from the digestible nutrients"),
        }
    }
}

/// What a head needs of one thing a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Of what.
    pub what: Nutrient,
    /// How much, in its daily unit ([`daily_unit`]).
    pub amount: f64,
    /// How it was come by.
    pub how: How,
    /// What it stands on.
    pub ground: Ground,
}

/// What a head needs a day, and what is not known.
#[derive(Debug, Clone, PartialEq)]
pub struct Needs {
    /// Whose.
    pub asked: Asked,
    /// What is known, in the order of [`daily`].
    pub known: Vec<Need>,
    /// What is not: there the keeper's own target is asked for.
    pub gaps: Vec<Nutrient>,
    /// What must be said beside the figures, each a sentence.
    pub said: Vec<String>,
}

impl Needs {
    /// The need of one thing.
    pub fn of(&self, what: Nutrient) -> Option<&Need> {
        self.known.iter().find(|n| n.what == what)
    }
}

/// What a head of a group needs a day.
pub fn needs(rules: &FeedRules, asked: Asked) -> Needs {
    let mut made = Needs { asked, known: Vec::new(), gaps: Vec::new(), said: Vec::new() };
    let rows = rows(rules, &asked, &mut made.said);
    let by_weight = match asked.weight_kg {
        Some(kg) if !rows.is_empty() => weighted(rules, &asked, kg, &rows, &mut made.said),
        _ => Vec::new(),
    };
    let target = rules.target(asked.eaters);
    for what in DAILY {
        let own = target.and_then(|t| {
            let (_, amount) = t.figures.iter().find(|(w, _)| *w == what)?;
            Some(Need { what, amount: *amount, how: How::Target, ground: t.ground.clone() })
        });
        match own.or_else(|| by_weight.iter().find(|n| n.what == what).cloned()) {
            Some(need) => made.known.push(need),
            None => made.gaps.push(what),
        }
    }
    // The keeper's own digestible nutrients give the energy as well, where no energy is known.
    let told: Vec<Need> = made.known.clone();
    if made.gaps.contains(&Nutrient::Energy)
        && let Some(tdn) = told.iter().find(|n| n.what == Nutrient::Tdn)
    {
        made.gaps.retain(|g| *g != Nutrient::Energy);
        let place = made.known.iter().position(|n| n.what == Nutrient::Tdn).unwrap_or(0);
        made.known.insert(place, energy(rules, tdn));
    }
    if rows.is_empty() && target.is_none() {
        made.said
            .push(phrase!("no table of needs was found for {}: write your own target", asked.eaters.words()));
    } else if asked.weight_kg.is_none() && !rows.is_empty() {
        made.said.push(phrase!("no weight of {} is known: weigh some of them", asked.eaters.words()));
    }
    made
}

/// Metabolisable energy of digestible nutrients, MJ.
fn energy(rules: &FeedRules, tdn: &Need) -> Need {
    let mcal = tdn.amount * rules.limit(Limit::TdnEnergy) * rules.limit(Limit::MetabolisablePart) / 100.0;
    Need { what: Nutrient::Energy, amount: mcal * MJ_PER_MCAL, how: How::FromTdn, ground: tdn.ground.clone() }
}

/// The rows of a group, by weight.
fn rows<'a>(rules: &'a FeedRules, asked: &Asked, said: &mut Vec<String>) -> Vec<&'a NeedRow> {
    let mut rows: Vec<&NeedRow> = rules.needs.iter().filter(|r| r.eaters == asked.eaters).collect();
    let day = rows.iter().map(|r| r.from_day).filter(|d| *d <= asked.days.unwrap_or(0)).max();
    rows.retain(|r| Some(r.from_day) == day);
    let most = rows.iter().filter_map(|r| r.lambs).max();
    if let Some(most) = most {
        if asked.lambs.is_none() {
            said.push(phrase!("how many lambs they carry is not known: fed as with {most} or more"));
        }
        let carried = asked.lambs.unwrap_or(most).max(1);
        let lambs = rows.iter().filter_map(|r| r.lambs).filter(|n| *n <= carried).max();
        rows.retain(|r| r.lambs == lambs);
        if carried > most {
            said.push(phrase!(
                "the table ends with {most} lambs: with {carried} they need more than it says"
            ));
        }
    }
    rows.sort_by(|a, b| a.weight_kg.total_cmp(&b.weight_kg));
    rows
}

fn is_ewe(eaters: Eaters) -> bool {
    !matches!(eaters, Eaters::Rams | Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs)
}

/// Figures at a weight: of the row, between two rows, or of the end of the table.
fn weighted(
    rules: &FeedRules,
    asked: &Asked,
    kg: f64,
    rows: &[&NeedRow],
    said: &mut Vec<String>,
) -> Vec<Need> {
    let mut kg = kg;
    let step = rows.windows(2).map(|w| w[1].weight_kg - w[0].weight_kg).next().unwrap_or(10.0);
    if let Some(score) = asked.condition.filter(|_| is_ewe(asked.eaters)) {
        if score <= rules.limit(Limit::Thin) {
            kg += step;
            said.push(phrase!(
                "thin ewes are fed by the next heavier row: as {} kg",
                super::blend::short(kg)
            ));
        } else if score >= rules.limit(Limit::Fat) {
            kg -= step;
            said.push(phrase!("fat ewes are fed by the next lighter row: as {} kg", super::blend::short(kg)));
        }
    }
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return Vec::new() };
    let below = rows.iter().rfind(|r| r.weight_kg <= kg).unwrap_or(first);
    let above = rows.iter().find(|r| r.weight_kg >= kg).unwrap_or(last);
    let how = if kg < first.weight_kg || kg > last.weight_kg {
        said.push(phrase!(
            "the table runs from {} to {} kg: {} kg is fed by its nearest row",
            first.weight_kg,
            last.weight_kg,
            super::blend::short(kg)
        ));
        How::End(below.weight_kg)
    } else if below.weight_kg == above.weight_kg {
        How::Row(below.weight_kg)
    } else {
        How::Between(below.weight_kg, above.weight_kg)
    };
    let part = match how {
        How::Between(a, b) => (kg - a) / (b - a),
        _ => 0.0,
    };
    let of = |row: &NeedRow, what: Nutrient| row.figures.iter().find(|(w, _)| *w == what).map(|(_, x)| *x);
    let mut made: Vec<Need> = DAILY
        .into_iter()
        .filter_map(|what| {
            let amount = of(below, what)? + part * (of(above, what)? - of(below, what)?);
            let ground = if above.ground.is_memory() { above.ground.clone() } else { below.ground.clone() };
            Some(Need { what, amount, how: how.clone(), ground })
        })
        .collect();
    let tdn = made.iter().find(|n| n.what == Nutrient::Tdn).cloned();
    if let Some(tdn) = tdn.filter(|_| !made.iter().any(|n| n.what == Nutrient::Energy)) {
        made.push(energy(rules, &tdn));
    }
    made
}
