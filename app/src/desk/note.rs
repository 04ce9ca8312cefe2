//! The note line at the foot of every page: barn notes typed, shown as they are understood, written with Enter.

use super::{Desk, OpenBook, Stage};
use crate::look::{self, Icon, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use egui::{Key, KeyboardShortcut, Modifiers};
use hirsel_core::book::{Evening, NoteLine, NotePiece, Stands};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, counted};
use serde::{Deserialize, Serialize};

/// What is typed: kept as a draft.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Draft {
    /// The notes, a line each.
    pub text: String,
    /// Why what looks unlikely is right.
    pub word: String,
}

/// The line as it is understood.
#[derive(Debug)]
pub(super) struct NoteState {
    /// The keyboard is to go there.
    pub wanted: bool,
    notes: Evening,
    lines: Vec<NoteLine>,
    read_for: Option<(u64, Day, String)>,
    /// A word is asked for: something looks unlikely.
    asked: bool,
    asked_anew: bool,
    trouble: Option<String>,
    /// What Tab makes of the text.
    whole: Option<String>,
    /// The field for a word why has the keyboard.
    why_has: bool,
    /// Where it was drawn.
    place: egui::Rect,
}

impl Default for NoteState {
    fn default() -> Self {
        Self {
            wanted: false,
            notes: Evening::default(),
            lines: Vec::new(),
            read_for: None,
            asked: false,
            asked_anew: false,
            trouble: None,
            whole: None,
            why_has: false,
            place: egui::Rect::NOTHING,
        }
    }
}

/// Rows of the field before it scrolls.
const ROWS: usize = 8;

impl NoteState {
    /// The keyboard or the pointer is at the line: all of it is shown. Else it takes no more room than it needs.
    fn at_work(&self, ui: &egui::Ui) -> bool {
        let has = |id| ui.memory(|m| m.has_focus(id));
        let pointed = ui.input(|i| i.pointer.hover_pos()).is_some_and(|p| self.place.contains(p));
        self.wanted || self.asked_anew || has(field_id()) || self.why_has || pointed
    }

    /// Reads what is typed anew where it, the flock or the day moved.
    fn keep(&mut self, open: &mut OpenBookParts<'_>, today: Day) {
        let version = open.book.flock().version();
        let now = (version, today, open.draft.text.clone());
        if self.read_for.as_ref() == Some(&now) {
            return;
        }
        // A large book is still being looked over: the next frame asks again.
        if open.book.is_being_looked_over() {
            return;
        }
        let lines_moved = self.notes.text.lines().count() != now.2.lines().count();
        if lines_moved || now.2.is_empty() {
            self.notes.chosen.clear();
        }
        self.notes.text.clone_from(&now.2);
        self.notes.word.clear();
        self.trouble = None;
        if now.2.trim().is_empty() {
            self.lines.clear();
            self.asked = false;
        } else {
            match open.book.read_notes(&mut self.notes, today) {
                Ok(lines) => self.lines = lines,
                Err(e) => self.trouble = Some(e.to_string()),
            }
        }
        let open_word = !now.2.is_empty() && !now.2.ends_with([' ', '\n']);
        self.whole = self.notes.completed(&now.2).filter(|_| open_word);
        self.read_for = Some(now);
    }

    /// The first piece of which a reading is to be chosen.
    fn undecided(&self) -> Option<((usize, usize), usize)> {
        self.lines.iter().enumerate().find_map(|(at, l)| {
            let p = l.pieces.iter().find(|p| p.stands == Stands::Several)?;
            Some(((at, p.no), p.readings.len()))
        })
    }

    fn choose(&mut self, piece: (usize, usize), which: Option<usize>) {
        match which {
            Some(i) => self.notes.chosen.insert(piece, i),
            None => self.notes.chosen.remove(&piece),
        };
        self.read_for = None;
    }

