//! What an answer means, in the words of the trade.

use super::asked::What;
use crate::phrase;
use crate::reckon::ration::{
    Blend, Cannot, Demand, FeedRules, Grave, Holds, Ingredient, Limited, Met, NoBlend, Part, Rounded, Square,
    holds, of_mix,
};
use crate::terms::{Base, Eaters, Mass, Nutrient, Units, Why, with_currency};

/// A figure with two places at most.
pub(super) fn short(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// With a capital first letter.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

/// Money, to the smallest coin.
pub fn money(x: f64) -> String {
    let text = format!("{x:.2}");
    with_currency(if text == "-0.00" { "0.00" } else { &text })
}

/// `156.20 for 500 kg, 312.40 a tonne, 0.31 a kg`.
pub fn cost_words(cost: f64, kg: f64, units: Units) -> String {
    let mass = Mass::from_kg(kg).unwrap_or_default().show(units);
    if kg <= 0.0 {
        return money(cost);
    }
    let a_kg = cost / kg;
    phrase!("{} for {mass}, {} a tonne, {} a kg", money(cost), money(a_kg * 1000.0), money(a_kg))
}

/// One step of a demand in words: `one point of protein`.
fn step_words(demand: &Demand) -> (&'static str, &'static str) {
    let more = matches!(demand, Demand::Most { .. });
    let unit = match demand {
        Demand::Ratio { .. } => return ("a tenth less", "a hundredth less"),
        Demand::Least { what, .. } | Demand::Most { what, .. } => *what,
    };
    match (unit, more) {
        (Nutrient::Energy, false) => ("one MJ a kg less", "a tenth of an MJ less"),
        (Nutrient::Energy, true) => ("one MJ a kg more", "a tenth of an MJ more"),
        (Nutrient::Calcium | Nutrient::Phosphorus, false) => ("one gram a kg less", "a tenth of a gram less"),
        (Nutrient::Calcium | Nutrient::Phosphorus, true) => ("one gram a kg more", "a tenth of a gram more"),
        (Nutrient::Copper | Nutrient::Molybdenum | Nutrient::Selenium, false) => {
            ("one mg a kg less", "a tenth of a mg less")
        }
        (Nutrient::Copper | Nutrient::Molybdenum | Nutrient::Selenium, true) => {
            ("one mg a kg more", "a tenth of a mg more")
        }
        (_, false) => ("one point less", "a tenth of a point less"),
        (_, true) => ("one point more", "a tenth of a point more"),
    }
}

/// What a demand that is just met costs: `At least 16 % crude protein as fed is just met: one point less would save 4.10
/// a tonne`. None where it is met with room to spare.
pub fn shadow(met: &Met) -> Option<String> {
    if !met.binds {
        return None;
    }
    let (whole, tenth) = step_words(&met.demand);
    let (step, saves) = match met.step_saves {
        Some(saves) => (whole, saves),
        None => (tenth, met.shadow * met.demand.step() / 10.0),
    };
    Some(phrase!(
        "{} is just met: {step} would save {} a tonne",
        capital(&met.demand.to_string()),
        money(saves * 1000.0)
    ))
}

/// What holds a feed at its share, and what that costs.
pub fn limited(part: &Part) -> Option<String> {
    let percent = short(part.share * 100.0);
    let costs = money(part.limit_costs * 1000.0);
    let name = &part.name;
    Some(match part.limited? {
        Limited::Least => {
            phrase!(
                "{name} is held up at its least share of {percent} %: one point less would save {costs} a tonne"
            )
        }
        Limited::Most => {
            phrase!(
                "{name} is held down at its highest share of {percent} %: one point more would save {costs} a tonne"
            )
        }
        Limited::Fixed => phrase!("{name} is fixed at {percent} %"),
    })
}

/// What a feed that stays out would have to cost.
pub fn left_out(part: &Part) -> Option<String> {
    let out = part.left_out?;
    let name = &part.name;
    Some(match out.comes_in_at {
        Some(price) => phrase!(
            "{name} stays out at {} a kg: it comes in when it costs less than {}",
            money(out.price),
            money(price)
        ),
        None => phrase!("{name} stays out: it would not come in for nothing"),
    })
}

/// Why there is no mix: what it is, and a line for each thing that stands in the way or would help.
pub fn no_blend(why: &NoBlend) -> (String, Vec<String>) {
    match why {
        NoBlend::Cannot(c) => (phrase!("These feeds cannot meet all of it"), cannot(c)),
        other => (capital(&other.to_string()), Vec::new()),
    }
}

fn cannot(c: &Cannot) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for a in &c.alone {
        let word = if matches!(a.demand, Demand::Most { .. }) { "least" } else { "most" };
        said.push(phrase!(
            "{}: the {word} these feeds reach within their shares is {}",
            capital(&a.demand.to_string()),
            a.demand.shown(a.best)
        ));
    }
    for (a, b) in &c.quarrel {
        said.push(phrase!("{} quarrels with {b}: each can be met alone, not both", capital(&a.to_string())));
    }
    if said.is_empty() {
        said.push(phrase!("Each two of the demands can be met, but not all of them together"));
    }
    let do_with: Vec<String> = c
        .short
        .iter()
        .map(|s| {
            phrase!(
                "{} {} instead of {}",
                s.demand.about(),
                just(&s.demand, s.reached),
                s.demand.shown(s.demand.figure())
            )
        })
        .collect();
    if !do_with.is_empty() {
        said.push(phrase!("What would just do: {}", do_with.join(" and ")));
    }
    said.push(phrase!("Or widen the shares, or add a feed that holds more of what is short"));
    said
}

