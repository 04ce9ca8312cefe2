//! The form of a lambing, from the ewe to the last lamb.

use super::super::{Ctx, Intent};
use super::{State, lamb, typed::Typed};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Picker};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::gestation::{self, Fit};
use hirsel_core::terms::{AnimalId, Ease, Sex};

/// What the sire may be, in the order of the choice.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub(crate) enum SireChoice {
    /// A ram whose joining fits.
    Ram(AnimalId),
    /// Another ram, typed.
    Other,
    /// One of the rams that fit.
    OneOf(Vec<AnimalId>),
    /// Not known.
    Unknown,
}

/// Which sires are offered for what is typed, and which one is proposed.
pub(super) fn sires(ctx: &Ctx<'_>, typed: &Typed) -> (Vec<SireChoice>, usize) {
    let on = super::super::fields::day_or_today(ctx, &typed.on).unwrap_or(ctx.today);
    let fits: Vec<Fit> = typed
        .ewe
        .chosen()
        .and_then(|e| ctx.flock.file(e))
        .map(|f| gestation::fits(ctx.flock, f, on))
        .unwrap_or_default();
    let inside: Vec<AnimalId> = gestation::likely(&fits);
    let mut all: Vec<SireChoice> = fits.iter().take(4).map(|f| SireChoice::Ram(f.ram)).collect();
    let proposed = match inside.len() {
        1 => 0,
        n if n > 1 => all.len(), // one of several
        _ => all.len() + 1,
    };
    if inside.len() > 1 {
        all.push(SireChoice::OneOf(inside.clone()));
    }
    all.push(SireChoice::Other);
    all.push(SireChoice::Unknown);
    let proposed = if inside.is_empty() { all.len() - 1 } else { proposed.min(all.len() - 1) };
    // What the keeper chose stays chosen when another day offers other rams.
    match &typed.sire {
        Some(chosen) => {
            let at = all.iter().position(|s| s == chosen).unwrap_or_else(|| {
                all.push(chosen.clone());
                all.len() - 1
            });
            (all, at)
        }
        None => (all, proposed),
    }
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "lambing");
    if let Some(label) = state.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            state.focus = None;
        }
    }
    state.live.look(ui, ctx, state.typed.read(ctx));
    let before = state.typed.ewe.chosen();
    let wrong = state.live.at(&form, "Ewe");
    form.animal_of(ui, ctx, "Ewe", &mut state.typed.ewe, wrong, |f| f.animal.sex == Sex::Ewe);
    if before != state.typed.ewe.chosen() {
        state.typed.sire = None;
        state.written = None;
        state.live.clear();
    }
    form.day_with(ui, ctx, "Day", &mut state.typed.on, state.live.at(&form, "Day"));
    form.time(ui, "Time", &mut state.typed.time);
    let eases: Vec<(u8, &str)> = (0u8..).zip(Ease::ALL.iter().map(|e| e.words())).collect();
    form.choice(ui, &Choice::new("Ease", &eases).optional(), &mut state.typed.ease);
    if state.typed.was_helped() {
        let width = (ui.available_width() - 146.0).clamp(160.0, 320.0);
        let field = Field::new("Help given").width(width).example("leg back, head only …");
        form.field(ui, &field, &mut state.typed.help);
    }
    sire(ui, ctx, state, &mut form);
    form.field(ui, &Field::new("Pen").width(200.0).example("where they are now"), &mut state.typed.pen);
    ui.add_space(space::S);
    let mut remove = None;
    for (n, one) in state.typed.lambs.iter_mut().enumerate() {
        if lamb::view(ui, ctx, &mut form, one, n, &state.live) {
            remove = Some(n);
        }
        ui.add_space(space::XS);
    }
    if let Some(n) = remove {
        state.typed.lambs.remove(n);
    }
    let lambs = state.typed.lambs.len();
    state.typed.keep_one_ahead();
    if lambs != state.typed.lambs.len() {
        ui.ctx().request_repaint();
    }
    foster_lambs(ui, ctx, state, &mut form);
    let width = (ui.available_width() - 146.0).clamp(160.0, 420.0);
    form.field(ui, &Field::new("Note").width(width), &mut state.typed.note);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    ui.horizontal_wrapped(|ui| {
        ui.add_space(138.0);
        go |= look::primary(ui, "Write the lambing").clicked();
        if ui.button(phrase!("Empty the form")).clicked() {
            if state.typed.is_begun() {
                state.aside.push(std::mem::take(&mut state.typed));
            }
            state.live.clear();
            state.focus = Some("Ewe".into());
        }
    });
    look::faint(ui, "Ctrl+Enter writes. An empty lamb is left out.");
    ui.add_space(space::L);
    if go {
        match state.live.finished(ctx, state.typed.read(ctx)) {
            Ok(intent) => out.push(intent),
            Err(wrong) => {
                out.push(Intent::Say(Kind::Refuse, wrong.said()));
                state.focus = Some(wrong.label);
            }
        }
    }
}

