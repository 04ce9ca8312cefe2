//! Pictures and calendars on their way to a file.

use super::worker::{Job, Reins};
use super::{OpenBook, files};
use hirsel_core::exchange::calendar::{self, Ask};
use hirsel_core::papers::picture::{Drawing, Form, PAGE_DPI, SCREEN_DPI, Unit};
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl OpenBook {
    /// Writes a drawing, under this name or one the keeper chooses.
    pub(super) fn save_picture(&mut self, ctx: &egui::Context, drawing: Drawing, path: Option<PathBuf>) {
        let book = self.path.clone();
        self.told = Some(Job::start(ctx, move |_| picture(&drawing, path, &book)));
    }

    /// Makes the calendar and writes it, likewise.
    pub(super) fn save_calendar(
        &mut self,
        ctx: &egui::Context,
        ask: Ask,
        path: Option<PathBuf>,
        today: Day,
    ) -> Result<(), String> {
        let (flock, book) = (Arc::clone(&self.flock), self.path.clone());
        let stamp = self.book.stamp().map_err(|e| e.to_string())?;
        self.told = Some(Job::start(ctx, move |reins: &Reins| {
            let to = match path {
                Some(path) => files::target(&path, &book, "ics")?,
                None => chosen("Save the calendar", ("Calendar", &["ics"][..]), "Due.ics", &book)
                    .and_then(|p| files::target(&p, &book, "ics"))?,
            };
            ours(&to, b"BEGIN:VCALENDAR", "calendar")?;
            let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
            let made = calendar::calendar(&flock, today, &ask, &stamp, &watch).map_err(|e| e.to_string())?;
            files::save(&to, made.text.as_bytes())?;
            Ok(phrase!("{} saved as {}", made.words(), place(&to)))
        }));
        Ok(())
    }
}

fn picture(drawing: &Drawing, path: Option<PathBuf>, book: &Path) -> Result<String, String> {
    let path = match path {
        Some(path) => path,
        None => {
            let name = format!("{}.png", drawing.title.replace(['/', '\\', ':'], "-"));
            chosen("Save the picture", ("PNG or SVG", &["png", "svg"][..]), &name, book)?
        }
    };
    let form = Form::of(&path).unwrap_or(Form::Png);
    let to = files::target(&path, book, form.ending())?;
    let (sign, word) = signed(form);
    ours(&to, sign, word)?;
    let dpi = if drawing.unit == Unit::Screen { SCREEN_DPI } else { PAGE_DPI };
    let bytes = form.write(drawing, dpi).map_err(|e| e.to_string())?;
    files::save(&to, &bytes)?;
    Ok(phrase!("Picture saved as {}", place(&to)))
}

/// How a file of a form begins, and its name in a sentence.
pub(super) fn signed(form: Form) -> (&'static [u8], &'static str) {
    match form {
        Form::Png => (b"\x89PNG", "PNG picture"),
        Form::Svg => (b"<", "SVG picture"),
    }
}

/// A file that is there already is written over only where it is of the same kind.
pub(super) fn ours(path: &Path, sign: &[u8], word: &'static str) -> Result<(), String> {
    use std::io::Read as _;
    if !path.exists() {
        return Ok(());
    }
    let mut head = vec![0; sign.len()];
    let same = std::fs::File::open(path).and_then(|mut f| f.read_exact(&mut head)).is_ok() && head == sign;
    if same {
        return Ok(());
    }
    Err(phrase!("{} is there already and is no {word}: choose another name", path.display()))
}

/// `growth.png in FOLDER`.
pub(super) fn place(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    phrase!("{name} in {}", path.parent().unwrap_or(path).display())
}

/// A name chosen in the system's dialog.
fn chosen(title: &str, (kind, endings): (&str, &[&str]), name: &str, book: &Path) -> Result<PathBuf, String> {
    rfd::FileDialog::new()
        .set_title(title)
        .add_filter(kind, endings)
        .set_directory(book.parent().unwrap_or(book))
        .set_file_name(name)
        .save_file()
        .ok_or_else(|| phrase!("no file was chosen: type a name in the field beside the button"))
}
