//! Pictures and papers kept with a record: their lines, and the forms that keep one more, mend its name, strike it out.

use super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended};
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::{Document, DocumentOf, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, DocumentId};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The side of a picture beside its line, in points.
const SMALL: f32 = 64.0;

/// Which form is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Doing {
    #[default]
    Nothing,
    Adding,
    Naming(DocumentId),
    Striking(DocumentId),
}

/// What is typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Typed {
    doing: Doing,
    path: String,
    /// Pixels stay as they came.
    original: bool,
    /// The place stays in the picture.
    position: bool,
    name: String,
    day: String,
    reason: String,
    #[serde(skip)]
    wrong: Option<(&'static str, String)>,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// Opens the form that keeps one more.
    pub fn add(&mut self) {
        self.turn_to(Doing::Adding);
    }

    /// Opens the form that mends a name.
    pub fn name(&mut self, d: &Document) {
        if self.doing != Doing::Naming(d.id) {
            (self.name, self.day) = (d.name.clone(), d.on.to_string());
        }
        self.turn_to(Doing::Naming(d.id));
    }

    /// Opens the form that strikes one out.
    pub fn strike(&mut self, id: DocumentId) {
        self.turn_to(Doing::Striking(id));
    }

    fn turn_to(&mut self, doing: Doing) {
        if self.doing != doing {
            self.reason.clear();
        }
        (self.doing, self.wrong, self.focus) = (doing, None, true);
    }

    /// A form is open.
    pub fn is_open(&self) -> bool {
        self.doing != Doing::Nothing
    }

    /// The form is closed; what is typed of a file stays.
    pub fn close(&mut self) {
        (self.doing, self.wrong) = (Doing::Nothing, None);
    }

    /// What was typed is written. How pictures are taken in stays as it was chosen.
    pub fn done(&mut self) {
        *self = Self { original: self.original, position: self.position, ..Self::default() };
    }

    /// How pictures are taken in.
    pub fn how(&self) -> Taking {
        Taking { original: self.original, position: self.position }
    }

    fn refused(&self, label: &str) -> Option<&str> {
        self.wrong.as_ref().filter(|(at, _)| *at == label).map(|(_, why)| why.as_str())
    }
}

/// Files named in a text that was typed or pasted: one a line, and several `file:` addresses in one line, as a file
/// manager copies them.
pub fn paths(text: &str) -> Vec<PathBuf> {
    let address = |part: &str| part.strip_prefix("file://").map(|p| PathBuf::from(plain(p)));
    let line = |line: &str| -> Vec<PathBuf> {
        let parts: Vec<&str> = line.split_whitespace().collect();
        match parts.iter().map(|p| address(p)).collect::<Option<Vec<_>>>() {
            Some(all) => all,
            None => vec![PathBuf::from(line.trim().trim_matches('"'))],
        }
    };
    text.lines().filter(|l| !l.trim().is_empty()).flat_map(line).collect()
}

