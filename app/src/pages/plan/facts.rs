//! What a step asks, what to beware of, what it stands on, and other published times.

use super::super::Ctx;
use super::typed::Typed;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use hirsel_core::handbook::Ground;
use hirsel_core::phrase;
use hirsel_core::plan::{DoneBy, Plan, Step, Variant};

/// Draws them; a button of other times fills the form.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, step: &Step, t: &mut Typed) {
    if let Some(text) = step.caution_said() {
        let why = Plan::reason(step);
        caution::sentence(ui, Kind::Caution, why.as_slice(), text.into_owned());
        ui.add_space(space::XS);
    }
    let plan = ctx.flock.plan();
    let with = step.product.as_ref().map(|p| format!(", {p}")).unwrap_or_default();
    let done = match step.done_by {
        DoneBy::Tick => phrase!("a tick{with}"),
        _ => phrase!("{}{with}, or a tick", step.done_by.words()),
    };
    let whom = match step.when.words(step.whom) {
        all if all.starts_with("all ") => all,
        some => phrase!("{}: {some}", step.whom.words()),
    };
    wrapped(ui, &phrase!("For {whom}. Counted from {}. Completed by {done}.", plan.counted_from(step)));
    wrapped(ui, &stands_on(&step.ground));
    if let Some(what) = step.law {
        wrapped(ui, &law(ctx, what));
    }
    if let Some(r) = step.repeat {
        let end = if r.until_weaning { ", until weaning" } else { "" };
        wrapped(ui, &phrase!("Done again every {}{end}, {} times at most.", r.every.words(), r.most));
    }
    if step.other.is_empty() {
        return;
    }
    ui.add_space(space::S);
    look::strong(ui, "Other published times");
    for (n, other) in step.other.iter().enumerate() {
        ui.push_id(n, |ui| variant(ui, step, other, t));
    }
}

fn variant(ui: &mut egui::Ui, step: &Step, other: &Variant, t: &mut Typed) {
    wrapped(ui, &format!("{}: {}.", other.name, times(other)));
    wrapped(ui, &stands_on(&other.ground));
    let same =
        (other.earliest, other.due, other.late) == (step.times.earliest, step.times.due, step.times.late);
    if same {
        look::word(ui, Kind::Good, "these are the times now");
        return;
    }
    let button = ui.button(phrase!("Take these times"));
    let name = phrase!("Take these times: {}", other.name);
    ui.ctx().accesskit_node_builder(button.id, |node| node.set_label(name));
    if button.gained_focus() {
        button.scroll_to_me(None);
    }
    if button.clicked() {
        t.take_times(other);
    }
    ui.add_space(space::XS);
}

fn times(v: &Variant) -> String {
    let late = v.late.map(|l| phrase!(", late after {}", l.words())).unwrap_or_default();
    phrase!("earliest {}, due {}{late}", v.earliest.words(), v.due.words())
}

fn stands_on(ground: &Ground) -> String {
    match ground {
        Ground::Seen(source) => phrase!("Stands on: {source}. Read in its text."),
        Ground::Memory(source) => phrase!("Stands on: {source}. From memory, not looked up."),
        Ground::Practice => "Common practice, no source.".into(),
    }
}

/// Until when a ring may be used where this flock is kept.
fn law(ctx: &Ctx<'_>, what: hirsel_core::rules::Procedure) -> String {
    let set = ctx.flock.rules();
    match set.and_then(|s| s.ring(what).map(|ring| (s.name(), ring))) {
        Some((place, ring)) => {
            let memory = if ring.from_memory { " (from memory)" } else { "" };
            phrase!(
                "Rings to day {} after birth by the rules of {place}{memory}; it is late after that.",
                ring.last_day,
                place = &place
            )
        }
        None => phrase!("The law of the place sets its last day; none is known for the rules of this book."),
    }
}

fn wrapped(ui: &mut egui::Ui, text: &str) {
    ui.add(egui::Label::new(text).wrap());
}
