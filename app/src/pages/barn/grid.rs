//! The grid: a row for each animal with a box for each job, a weight and a remark. Arrows, Enter and Tab go down the
//! column; Space or x ticks; t ticks the job for the whole pen.

use super::super::{Ctx, Intent};
use super::State;
use super::lines::{self, BOX_LINE, Line, What};
use super::moves::{Col, Place, beside, down, far};
use super::shown::{Job, Pen, Row, Shown};
use crate::look::{self, Face, Icon, icons, size, space, tokens};
use crate::parts::take_keyboard;
use egui::{
    CornerRadius, Event, EventFilter, FontId, Id, Key, Rect, Role, Sense, Stroke, StrokeKind, TextEdit, Ui,
    WidgetInfo, pos2, vec2,
};
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;

/// Where the keyboard is in the grid; nothing of it is a draft.
#[derive(Debug, Default)]
pub(super) struct Cursor {
    at: Option<(Place, Col)>,
    /// The keyboard is wanted there.
    wish: bool,
    /// Scroll there first.
    scroll: bool,
}

impl Cursor {
    /// Wants the keyboard at the first cell.
    pub(super) fn first(&mut self) {
        *self = Self { at: None, wish: true, scroll: true };
    }

    /// Wants it at the row of this animal.
    pub(super) fn to(&mut self, shown: &Shown, animal: AnimalId, weight: bool) {
        if let Some(place) = shown.place(animal)
            && let Some(row) = shown.row(place)
        {
            let col = if weight { Col::Weight } else { first_open(row) };
            *self = Self { at: Some((place, col)), wish: true, scroll: true };
        }
    }
}

/// What the keys asked for beside moving.
enum Deed {
    Toggle,
    WholePen,
    /// Leave the grid: to what follows, or to what stands before it.
    Leave(bool),
}

fn first_open(row: &Row) -> Col {
    row.jobs.iter().position(|j| j.open.is_some()).map_or(Col::Weight, Col::Job)
}

fn id_of(base: Id, row: &Row, col: Col) -> Id {
    match col {
        Col::Job(i) => base.with((row.animal, "job", row.jobs.get(i).map(|j| &j.mark))),
        Col::Weight => base.with((row.animal, "weight")),
        Col::Remark => base.with((row.animal, "remark")),
    }
}

/// Draws the grid in the room there is; tells whether the keyboard leaves it, and which way.
pub(super) fn view(
    ui: &mut Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    shown: &Shown,
    out: &mut Vec<Intent>,
) -> Option<bool> {
    let base = ui.make_persistent_id("barn grid");
    let width = ui.available_width();
    state.lines.keep_up(ui, shown, width, &state.search, &state.notes, state.notes_version);
    let left = keys(ui, base, state, shown);
    heads(ui, state);
    if state.lines.rows.is_empty() && !state.search.trim().is_empty() {
        ui.add_space(space::S);
        look::faint(ui, "No row of the sheet fits the search: change or empty it.");
        return left;
    }
    let output = egui::ScrollArea::vertical().id_salt("barn rows").auto_shrink(false);
    output.show_viewport(ui, |ui, seen| {
        ui.set_min_size(vec2(width - 14.0, state.lines.height));
        let origin = ui.max_rect().min;
        if std::mem::take(&mut state.cursor.scroll)
            && let Some(line) = state.cursor.at.and_then(|(row, _)| state.lines.line(row))
        {
            let top = origin + vec2(0.0, line.top);
            ui.scroll_to_rect(Rect::from_min_size(top, vec2(10.0, line.height + 6.0)), None);
        }
        let mut drawn: Vec<Line> = state.lines.all[state.lines.between(seen.top(), seen.bottom())].to_vec();
        // The row with the keyboard is drawn wherever it is, or it would lose it.
        if let Some((row, _)) = state.cursor.at
            && !drawn.iter().any(|l| l.what == What::Row(row.0, row.1))
        {
            drawn.extend(state.lines.line(row).cloned());
        }
        for line in &drawn {
            let at = Rect::from_min_size(origin + vec2(0.0, line.top), vec2(width - 14.0, line.height));
            match line.what {
                What::Pen(p) => pen_head(ui, base, state, shown, &shown.pens[p], line, at),
                What::Due(p) => {
                    let font = FontId::new(size::BODY, look::fonts::family(Face::Sans));
                    let t = tokens(ui);
                    let text = shown.pens[p].due.clone();
                    let galley = ui.painter().layout(text.clone(), font, t.ink, width - 60.0);
                    let place = at.min + vec2(state.lines.columns.animal, 6.0);
                    let response = ui.interact(at, base.with(("due", p)), Sense::hover());
                    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
                    ui.painter().galley(place, galley, t.ink);
                }
                What::Row(p, r) => row(ui, ctx, state, shown, (p, r), base, line, at, out),
            }
        }
        if state.cursor.wish
            && let Some(((p, r), col)) = state.cursor.at
            && let Some(row) = shown.pens.get(p).and_then(|p| p.rows.get(r))
            && !ui.input(|i| i.pointer.any_pressed() || i.pointer.any_released())
        {
            state.cursor.wish = false;
            take_keyboard(ui, id_of(base, row, col));
        }
    });
    left
}

