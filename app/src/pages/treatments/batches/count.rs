//! The count of the shelf: every batch that may be there, in one column. An empty line is as the book says.

use super::super::super::{Ctx, Intent, Then, fields};
use super::super::read::{batch_words, name};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Refusal, StockDraft};
use hirsel_core::flock::StockChange;
use hirsel_core::phrase;
use hirsel_core::reckon::stock::{Amount, Line, State};
use hirsel_core::terms::{Dose, Misread};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The count as typed: by product and number, as they are named.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    on: String,
    found: BTreeMap<String, String>,
    reason: String,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    refusals: Vec<(String, Refusal)>,
}

/// What is counted: all that has a number and is not known to be used up.
fn counted(lines: &[Line]) -> impl Iterator<Item = &Line> {
    lines.iter().filter(|l| {
        l.batch.is_some() && l.state != State::Empty && !(l.deliveries.is_empty() && l.left.is_none())
    })
}

/// An amount and, behind it, why it differs: `40`, `40 spilled`, `0`, `none`.
fn read(text: &str) -> Result<(Option<Dose>, Option<String>), Misread> {
    let text = text.trim();
    if let Some(why) = text.strip_prefix("none") {
        return Ok((None, fields::some(why)));
    }
    let mut wrong = None;
    // The longest beginning that is an amount; what is behind it is the reason.
    let ends = text.char_indices().filter(|(_, c)| c.is_whitespace() || *c == ';').map(|(i, _)| i);
    let mut ends: Vec<usize> = ends.chain(std::iter::once(text.len())).collect();
    ends.reverse();
    for end in ends {
        match Dose::parse_stock(&text[..end]) {
            Ok(dose) => {
                let why = text[end..].trim_matches(|c: char| c.is_whitespace() || c == ';');
                return Ok((Some(dose).filter(|d| Amount::of(*d).n > 0), fields::some(why)));
            }
            Err(e) => wrong = Some(e),
        }
    }
    Err(wrong.unwrap_or_else(|| Misread::new("an amount is needed")))
}

/// Draws it; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    lines: &[Line],
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    let all: Vec<&Line> = counted(lines).collect();
    if std::mem::take(into) {
        t.focus = all.first().map(|l| name(l));
    }
    let mut go = false;
    let mut closed = false;
    look::subheading(ui, "Count the shelf");
    look::paragraph(
        ui,
        "Write what stands there. A line left empty is as the book says. Behind an amount that differs write why: 40 spilled.",
    );
    let foot = 150.0;
    let room = (ui.available_height() - foot).max(120.0);
    let mut form = Form::new(ui, "count").label_width((ui.available_width() * 0.34).clamp(200.0, 380.0));
    if let Some(label) = t.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        t.focus = wish.then_some(label);
    }
    egui::ScrollArea::vertical().id_salt("count").max_height(room).auto_shrink([false, true]).show(
        ui,
        |ui| {
            for l in &all {
                let label = name(l);
                let says = l.left.map_or_else(|| phrase!("the book cannot say"), |d| d.to_string());
                let refusal = t.refusals.iter().find(|(of, _)| *of == label).map(|(_, r)| r.to_string());
                let understood = |text: &str| {
                    let (found, why) = read(text).map_err(|e| e.0)?;
                    let found = found.map_or_else(|| phrase!("none"), |d| d.to_string());
                    let why = why.map(|w| format!(" ({w})")).unwrap_or_default();
                    Ok(phrase!("{found}{why}; the book says {says}"))
                };
                let text = t.found.entry(label.clone()).or_default();
                let caution = text.is_empty().then(|| batch_words(l)).filter(|w| !w.is_empty());
                let field = Field::new(&label).width(190.0).example(&says).understand(&understood);
                form.field(
                    ui,
                    &field.unit(caution.as_deref().unwrap_or("")).refusal(refusal.as_deref()),
                    text,
                );
            }
        },
    );
    ui.add_space(space::S);
    form.set_label_width(140.0);
    let on = t.refusals.iter().find(|(_, r)| r.field.name == "on").map(|(_, r)| r.to_string());
    form.day(ui, ctx, "Counted on", &mut t.on, on.as_deref());
    let field = Field::new("Reason").width(320.0).example("of any other difference");
    form.field(ui, &field, &mut t.reason);
    go |= form.finish(ui) == FormEvent::Submitted;
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the count").clicked();
        closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
        look::faint(
            ui,
            phrase!(
                "{} to be counted; Ctrl+Enter writes it.",
                hirsel_core::terms::counted(all.len(), "line")
            ),
        );
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if go {
        match checked(ctx, t, &all) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
    closed
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed, all: &[&Line]) -> Result<Intent, (String, String)> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Counted on".into(), e))?;
    let common = fields::some(&t.reason);
    let mut drafts = Vec::new();
    let mut names = Vec::new();
    for l in all {
        let label = name(l);
        let text = t.found.get(&label).map(|s| s.trim()).unwrap_or_default();
        let (quantity, why) = match (text, l.left) {
            // Not known and not counted: nothing to write.
            ("", None) => continue,
            ("", Some(left)) => (Some(left).filter(|d| Amount::of(*d).n > 0 && l.short.is_none()), None),
            (text, _) => read(text).map_err(|e| (label.clone(), e.0))?,
        };
        let same = l.short.is_none() && l.left.map(Amount::of) == quantity.map(Amount::of);
        drafts.push(StockDraft {
            product: l.name.clone(),
            batch: l.batch.clone(),
            on,
            change: StockChange::Counted,
            quantity,
            how: None,
            place: None,
            reason: why.or_else(|| common.clone().filter(|_| !same)),
        });
        names.push(label);
    }
    match entry::stock_moves(drafts, ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone })
        }
        Err(refusals) => {
            let named = |r: Refusal| (names.get(r.field.row).cloned().unwrap_or_default(), r);
            t.refusals = refusals.into_iter().map(named).collect();
            let first = t.refusals.first().map(|(label, r)| {
                let label = if r.field.name == "on" { "Counted on".to_string() } else { label.clone() };
                (label, r.to_string())
            });
            Err(first.unwrap_or_default())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_may_carry_its_reason() {
        let ml = |n: u32| Some(Dose::Volume(n * 1000));
        for (typed, found, why) in [
            ("40", ml(40), None),
            ("40 ml", ml(40), None),
            ("2 x 20 ml", ml(40), None),
            ("40 spilled a bit", ml(40), Some("spilled a bit")),
            ("40 ml; spilled", ml(40), Some("spilled")),
            ("0 broke", None, Some("broke")),
            ("none", None, None),
            ("none left", None, Some("left")),
        ] {
            assert_eq!(read(typed).unwrap(), (found, why.map(Into::into)), "{typed}");
        }
        for wrong in ["spilled", "-3", ""] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }
}
