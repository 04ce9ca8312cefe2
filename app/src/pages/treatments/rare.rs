//! What is asked of some treatments only: a prescription, a vet's hand, a use off the label, a course, an amount for a
//! group, an estimated weight, withdrawal for export.

use super::super::{Ctx, fields};
use crate::look::{self, Kind};
use crate::parts::{Choice, Field, Form, Found, Picker, PickerState};
use hirsel_core::entry::{CourseDraft, TreatmentExtra};
use hirsel_core::flock::{Prescription, Product};
use hirsel_core::phrase;
use hirsel_core::terms::Why;
use hirsel_core::terms::{Dose, PrescriptionId, Weight, Withdrawal};
use serde::{Deserialize, Serialize};

/// The fields as typed.
#[derive(Debug, Default, Clone, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Rare {
    /// The fields are shown.
    pub(super) open: bool,
    pub(super) script: PickerState<PrescriptionId>,
    vet_gave: Option<bool>,
    pub(super) off_label: String,
    doses: String,
    hours: String,
    shared: String,
    estimated: String,
    bands: String,
    pub(super) export: String,
    /// The prescription whose facts stand in the form.
    filled_for: Option<PrescriptionId>,
}

/// What a prescription puts into the rest of the form.
pub(super) struct Directed {
    pub(super) vet: String,
    pub(super) meat: Option<Withdrawal>,
    pub(super) milk: Option<Withdrawal>,
    pub(super) reason: Option<String>,
}

impl Rare {
    /// Another product: what belonged to the one before goes with it; the fields stay open.
    pub(super) fn other_product(&mut self) {
        *self = Self { open: self.open, ..Self::default() };
    }

    /// The amount for all together, if one is typed that can be read.
    pub(super) fn shared(&self) -> Option<Dose> {
        shared_of(&self.shared).ok().flatten().filter(|_| self.open)
    }

    /// Hours from the first to the last dose of the course that is typed.
    pub(super) fn course_hours(&self) -> u32 {
        let whole = |t: &str| t.trim().parse::<u32>().ok();
        let doses = whole(&self.doses).filter(|n| self.open && (2..=30).contains(n));
        let between = if self.hours.trim().is_empty() { Some(24) } else { whole(&self.hours) };
        doses.zip(between).map_or(0, |(n, h)| (n - 1) * h.min(1000))
    }

    /// How wide the weight bands are, if the animals are dosed by bands.
    pub(super) fn band(&self, ctx: &Ctx<'_>) -> Option<Weight> {
        fields::weight_of(ctx, &self.bands).ok().flatten().filter(|_| self.open)
    }

    /// A vet gave it.
    pub(super) fn vet_gave(&self) -> bool {
        self.open && self.vet_gave == Some(true)
    }

    /// A treatment of the same kind may follow: what is of one animal or one dose goes.
    pub(super) fn next(&mut self) {
        self.shared.clear();
        self.estimated.clear();
    }

    /// The guessed weight, if one is typed that can be read.
    pub(super) fn estimated(&self, ctx: &Ctx<'_>) -> Option<Weight> {
        fields::weight_of(ctx, &self.estimated).ok().flatten().filter(|_| self.open)
    }

    /// The facts of a prescription chosen just now.
    pub(super) fn take_script(&mut self, ctx: &Ctx<'_>) -> Option<Directed> {
        let chosen = self.script.chosen();
        if chosen == self.filled_for {
            return None;
        }
        self.filled_for = chosen;
        let cupboard = ctx.flock.cupboard();
        let p = cupboard.prescription(chosen?)?;
        if p.off_label && self.off_label.trim().is_empty() {
            self.off_label = "as the vet prescribed it".into();
        }
        let written = |w: Withdrawal| (w != Withdrawal::Unknown).then_some(w);
        if let Some(export) = written(p.export) {
            self.export = export.text();
        }
        Some(Directed {
            vet: cupboard.vet(p.vet).map(|v| v.name.clone()).unwrap_or_default(),
            meat: written(p.meat),
            milk: written(p.milk),
            reason: p.reason.clone(),
        })
    }

