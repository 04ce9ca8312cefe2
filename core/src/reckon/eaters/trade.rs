//! The trade's rule of thumb for nursing ewes as a proposal, and the keeper's own targets in the words of his rules.

use super::{Heads, given};
use crate::entry::RationDraft;
use crate::flock::{Feed, Flock};
use crate::phrase;
use crate::reckon::ration;
use crate::terms::{Base, Day, Eaters, FeedKind, Mass, MeasureId, Nutrient, norm};

/// A nursing ewe is given so much grain a day beside a flake of hay (common practice, no source).
const GRAIN_G: u64 = 900;
/// Crude protein of that grain, percent as fed, and how far off it may be.
const PROTEIN: (f64, f64) = (12.0, 2.0);

/// What is said of the rule.
pub const TRADE_RULE: &str = "Common practice, no source: a nursing ewe gets a flake of hay and about 0.9 kg (2 lb) of grain of 12 % crude protein a day, \
    the grain brought in slowly and in two feeds.";

const NURSING: [Eaters; 3] = [Eaters::NursingOne, Eaters::NursingTwo, Eaters::NursingThree];

/// The trade's rule as lines from today on, for the nursing ewes that no ration holds for; empty where there are none.
///
/// # Errors
/// What is missing for it, and what to do.
pub fn trade_rule(flock: &Flock, heads: &Heads) -> Result<Vec<RationDraft>, String> {
    let on = heads.on;
    let room = flock.feedroom();
    let bare = |eaters: &Eaters| {
        let pens = || heads.pens.iter().filter(|p| !p.animals(*eaters).is_empty());
        pens().next().is_some() && pens().all(|p| given(room, &p.pen, *eaters, on).is_empty())
    };
    let groups: Vec<Eaters> = NURSING.into_iter().filter(bare).collect();
    if groups.is_empty() {
        return Ok(Vec::new());
    }
    let flakes =
        room.measures.iter().filter(|m| m.struck.is_none() && m.on <= on && norm(&m.name) == "FLAKE");
    let hay = flakes
        .filter_map(|m| Some((m, room.feed(m.feed).filter(|f| f.kind == FeedKind::Hay)?)))
        .max_by_key(|(m, _)| (m.on, m.id));
    let Some((flake, hay)) = hay else {
        return Err(phrase!(
            "no flake of hay is weighed out: write the hay under Store, and weigh some flakes of it as a measure called flake"
        ));
    };
    let Some(grain) = grain(flock, on) else {
        return Err(phrase!(
            "no grain or mix of about 12 % crude protein as fed is known: write one under Store with the protein of its label"
        ));
    };
    let line = |eaters: Eaters, feed: &Feed, each: Mass, measure: Option<MeasureId>| RationDraft {
        eaters,
        pen: None,
        feed: feed.name.clone(),
        from: on,
        each,
        measure,
        note: Some("by the trade's rule".into()),
    };
    let grain_g = Mass::from_grams(GRAIN_G).unwrap_or_default();
    let both = |e: Eaters| [line(e, hay, flake.mean(), Some(flake.id)), line(e, grain, grain_g, None)];
    Ok(groups.into_iter().flat_map(both).collect())
}

/// The grain or mix whose crude protein as fed is nearest to twelve percent.
fn grain(flock: &Flock, on: Day) -> Option<&Feed> {
    let off = |f: &Feed| {
        let made = ration::ingredient(flock, f.id, on)?;
        let protein = made.analysis.on(Nutrient::Protein, Base::AsFed)?;
        let off = (protein - PROTEIN.0).abs();
        (made.is_grain_like() && made.medicine.is_none() && off <= PROTEIN.1).then_some(off)
    };
    let all = flock.feedroom().feeds.iter().filter_map(|f| Some((off(f)?, f)));
    all.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, f)| f)
}

/// The key of a daily figure in the keeper's rules of feeding; none for what is no figure of a target.
pub fn target_key(what: Nutrient) -> Option<&'static str> {
    Some(match what {
        Nutrient::DryMatter => "dry_matter_kg",
        Nutrient::Tdn => "tdn_kg",
        Nutrient::Energy => "energy_mj",
        Nutrient::Protein => "protein_g",
        Nutrient::Calcium => "calcium_g",
        Nutrient::Phosphorus => "phosphorus_g",
        _ => return None,
    })
}

/// The keeper's rules of feeding ([`crate::flock::Holding::feeding`]) with these figures as the target of a group, in
/// their daily units, in place of those that stood there; without figures the target is taken out. All else he wrote
/// stays as it is.
pub fn with_target(text: &str, eaters: Eaters, figures: &[(Nutrient, f64)]) -> String {
    let mut kept = String::new();
    let mut block = String::new();
    let name = format!("\"{}\"", eaters.word());
    let mine = |block: &str| {
        let mut lines = block.lines().map(str::trim);
        let says = |l: &str| {
            l.strip_prefix("eaters").is_some_and(|r| r.trim_start().starts_with('=') && r.contains(&name))
        };
        lines.next() == Some("[[target]]") && lines.any(says)
    };
    for line in text.lines().chain(["["]) {
        if line.trim_start().starts_with('[') {
            if !mine(&block) {
                kept.push_str(&block);
            }
            block.clear();
        }
        block.push_str(line);
        block.push('\n');
    }
    let figures: Vec<String> =
        figures.iter().filter_map(|(what, x)| Some(format!("{} = {x}\n", target_key(*what)?))).collect();
    let mut kept = kept.trim_end().to_string();
    if !figures.is_empty() {
        if !kept.is_empty() {
            kept.push_str("\n\n");
        }
        kept.push_str(&format!("[[target]]\neaters = {name}\n{}", figures.concat()));
    }
    kept.trim_end().to_string()
}