/// Heads of the columns.
fn heads(ui: &mut Ui, state: &State) {
    let t = tokens(ui);
    let c = state.lines.columns;
    let (rect, _) = ui.allocate_exact_size(vec2(c.right, 24.0), Sense::hover());
    let font = FontId::new(size::SMALL, look::fonts::family(Face::Strong));
    for (x, words) in [
        (c.animal, "Animal"),
        (c.jobs, "Jobs: Space ticks, t the whole pen"),
        (c.weight, "Weight"),
        (c.remark, "Remark"),
    ] {
        let at = pos2(rect.left() + x, rect.center().y);
        ui.painter().text(at, egui::Align2::LEFT_CENTER, words, font.clone(), t.faint);
    }
    let edge = rect.bottom();
    ui.painter().hline(rect.x_range(), edge, Stroke::new(1.0, t.edge));
}

/// The pen's name, and a button for each job that several of it have.
fn pen_head(ui: &mut Ui, base: Id, state: &mut State, shown: &Shown, pen: &Pen, line: &Line, at: Rect) {
    let t = tokens(ui);
    let font = look::style::subheading_style().resolve(ui.style());
    let left = pos2(at.left(), at.top() + 24.0);
    ui.painter().text(left, egui::Align2::LEFT_CENTER, &pen.title, font, t.ink);
    let name = ui.interact(
        Rect::from_min_size(at.min, vec2(10.0, 10.0)),
        base.with(("pen", &pen.name)),
        Sense::hover(),
    );
    name.widget_info(|| WidgetInfo::labeled(Role::Heading, true, &pen.title));
    for ((step, words), (x, wide, n)) in pen.rounds.iter().zip(&line.places) {
        let top = at.top() + 11.0 + 30.0 * *n as f32;
        let rect = Rect::from_min_size(pos2(at.left() + x, top), vec2(wide - 8.0, 26.0));
        let short = words.split(" · ").next().unwrap_or_default();
        let text = egui::RichText::new(words).small();
        let response = ui.put(rect, egui::Button::new(text).min_size(rect.size()));
        let label = phrase!("Tick all in {}: {short}", pen.name, short = &short);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
        if response.on_hover_text(&label).clicked() {
            state.tick_pen(shown, pen, step);
        }
    }
}

