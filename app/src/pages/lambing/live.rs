//! What the book says of the form while it is typed: the very checks that writing makes. They are run when the form
//! changed and the field that changed is left, or after a pause, so that nothing turns red under a typing hand.

use super::super::{Ctx, Intent, Then};
use super::typed::{Read, Wrong, label_of};
use crate::parts::Form;
use egui::{Id, Ui};
use hirsel_core::entry::{self, Field, LambDraft, LambingDraft, Question, Refusal, Refused, Unusual};
use hirsel_core::terms::{Day, Rearing, Sex};

/// Seconds without a change after which a field is taken for typed to its end.
const PAUSE_S: f64 = 0.9;

/// What is wrong with or odd about a field.
#[derive(Debug)]
struct Fault {
    wrong: Wrong,
    refused: bool,
}

/// Refusal and caution of a field.
pub(super) type Pair<'a> = (Option<&'a str>, Option<&'a str>);

/// What stands beside the fields, kept until the form changes.
#[derive(Debug, Default)]
pub(super) struct Live {
    faults: Vec<Fault>,
    /// What could not be read or is missing; said once writing was tried.
    unread: Vec<Wrong>,
    tried: bool,
    checked: Option<(u64, Day, LambingDraft)>,
    pace: Pace,
    /// The field being typed in, of which nothing is said.
    quiet: Option<Id>,
}

/// How the typing goes.
#[derive(Debug, Default)]
struct Pace {
    draft: Option<LambingDraft>,
    changed_s: f64,
    field: Option<Id>,
    frames: u8,
    /// The draft when the field was entered.
    entered: Option<LambingDraft>,
}

impl Pace {
    /// Seconds left of the pause, if a field is being typed in.
    fn left_s(&mut self, ui: &Ui, draft: &Option<LambingDraft>) -> Option<f64> {
        let now = ui.input(|i| i.time);
        if self.draft != *draft {
            self.draft.clone_from(draft);
            self.changed_s = now;
        }
        let field = ui.memory(|m| m.focused());
        self.frames = if self.field == field { self.frames.saturating_add(1) } else { 0 };
        self.field = field;
        // In its first frame a field may still get what the one before it settles on leaving.
        if self.frames < 2 {
            self.entered.clone_from(draft);
        }
        let left = self.changed_s + PAUSE_S - now;
        (field.is_some() && self.entered != *draft && left > 0.0).then_some(left)
    }
}

