//! The form of a lambing, from the ewe to the last lamb.

use super::super::{Ctx, Intent, refusal_of};
use super::{State, lamb, write};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
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
pub(super) fn sires(ctx: &Ctx<'_>, state: &State) -> (Vec<SireChoice>, usize) {
    let on = super::super::fields::day_or_today(ctx, &state.typed.on).unwrap_or(ctx.today);
    let fits: Vec<Fit> = state
        .typed
        .ewe
        .chosen()
        .and_then(|e| ctx.flock.file(e))
        .map(|f| gestation::fits(f, on))
        .unwrap_or_default();
    let inside: Vec<AnimalId> = fits.iter().filter(|f| f.off == 0).map(|f| f.ram).collect();
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
    match &state.typed.sire {
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
    let mut form = Form::new(ui, "lambing").label_width(130.0);
    if let Some(label) = state.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            state.focus = None;
        }
    }
    let wrong = |name| refusal_of(&state.refusals, name, 0);
    let (ewe, on, ram, foster) = (wrong("ewe"), wrong("on"), wrong("ram"), wrong("foster_on"));
    let lambs_wrong = wrong("lamb").filter(|_| state.typed.lambs.is_empty());
    let before = state.typed.ewe.chosen();
    form.animal(ui, ctx, "Ewe", &mut state.typed.ewe, ewe.as_deref(), |f| f.animal.sex == Sex::Ewe);
    if before != state.typed.ewe.chosen() {
        state.typed.sire = None;
        state.written.clear();
    }
    form.day(ui, ctx, "Day", &mut state.typed.on, on.as_deref());
    form.time(ui, "Time", &mut state.typed.time);
    let eases: Vec<(u8, &str)> = (0u8..).zip(Ease::ALL.iter().map(|e| e.words())).collect();
    form.choice(ui, &Choice::new("Ease", &eases).optional(), &mut state.typed.ease);
    if state.typed.ease.is_some_and(|e| e > 0) {
        form.field(
            ui,
            &Field::new("Help given").width(320.0).example("leg back, head only …"),
            &mut state.typed.help,
        );
    }
    sire(ui, ctx, state, &mut form, ram.as_deref());
    form.field(ui, &Field::new("Pen").width(200.0).example("where they are now"), &mut state.typed.pen);
    if let Some(text) = lambs_wrong {
        look::refusal(ui, &text);
    }
    ui.add_space(space::S);
    let mut remove = None;
    for n in 0..state.typed.lambs.len() {
        // Rows of refusals count the lambs that are written, those with a sex.
        let row = state.typed.lambs[..n].iter().filter(|l| l.has_sex()).count();
        let one = &mut state.typed.lambs[n];
        if lamb::view(ui, ctx, &mut form, one, n, row, &state.refusals) {
            remove = Some(n);
        }
        ui.add_space(space::XS);
    }
    if let Some(n) = remove {
        state.typed.lambs.remove(n);
    }
    // A further lamb is there as soon as the last one has a sex: leave it without one to be done.
    if state.typed.lambs.last().is_some_and(lamb::TypedLamb::has_sex) && state.typed.lambs.len() < 7 {
        state.typed.lambs.push(lamb::TypedLamb::default());
        ui.ctx().request_repaint();
    }
    form.set_label_width(130.0);
    form.animal(ui, ctx, "Foster on", &mut state.typed.foster_on, foster.as_deref(), |f| {
        f.animal.is_lamb(ctx.today) && f.animal.status.is_here()
    });
    form.field(ui, &Field::new("Note").width(420.0), &mut state.typed.note);
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    let mut go = submitted;
    ui.horizontal(|ui| {
        ui.add_space(138.0);
        go |= look::primary(ui, "Write the lambing").clicked();
        if ui.button("Empty the form").clicked() {
            state.aside.push(std::mem::take(&mut state.typed));
            state.focus = Some("Ewe".into());
        }
    });
    look::faint(ui, "Ctrl+Enter writes. A lamb without a sex is left out.");
    ui.add_space(space::L);
    if go {
        match write::checked(ctx, state) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                state.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
}

fn sire(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form, refusal: Option<&str>) {
    let (all, proposed) = sires(ctx, state);
    let words: Vec<String> = all
        .iter()
        .map(|s| match s {
            SireChoice::Ram(id) => ctx.flock.tag(*id).to_string(),
            SireChoice::OneOf(rams) => {
                format!("one of {}", rams.iter().map(|r| ctx.flock.tag(*r)).collect::<Vec<_>>().join(", "))
            }
            SireChoice::Other => "another ram".into(),
            SireChoice::Unknown => "not known".into(),
        })
        .collect();
    let options: Vec<(u8, &str)> = (0u8..).zip(words.iter().map(String::as_str)).collect();
    let mut value = u8::try_from(proposed).ok();
    let shown = value;
    form.choice(ui, &Choice::new("Sire", &options).refusal(refusal), &mut value);
    if value != shown {
        state.typed.sire = value.and_then(|v| all.get(usize::from(v)).cloned());
    }
    let chosen = value.and_then(|v| all.get(usize::from(v)));
    if let Some(hint) = why(ctx, state, chosen) {
        ui.horizontal_wrapped(|ui| {
            ui.add_space(138.0);
            look::faint(ui, hint);
        });
    }
    if chosen == Some(&SireChoice::Other) {
        form.animal(ui, ctx, "Ram", &mut state.typed.ram, refusal, |f| f.animal.sex != Sex::Ewe);
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
    let until = j.to.map_or("still together".to_string(), |t| format!("until {}", t.words()));
    let fits = gestation::fits(ewe, on).iter().any(|f| f.ram == *ram && f.off == 0);
    let word = if fits { "fits" } else { "does not quite fit" };
    Some(format!(
        "Joined {} {until}; day {}: {word} {} to {} days from service",
        j.from.words(),
        on.since(j.from),
        gestation::early(),
        gestation::late()
    ))
}