#[allow(clippy::too_many_arguments)]
fn row(
    ui: &mut Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    shown: &Shown,
    place: (usize, usize),
    base: Id,
    line: &Line,
    at: Rect,
    out: &mut Vec<Intent>,
) {
    let t = tokens(ui);
    let row = &shown.pens[place.0].rows[place.1];
    let c = state.lines.columns;
    let here = state.cursor.at.is_some_and(|(r, _)| r == place);
    if row.no.is_multiple_of(2) {
        ui.painter().rect_filled(at, CornerRadius::ZERO, t.stripe);
    }
    let text = |x: f32, y: f32, words: &str, pt: f32, face: Face, ink| {
        let font = FontId::new(pt, look::fonts::family(face));
        let clip = Rect::from_x_y_ranges(at.left()..=at.left() + c.jobs - 6.0, at.y_range());
        let at = pos2(at.left() + x, at.top() + y);
        ui.painter().with_clip_rect(clip.intersect(ui.clip_rect())).text(
            at,
            egui::Align2::LEFT_TOP,
            words,
            font,
            ink,
        );
    };
    text(4.0, 7.0, &row.no.to_string(), size::SMALL, Face::Sans, t.faint);
    text(c.animal, 5.0, &row.tag, size::BODY, Face::Strong, t.ink);
    text(c.animal, 24.0, &row.what, size::SMALL, Face::Sans, t.faint);
    if !row.held.is_empty() {
        let galley = lines::held(ui, &row.held, c, t.caution);
        ui.painter().galley(at.min + vec2(c.animal, 41.0), galley, t.caution);
    }
    let animal = Rect::from_min_max(at.min, pos2(at.left() + c.jobs - 6.0, at.top() + line.body));
    let response = ui.interact(animal, base.with((row.animal, "animal")), Sense::CLICK);
    let said = format!("{}, {}, {}", row.no, row.tag, row.what);
    response.widget_info(|| WidgetInfo::labeled(Role::Row, true, &said));
    if response.double_clicked() {
        out.push(Intent::Open(row.animal));
    }
    let told = if row.held.is_empty() { said } else { format!("{said}; {}", row.held) };
    response.on_hover_text(crate::look::spoken(told));
    for (i, (job, (x, wide, n))) in row.jobs.iter().zip(&line.places).enumerate() {
        let top = at.top() + 4.0 + BOX_LINE * *n as f32;
        let rect = Rect::from_min_size(pos2(at.left() + c.jobs + x, top), vec2(wide - 6.0, BOX_LINE - 2.0));
        let id = id_of(base, row, Col::Job(i));
        let ticked = state.is_ticked(row.animal, job);
        if job_box(ui, id, rect, row, job, ticked, here) {
            state.cursor.at = Some((place, Col::Job(i)));
            state.cursor.wish = true;
            state.tick(shown, row.animal, job, !ticked);
        }
    }
    let middle = at.top() + 6.0;
    for (col, x, right, hint) in
        [(Col::Weight, c.weight, c.remark - 10.0, "kg"), (Col::Remark, c.remark, c.right, "")]
    {
        let rect =
            Rect::from_min_max(pos2(at.left() + x, middle), pos2(at.left() + right, middle + space::FIELD));
        let hint = match (col, ctx.units()) {
            (Col::Weight, hirsel_core::terms::Units::Imperial) => "lb",
            _ => hint,
        };
        field(ui, state, shown, row, place, col, id_of(base, row, col), rect, hint);
    }
    let mut y = at.top() + line.body;
    for note in state.notes.iter().filter(|n| n.animal == row.animal) {
        let ink = note.kind.colours(t).0;
        let galley = lines::note(ui, note, c, ink);
        let place = Rect::from_min_size(pos2(at.left() + c.animal, y), galley.size());
        let said = ui.interact(place, base.with((row.animal, "note", &note.text)), Sense::hover());
        said.widget_info(|| WidgetInfo::labeled(Role::Label, true, &note.text));
        y += galley.size().y + 4.0;
        ui.painter().galley(place.min, galley, ink);
    }
    ui.painter().hline(at.x_range(), at.bottom(), Stroke::new(1.0, t.rule));
}

/// One box with its words; tells whether it was clicked.
fn job_box(ui: &Ui, id: Id, rect: Rect, row: &Row, job: &Job, ticked: bool, here: bool) -> bool {
    let t = tokens(ui);
    let words = job.words();
    let open = job.open.is_some();
    let sense = if open { Sense::click() } else { Sense::hover() };
    let response = ui.interact(rect, id, sense);
    let label = format!("{}, {}", job.step.short_said(), row.tag);
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, open, ticked, &label));
    if open {
        let filter = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: false };
        ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    }
    let painter = ui.painter();
    if response.hovered() && open {
        painter.rect_filled(rect, CornerRadius::same(space::ROUND), t.hover);
    } else if here && response.has_focus() {
        painter.rect_filled(rect, CornerRadius::same(space::ROUND), t.selection);
    }
    let middle = pos2(rect.left() + 14.0, rect.center().y);
    let square = Rect::from_center_size(middle, vec2(16.0, 16.0));
    if open {
        let (ground, edge) = if ticked { (t.accent, t.accent) } else { (t.field, t.edge) };
        painter.rect(square, CornerRadius::same(3), ground, Stroke::new(1.0, edge), StrokeKind::Inside);
        if ticked {
            icons::paint(Icon::Tick, painter, square.shrink(1.0), t.on_accent);
        }
    }
    let late = words.ends_with(", overdue");
    let ink = match (open, late) {
        (false, _) => t.faint,
        (true, true) => t.caution,
        (true, false) => t.ink,
    };
    let font = FontId::new(size::BODY, look::fonts::family(Face::Sans));
    let at = pos2(rect.left() + 28.0, rect.center().y);
    painter.with_clip_rect(rect.intersect(ui.clip_rect())).text(
        at,
        egui::Align2::LEFT_CENTER,
        words,
        font,
        ink,
    );
    response.on_hover_text(job.step.job_said()).clicked()
}

/// The weight or the remark of a row.
#[allow(clippy::too_many_arguments)]
fn field(
    ui: &mut Ui,
    state: &mut State,
    shown: &Shown,
    row: &Row,
    place: (usize, usize),
    col: Col,
    id: Id,
    rect: Rect,
    hint: &str,
) {
    let mut text = state.typed_text(row.animal, col);
    let edit = TextEdit::singleline(&mut text).id(id).hint_text(hint).lock_focus(true);
    let response = ui.put(rect, edit.desired_width(rect.width()).min_size(rect.size()));
    let what = if col == Col::Weight { "Weight" } else { "Remark" };
    let label = format!("{}, {}", crate::look::said(what), row.tag);
    ui.ctx().accesskit_node_builder(id, |node| node.set_label(label.as_str()));
    if response.has_focus() && state.cursor.at != Some((place, col)) && !state.cursor.wish {
        state.cursor.at = Some((place, col));
    }
    if response.changed() {
        state.set_text(shown, row.animal, col, text);
    }
}

