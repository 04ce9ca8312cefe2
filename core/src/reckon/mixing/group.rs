//! What a group asks of a mix: of lambs the steps of the creep, of others the needs of a day.

use super::asked::{AskRow, What};
use super::words::{capital, short};
use crate::phrase;
use crate::reckon::ration::{Asked, FeedRules, Given, Ingredient, Limit, balance, needs};
use crate::terms::{Base, Eaters, Nutrient};

/// Who gets the mix, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Who.
    pub eaters: Eaters,
    /// Live weight, kg.
    pub weight_kg: Option<f64>,
    /// Age of lambs, or days since lambing.
    pub days: Option<i64>,
    /// What is fed beside it: kg a head a day, as fed.
    pub beside: Option<(Ingredient, f64)>,
    /// How much of the mix a head gets a day, kg as fed; none: the mix is all they eat.
    pub each_kg: Option<f64>,
}

/// What such a mix should hold.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wanted {
    /// What is asked.
    pub rows: Vec<AskRow>,
    /// Whence it comes and what must be said of it, each a sentence.
    pub said: Vec<String>,
}

fn is_lamb(eaters: Eaters) -> bool {
    matches!(eaters, Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs)
}

/// Rounded up to a hundredth: less than a need is not enough.
fn up(x: f64) -> f64 {
    ((x * 100.0 - 1e-6).ceil() / 100.0).max(0.0)
}

/// What a group asks of a mix. What is not known is not asked, and is said to be so.
pub fn wanted(rules: &FeedRules, group: &Group) -> Wanted {
    let mut made = Wanted::default();
    if is_lamb(group.eaters) {
        lambs(rules, group, &mut made);
    }
    let with_males = is_lamb(group.eaters) || group.eaters == Eaters::Rams;
    if with_males {
        let least = Some(rules.limit(Limit::CalciumPhosphorus));
        let row = AskRow { what: What::CalciumToPhosphorus, base: Base::DryMatter, least, most: None };
        made.rows.push(row);
    }
    if matches!(group.eaters, Eaters::CreepLambs | Eaters::MilkLambs) {
        return made;
    }
    by_needs(rules, group, &mut made);
    made
}

/// Protein of the creep by age; after weaning as much as until then.
fn lambs(rules: &FeedRules, group: &Group, made: &mut Wanted) {
    let floor = rules.limit(Limit::LambProtein);
    let step = match (group.days, group.eaters) {
        (Some(days), _) => rules.creep_at(days).or_else(|| rules.creep.first()),
        (None, Eaters::WeanedLambs) => None,
        (None, _) => rules.creep.first(),
    };
    let (figure, base) = step.map_or((floor, Base::AsFed), |s| (s.protein, s.base));
    let figure = if base == Base::AsFed { figure.max(floor) } else { figure };
    made.rows.push(AskRow { what: What::Protein, base, least: Some(figure), most: None });
    made.said.push(match step {
        Some(s) => {
            let next = rules
                .creep_after(s.from_day)
                .map_or(String::new(), |n| phrase!("; from {} days {} %", n.from_day, short(n.protein)));
            phrase!(
                "Creep from {} days of age: {} % protein {}{next}",
                s.from_day,
                short(s.protein),
                s.base.word()
            )
        }
        None => phrase!(
            "Lambs get no less than {} % protein as fed until {} days after weaning",
            short(floor),
            short(rules.limit(Limit::AfterWeaning))
        ),
    });
}

fn by_needs(rules: &FeedRules, group: &Group, made: &mut Wanted) {
    let mut asked = Asked::at(group.eaters, group.weight_kg.unwrap_or_default());
    asked.weight_kg = group.weight_kg;
    if !is_lamb(group.eaters) {
        asked.days = group.days;
    }
    let needs = needs(rules, asked);
    made.said.extend(needs.said.iter().map(|s| capital(s)));
    let given: Vec<Given<'_>> = group.beside.iter().map(|(feed, kg)| Given { feed, each_kg: *kg }).collect();
    let beside = balance(needs.clone(), &given);
    let each = group.each_kg.filter(|kg| *kg > 0.0);
    let dry = needs.of(Nutrient::DryMatter).map(|n| n.amount).filter(|kg| *kg > 0.0);
    let mut enough = Vec::new();
    let mut weak = Vec::new();
    for what in [What::Protein, What::Energy, What::Calcium, What::Phosphorus] {
        let Some(nutrient) = what.nutrient() else { continue };
        let Some(need) = needs.of(nutrient) else { continue };
        if made.rows.iter().any(|r| r.what == what) {
            continue;
        }
        // g of a kg are tenths of a percent.
        let scale = if what == What::Protein { 0.1 } else { 1.0 };
        let row = match (each, dry) {
            (Some(kg), _) => {
                let line = beside.line(nutrient);
                let got = line.map_or(0.0, |l| l.known);
                if let Some(l) = line.filter(|l| !l.unknown.is_empty()) {
                    weak.push(phrase!("{} of {}", nutrient.words(), l.unknown.join(", ")));
                }
                let left = need.amount - got;
                if left <= 0.0 {
                    enough.push(nutrient.words());
                    continue;
                }
                AskRow { what, base: Base::AsFed, least: Some(up(left / kg * scale)), most: None }
            }
            (None, Some(dry)) => {
                let least = Some(up(need.amount / dry * scale));
                AskRow { what, base: Base::DryMatter, least, most: None }
            }
            (None, None) => continue,
        };
        if need.ground.is_memory() {
            made.said.push(phrase!("{} of this group is from memory: check it", capital(nutrient.words())));
        }
        made.rows.push(row);
    }
    if let (Some(kg), Some((feed, beside_kg))) = (each, &group.beside) {
        made.said.push(phrase!(
            "Asked of {} kg of the mix beside {} kg of {} a head a day",
            short(kg),
            short(*beside_kg),
            feed.name
        ));
    } else if each.is_none() && !made.rows.is_empty() && !is_lamb(group.eaters) {
        made.said.push(phrase!("Asked as if the mix were all they eat, as parts of its dry matter"));
    }
    if !enough.is_empty() {
        made.said.push(phrase!("What is fed beside gives enough {} by itself", enough.join(" and ")));
    }
    if !weak.is_empty() {
        made.said.push(phrase!("Not known, and taken as nothing: {}", weak.join("; ")));
    }
    let gaps: Vec<&str> = needs
        .gaps
        .iter()
        .filter(|g| **g != Nutrient::DryMatter && **g != Nutrient::Tdn)
        .map(|g| g.words())
        .collect();
    if !gaps.is_empty() {
        made.said.push(phrase!(
            "No need is known of {}: type your own target into the row, or ask a feed analyst",
            gaps.join(", ")
        ));
    }
}