/// Lambs of other ewes put on this one: as many as there are, each of which may be taken off the list.
fn foster_lambs(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let (refusal, caution) = state.live.at(form, "Foster on");
    let nobody = |t: &str| ctx.nobody(t);
    let picker =
        Picker::new("Foster on", ctx.flock.version()).nobody(&nobody).refusal(refusal).caution(caution);
    let picker =
        picker.example(if state.typed.fostered.is_empty() { "a lamb of another ewe" } else { "and another" });
    let lamb = |f: &AnimalFile| f.animal.is_lamb(ctx.today) && f.animal.status.is_here();
    let response = form.picker(ui, &picker, &mut state.typed.foster_on, |t| ctx.find(t, lamb));
    if let Some(id) = state.typed.foster_on.chosen() {
        state.typed.foster_on.clear();
        if !state.typed.fostered.contains(&id) {
            state.typed.fostered.push(id);
        }
        // Taken by Enter one may type the next at once; left by Tab one goes on.
        if response.has_focus() {
            state.focus = Some("Foster on".into());
        }
        ui.ctx().request_repaint();
    }
    let mut off = None;
    for (n, id) in state.typed.fostered.iter().enumerate() {
        let Some(file) = ctx.flock.file(*id) else { continue };
        let title = file.animal.title();
        ui.horizontal_wrapped(|ui| {
            ui.add_space(138.0);
            look::strong(ui, &title);
            look::faint(ui, ctx.detail(file));
            let button = ui.small_button(phrase!("Take off"));
            let spoken = phrase!("Take off {title}");
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &spoken));
            if button.clicked() {
                off = Some(n);
            }
        });
    }
    if let Some(n) = off {
        state.typed.fostered.remove(n);
        state.focus = Some("Foster on".into());
    }
}

fn sire(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let (all, proposed) = sires(ctx, &state.typed);
    let words: Vec<String> = all
        .iter()
        .map(|s| match s {
            SireChoice::Ram(id) => ctx.flock.tag(*id).to_string(),
            SireChoice::OneOf(rams) => {
                phrase!("one of {}", rams.iter().map(|r| ctx.flock.tag(*r)).collect::<Vec<_>>().join(", "))
            }
            SireChoice::Other => look::said("another ram").into_owned(),
            SireChoice::Unknown => look::said("not known").into_owned(),
        })
        .collect();
    let options: Vec<(u8, &str)> = (0u8..).zip(words.iter().map(String::as_str)).collect();
    let mut value = u8::try_from(proposed).ok();
    let shown = value;
    let wrong = state.live.at(form, "Sire");
    let other = all.get(proposed) == Some(&SireChoice::Other);
    // Of another ram that is typed, what is wrong stands at his own field.
    let here = if other { (None, None) } else { wrong };
    form.choice(ui, &Choice::names("Sire", &options).refusal(here.0).caution(here.1), &mut value);
    if value != shown {
        state.typed.sire = value.and_then(|v| all.get(usize::from(v)).cloned());
    }
    let chosen = value.and_then(|v| all.get(usize::from(v)));
    if let Some(hint) = why(ctx, state, chosen) {
        ui.horizontal(|ui| {
            ui.add_space(138.0);
            let ink = look::tokens(ui).faint;
            ui.add(egui::Label::new(egui::RichText::new(hint).small().color(ink)).wrap());
        });
    }
    if chosen == Some(&SireChoice::Other) {
        let missing = state.live.at(form, "Ram");
        let wrong = if form.has_keyboard(ui, "Ram") && state.live.is_quiet() { (None, None) } else { wrong };
        let wrong = (missing.0.or(wrong.0), wrong.1);
        form.animal_of(ui, ctx, "Ram", &mut state.typed.ram, wrong, |f| f.animal.sex != Sex::Ewe);
    }
}

/// Why this ram is proposed: the days since their joining began.
fn why(ctx: &Ctx<'_>, state: &State, chosen: Option<&SireChoice>) -> Option<String> {
    let ewe = ctx.flock.file(state.typed.ewe.chosen()?)?;
    let on = super::super::fields::day_or_today(ctx, &state.typed.on).ok()?;
    let SireChoice::Ram(ram) = chosen? else { return None };
    let j = ewe
        .joinings
        .iter()
        .filter(|j| j.struck.is_none() && j.ram == *ram && j.from <= on)
        .max_by_key(|j| j.from)?;
    let until = j.to.map_or(phrase!("still together"), |t| phrase!("until {}", t.words()));
    let fits = gestation::fits(ctx.flock, ewe, on).iter().any(|f| f.ram == *ram && f.off == 0);
    let (early, late) = gestation::lengths(ctx.flock).of_ewe(&ewe.animal).widest();
    let word = if fits { "fits" } else { "does not quite fit" };
    Some(phrase!(
        "Joined {} {}; day {}: {} {} to {} days from service",
        j.from.words(),
        until,
        on.since(j.from),
        word,
        early,
        late
    ))
}