    /// What was typed, for the draft.
    ///
    /// # Errors
    /// The field that is wrong, and why.
    pub(super) fn extra(&self, ctx: &Ctx<'_>) -> Result<TreatmentExtra, (String, String)> {
        let at = |label: &'static str| move |e: String| (label.to_string(), e);
        if !self.open {
            let export = Withdrawal::parse(&self.export).map_err(|e| (EXPORT.to_string(), e.0))?;
            let export = ctx.flock.rules().is_some_and(|r| r.tracks_export()).then_some(export);
            let off_label = fields::some(&self.off_label);
            return Ok(TreatmentExtra { export, off_label, ..TreatmentExtra::default() });
        }
        let whole = |text: &str, label: &'static str| match fields::some(text) {
            None => Ok(None),
            Some(t) => t
                .parse::<u16>()
                .map(Some)
                .map_err(|_| (label.to_string(), phrase!("'{t}' is no whole number: write it like 3"))),
        };
        let script = match self.script.chosen() {
            Some(id) => Some(id),
            None if self.script.text.trim().is_empty() => None,
            None => {
                let words = phrase!("'{}' is not settled: choose one from the list", self.script.text.trim());
                return Err((SCRIPT.into(), words));
            }
        };
        let course = match (whole(&self.doses, DOSES)?, whole(&self.hours, HOURS)?) {
            (None | Some(0 | 1), None) => None,
            (None, Some(_)) => return Err((DOSES.into(), phrase!("how many doses in all?"))),
            (Some(doses), hours) => {
                let doses = u8::try_from(doses).unwrap_or(u8::MAX);
                Some(CourseDraft { doses, every_hours: hours.unwrap_or(24) })
            }
        };
        Ok(TreatmentExtra {
            export: match ctx.flock.rules().is_some_and(|r| r.tracks_export()) {
                true => Some(Withdrawal::parse(&self.export).map_err(|e| (EXPORT.to_string(), e.0))?),
                false => None,
            },
            vet_gave: self.vet_gave == Some(true),
            off_label: fields::some(&self.off_label),
            prescription: script,
            course,
            shared: shared_of(&self.shared).map_err(at(SHARED))?,
            estimated: fields::weight_of(ctx, &self.estimated).map_err(at(ESTIMATED))?,
            ..TreatmentExtra::default()
        })
    }
}

const SCRIPT: &str = "Prescription";
const DOSES: &str = "Doses in all";
const HOURS: &str = "Hours between";
const SHARED: &str = "For all together";
const ESTIMATED: &str = "Guessed weight";
const BANDS: &str = "Weight bands";
const EXPORT: &str = "Export withdrawal";

/// The words that are asked for when a use is not on the label.
pub(super) const OFF_LABEL: &str = "Off-label";

