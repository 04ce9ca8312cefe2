//! Random mixes with what this program makes of them, as JSON, for another solver to reckon again.
//!
//! `cargo run -p hirsel_tests --example ration -- FILE.json [HOW MANY] [SEED]`. Feeds are those of the handbook with random
//! prices and limits; `tests/peers/ration.py` builds each linear programme anew from figures and demands.

use hirsel_core::handbook::feeds;
use hirsel_core::reckon::ration::{Ask, Choice, Demand, Ingredient, NoBlend, blend};
use hirsel_core::terms::{Base, Nutrient};
use serde_json::{Value, json};
use std::process::ExitCode;

const ASKED: [Nutrient; 7] = [
    Nutrient::DryMatter,
    Nutrient::Protein,
    Nutrient::Energy,
    Nutrient::Tdn,
    Nutrient::Calcium,
    Nutrient::Phosphorus,
    Nutrient::Fibre,
];

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let Some(path) = args.next() else {
        eprintln!("say which file to write");
        return ExitCode::from(2);
    };
    let count = args.next().and_then(|s| s.parse().ok()).unwrap_or(300);
    let mut dice = fastrand::Rng::with_seed(args.next().and_then(|s| s.parse().ok()).unwrap_or(1));
    let whole: Vec<Ingredient> = feeds::all()
        .iter()
        .filter(|f| ASKED.iter().all(|what| f.analysis.get(*what).is_some()))
        .map(Ingredient::from)
        .collect();
    let all: Vec<Value> = (0..count).map(|_| told(&asked(&whole, &mut dice))).collect();
    if let Err(e) = std::fs::write(&path, Value::from(all).to_string()) {
        eprintln!("{path}: {e}");
        return ExitCode::from(2);
    }
    ExitCode::SUCCESS
}

/// Some feeds with prices and, now and then, limits; demands near what a random mix of them holds, so that most can be
/// met and some cannot.
fn asked(whole: &[Ingredient], dice: &mut fastrand::Rng) -> Ask {
    let mut feeds = whole.to_vec();
    dice.shuffle(&mut feeds);
    feeds.truncate(dice.usize(2..16));
    let mut choices: Vec<Choice> = feeds
        .into_iter()
        .map(|f| Choice::free(f.priced((dice.f64() * 60.0).round() / 100.0 + 0.03)))
        .collect();
    let n = choices.len() as f64;
    for c in &mut choices {
        match dice.u8(0..6) {
            0 => c.least = dice.f64() * 0.5 / n,
            1 => c.most = (dice.f64() + 1.5 / n).min(1.0),
            _ => {}
        }
    }
    let weights: Vec<f64> = choices.iter().map(|_| dice.f64()).collect();
    let mix = hirsel_core::reckon::ration::holds(choices.iter().map(|c| &c.feed).zip(weights));
    let demands = (0..dice.usize(1..7))
        .map(|_| {
            let what = *dice.choice(&ASKED).expect("there are some");
            let base = if dice.bool() { Base::AsFed } else { Base::DryMatter };
            let middling = mix.get(what, base).expect("all is known");
            let figure = (middling * (0.85 + 0.3 * dice.f64()) * 100.0).round() / 100.0;
            match dice.u8(0..9) {
                0 => Demand::Ratio {
                    over: Nutrient::Calcium,
                    under: Nutrient::Phosphorus,
                    least: 0.5 + dice.f64(),
                },
                1..=4 => Demand::Most { what, base, figure: figure.min(what.most()) },
                _ => Demand::Least { what, base, figure: figure.min(what.most()) },
            }
        })
        .collect();
    Ask { choices, demands, total_kg: 100.0 }
}

fn told(ask: &Ask) -> Value {
    let feeds: Vec<Value> = ask
        .choices
        .iter()
        .map(|c| {
            let figures: serde_json::Map<String, Value> =
                ASKED.iter().map(|w| (w.word().to_owned(), json!(c.feed.analysis.get(*w)))).collect();
            json!({"name": c.feed.name, "price": c.feed.price, "least": c.least, "most": c.most, "figures": figures})
        })
        .collect();
    let demands: Vec<Value> = ask
        .demands
        .iter()
        .map(|d| match d {
            Demand::Least { what, base, figure } => {
                json!({"how": "least", "what": what.word(), "base": base.word(), "figure": figure})
            }
            Demand::Most { what, base, figure } => {
                json!({"how": "most", "what": what.word(), "base": base.word(), "figure": figure})
            }
            Demand::Ratio { over, under, least } => {
                json!({"how": "ratio", "what": over.word(), "under": under.word(), "figure": least})
            }
        })
        .collect();
    let answer = match blend(ask) {
        Ok(b) => json!({
            "cost": b.cost_a_kg,
            "shares": b.parts.iter().map(|p| p.share).collect::<Vec<_>>(),
            "comes_in_at": b.parts.iter().map(|p| p.left_out.map(|l| l.comes_in_at)).collect::<Vec<_>>(),
            "shadow": b.demands.iter().map(|m| m.shadow).collect::<Vec<_>>(),
            "reached": b.demands.iter().map(|m| m.reached).collect::<Vec<_>>(),
        }),
        Err(NoBlend::Cannot(why)) => json!({
            "cannot": why.alone.iter().map(|a| json!({"demand": place(ask, &a.demand), "best": a.best})).collect::<Vec<_>>(),
            "quarrel": why.quarrel.iter().map(|(a, b)| [place(ask, a), place(ask, b)]).collect::<Vec<_>>(),
        }),
        Err(e) => json!({"refused": e.to_string()}),
    };
    json!({"feeds": feeds, "demands": demands, "answer": answer})
}

fn place(ask: &Ask, demand: &Demand) -> Option<usize> {
    ask.demands.iter().position(|d| d == demand)
}
