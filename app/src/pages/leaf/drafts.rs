//! The forms of a leaf and what is half typed in them, for one animal.

use super::super::{Ctx, Intent, act, papers_kept};
use super::pictures::Wish;
use super::{amend, edit, marks};
use crate::look;
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::papers::of_words;
use serde::{Deserialize, Serialize};

/// Which form of its own is open on the leaf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Open {
    #[default]
    Nothing,
    Edit,
    Marks,
    Record,
    Paper,
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
    paper: papers_kept::Typed,
    /// The record a paper is kept with; none: the animal.
    #[serde(skip)]
    paper_of: Option<RecordRef>,
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
            Open::Paper => self.paper.done(),
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

    /// Opens the form that keeps a picture or paper: with the record that is open, else with the animal.
    pub(super) fn open_paper(&mut self) {
        self.used = true;
        self.paper_of = self.paper_record();
        self.paper.add();
        self.open = Open::Paper;
    }

    /// Opens the form that mends the name of a picture or paper, or strikes it out.
    pub(super) fn open_wish(&mut self, ctx: &Ctx<'_>, wish: Wish) {
        self.used = true;
        self.paper_of = self.paper_record();
        match wish {
            Wish::Name(id) => ctx.flock.documents().get(id).into_iter().for_each(|d| self.paper.name(d)),
            Wish::Strike(id) => self.paper.strike(id),
        }
        self.open = Open::Paper;
    }

    /// A picture or paper is kept, mended or struck out: the record it is of is open again, if it was.
    pub(super) fn paper_done(&mut self) {
        self.paper.done();
        if self.open == Open::Paper {
            self.open = if self.paper_of.is_some() { Open::Record } else { Open::Nothing };
        }
    }

    /// The open record, also under the form that keeps a paper with it.
    pub(super) fn paper_record(&self) -> Option<RecordRef> {
        match self.open {
            Open::Record => self.amend.record(),
            Open::Paper => self.paper_of,
            _ => None,
        }
    }

    /// How pictures are taken in.
    pub(super) fn how(&self) -> Taking {
        self.paper.how()
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
            Open::Edit | Open::Marks | Open::Paper => true,
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
            Open::Record => {
                let close = amend::view(ui, ctx, file, &mut self.amend, out);
                if self.amend.wants_paper() {
                    self.open_paper();
                    ui.ctx().request_repaint();
                }
                close
            }
            Open::Paper => {
                self.paper(ui, ctx, file, out);
                false
            }
        };
        if close {
            self.open = Open::Nothing;
        }
    }

    /// The form of a picture or paper, in a card.
    fn paper(&mut self, ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, out: &mut Vec<Intent>) {
        let of = self.paper_of.unwrap_or(RecordRef::Animal(file.animal.id)).into();
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            look::subheading(ui, phrase!("Pictures and papers: {}", of_words(ctx.flock, of)));
            papers_kept::form(ui, ctx, of, &mut self.paper, out);
        });
        if !self.paper.is_open() {
            self.open = if self.paper_of.is_some() { Open::Record } else { Open::Nothing };
        }
    }
}
