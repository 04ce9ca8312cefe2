//! A treatment: the product, then dose, route, batch, site, reason and people in any order.

use super::clause::{Scene, one, span_of};
use super::lex::{Kind, Token};
use super::subject::is;
use super::words::{Sense, senses};
use super::{Doubt, Draft, Reading};
use crate::entry::{DoseDraft, TreatmentDraft};
use crate::terms::{AnimalId, Dose, Withdrawal};

/// A treatment at the start of the tokens: its readings, one for each product it may be, and how many tokens.
pub(super) fn read(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<(Vec<Reading>, usize)> {
    let gave = is(tokens, Sense::Gave).unwrap_or_default();
    // '2 ml clostridial' puts the dose first.
    let ahead = dose(&tokens[gave..]);
    let mut n = gave + ahead.map_or(0, |(_, k)| k);
    let (mut products, k) = scene.words.products(&tokens[n..]);
    let mut doubts = Vec::new();
    if products.is_empty() {
        if gave == 0 {
            return None;
        }
        let (name, k) = words(&tokens[n..], true)?;
        let says = format!("'{name}' is not in the cupboard: its withdrawal is not known");
        doubts.push(Doubt { span: span_of(&tokens[n..n + k]), says });
        products.push(name);
        n += k;
    } else {
        n += k;
    }
    let mut d = TreatmentDraft {
        animals: about.to_vec(),
        at: scene.at.moment(),
        product: String::new(),
        batch: None,
        dose: ahead.map_or(DoseDraft::ByRule, |(dose, _)| DoseDraft::Typed(Some(dose))),
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: None,
        milk: None,
        more: Default::default(),
    };
    let mut giver = true;
    loop {
        let comma = usize::from(tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
        match attribute(&tokens[(n + comma).min(tokens.len())..], &mut d) {
            Some(k) => n += comma + k,
            None if is(&tokens[(n + comma).min(tokens.len())..], Sense::NoGiver).is_some() => {
                n += comma + is(&tokens[n + comma..], Sense::NoGiver).unwrap_or_default();
                giver = false;
            }
            None => break,
        }
    }
    if giver && d.given_by.is_none() {
        let usual = &scene.flock.holding().given_by;
        d.given_by = (!usual.is_empty()).then(|| usual.clone());
    }
    let readings = products.into_iter().map(|product| {
        let draft = TreatmentDraft { product, ..d.clone() };
        one(scene, Draft::Treatment(Box::new(draft)), doubts.clone())
    });
    Some((readings.collect(), n))
}

/// A treatment that names its animals behind it: `gave clostridial 2 ml to pen 3 lambs`.
pub(super) fn animals_last(
    scene: &Scene<'_>,
    tokens: &[Token],
) -> Option<(Vec<Reading>, usize, Vec<AnimalId>)> {
    let (mut readings, mut n) = read(scene, &[], tokens)?;
    n += tokens[n..].iter().take_while(|t| matches!(t.kind, Kind::Comma | Kind::Colon)).count();
    n += is(&tokens[n..], Sense::To).unwrap_or_default();
    let (whom, k) = super::subject::subject(scene, &tokens[n..], false)?;
    for r in &mut readings {
        if let Some(Draft::Treatment(d)) = &mut r.draft {
            d.animals.clone_from(&whom);
        }
        if let Some(draft) = &r.draft {
            r.sentence = super::say(draft, scene.flock, scene.today);
        }
    }
    Some((readings, n + k, whom))
}

/// `2 ml`, `2ml`, `500 mg`, `1 tablet`: a number without a unit is no dose.
pub(super) fn dose(tokens: &[Token]) -> Option<(Dose, usize)> {
    let first = tokens.first().filter(|t| t.is_word() && t.low.as_bytes()[0].is_ascii_digit())?;
    if first.number().is_none() {
        return Dose::parse(&first.low).ok().map(|d| (d, 1));
    }
    let unit = tokens.get(1).filter(|t| t.is_word() && t.number().is_none())?;
    Dose::parse(&format!("{} {}", first.low, unit.low)).ok().map(|d| (d, 2))
}

fn attribute(tokens: &[Token], d: &mut TreatmentDraft) -> Option<usize> {
    if let Some((dose, k)) = dose(tokens) {
        d.dose = DoseDraft::Typed(Some(dose));
        return Some(k);
    }
    for (sense, k) in senses(tokens) {
        let rest = &tokens[k..];
        let text = |short: bool| words(rest, short);
        let taken = match sense {
            Sense::NoDose => {
                d.dose = DoseDraft::Typed(None);
                Some(0)
            }
            Sense::Route(route) => {
                d.route = Some(route);
                Some(0)
            }
            Sense::Batch => rest.first().filter(|t| matches!(t.kind, Kind::Word | Kind::Quoted)).map(|t| {
                d.batch = Some(t.text.clone());
                1
            }),
            Sense::For => text(true).map(|(words, n)| {
                d.reason = Some(words);
                n
            }),
            Sense::By => text(true).map(|(words, n)| {
                d.given_by = Some(words);
                n
            }),
            Sense::Prescribed => text(true).map(|(words, n)| {
                d.prescribed_by = Some(words);
                n
            }),
            Sense::Site => text(true).map(|(words, n)| {
                d.site = Some(words);
                n
            }),
            Sense::Meat => period(rest).map(|(p, n)| {
                d.meat = Some(p);
                n
            }),
            Sense::Milk => period(rest).map(|(p, n)| {
                d.milk = Some(p);
                n
            }),
            _ => None,
        };
        if let Some(n) = taken {
            return Some(k + n);
        }
    }
    None
}

/// `28`, `28 days`, `60 h`, `never`, `unknown`.
fn period(tokens: &[Token]) -> Option<(Withdrawal, usize)> {
    let first = tokens.first().filter(|t| t.is_word())?;
    if first.low == "unknown" {
        return Some((Withdrawal::Unknown, 1));
    }
    if let Some(unit) = tokens.get(1).filter(|t| t.is_word())
        && first.number().is_some()
        && let Ok(p) = Withdrawal::parse(&format!("{} {}", first.low, unit.low))
    {
        return Some((p, 2));
    }
    Withdrawal::parse(&first.low).ok().map(|p| (p, 1))
}

/// Words as they stand: a quoted text, or words up to a comma or the next attribute.
pub(super) fn words(tokens: &[Token], until_attribute: bool) -> Option<(String, usize)> {
    if let Some(t) = tokens.first().filter(|t| t.kind == Kind::Quoted) {
        return Some((t.text.clone(), 1)).filter(|(w, _)| !w.is_empty());
    }
    let mut n = 0;
    while let Some(t) = tokens.get(n).filter(|t| t.is_word()) {
        let ends = until_attribute
            && n > 0
            && (dose(&tokens[n..]).is_some()
                || senses(&tokens[n..]).any(|(s, _)| {
                    matches!(
                        s,
                        Sense::Batch
                            | Sense::For
                            | Sense::Prescribed
                            | Sense::Meat
                            | Sense::Milk
                            | Sense::Route(_)
                            | Sense::By
                            | Sense::Site
                    )
                }));
        if ends || (n == 0 && t.number().is_some()) {
            break;
        }
        n += 1;
    }
    let text: Vec<&str> = tokens[..n].iter().map(|t| t.text.as_str()).collect();
    (n > 0).then(|| (text.join(" "), n))
}
