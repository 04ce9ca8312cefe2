//! From what is typed to a checked entry.

use super::super::{Ctx, Intent, Then, fields};
use super::{State, form, form::SireChoice};
use hirsel_core::entry::{self, LambingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{Ease, Moment};

/// The checked lambing, or the label of the field that is wrong and a sentence.
pub(super) fn checked(ctx: &Ctx<'_>, state: &mut State) -> Result<Intent, (String, String)> {
    let draft = draft(ctx, state)?;
    match entry::lambing(draft, ctx.flock, ctx.today) {
        Ok(checked) => {
            state.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::Lambed })
        }
        Err(refusals) => {
            let first = refusals.first().map(|r| (label(r.field.name, r.field.row), r.to_string()));
            state.refusals = refusals;
            Err(first.unwrap_or_default())
        }
    }
}

fn label(field: &str, row: usize) -> String {
    let name = match field {
        "ewe" => return "Ewe".into(),
        "on" => return "Day".into(),
        "ram" => return "Sire".into(),
        "foster_on" => return "Foster on".into(),
        "sex" => "Sex",
        "birth_weight_kg" => "Weight",
        "fate" => "It is",
        "reared_by" => "Reared by",
        _ => "Tag",
    };
    super::lamb::label_of(name, row)
}

fn draft(ctx: &Ctx<'_>, state: &State) -> Result<LambingDraft, (String, String)> {
    let t = &state.typed;
    let at = |label: &'static str| move |e: String| (label.to_string(), e);
    let ewe = fields::picked(ctx, &t.ewe, "the ewe").map_err(at("Ewe"))?;
    let ewe =
        ewe.ok_or_else(|| ("Ewe".to_string(), "which ewe lambed? Type any part of her tag".to_string()))?;
    let day = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let time = fields::time_of(&t.time).map_err(at("Time"))?;
    let (all, proposed) = form::sires(ctx, state);
    let sire = match all.get(proposed) {
        Some(SireChoice::Ram(id)) => Sire::Known(*id),
        Some(SireChoice::OneOf(rams)) => Sire::OneOf(rams.clone()),
        Some(SireChoice::Other) => {
            let ram = fields::picked(ctx, &t.ram, "the ram").map_err(at("Ram"))?;
            ram.map(Sire::Known)
                .ok_or_else(|| ("Ram".to_string(), "which ram? Type any part of his tag".to_string()))?
        }
        _ => Sire::Unknown,
    };
    let foster = fields::picked(ctx, &t.foster_on, "the foster lamb").map_err(at("Foster on"))?;
    let lambs = t
        .lambs
        .iter()
        .filter(|l| l.has_sex())
        .enumerate()
        .map(|(n, l)| l.draft(ctx, n))
        .collect::<Result<Vec<_>, _>>()?;
    if let Some(n) = t.lambs.iter().position(|l| !l.has_sex() && !l.is_empty()) {
        return Err((super::lamb::label_of("Sex", n), format!("lamb {}: ewe or ram?", n + 1)));
    }
    if lambs.is_empty() {
        return Err((
            "Sex".into(),
            "a lambing needs at least one lamb: ewe or ram? Write a dead one as born dead".into(),
        ));
    }
    Ok(LambingDraft {
        ewe,
        at: Moment { day, time },
        sire,
        ease: t.ease.and_then(|e| Ease::ALL.get(usize::from(e)).copied()),
        help: fields::some(&t.help),
        note: fields::some(&t.note),
        pen: fields::some(&t.pen),
        lambs,
        foster_on: foster.into_iter().collect(),
    })
}