    /// What stands in the way of writing.
    fn hindrance(&self) -> Option<String> {
        self.lines.iter().find_map(|l| {
            l.lost.first().map(|d| d.says.clone()).or_else(|| {
                l.pieces.iter().find_map(|p| match &p.stands {
                    Stands::Several => {
                        Some(phrase!("this can mean several things: choose one with Alt and its number"))
                    }
                    Stands::Refused(why) => Some(why.join("; ")),
                    Stands::Plain | Stands::Asked(_) => None,
                })
            })
        })
    }

    fn asks(&self) -> bool {
        self.lines.iter().flat_map(|l| &l.pieces).any(|p| matches!(p.stands, Stands::Asked(_)))
    }
}

/// What of the open book the note line needs.
struct OpenBookParts<'a> {
    book: &'a mut hirsel_core::book::Book,
    draft: &'a mut Draft,
}

impl Desk {
    /// The line, above the foot.
    pub(super) fn note_line(&mut self, ui: &mut egui::Ui) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let mut write = false;
        egui::Panel::bottom("note").frame(super::chrome::bar_frame(ui)).show(ui, |ui| {
            ui.add_space(space::XS);
            let OpenBook { book, pages, note, .. } = open.as_mut();
            let draft = &mut pages.note;
            keys(ui, note);
            note.keep(&mut OpenBookParts { book, draft }, today);
            if note.at_work(ui) || draft.text.trim().is_empty() {
                understood(ui, note);
                write |= why(ui, note, draft);
                write |= field(ui, note, draft);
            } else {
                waiting(ui, note, draft);
            }
            ui.add_space(space::XS);
            note.place = ui.min_rect();
        });
        if write {
            self.write_notes(today);
        }
    }

    fn write_notes(&mut self, today: Day) {
        let Stage::Open(open) = &mut self.stage else { return };
        let OpenBook { book, pages, note, .. } = open.as_mut();
        note.keep(&mut OpenBookParts { book, draft: &mut pages.note }, today);
        if note.lines.iter().all(|l| l.pieces.is_empty() && l.lost.is_empty()) {
            return;
        }
        if let Some(why) = note.hindrance() {
            self.say(Kind::Refuse, phrase!("Nothing was written: {why}"));
            return;
        }
        if note.asks() && pages.note.word.trim().is_empty() {
            (note.asked, note.asked_anew) = (true, true);
            self.say(
                Kind::Caution,
                "This looks unlikely: say why it is right in a word or two, then press Enter",
            );
            return;
        }
        note.notes.word.clone_from(&pages.note.word);
        match book.write_notes(&mut note.notes, today) {
            Ok(Ok(written)) => {
                let n = note.lines.iter().map(|l| l.pieces.len()).sum::<usize>();
                pages.note = Draft::default();
                self.typed_in = None; // Ctrl+Z is the book's again
                *note = NoteState { wanted: true, ..NoteState::default() };
                let said =
                    if n == 1 { written.sentence.clone() } else { phrase!("Wrote {}", counted(n, "note")) };
                open.trouble = None;
                open.refresh();
                open.follow(&written.touched);
                open.look_at_drafts = true;
                self.did(super::Task::Note);
                self.say(Kind::Good, said);
            }
            Ok(Err(lines)) => {
                note.lines = lines;
                let why =
                    note.hindrance().unwrap_or_else(|| phrase!("a word is needed: say why it is right"));
                self.say(Kind::Refuse, phrase!("Nothing was written: {why}"));
            }
            Err(e) => self.failed(&e),
        }
    }
}

/// Alt and a figure choose a reading of the first piece that has several.
fn keys(ui: &egui::Ui, note: &mut NoteState) {
    const FIGURES: [Key; 9] =
        [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9];
    let Some((piece, n)) = note.undecided() else { return };
    let hit = ui.input_mut(|i| FIGURES.iter().take(n).position(|k| i.consume_key(Modifiers::ALT, *k)));
    if let Some(which) = hit {
        note.choose(piece, Some(which));
    }
}