impl Live {
    /// Nothing is said until the form changes again.
    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }

    /// Somebody is in the middle of a field.
    pub(super) fn is_quiet(&self) -> bool {
        self.quiet.is_some()
    }

    /// Refusal and caution of a field by its label in the form's part now drawn.
    pub(super) fn at(&self, form: &Form, label: &str) -> Pair<'_> {
        if self.quiet == Some(form.field_id(label)) {
            return (None, None);
        }
        let name = form.name(label);
        let of = |refused: bool| {
            let mut these = self.faults.iter().filter(move |f| f.refused == refused);
            these.find(|f| f.wrong.label == name).map(|f| f.wrong.text.as_str())
        };
        let missing = || self.unread.iter().filter(|_| self.tried).find(|w| w.label == name);
        (of(true).or_else(|| missing().map(|w| w.text.as_str())), of(false))
    }

    /// Checks the form if it is another than before and nobody is in the middle of a field.
    pub(super) fn look(&mut self, ui: &Ui, ctx: &Ctx<'_>, read: Read) {
        self.unread = read.wrong;
        let left = self.pace.left_s(ui, &read.draft);
        let (version, today) = (ctx.flock.version(), ctx.today);
        let same = match (&self.checked, &read.draft) {
            (Some((v, t, old)), Some(new)) => *v == version && *t == today && old == new,
            (None, None) => true,
            _ => false,
        };
        self.quiet = None;
        if same {
            return;
        }
        if let Some(left) = left {
            self.quiet = self.pace.field;
            ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(left + 0.02));
            return;
        }
        self.faults.clear();
        self.checked = read.draft.clone().map(|d| (version, today, d));
        let Some(draft) = read.draft else { return };
        match entry::lambing(with_a_lamb(&draft), ctx.flock, today) {
            Ok(checked) => {
                self.faults.extend(checked.questions().iter().map(|q| question(&draft, &read.rows, q)))
            }
            Err(refusals) => self.faults.extend(refusals.iter().map(|r| refused(&draft, &read.rows, r))),
        }
        // Of a day that is not understood nothing can be said.
        if self.unread.iter().any(|w| w.label == "Day") {
            self.faults.retain(|f| !["Day", "Sire"].contains(&f.wrong.label.as_str()));
        }
    }

    /// The lambing as an intent, or the first field that is wrong.
    pub(super) fn finished(&mut self, ctx: &Ctx<'_>, read: Read) -> Result<Intent, Wrong> {
        self.tried = true;
        if let Some(first) = read.wrong.into_iter().next() {
            return Err(first);
        }
        let Some(draft) = read.draft else { return Err(Wrong::of("Ewe", "which ewe lambed?")) };
        match entry::lambing(draft.clone(), ctx.flock, ctx.today) {
            Ok(checked) => Ok(Intent::Write { checked: Box::new(checked), then: Then::Lambed }),
            Err(refusals) => {
                self.faults = refusals.iter().map(|r| refused(&draft, &read.rows, r)).collect();
                let first = self.faults.first().map(|f| f.wrong.clone()).unwrap_or_default();
                self.checked = Some((ctx.flock.version(), ctx.today, draft));
                Err(first)
            }
        }
    }
}

/// What the book says of ewe, day and sire does not wait for the first lamb.
fn with_a_lamb(draft: &LambingDraft) -> LambingDraft {
    let mut draft = draft.clone();
    if draft.lambs.is_empty() {
        draft.lambs.push(LambDraft::new(Sex::Ewe));
    }
    draft
}

fn question(draft: &LambingDraft, rows: &[usize], q: &Question) -> Fault {
    let electronic = matches!(q.what, Unusual::TestNumber(_));
    Fault { wrong: place(draft, q.field, rows, electronic, q.to_string()), refused: false }
}

/// A refusal at the form's field for it.
fn refused(draft: &LambingDraft, rows: &[usize], refusal: &Refusal) -> Fault {
    let number = draft.lambs.get(refusal.field.row).and_then(|l| l.electronic.as_ref());
    let electronic = match &refusal.why {
        Refused::TagInUse { tag, .. } | Refused::TagTwice(tag) => {
            number.is_some_and(|n| n.as_str() == tag.as_str())
        }
        _ => false,
    };
    Fault { wrong: place(draft, refusal.field, rows, electronic, refusal.to_string()), refused: true }
}

/// The form's name for a field of the entry; a tag may be the lamb's electronic number.
fn place(draft: &LambingDraft, field: Field, rows: &[usize], electronic: bool, text: String) -> Wrong {
    let of_form = match field.name {
        "ewe" | "dam" => Some("Ewe"),
        "on" => Some("Day"),
        "ram" | "sire" => Some("Sire"),
        "foster_on" => Some("Foster on"),
        _ => None,
    };
    if let Some(label) = of_form {
        return Wrong::of(label, text);
    }
    let fostered = draft.lambs.get(field.row).is_some_and(|l| matches!(l.rearing, Rearing::Foster(_)));
    let name = match field.name {
        "sex" => "Sex",
        "birth_weight_kg" => "Weight",
        "fate" => "Died on",
        "colostrum" => "Colostrum",
        "reared_by" if fostered => "Foster ewe",
        "reared_by" => "Reared by",
        _ if electronic => "Electronic number",
        _ => "Tag",
    };
    let n = rows.get(field.row).copied().unwrap_or(0);
    Wrong { label: label_of(name, n), text, lamb: Some(n) }
}