/// Draws the fields; `off` tells what of the use is not on the label.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    t: &mut Rare,
    off: &[String],
    refusal: &dyn Fn(&'static str) -> Option<String>,
) {
    if ctx.flock.rules().is_some_and(|r| r.tracks_export()) {
        form.withdrawal(ui, EXPORT, &mut t.export, None);
    }
    // A use off the label is asked about plainly, whether the rest is shown or not.
    if !off.is_empty() || !t.off_label.trim().is_empty() || t.open {
        let caution = (!off.is_empty() && t.off_label.trim().is_empty())
            .then(|| phrase!("{}: only a vet may direct it; say so, and name the vet", off.join("; ")));
        if caution.is_some() {
            crate::parts::caution::remember(ui, Why::OffLabel);
        }
        let wrong = refusal("off_label");
        let field = Field::new(OFF_LABEL).width(320.0).example("what is not as the label says");
        form.field(ui, &field.caution(caution.as_deref()).refusal(wrong.as_deref()), &mut t.off_label);
    }
    let mut open = Some(t.open);
    let words = [(false, "no"), (true, "course, prescription, group …")];
    form.choice(ui, &Choice::new("More", &words), &mut open);
    t.open = open.unwrap_or_default();
    if !t.open {
        return;
    }
    script(ui, ctx, form, t, refusal("prescription").as_deref());
    t.vet_gave.get_or_insert(false);
    form.choice(ui, &Choice::new("Given by a vet", &[(false, "no"), (true, "yes")]), &mut t.vet_gave);
    let wrong = refusal("course");
    let field = Field::new(DOSES).width(70.0).example("1").refusal(wrong.as_deref());
    form.field(ui, &field, &mut t.doses);
    if t.doses.trim().parse::<u8>().is_ok_and(|n| n > 1) {
        form.field(ui, &Field::new(HOURS).width(70.0).example("24").unit("hours"), &mut t.hours);
    }
    let wrong = refusal("shared");
    let read = |t: &str| shared_of(t).map(|d| d.map(|d| d.to_string()).unwrap_or_default());
    let field = Field::new(SHARED).width(110.0).example("2.5 l").understand(&read).refusal(wrong.as_deref());
    form.field(ui, &field, &mut t.shared);
    form.weight(ui, ctx, ESTIMATED, &mut t.estimated, None);
    let units = ctx.units();
    let read = |t: &str| {
        Weight::parse(t, units)
            .map(|w| phrase!("every {}, dosed by the heaviest", w.show(units)))
            .map_err(|e| e.0)
    };
    let field = Field::new(BANDS).width(110.0).example("each its own").understand(&read);
    form.field(ui, &field, &mut t.bands);
    look::word(
        ui,
        Kind::Plain,
        "Together: feed, water, a footbath for a group, shared out evenly. Guessed: for those without a weight.",
    );
}

/// An amount for a group as typed, if any: larger than a dose may be.
fn shared_of(text: &str) -> Result<Option<Dose>, String> {
    let amount = fields::some(text).map(|t| Dose::parse_stock(&t)).transpose().map_err(|e| e.0)?;
    let nothing = |d: &Dose| matches!(d, Dose::Volume(0) | Dose::Mass(0) | Dose::Pieces(0));
    if amount.as_ref().is_some_and(nothing) {
        return Err(phrase!("nothing at all was given? Leave it blank if it was not measured"));
    }
    Ok(amount)
}

fn script(ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, t: &mut Rare, refusal: Option<&str>) {
    let cupboard = ctx.flock.cupboard();
    let none = cupboard.prescriptions.iter().all(|p| p.struck.is_some());
    let example = if none { "none is in the book" } else { "number, vet or product" };
    let picker = Picker::new(SCRIPT, ctx.flock.version()).width(320.0).example(example).refusal(refusal);
    form.picker(ui, &picker, &mut t.script, |text| {
        let low = text.to_lowercase();
        let vet = |p: &Prescription| cupboard.vet(p.vet).map(|v| v.name.clone()).unwrap_or_default();
        let fits = |p: &&Prescription| {
            let all = [p.number.clone().unwrap_or_default(), vet(p), p.product.clone()];
            p.struck.is_none() && all.iter().any(|w| w.to_lowercase().contains(&low))
        };
        let found = |p: &Prescription| Found {
            key: p.id,
            label: phrase!(
                "{}{}, {}",
                p.number.as_ref().map(|n| format!("{n} ")).unwrap_or_default(),
                vet(p),
                p.on.words()
            ),
            detail: format!(
                "{}{}",
                p.product,
                p.whom.as_ref().map(|w| phrase!(" for {w}")).unwrap_or_default()
            ),
        };
        cupboard.prescriptions.iter().rev().filter(fits).map(found).collect()
    });
}

/// What of a use is not on the label, as far as the form tells.
pub(super) fn off_label(
    p: Option<&Product>,
    route: Option<hirsel_core::terms::Route>,
    dose: Option<hirsel_core::terms::Dose>,
) -> Vec<String> {
    p.map(|p| hirsel_core::entry::off_label_of(p, route, dose)).unwrap_or_default()
}