/// What the notes will write, a sentence each.
fn understood(ui: &mut egui::Ui, note: &mut NoteState) {
    if let Some(trouble) = &note.trouble {
        look::refusal(ui, trouble);
    }
    let any = note.lines.iter().any(|l| !l.pieces.is_empty() || !l.lost.is_empty());
    if !any {
        return;
    }
    let mut choice = None;
    let most = (ui.ctx().content_rect().height() * 0.4).max(120.0);
    egui::ScrollArea::vertical().id_salt("understood").max_height(most).auto_shrink([false, true]).show(
        ui,
        |ui| {
            let several = note.lines.len() > 1;
            let first = note.undecided().map(|(at, _)| at);
            for (at, line) in note.lines.iter().enumerate() {
                if several && !(line.pieces.is_empty() && line.lost.is_empty()) {
                    look::faint(ui, line.text.trim().to_string());
                }
                for piece in &line.pieces {
                    let key = (at, piece.no);
                    if let Some(which) = shown(ui, piece, first == Some(key)) {
                        choice = Some((key, which));
                    }
                }
                for lost in &line.lost {
                    look::sentence(ui, Kind::Refuse, capital(&lost.says));
                }
            }
        },
    );
    if let Some((key, which)) = choice {
        note.choose(key, which);
    }
    ui.add_space(space::XS);
}

/// One piece; answers a reading chosen, or `None` to choose again.
fn shown(ui: &mut egui::Ui, piece: &NotePiece, is_first: bool) -> Option<Option<usize>> {
    let mut choice = None;
    match &piece.stands {
        Stands::Plain | Stands::Asked(_) => {
            ui.horizontal_wrapped(|ui| {
                let t = look::tokens(ui);
                look::icon(ui, Icon::Tick, t.good);
                ui.add(egui::Label::new(piece.sentence()).wrap());
                if piece.readings.len() > 1 && ui.small_button(phrase!("Another reading")).clicked() {
                    choice = Some(None);
                }
            });
        }
        Stands::Several => {
            look::sentence(ui, Kind::Caution, "This can mean several things. Which?");
            for (i, r) in piece.readings.iter().enumerate() {
                ui.horizontal(|ui| {
                    ui.add_space(space::L);
                    let keys = if is_first { phrase!("Alt+{}  ", i + 1) } else { String::new() };
                    if ui.button(format!("{keys}{}", r.sentence)).clicked() {
                        choice = Some(Some(i));
                    }
                });
            }
        }
        Stands::Refused(why) => {
            let said = piece.sentence();
            if !said.is_empty() {
                look::faint(ui, said.to_string());
            }
            why.iter().for_each(|w| {
                look::sentence(ui, Kind::Refuse, capital(w));
            });
        }
    }
    let taken = piece.taken.and_then(|i| piece.readings.get(i)).filter(|r| r.draft.is_some());
    for doubt in taken.iter().flat_map(|r| &r.doubts) {
        look::sentence(ui, Kind::Caution, capital(&doubt.says));
    }
    if let Stands::Asked(all) = &piece.stands {
        for q in all {
            look::sentence(ui, Kind::Caution, capital(q));
        }
    }
    choice
}

/// A sentence of its own begins with a capital.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// The field for a word why what looks unlikely is right; true when it is entered.
fn why(ui: &mut egui::Ui, note: &mut NoteState, draft: &mut Draft) -> bool {
    note.why_has = false;
    if !note.asked {
        return false;
    }
    let mut form = Form::new(ui, "note why").label_width(60.0);
    form.focus_once(ui, &mut note.asked_anew, "Why");
    form.field(ui, &Field::new("Why").width(420.0).example("weighed twice"), &mut draft.word);
    note.why_has = form.has_keyboard(ui, "Why");
    form.finish(ui) == FormEvent::Submitted && !draft.word.trim().is_empty()
}

pub(super) fn field_id() -> egui::Id {
    egui::Id::unique("note line")
}

/// Notes half typed while the keyboard is elsewhere: one line that leads back to them.
fn waiting(ui: &mut egui::Ui, note: &mut NoteState, draft: &Draft) {
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(phrase!("Note")).selectable(false));
        let n = draft.text.lines().filter(|l| !l.trim().is_empty()).count();
        let first = draft.text.lines().next().unwrap_or_default();
        let text = phrase!("{} not yet written: {first}", counted(n, "line"), first = &first);
        let button = egui::Button::new(text).truncate();
        if ui.add(button).on_hover_text(phrase!("Ctrl+N")).clicked() {
            note.wanted = true;
        }
    });
}

