//! The forms of a leaf and what is half typed in them, for one animal.

use super::super::{Ctx, Intent, act};
use super::{amend, edit, marks};
use hirsel_core::flock::{AnimalFile, RecordRef};
use serde::{Deserialize, Serialize};

/// Which form of its own is open on the leaf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Open {
    #[default]
    Nothing,
    Edit,
    Marks,
    Record,
}

/// The forms.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Drafts {
    open: Open,
    act: act::ActForm,
    edit: edit::Typed,
    marks: marks::Typed,
    amend: amend::Typed,
    /// A form was opened, so there may be something half typed.
    pub used: bool,
}

impl Drafts {
    /// The form of that one which was written is empty and closed; an amended record stays open to be read.
    pub(super) fn after(&mut self) {
        match self.open {
            Open::Edit => self.edit = edit::Typed::default(),
            Open::Marks => self.marks = marks::Typed::default(),
            Open::Record => return self.amend.done(),
            Open::Nothing => self.act = act::ActForm::default(),
        }
        self.open = Open::Nothing;
    }

    /// Opens a small form.
    pub(super) fn open_job(&mut self, job: act::Job) {
        self.used = true;
        self.open = Open::Nothing;
        self.act.open(job);
    }

    /// Opens the form of facts.
    pub(super) fn open_facts(&mut self, ctx: &Ctx<'_>, file: &AnimalFile) {
        self.used = true;
        self.edit.fill(ctx, file);
        self.open = Open::Edit;
    }

    /// Opens the form of tags.
    pub(super) fn open_tags(&mut self) {
        self.used = true;
        self.marks.begin();
        self.open = Open::Marks;
    }

    /// Opens a record.
    pub(super) fn open_record(&mut self, record: RecordRef) {
        self.used = true;
        self.amend.open(record);
        self.open = Open::Record;
    }

    /// Closes all forms; what is typed stays.
    pub(super) fn close(&mut self) {
        self.open = Open::Nothing;
        self.act.close();
    }

    /// No form and no record is open.
    pub(super) fn is_closed(&self) -> bool {
        self.open == Open::Nothing && !self.act.is_open()
    }

    /// A form is open, or a record is being amended or struck out.
    pub(super) fn is_typing(&self) -> bool {
        match self.open {
            Open::Nothing => self.act.is_open(),
            Open::Record => self.amend.is_typing(),
            Open::Edit | Open::Marks => true,
        }
    }

    /// Draws what is open.
    pub(super) fn view(
        &mut self,
        ui: &mut egui::Ui,
        ctx: &Ctx<'_>,
        file: &AnimalFile,
        out: &mut Vec<Intent>,
    ) {
        let close = match self.open {
            Open::Nothing => {
                act::view(ui, ctx, &mut self.act, vec![file.animal.id], out);
                false
            }
            Open::Edit => edit::view(ui, ctx, file, &mut self.edit, out),
            Open::Marks => marks::view(ui, ctx, file, &mut self.marks, out),
            Open::Record => amend::view(ui, ctx, file, &mut self.amend, out),
        };
        if close {
            self.open = Open::Nothing;
        }
    }
}
