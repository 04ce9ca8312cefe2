//! The form of a bottle opened, stock wasted or disposed of.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::super::read;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, Refusal, StockDraft};
use hirsel_core::flock::StockChange;
use hirsel_core::phrase;
use hirsel_core::reckon::stock::Line;
use hirsel_core::terms::BatchId;
use hirsel_core::terms::Why;
use serde::{Deserialize, Serialize};

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
enum What {
    Opened,
    Wasted,
    Disposed,
}

const WHAT: [(What, &str); 3] =
    [(What::Opened, "opened"), (What::Wasted, "wasted"), (What::Disposed, "disposed of")];

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    what: Option<What>,
    batch: PickerState<BatchId>,
    on: String,
    quantity: String,
    how: String,
    place: String,
    reason: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl Typed {
    /// Brings away what is left of a batch.
    pub(super) fn dispose(l: &Line) -> Self {
        let mut t = Self {
            what: Some(What::Disposed),
            quantity: l.left.map(|d| d.to_string()).unwrap_or_default(),
            focus: Some("How"),
            ..Self::default()
        };
        if let Some(found) = read::found(l) {
            t.batch.choose(found);
        }
        t
    }

    /// Ready for the next: what, day, how and where stay.
    pub(super) fn next(&mut self) {
        self.batch.clear();
        self.quantity.clear();
        self.reason.clear();
        self.refusals.clear();
        self.focus = Some("Batch");
    }
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
    if std::mem::take(into) {
        t.focus.get_or_insert("What happened");
    }
    let mut go = false;
    let mut closed = false;
    egui::ScrollArea::vertical().id_salt("moved").auto_shrink(false).show(ui, |ui| {
        look::subheading(ui, "Opened, wasted, disposed of");
        ui.add_space(space::XS);
        let mut form = Form::new(ui, "moved").label_width(140.0);
        if let Some(label) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, label);
            t.focus = wish.then_some(label);
        }
        fields_of(ui, ctx, t, lines, &mut form);
        go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::S);
        ui.horizontal_wrapped(|ui| {
            go |= look::primary(ui, "Write it").clicked();
            closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
            if t.what == Some(What::Disposed) {
                look::faint(
                    ui,
                    "Bring it back to the vet or merchant; never into drain, muck or bin. Local law decides.",
                );
                caution::link(ui, Why::Disposal);
            }
        });
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if go {
        match checked(ctx, t, lines) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
    closed
}

fn fields_of(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, lines: &[Line], form: &mut Form) {
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (batch, on, quantity) = (
        wrong("batch").or_else(|| wrong("product")),
        wrong("on").or_else(|| wrong("opened_on")),
        wrong("quantity"),
    );
    t.what.get_or_insert(What::Opened);
    form.choice(ui, &Choice::new("What happened", &WHAT), &mut t.what);
    form.batch(ui, ctx, lines, &mut t.batch, batch.as_deref());
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    if t.what == Some(What::Opened) {
        return;
    }
    form.amount(ui, "Quantity", &mut t.quantity, quantity.as_deref());
    if t.what == Some(What::Disposed) {
        form.field(ui, &Field::new("How").width(260.0).example("brought back in its bottle"), &mut t.how);
        form.field(ui, &Field::new("Where").width(260.0).example("the vet's practice"), &mut t.place);
    }
    let example = if t.what == Some(What::Disposed) { "out of date" } else { "bottle broke" };
    form.field(ui, &Field::new("Because of").width(260.0).example(example), &mut t.reason);
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed, lines: &[Line]) -> Result<Intent, (&'static str, String)> {
    let at = |label: &'static str| move |e: String| (label, e);
    let found =
        t.batch.chosen().and_then(|id| Some((id, lines.iter().find(|l| l.deliveries.contains(&id))?)));
    let Some((id, line)) = found else {
        let text = t.batch.text.trim();
        let words = match text {
            "" => phrase!("a batch is needed: type part of its product or number"),
            text => phrase!("'{text}' is not settled: choose one of the list, or write its purchase first"),
        };
        return Err(("Batch", words));
    };
    let on = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let check = match t.what {
        Some(What::Wasted | What::Disposed) => {
            let disposed = t.what == Some(What::Disposed);
            let draft = StockDraft {
                product: line.name.clone(),
                batch: line.batch.clone(),
                on,
                change: if disposed { StockChange::Disposed } else { StockChange::Wasted },
                quantity: read::amount(&t.quantity).map_err(at("Quantity"))?,
                how: fields::some(&t.how).filter(|_| disposed),
                place: fields::some(&t.place).filter(|_| disposed),
                reason: fields::some(&t.reason),
            };
            entry::stock_moves(vec![draft], ctx.flock, ctx.today)
        }
        _ => entry::opened(id, on, ctx.flock, ctx.today),
    };
    match check {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone })
        }
        Err(refusals) => {
            let label = match refusals.first().map(|r| r.field.name) {
                Some("on" | "opened_on") => "Day",
                Some("quantity") => "Quantity",
                _ => "Batch",
            };
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err((label, first))
        }
    }
}