/// What the nearest mix reaches, rounded to the side on which it is met.
fn just(demand: &Demand, reached: f64) -> String {
    let tenths = reached * 10.0;
    let rounded = match demand {
        Demand::Most { .. } => (tenths - 1e-6).ceil(),
        _ => (tenths + 1e-6).floor(),
    };
    demand.shown(rounded / 10.0)
}

/// What a mix holds at least: figures that are not known are taken as nothing.
pub fn floor(parts: &[(&Ingredient, f64)]) -> Holds {
    let filled: Vec<(Ingredient, f64)> = parts
        .iter()
        .map(|(feed, kg)| {
            let mut feed = (*feed).clone();
            for what in Nutrient::ALL.iter().filter(|n| **n != Nutrient::DryMatter) {
                if feed.analysis.get(*what).is_none() {
                    feed.analysis = feed.analysis.with_thousandths(*what, Some(0));
                }
            }
            (feed, *kg)
        })
        .collect();
    holds(filled.iter().map(|(feed, kg)| (feed, *kg)))
}

/// What must be said about a mix, the gravest first.
pub fn cautions(
    rules: &FeedRules,
    parts: &[(&Ingredient, f64)],
    eaters: Option<Eaters>,
) -> Vec<(Grave, Why, String)> {
    let mut said: Vec<(Grave, Why, String)> =
        of_mix(rules, parts, eaters).iter().map(|c| (c.grave(), c.why(), c.to_string())).collect();
    said.push((
        Grave::Note,
        Why::FeedChange,
        phrase!("A sudden change sours the rumen: go over to a new mix little by little, in one to two weeks, beside the old one"),
    ));
    said.sort_by_key(|(grave, ..)| *grave);
    said
}

/// What a mix holds of one thing, beside what is asked of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// What.
    pub what: What,
    /// Its figure as fed; none where it is not known or has no base.
    pub as_fed: Option<f64>,
    /// Its figure of dry matter, or the ratio.
    pub dry: Option<f64>,
    /// What is asked: `at least 16 % as fed`; empty where nothing is.
    pub asked: String,
    /// Whether that is met; none where nothing is asked, or it is not known.
    pub met: Option<bool>,
    /// Feeds of which it is not known.
    pub unknown: Vec<String>,
    /// Where it is not known of some: as fed and of dry matter, what the others bring; more by what those hold.
    pub floor: Option<(f64, f64)>,
}

