//! A table on its way to a file: the keeper names it, its ending says whether it is a spreadsheet or CSV.

use super::{Chosen, Desk, Stage, files, worker::Job};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::exchange::Listed;
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a table is saved as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Dress {
    /// Plain text with commas, that any program reads.
    #[default]
    Csv,
    /// A spreadsheet, numbers and days as such.
    Xlsx,
}

/// What a form offers.
pub const DRESSES: [(Dress, &str); 2] = [(Dress::Csv, "CSV text"), (Dress::Xlsx, "spreadsheet (XLSX)")];

impl Dress {
    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Xlsx => "xlsx",
        }
    }

    /// What a name asks for by its ending.
    pub fn of(name: &Path) -> Option<Self> {
        let ending = name.extension()?.to_str()?.to_lowercase();
        [Self::Csv, Self::Xlsx].into_iter().find(|d| d.ending() == ending)
    }

    /// The bytes of a table.
    ///
    /// # Errors
    /// It is too large for a spreadsheet; says what to do.
    pub fn bytes(self, list: &Listed, today: Day) -> Result<Vec<u8>, String> {
        match self {
            Self::Csv => Ok(list.csv().into_bytes()),
            Self::Xlsx => list.xlsx(today).map_err(|e| e.to_string()),
        }
    }
}

/// The dialog that asks for a name.
pub(super) struct Saving {
    list: Arc<Listed>,
    dress: Dress,
    typed: String,
    wrong: Option<String>,
    fresh: bool,
    before: Option<egui::Id>,
}

/// A name without the signs that lead into folders.
fn tidy(name: &str) -> String {
    let sign = |c: char| if c.is_control() || "/\\:*?\"<>|".contains(c) { '-' } else { c };
    name.chars().map(sign).collect()
}

impl Desk {
    /// Asks under which name a table is to be saved.
    pub(super) fn save_table(&mut self, ctx: &egui::Context, list: Listed) {
        let Stage::Open(open) = &mut self.stage else { return };
        let dress = open.dress;
        let folder = open.path.parent().map(Path::to_path_buf).unwrap_or_default();
        let free = files::free(&folder, &tidy(&list.name), dress.ending());
        let typed = free.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let before = ctx.memory(|m| m.focused());
        let list = Arc::new(list);
        open.saving = Some(Saving { list, dress, typed, wrong: None, fresh: true, before });
    }

    /// Draws the dialog.
    pub(super) fn saving(&mut self, ui: &mut egui::Ui) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(saving) = &mut open.saving else { return };
        let (mut go, mut choose, mut leave) = (false, false, false);
        let modal = egui::Modal::new(egui::Id::unique("save table")).frame(super::dialog(ui));
        let modal = modal.show(ui.ctx(), |ui| {
            ui.set_width(580.0);
            look::subheading(ui, "Save as a table");
            let n = saving.list.rows.len();
            let rows = if n == 1 { phrase!("1 row") } else { phrase!("{n} rows") };
            look::faint(ui, format!("{}: {rows}", saving.list.name));
            ui.add_space(space::S);
            let mut form = Form::new(ui, "save table").label_width(60.0);
            let mut wish = saving.fresh;
            form.focus_once(ui, &mut wish, "Name");
            saving.fresh &= !ui.memory(|m| m.has_focus(form.field_id("Name"))) || ui.is_sizing_pass();
            let mut dress = Some(saving.dress);
            if form.choice(ui, &Choice::new("As", &DRESSES), &mut dress).changed() {
                saving.wear(dress.unwrap_or_default());
            }
            let field = Field::new("Name").width(440.0).refusal(saving.wrong.as_deref());
            if form.field(ui, &field, &mut saving.typed).response.changed() {
                saving.wrong = None;
                saving.dress = Dress::of(Path::new(saving.typed.trim())).unwrap_or(saving.dress);
            }
            go = form.finish(ui) == FormEvent::Submitted;
            look::faint(
                ui,
                "A bare name lies beside the book; its ending .csv or .xlsx says what it becomes.",
            );
            ui.add_space(space::S);
            ui.horizontal(|ui| {
                ui.add_space(68.0);
                go |= look::primary(ui, "Save it").clicked();
                choose = ui.button(phrase!("Choose a place…")).clicked();
                leave = ui.button(phrase!("Leave it")).clicked();
            });
        });
        leave |= modal.should_close();
        if go {
            let typed = PathBuf::from(saving.typed.trim());
            self.save_table_to(ui.ctx(), &typed, false);
        } else if choose {
            self.choose_place(ui.ctx());
        } else if leave {
            self.refocus = open.saving.take().and_then(|s| s.before).map(|id| (id, 3));
        }
    }

    fn choose_place(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(saving) = &open.saving else { return };
        let name = saving.typed.trim().to_string();
        let folder = open.path.parent().map(Path::to_path_buf).unwrap_or_default();
        let job = Job::start(ctx, move |_| {
            rfd::FileDialog::new()
                .set_title("Save the table")
                .set_directory(folder)
                .add_filter("Table", &["csv", "xlsx"])
                .set_file_name(name)
                .save_file()
        });
        open.chosen_file = Some((Chosen::Save, job));
    }

    /// Saves the table; what stands there is replaced only if the keeper was asked.
    pub(super) fn save_table_to(&mut self, ctx: &egui::Context, path: &Path, asked: bool) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(saving) = &mut open.saving else { return };
        let dress = Dress::of(path).unwrap_or(saving.dress);
        let to = files::target(path, &open.path, dress.ending()).and_then(|to| match to.exists() && !asked {
            true => Err(phrase!("{} is there already: choose another name", to.display())),
            false => Ok(to),
        });
        match to {
            Ok(to) => {
                open.dress = dress;
                let list = Arc::clone(&saving.list);
                self.refocus = saving.before.map(|id| (id, 3));
                open.saving = None;
                open.told = Some(Job::start(ctx, move |_| {
                    files::save(&to, &dress.bytes(&list, today)?)?;
                    Ok(phrase!("Saved as {}", to.display()))
                }));
            }
            Err(why) => {
                saving.wrong = Some(why.clone());
                saving.fresh = true;
                self.say(Kind::Refuse, why);
            }
        }
    }
}

impl Saving {
    /// Another dress: the name gets its ending.
    fn wear(&mut self, dress: Dress) {
        let typed = self.typed.trim();
        let stem = match Dress::of(Path::new(typed)) {
            Some(old) => &typed[..typed.len() - old.ending().len() - 1],
            None => typed,
        };
        self.typed = format!("{stem}.{}", dress.ending());
        self.dress = dress;
        self.wrong = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_says_what_it_becomes() {
        let of = |name: &str| Dress::of(Path::new(name));
        assert_eq!(of("growth.XLSX"), Some(Dress::Xlsx));
        assert_eq!(of("growth.csv"), Some(Dress::Csv));
        assert_eq!((of("growth"), of("growth.3.4"), of(".csv")), (None, None, None));
        assert_eq!(tidy("gains: 60/90 days"), "gains- 60-90 days");
        let mut s = Saving {
            list: Arc::default(),
            dress: Dress::Csv,
            typed: "growth.csv".into(),
            wrong: None,
            fresh: false,
            before: None,
        };
        for (dress, name) in [(Dress::Xlsx, "growth.xlsx"), (Dress::Csv, "growth.csv")] {
            s.wear(dress);
            assert_eq!(s.typed, name);
        }
        s.typed = "growth 3.4".into();
        s.wear(Dress::Xlsx);
        assert_eq!(s.typed, "growth 3.4.xlsx");
    }
}
