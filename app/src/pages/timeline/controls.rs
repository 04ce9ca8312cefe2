//! What stands over the drawing: whom, which days, which kinds, and the season in one line.

use super::super::papers::Season;
use super::super::{Ctx, Intent};
use super::span::Span;
use super::{State, keys};
use crate::look::{self, Face, Kind as Tells, fonts, space};
use crate::parts::canvas::OnScreen;
use crate::parts::{Choice, Field, Form, Found, Picker};
use egui::{Color32, FontId, Role, Sense, WidgetInfo, pos2, vec2};
use hirsel_core::papers::timeline::glyph;
use hirsel_core::phrase;
use hirsel_core::reckon::season::{Group, Kind, Picked, Roll, Row, Which};
use hirsel_core::terms::{AnimalId, counted};

const WHICH: [(Which, &str); 5] = [
    (Which::All, "All"),
    (Which::Ewes, "Ewes"),
    (Which::Lambs, "Lambs"),
    (Which::Overdue, "Overdue"),
    (Which::Held, "Withdrawal"),
];

/// What the marks of jobs say.
const JOBS: &str = ". A box is to do, a full one with a stroke is overdue, a thin one is still to come; ✓ is done, × was not done.";

const DAYS: [(&str, Option<i64>); 4] =
    [("4 weeks", Some(28)), ("13 weeks", Some(91)), ("Season", None), ("Year", Some(365))];

/// The head of the page: what is drawn, the days, and the way to paper.
pub(super) fn head(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    picked: &Picked,
    out: &mut Vec<Intent>,
) {
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        let title = state.animal.and_then(|id| ctx.flock.animal(id)).map(|a| a.title());
        look::heading(ui, title.as_deref().map_or(phrase!("Timeline"), |t| phrase!("Life of {t}", t = &t)));
        ui.add_space(space::S);
        if state.animal.is_some()
            && ui.button(phrase!("← Whole flock")).on_hover_text(phrase!("Esc")).clicked()
        {
            state.turn_to(None);
        }
        if state.animal.is_none() {
            days(ui, ctx, state, picked, out);
        }
    });
    if state.animal.is_some() {
        ui.horizontal(|ui| {
            one(ui, ctx, state);
            days(ui, ctx, state, picked, out);
        });
    }
}

/// How many days are shown, and the way to paper.
fn days(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, picked: &Picked, out: &mut Vec<Intent>) {
    for (sign, name, key, closer) in [("−", "More days", "−", false), ("+", "Fewer days", "+", true)] {
        let name = crate::look::said(name);
        let button = ui.add(egui::Button::new(sign).min_size(vec2(space::TARGET, 0.0)));
        button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        if button.on_hover_text(phrase!("{name} (key {key})")).clicked() {
            keys::zoom(ctx, state, closer);
        }
    }
    let now = state.span(ctx);
    for (words, days) in DAYS {
        let whole = state.animal.is_some() && days.is_none();
        let words = if whole { "Whole life" } else { words };
        let to = days.map(|d| Span::around(ctx.today, d));
        let on = match days {
            None => state.span.is_none(),
            Some(d) => state.span.is_some() && d == now.days,
        };
        if ui.selectable_label(on, crate::look::spoken(words)).clicked() {
            state.span = to;
        }
    }
    if ui.button(phrase!("Today")).on_hover_text(phrase!("Home")).clicked() {
        state.span = Some(Span::around(ctx.today, now.days));
    }
    let some = state.animal.is_some() || picked.animals > 0;
    if ui
        .add_enabled(some, egui::Button::new(phrase!("Print")))
        .on_hover_text(phrase!("What is shown, as a paper"))
        .clicked()
    {
        let animals = state.animal.map_or_else(|| all(picked), |id| vec![id]);
        let days = (now.start, now.end());
        out.push(Intent::PrintSeason(Season { animals, days, kinds: state.kinds }));
    }
}

fn all(picked: &Picked) -> Vec<AnimalId> {
    let of = |r: &Row| if let Row::Animal(id) = r { Some(*id) } else { None };
    picked.rows.iter().filter_map(of).collect()
}

/// Which animals have a row, and the way to one animal.
pub(super) fn whom(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, roll: &Roll) {
    let one_line = ui.available_width() > 1000.0;
    let mut form = Form::new(ui, "timeline whom").label_width(38.0);
    ui.horizontal(|ui| {
        let mut which = Some(state.which);
        ui.allocate_ui(vec2(494.0, space::FIELD), |ui| {
            form.choice(ui, &Choice::new("Show", &WHICH), &mut which);
        });
        state.which = which.unwrap_or_default();
        if one_line {
            narrow(ui, ctx, state, roll, &mut form);
        }
    });
    if !one_line {
        ui.horizontal(|ui| narrow(ui, ctx, state, roll, &mut form));
    }
    if form.finish(ui) == crate::parts::FormEvent::Submitted {
        state.view.focus = true;
    }
}