/// Takes the keys of the cell that has the keyboard, before it sees them.
fn keys(ui: &Ui, base: Id, state: &mut State, shown: &Shown) -> Option<bool> {
    // Nothing is taken up yet: the first row that can be ticked.
    let there = |((p, r), _): &(Place, Col)| {
        shown.pens.get(*p).is_some_and(|p| p.rows.get(*r).is_some()) && state.lines.rows.contains(&(*p, *r))
    };
    if !state.cursor.at.as_ref().is_some_and(there) {
        let open = |place: &&(usize, usize)| {
            shown.row(**place).is_some_and(|r| r.jobs.iter().any(|j| j.open.is_some()))
        };
        let rows = &state.lines.rows;
        let first = rows.iter().find(open).or(rows.first()).copied();
        state.cursor.at = first.map(|(p, r)| ((p, r), first_open(&shown.pens[p].rows[r])));
    }
    let (place, col) = state.cursor.at?;
    let row = &shown.pens[place.0].rows[place.1];
    let id = id_of(base, row, col);
    if !ui.memory(|m| m.has_focus(id)) {
        return find_focused(ui, base, state, shown);
    }
    let typing = !matches!(col, Col::Job(_));
    let empty = typing && state.typed_text(row.animal, col).is_empty();
    let mut to = Some((place, col));
    let mut deeds = Vec::new();
    let mut moved = false;
    let rows = state.lines.rows.clone();
    ui.input_mut(|i| {
        i.events.retain(|event| {
            let Some((here, now)) = to else { return true };
            let mut go = |step: Option<(Place, Col)>| {
                if let Some(step) = step {
                    to = Some(step);
                    moved = true;
                }
                step.is_some()
            };
            match event {
                Event::Key { key, pressed: true, modifiers, .. } if !modifiers.command && !modifiers.alt => {
                    let back = modifiers.shift;
                    match key {
                        Key::Enter | Key::Tab => {
                            let by = if back { -1 } else { 1 };
                            if !go(down(shown, &rows, here, now, by)) && *key == Key::Tab {
                                deeds.push(Deed::Leave(!back));
                            }
                        }
                        Key::ArrowDown => drop(go(down(shown, &rows, here, now, 1))),
                        Key::ArrowUp => drop(go(down(shown, &rows, here, now, -1))),
                        Key::ArrowRight if !typing || empty => drop(go(beside(shown, here, now, 1))),
                        Key::ArrowLeft if !typing || empty => drop(go(beside(shown, here, now, -1))),
                        Key::Home if !typing => drop(go(far(shown, &rows, here, now, -1))),
                        Key::End if !typing => drop(go(far(shown, &rows, here, now, 1))),
                        Key::Space if !typing => deeds.push(Deed::Toggle),
                        _ => return true,
                    }
                    false
                }
                Event::Text(text) if !typing => {
                    match text.as_str() {
                        "x" | "X" => deeds.push(Deed::Toggle),
                        "t" | "T" => deeds.push(Deed::WholePen),
                        " " => {}
                        _ => return true,
                    }
                    false
                }
                _ => true,
            }
        });
    });
    let mut leave = None;
    for deed in deeds {
        let Col::Job(n) = col else {
            if let Deed::Leave(on) = deed {
                leave = Some(on);
            }
            continue;
        };
        let Some(job) = row.jobs.get(n) else { continue };
        match deed {
            Deed::Toggle => {
                let ticked = state.is_ticked(row.animal, job);
                state.tick(shown, row.animal, job, !ticked);
            }
            Deed::WholePen => state.tick_pen(shown, &shown.pens[place.0], &job.mark.step),
            Deed::Leave(on) => leave = Some(on),
        }
    }
    if moved && leave.is_none() {
        state.cursor = Cursor { at: to, wish: true, scroll: true };
    }
    leave
}

/// A cell may have got the keyboard by itself (Tab into the grid, a click): the cursor follows it.
fn find_focused(ui: &Ui, base: Id, state: &mut State, shown: &Shown) -> Option<bool> {
    let focused = ui.memory(|m| m.focused()).filter(|_| !state.cursor.wish)?;
    for &(p, r) in &state.lines.rows {
        let row = &shown.pens[p].rows[r];
        let mut cols = (0..row.jobs.len()).map(Col::Job).chain([Col::Weight, Col::Remark]);
        if let Some(col) = cols.find(|c| id_of(base, row, *c) == focused) {
            state.cursor.at = Some(((p, r), col));
            break;
        }
    }
    None
}