/// `%20` as the byte it stands for.
fn plain(address: &str) -> String {
    let bytes = address.as_bytes();
    let (mut out, mut at) = (Vec::with_capacity(bytes.len()), 0);
    while let Some(b) = bytes.get(at) {
        let code = bytes.get(at + 1..at + 3).and_then(|c| std::str::from_utf8(c).ok());
        match code.filter(|_| *b == b'%').and_then(|c| u8::from_str_radix(c, 16).ok()) {
            Some(byte) => {
                out.push(byte);
                at += 3;
            }
            None => {
                out.push(*b);
                at += 1;
            }
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

/// Draws the open form of what is kept with `of`.
pub fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: DocumentOf, t: &mut Typed, out: &mut Vec<Intent>) {
    match t.doing {
        Doing::Nothing => {}
        Doing::Adding => adding(ui, ctx, of, t, out),
        Doing::Naming(id) => naming(ui, ctx, id, t, out),
        Doing::Striking(id) => striking(ui, ctx, id, t, out),
    }
    if t.is_open() && crate::parts::escaped(ui) {
        t.close();
    }
}

fn adding(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: DocumentOf, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "keep a picture").label_width(140.0);
    form.focus_once(ui, &mut t.focus, "File to keep");
    let mut original = Some(t.original);
    form.choice(
        ui,
        &Choice::new("Its pixels", &[(false, "made small"), (true, "as they came")]),
        &mut original,
    );
    let mut position = Some(t.position);
    let places = [(false, "left out"), (true, "stays in it")];
    form.choice(ui, &Choice::new("Where it was taken", &places), &mut position);
    // Last, so that Enter behind a name keeps it.
    let field =
        Field::new("File to keep").width(380.0).example("ewe.jpg, or its whole path; or drop it here");
    form.field(ui, &field, &mut t.path);
    t.original = original.unwrap_or_default();
    t.position = position.unwrap_or_default();
    let typed = !t.path.trim().is_empty();
    let mut go = form.finish(ui) == FormEvent::Submitted && typed;
    ui.horizontal(|ui| {
        ui.add_space(148.0);
        go |= ui.add_enabled(typed, egui::Button::new(phrase!("Keep this file"))).clicked();
        if ui.button(phrase!("Choose files")).clicked() {
            out.push(Intent::KeepPaper { of, paths: Vec::new(), how: t.how() });
        }
        if ui.button(phrase!("Close")).clicked() {
            t.close();
        }
        if let Some(percent) = ctx.taking {
            look::faint(ui, phrase!("Taking in, {percent} % done"));
            if ui.button(phrase!("Stop")).clicked() {
                out.push(Intent::StopPapers);
            }
        }
    });
    if ctx.taking.is_none() {
        look::faint(ui, "PDF, PNG or JPEG, up to 20 MB. The file itself stays where it is.");
    }
    if go {
        out.push(Intent::KeepPaper { of, paths: paths(&t.path), how: t.how() });
    }
}

fn naming(ui: &mut egui::Ui, ctx: &Ctx<'_>, id: DocumentId, t: &mut Typed, out: &mut Vec<Intent>) {
    let Some(d) = ctx.flock.documents().get(id) else { return t.close() };
    let mut form = Form::new(ui, "mend a name").label_width(140.0);
    form.focus_once(ui, &mut t.focus, "Name");
    let refused = t.refused("Name").map(str::to_string);
    form.field(ui, &Field::new("Name").width(320.0).refusal(refused.as_deref()), &mut t.name);
    let read = |text: &str| Day::parse_typed(text, ctx.today).map(Day::long).map_err(|e| e.0);
    let refused = t.refused("Day").map(str::to_string);
    let field = Field::new("Day").width(160.0).understand(&read).refusal(refused.as_deref());
    form.field(ui, &field, &mut t.day);
    let refused = t.refused("Reason").map(str::to_string);
    let field = Field::new("Reason").width(320.0).example("misspelt").refusal(refused.as_deref());
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(148.0);
        go |= look::primary(ui, "Write the amendment").clicked();
        if ui.button(phrase!("Leave it as it was")).clicked() {
            t.close();
        }
    });
    if !go {
        return;
    }
    let done = Day::parse_typed(&t.day, ctx.today).map_err(|e| ("Day", e.0)).and_then(|on| {
        let new = Document { name: t.name.trim().to_string(), on, ..d.clone() };
        entry::amend(Amended::Document(new), &t.reason, ctx.flock, ctx.today).map_err(|all| {
            let first = all.first();
            let label = match first.map(|r| r.field.name) {
                Some("reason") => "Reason",
                Some("on") => "Day",
                _ => "Name",
            };
            (label, first.map(ToString::to_string).unwrap_or_default())
        })
    });
    match done {
        Ok(checked) => {
            out.push(Intent::Write { checked: Box::new(checked), then: Then::PaperDone(String::new()) });
        }
        Err(wrong) => refuse(t, wrong, out),
    }
}

fn striking(ui: &mut egui::Ui, ctx: &Ctx<'_>, id: DocumentId, t: &mut Typed, out: &mut Vec<Intent>) {
    let Some(d) = ctx.flock.documents().get(id) else { return t.close() };
    look::paragraph(
        ui,
        phrase!("The {} {} is struck out: it stays readable, with the day and the reason.", d.word(), d.name),
    );
    let mut form = Form::new(ui, "strike a paper").label_width(140.0);
    form.focus_once(ui, &mut t.focus, "Reason");
    let refused = t.refused("Reason").map(str::to_string);
    let field = Field::new("Reason").width(320.0).example("of another ewe").refusal(refused.as_deref());
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(148.0);
        go |= look::primary(ui, "Strike it out").clicked();
        if ui.button(phrase!("Leave it")).clicked() {
            t.close();
        }
    });
    if !go {
        return;
    }
    match entry::strike_kept(RecordRef::Document(id), &t.reason, ctx.flock, ctx.today) {
        Ok(checked) => {
            out.push(Intent::Write { checked: Box::new(checked), then: Then::PaperDone(String::new()) });
        }
        Err(all) => {
            let why = all.first().map(ToString::to_string).unwrap_or_default();
            refuse(t, ("Reason", why), out);
        }
    }
}

