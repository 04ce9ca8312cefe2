//! What forms share that are typed row after row, Enter by Enter: the day is carried on, the keyboard goes back to the
//! animal, the next one is proposed, what is refused stands beside its field.

use super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::Kind;
use crate::parts::{Form, PickerState};
use hirsel_core::entry::{Check, Refusal};
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// What such a form remembers beside what is typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct RowsForm {
    /// The day on which the form was last seen.
    sitting: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    /// What was typed is written: nothing of it is left to undo in the fields.
    #[serde(skip)]
    wrote: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    /// Kept, so that a proposal is not taken for something typed when the window is opened again.
    proposed: Option<AnimalId>,
    /// What is proposed has changed: typing replaces it.
    #[serde(skip)]
    anew: bool,
}

/// A label and what is wrong there.
pub type Wrong = (&'static str, String);

impl RowsForm {
    /// The field of this label is to get the keyboard.
    pub fn aim(&mut self, label: &'static str) {
        self.focus = Some(label);
    }

    /// The same, unless another field waits for it already.
    pub fn aim_if_none(&mut self, label: &'static str) {
        self.focus.get_or_insert(label);
    }

    /// A form kept since an earlier day: see [`fields::carry_day`]. Tells whether that is so.
    pub fn carry_day(&mut self, ctx: &Ctx<'_>, half_typed: bool, on: &mut String, time: &mut String) -> bool {
        let before = self.sitting.clone();
        fields::carry_day(ctx, &mut self.sitting, half_typed, on, time);
        !before.is_empty() && before != self.sitting
    }

    /// The form is drawn: gives the keyboard to the field that waits for it, and forgets what was typed into the
    /// fields named once it is written, so that Ctrl+Z takes back the entry.
    pub fn drawn(&mut self, ui: &egui::Ui, form: &Form, forget: &[&str]) {
        self.forget(ui, form, forget);
        self.drawn_of(ui, form, |_| true);
    }

    /// Forgets what was typed into these fields, once it is written.
    pub fn forget(&mut self, ui: &egui::Ui, form: &Form, labels: &[&str]) {
        if std::mem::take(&mut self.wrote) {
            for label in labels {
                egui::text_edit::TextEditState::default().store(ui.ctx(), form.field_id(label));
            }
        }
    }

    /// Gives the keyboard to the field that waits for it, if it is one of this form.
    pub fn drawn_of(&mut self, ui: &egui::Ui, form: &Form, mine: impl Fn(&str) -> bool) {
        let Some(label) = self.focus.filter(|l| mine(l)) else { return };
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        self.focus = wish.then_some(label);
    }

    /// Another animal was proposed while its field has the keyboard: what is typed next replaces it.
    pub fn reselect(&mut self, ui: &egui::Ui, form: &Form, label: &str, text: &str) {
        if std::mem::take(&mut self.anew) && form.has_keyboard(ui, label) {
            crate::parts::select_text(ui, form.field_id(label), text);
        }
    }

    /// What is wrong with a field of the entry.
    pub fn wrong(&self, name: &str) -> Option<String> {
        refusal_of(&self.refusals, name, 0)
    }

    /// The row is written: its animal and texts are emptied, the keyboard goes to the field named.
    pub fn written<'a>(
        &mut self,
        animal: &mut PickerState<AnimalId>,
        texts: impl IntoIterator<Item = &'a mut String>,
        next: &'static str,
    ) {
        self.refusals.clear();
        animal.clear();
        texts.into_iter().for_each(String::clear);
        self.proposed = None;
        self.focus = Some(next);
        self.wrote = true;
    }

    /// Another form beside the rows is written: the keyboard goes back to the rows, nothing typed there is touched.
    pub fn other_written(&mut self, next: &'static str) {
        self.refusals.clear();
        self.focus = Some(next);
        self.wrote = true;
    }

    /// Proposes the next animal: it stands in the field, Enter takes it, typing replaces it.
    pub fn propose(&mut self, ctx: &Ctx<'_>, animal: &mut PickerState<AnimalId>, next: Option<AnimalId>) {
        self.proposed = next;
        self.anew = true;
        match next.and_then(|id| fields::found(ctx, id)) {
            Some(found) => animal.choose(found),
            None => animal.clear(),
        }
    }

    /// The animal proposed, while it stands in the field as it was proposed.
    pub fn proposal(&self, animal: &PickerState<AnimalId>) -> Option<AnimalId> {
        self.proposed.filter(|id| animal.chosen() == Some(*id))
    }

    /// An entry as it was checked: ready to be written, or the label of the field that is refused. `labels` gives the
    /// label of a field of the entry, `other` that of all others.
    ///
    /// # Errors
    /// The first refusal; all of them stand beside their fields from now on.
    pub fn checked(
        &mut self,
        check: Check,
        then: Then,
        labels: &[(&str, &'static str)],
        other: &'static str,
    ) -> Result<Intent, Wrong> {
        match check {
            Ok(checked) => {
                self.refusals.clear();
                Ok(Intent::Write { checked: Box::new(checked), then })
            }
            Err(refusals) => {
                let name = refusals.first().map(|r| r.field.name);
                let label = labels.iter().find(|(n, _)| Some(*n) == name).map_or(other, |(_, label)| label);
                let first = refusals.first().map(ToString::to_string).unwrap_or_default();
                self.refusals = refusals;
                Err((label, first))
            }
        }
    }

    /// Sends a row on its way, or says what is wrong and goes to the field.
    pub fn send(&mut self, row: Result<Intent, Wrong>, out: &mut Vec<Intent>) {
        match row {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                self.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
}