/// The field itself; true when Enter is to write it.
fn field(ui: &mut egui::Ui, note: &mut NoteState, draft: &mut Draft) -> bool {
    let id = field_id();
    let mut write = false;
    ui.horizontal_top(|ui| {
        let label = ui.add(egui::Label::new(phrase!("Note")).selectable(false));
        let has = ui.memory(|m| m.has_focus(id));
        if has {
            let enter = |m: Modifiers| move |i: &mut egui::InputState| i.consume_key(m, Key::Enter);
            write = ui.input_mut(enter(Modifiers::COMMAND)) || plain_enter(ui);
            complete(ui, note, draft);
        }
        let lines = draft.text.split('\n').count();
        let rows = lines.clamp(1, ROWS);
        let wide = (ui.available_width() - 4.0).max(200.0);
        let hint = if wide < 480.0 {
            "0412 twins: ram 4.3, ewe 3.9"
        } else {
            "barn notes in plain words: 0412 twins: ram 4.3, ewe 3.9, both sucked"
        };
        let hint = look::said(hint);
        let edit = egui::TextEdit::multiline(&mut draft.text)
            .id(id)
            .desired_rows(rows)
            .desired_width(wide)
            .lock_focus(note.whole.is_some())
            .return_key(KeyboardShortcut::new(Modifiers::SHIFT, Key::Enter))
            .hint_text(hint.as_ref());
        // As high as its rows: within a panel a scroll area would keep the height it had.
        let response = if lines <= ROWS {
            ui.add(edit)
        } else {
            let high = ROWS as f32 * ui.text_style_height(&egui::TextStyle::Body) + 12.0;
            let area =
                egui::ScrollArea::vertical().id_salt("note field").max_height(high).min_scrolled_height(high);
            area.show(ui, |ui| ui.add(edit)).inner
        };
        let response = response.labelled_by(label.id);
        // Forms have notes of their own.
        ui.ctx().accesskit_node_builder(label.id, |node| node.set_value("Barn note"));
        if let Some(whole) = note.whole.as_deref().filter(|_| has) {
            // Painted into the field, so that nothing moves while one types.
            let typed = draft.text.chars().count().saturating_sub(8);
            let tail: String = whole.chars().skip(typed).collect();
            let font = egui::TextStyle::Small.resolve(ui.style());
            let at = response.rect.right_center() - egui::vec2(8.0, 0.0);
            let ink = look::tokens(ui).faint;
            ui.painter().text(at, egui::Align2::RIGHT_CENTER, phrase!("Tab: …{tail}"), font, ink);
        }
        if std::mem::take(&mut note.wanted) {
            response.request_focus();
        }
        if response.changed() {
            note.asked = false;
            draft.word.clear();
        }
    });
    write
}

/// Enter alone: egui lets Enter with Shift pass for Enter, which here begins a line.
fn plain_enter(ui: &egui::Ui) -> bool {
    let shift = ui.input(|i| i.modifiers.shift);
    !shift && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Enter))
}

/// Tab completes a word of the book at the end of what is typed; where there is none it leads on as ever.
fn complete(ui: &egui::Ui, note: &mut NoteState, draft: &mut Draft) {
    if note.whole.is_none() || !ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Tab)) {
        return;
    }
    let Some(whole) = note.whole.take() else { return };
    draft.text = whole;
    to_end(ui.ctx(), &draft.text);
}

/// Puts the cursor behind the text of the line.
pub(super) fn to_end(ctx: &egui::Context, text: &str) {
    let end = egui::text::CCursor::new(text.chars().count());
    let mut state = egui::text_edit::TextEditState::load(ctx, field_id()).unwrap_or_default();
    state.cursor.set_char_range(Some(egui::text::CCursorRange::one(end)));
    state.store(ctx, field_id());
}