fn refuse(t: &mut Typed, wrong: (&'static str, String), out: &mut Vec<Intent>) {
    out.push(Intent::Say(Kind::Refuse, wrong.1.clone()));
    (t.wrong, t.focus) = (Some(wrong), false);
}

/// Draws what is kept with `of`, a line each with what can be done, and the form that is open.
pub fn section(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: DocumentOf, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut want = Vec::new();
    for d in ctx.flock.documents().with(of) {
        ui.horizontal(|ui| {
            if d.is_picture() {
                thumb(ui, ctx, d, SMALL, &mut want);
            }
            line(ui, d, format!("{}, {}", d.name, told(d)), out);
            if d.struck.is_none() && !t.is_open() {
                if ui.button(phrase!("Mend the name of {}", short(&d.name))).clicked() {
                    t.name(d);
                }
                if ui.button(phrase!("Strike out {}", short(&d.name))).clicked() {
                    t.strike(d.id);
                }
            }
        });
    }
    ask_for(want, out);
    if t.is_open() {
        ui.add_space(space::XS);
        form(ui, ctx, of, t, out);
    } else if ui.button(phrase!("Keep a picture or paper")).clicked() {
        t.add();
        ui.ctx().request_repaint();
    }
}

/// `jpeg, 48 kB, 3 Apr 2026`.
pub fn told(d: &Document) -> String {
    phrase!("{}, {}, {}", d.kind, hirsel_core::book::size_words(d.size), d.on.words())
}

/// What is said of a paper, with the day and reason if it is struck out, and the button that shows it.
pub fn line(ui: &mut egui::Ui, d: &Document, words: String, out: &mut Vec<Intent>) {
    match &d.struck {
        Some(s) => {
            ui.label(egui::RichText::new(words).strikethrough());
            look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
        }
        None => {
            ui.label(words);
        }
    }
    if ui.button(phrase!("Show {}", short(&d.name))).clicked() {
        out.push(Intent::ShowPaper(d.id));
    }
}

/// A name that is not longer than a button should be.
pub fn short(name: &str) -> String {
    match name.char_indices().nth(28) {
        Some((at, _)) => format!("{}…", &name[..at]),
        None => name.to_string(),
    }
}

/// Asks the desk for pictures that were wanted and are not there yet.
pub fn ask_for(want: Vec<DocumentId>, out: &mut Vec<Intent>) {
    if !want.is_empty() {
        out.push(Intent::Thumbnails(want));
    }
}

/// A picture no larger than `side` either way, or its place while it is read; what is not there yet is wanted.
pub fn thumb(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    d: &Document,
    side: f32,
    want: &mut Vec<DocumentId>,
) -> egui::Response {
    use crate::desk::thumbs::Thumb;
    let t = look::tokens(ui);
    let label = format!("{} {}", if d.is_picture() { "Picture" } else { "Paper" }, d.name);
    let texture = match ctx.thumbs.get(d) {
        Thumb::There(texture) => Some(texture),
        Thumb::Unreadable => None,
        Thumb::Wanting => {
            want.push(d.id);
            None
        }
    };
    let size = texture.map_or(egui::vec2(side, side * 0.75), |texture| {
        let size = texture.size_vec2();
        size * (side / size.x.max(size.y)).min(1.0)
    });
    let (rect, response) = ui.allocate_exact_size(size, egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, label.clone()));
    if ui.is_rect_visible(rect) {
        let radius = egui::CornerRadius::same(4);
        match texture {
            Some(texture) => {
                egui::Image::new((texture.id(), size)).paint_at(ui, rect);
            }
            None => {
                ui.painter().rect_filled(rect, radius, t.stripe);
                let words = if d.is_picture() { "…" } else { "PDF" };
                let font = egui::TextStyle::Small.resolve(ui.style());
                ui.painter().text(rect.center(), egui::Align2::CENTER_CENTER, words, font, t.faint);
            }
        }
        let line = egui::Stroke::new(1.0, if response.has_focus() { t.accent } else { t.rule });
        ui.painter().rect_stroke(rect, radius, line, egui::StrokeKind::Inside);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_told_apart_as_they_are_pasted() {
        let names = |text: &str| -> Vec<String> {
            paths(text).iter().map(|p| p.to_string_lossy().into_owned()).collect()
        };
        assert_eq!(names("ewe 0412.jpg"), ["ewe 0412.jpg"], "a blank in a name");
        assert_eq!(names("\"a b.jpg\"\n\n c.png "), ["a b.jpg", "c.png"]);
        assert_eq!(names("file:///tmp/a%20b.jpg file:///tmp/%C3%85.png"), ["/tmp/a b.jpg", "/tmp/Å.png"]);
        assert_eq!(names("file:///tmp/100%.jpg"), ["/tmp/100%.jpg"]);
        assert_eq!(names(" \n "), Vec::<String>::new());
    }
}