/// The fields that narrow the rows down, and the one that leads to one animal.
fn narrow(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, roll: &Roll, form: &mut Form) {
    form.set_label_width(28.0);
    ui.allocate_ui(vec2(150.0, space::FIELD), |ui| {
        let picker = Picker::new("Pen", ctx.flock.version()).width(108.0).example("any");
        form.picker(ui, &picker, &mut state.pen, |text| {
            let text = text.to_lowercase();
            let pens = (0u64..).zip(&roll.groups).filter_map(|(key, g)| match g {
                Group::Pen(p) if p.to_lowercase().contains(&text) => Some((key, p)),
                _ => None,
            });
            pens.map(|(key, p)| Found { key, label: p.clone(), detail: String::new() }).collect()
        });
    });
    ui.allocate_ui(vec2(132.0, space::FIELD), |ui| {
        form.field(ui, &Field::new("Tag").width(90.0).example("part of it"), &mut state.tag);
    });
    one(ui, ctx, state);
}

/// One animal by any part of its tag or name. A form of its own: Enter in the field before it leads into the drawing.
fn one(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) {
    let mut form = Form::new(ui, "timeline life").label_width(52.0);
    ui.allocate_ui(vec2(200.0, space::FIELD), |ui| {
        let nobody = |t: &str| ctx.nobody(t);
        let picker =
            Picker::new("Life of", ctx.flock.version()).nobody(&nobody).width(130.0).example("tag or name");
        form.picker(ui, &picker, &mut state.one, |t| ctx.find(t, |_| true));
    });
    form.finish(ui);
    if let Some(id) = state.one.chosen() {
        state.turn_to(Some(id));
    }
}

/// The kinds of event with their marks; a click leaves one out.
pub(super) fn legend(ui: &mut egui::Ui, state: &mut State) {
    let t = look::tokens(ui);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(space::XS, 2.0);
        for kind in Kind::ALL {
            let on = state.kinds.has(kind);
            let ink = if on { t.ink } else { t.faint };
            let font = FontId::new(look::size::SMALL, fonts::family(Face::Sans));
            let words = ui.painter().layout_no_wrap(kind.words().to_owned(), font, ink);
            let size = vec2(30.0 + words.size().x + 10.0, space::TARGET - 2.0);
            let (rect, response) = ui.allocate_exact_size(size, Sense::click());
            response.widget_info(|| {
                WidgetInfo::selected(Role::CheckBox, true, on, crate::look::said(kind.words()))
            });
            if response.clicked() {
                state.kinds = state.kinds.toggled(kind);
            }
            let visuals = ui.style().interact(&response);
            let ground = if response.hovered() {
                t.hover
            } else if on {
                t.raised
            } else {
                Color32::TRANSPARENT
            };
            let edge = if response.has_focus() { visuals.bg_stroke } else { egui::Stroke::new(1.0, t.rule) };
            ui.painter().rect(rect, space::ROUND, ground, edge, egui::StrokeKind::Inside);
            let mut canvas = OnScreen::new(ui.painter(), t, rect.left_center());
            if on {
                glyph::sample(&mut canvas, kind, (3.0, 0.0));
            }
            let at = pos2(rect.left() + 32.0, rect.center().y - words.size().y / 2.0);
            let wide = words.size().x;
            ui.painter().galley(at, words, ink);
            if !on {
                // Left out: its words are struck through.
                let y = rect.center().y + 1.0;
                ui.painter().hline(at.x..=at.x + wide, y, egui::Stroke::new(1.2, t.faint));
            }
            let hover = if on { "Leave out" } else { "Show" };
            let more = if kind == Kind::Job { JOBS } else { "" };
            response.on_hover_text(phrase!("{hover}: {}{more}", kind.words().to_lowercase()));
        }
    });
}

/// The season in one line: how many, the peak of lambing, what is overdue, who waits.
pub(super) fn summary(ui: &mut egui::Ui, ctx: &Ctx<'_>, picked: &Picked) {
    ui.label(counted(picked.animals, "animal"));
    if let Some((day, n)) = picked.counts.peak(ctx.today.plus(-300), ctx.today) {
        let until = day.plus(6);
        let from = if day.month() == until.month() { day.day().to_string() } else { day.short() };
        let ewes = counted(n as usize, "ewe");
        look::chip(ui, Tells::Accent, phrase!("lambing peak {from} to {}: {ewes}", until.words()));
    }
    if ctx.board.is_none() {
        look::faint(ui, "the jobs are being reckoned");
    } else if picked.overdue.0 > 0 {
        let (jobs, animals) = (counted(picked.overdue.0, "job"), counted(picked.overdue.1, "animal"));
        look::chip(ui, Tells::Refuse, phrase!("{jobs} overdue on {animals}"));
    } else {
        look::chip(ui, Tells::Good, "no job overdue");
    }
    if picked.held > 0 {
        look::chip(ui, Tells::Caution, phrase!("{} under withdrawal", counted(picked.held, "animal")));
    }
}
