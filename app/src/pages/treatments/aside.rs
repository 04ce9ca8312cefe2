//! Beside the form of a treatment: each animal's dose, the total, what a use off the label needs, the clear days.

use super::super::{Ctx, fields};
use super::doses::{self, Doses};
use super::give::{Typed, off_label};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use hirsel_core::entry;
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::terms::Why;
use hirsel_core::terms::{Moment, Withdrawal};

/// Draws it, in so much height.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &Typed, room: f32, doses: &mut Doses) {
    let known = ctx.flock.product(&t.product_name());
    let given = doses::Given {
        animals: &t.whom.animals,
        product: known,
        by_rule: t.by_rule == Some(true),
        typed: fields::dose_of(&t.dose).ok().flatten(),
        on: fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today),
        estimated: t.rare.estimated(ctx),
        shared: t.rare.shared(),
        band: t.rare.band(ctx),
    };
    // Heading, total, facts, clear days and cautions take some 300 points.
    let rows = ((room - 300.0) / space::ROW).clamp(4.0, 12.0) as usize;
    doses::view(ui, ctx, &given, rows, doses);
    if !t.product_name().is_empty() {
        ui.add_space(space::S);
        clear_days(ui, ctx, t);
    }
    let off = off_label(ctx, t);
    if let Some(p) = known.filter(|_| !off.is_empty() || !t.rare.off_label.trim().is_empty()) {
        ui.add_space(space::S);
        let mut words =
            vec![phrase!("Off-label: the vet's name is needed, and the vet sets the withdrawal.")];
        words.extend(off.iter().map(|w| format!("{w}.")));
        let mut words = words.join(" ");
        for (n, least) in entry::least_off_label(ctx.flock, p).iter().enumerate() {
            words.push_str(if n == 0 { "\nNever below: " } else { "\n" });
            words.push_str(least);
        }
        caution::banner(ui, Kind::Caution, &[Why::OffLabel], &words);
    }
    ui.add_space(space::S);
    caution::banner(
        ui,
        Kind::Caution,
        &[Why::Dose, Why::Injection, Why::Syringe, Why::Withdrawal],
        "The label, your vet and local law decide. A clean needle; one product in a syringe, since mixing is off-label and alters the withdrawal; write down each site.",
    );
}

/// The first clear days that follow from what is typed: of a course from its last dose.
fn clear_days(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &Typed) {
    let (Ok(day), Ok(time)) = (fields::day_or_today(ctx, &t.on), fields::time_of(&t.time)) else { return };
    let hours = t.rare.course_hours();
    let at = entry::after_hours(Moment { day, time }, hours);
    ui.horizontal_wrapped(|ui| {
        let tracked = ctx.flock.rules().is_some_and(|r| r.tracks_export());
        let sides = [("Meat", &t.meat), ("Milk", &t.milk), ("Export", &t.rare.export)];
        for (what, text) in sides.into_iter().take(if tracked { 3 } else { 2 }) {
            let Ok(period) = Withdrawal::parse(text) else { continue };
            let clear = clear_after(at, period);
            let kind = if clear.is_clear(ctx.today) { Kind::Good } else { Kind::Caution };
            look::chip(ui, kind, phrase!("{what}: {}", clear.words()));
        }
    });
    if hours > 0 {
        look::faint(ui, phrase!("Counted from the last dose of the course, {}", at.words()));
    }
}