/// What a mix holds, on both bases, beside what is asked: a row for each thing.
pub fn held(holds: &Holds, floor: &Holds, demands: &[Demand]) -> Vec<Held> {
    let row = |what: What| {
        let mine = demands.iter().filter(|d| match (d, what.nutrient()) {
            (Demand::Ratio { .. }, None) => true,
            (Demand::Least { what: n, .. } | Demand::Most { what: n, .. }, Some(m)) => *n == m,
            _ => false,
        });
        let mine: Vec<&Demand> = mine.collect();
        let (as_fed, dry, unknown) = match what.nutrient() {
            None => {
                let (ca, p) = (Nutrient::Calcium, Nutrient::Phosphorus);
                let mut unknown = holds.unknown(ca).to_vec();
                unknown.extend(holds.unknown(p).iter().filter(|n| !holds.unknown(ca).contains(n)).cloned());
                (None, holds.calcium_to_phosphorus(), unknown)
            }
            Some(Nutrient::DryMatter) => {
                let n = Nutrient::DryMatter;
                (holds.get(n, Base::AsFed), None, holds.unknown(n).to_vec())
            }
            Some(n) => (holds.get(n, Base::AsFed), holds.get(n, Base::DryMatter), holds.unknown(n).to_vec()),
        };
        let base = |d: &Demand| match d {
            Demand::Least { what: n, base, .. } | Demand::Most { what: n, base, .. } => {
                if *n == Nutrient::DryMatter { "" } else { base.word() }
            }
            Demand::Ratio { .. } => "",
        };
        let words = |d: &&Demand| {
            let how = if matches!(d, Demand::Most { .. }) { "at most" } else { "at least" };
            format!("{how} {} {}", d.shown(d.figure()), base(d)).trim_end().to_string()
        };
        let asked = match mine.as_slice() {
            [a, b] if a.figure() == b.figure() => {
                phrase!("exactly {} {}", a.shown(a.figure()), base(a)).trim_end().to_string()
            }
            all => all.iter().map(words).collect::<Vec<_>>().join(", "),
        };
        let reached: Option<Vec<bool>> = mine.iter().map(|d| d.reached(holds).map(|x| d.met_by(x))).collect();
        let met = reached.filter(|all| !all.is_empty()).map(|all| all.iter().all(|m| *m));
        let least = what.nutrient().filter(|n| !unknown.is_empty() && *n != Nutrient::DryMatter);
        let least = least.and_then(|n| Some((floor.get(n, Base::AsFed)?, floor.get(n, Base::DryMatter)?)));
        let floor = least.filter(|(x, _)| *x > 0.0);
        Held { what, as_fed, dry, asked, met, unknown, floor }
    };
    What::ALL.into_iter().map(row).collect()
}

/// What rounding to whole bags and scoops does: its weight, and the demands it misses.
pub fn rounded_words(rounded: &Rounded, blend: &Blend, units: Units) -> Vec<String> {
    let kg = |x: f64| Mass::from_kg(x).unwrap_or_default().show(units);
    let mut said = vec![phrase!(
        "In whole bags and scoops it comes to {} instead of {}, {}",
        kg(rounded.kg),
        kg(blend.total_kg),
        cost_words(rounded.cost, rounded.kg, units)
    )];
    for s in &rounded.short {
        said.push(phrase!("Rounded so it misses {}: it reaches {}", s.demand, s.demand.shown(s.reached)));
    }
    if !rounded.outside.is_empty() {
        said.push(phrase!("Rounded so the share of {} lies outside its limits", rounded.outside.join(", ")));
    }
    said
}

/// The square in a sentence, with both bases named where they are known; `total` is what is made, as fed.
pub fn square_words(square: &Square, total: Mass, units: Units) -> String {
    let [a, b] = &square.corners;
    let unit = square.what.short_unit();
    let percent = |x: f64| format!("{:.1} %", x * 100.0);
    let shares = |x: f64, y: f64, base: &'static str| {
        phrase!("{} {} and {} {} {base}", percent(x), a.name, percent(y), b.name)
    };
    let other = match square.base {
        Base::AsFed => Base::DryMatter,
        Base::DryMatter => Base::AsFed,
    };
    let mut said = phrase!(
        "{} {} {unit} and {} {} {unit} to {} {unit} {} {}: {} parts and {} parts; {}",
        a.name,
        short(a.figure),
        b.name,
        short(b.figure),
        short(square.need),
        square.what.words(),
        of(square.base),
        short(a.parts),
        short(b.parts),
        shares(a.share, b.share, of(square.base)),
    );
    if let (Some(x), Some(y)) = (a.other_share, b.other_share) {
        said.push_str(&format!("; {}", shares(x, y, of(other))));
    }
    if let Some([x, y]) = square.as_fed() {
        let part = |share: f64| Mass::from_kg(share * total.kg()).unwrap_or_default().show(units);
        said.push_str(&phrase!(
            "; of {} {} {} and {} {}",
            total.show(units),
            part(x),
            a.name,
            part(y),
            b.name
        ));
    }
    said
}

/// `as fed`, `of dry matter`.
fn of(base: Base) -> &'static str {
    match base {
        Base::AsFed => "as fed",
        Base::DryMatter => "of dry matter",
    }
}
