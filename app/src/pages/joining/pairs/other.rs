//! The next best whole sets.

use super::super::super::Ctx;
use super::set::Set;
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{Alternative, percent};
use hirsel_core::terms::counted;

/// Draws them; tells whether one was taken in place of the set in hand.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, next: &[Alternative], set: &mut Set) -> bool {
    let mut taken = None;
    ui.add_space(space::S);
    egui::ScrollArea::vertical().id_salt("other sets").auto_shrink(false).show(ui, |ui| {
        if next.is_empty() {
            look::paragraph(ui, "There is no other set within the limits and the numbers of the rams.");
            return;
        }
        look::paragraph(
            ui,
            phrase!(
                "The sets that come next to the one proposed, which has lambs {} inbred on the mean and at most {}.",
                percent(set.before.mean),
                percent(set.before.worst.coancestry)
            ),
        );
        let tag = |id| ctx.flock.tag(id);
        for (n, a) in next.iter().enumerate() {
            ui.add_space(space::S);
            look::card(ui, |ui| {
                ui.set_min_width(ui.available_width().min(720.0));
                let cost = match a.extra * 100.0 {
                    c if c < 0.05 => phrase!("costs the same"),
                    c => phrase!("costs {c:.1} more over all lambs"),
                };
                look::strong(ui, format!("{}: {cost}", ["Second", "Third", "Fourth", "Fifth", "Sixth"].get(n).unwrap_or(&"Next")));
                look::faint(ui, phrase!("Lambs {} inbred on the mean, at most {}", percent(a.mean), percent(a.worst)));
                let moved: Vec<String> = a
                    .moved
                    .iter()
                    .take(8)
                    .map(|m| phrase!("{} with {} instead of {}", &tag(m.ewe), &tag(m.to), &tag(m.from)))
                    .collect();
                let more = a.moved.len().saturating_sub(8);
                let more = if more > 0 { phrase!("; and {} more", counted(more, "ewe")) } else { String::new() };
                ui.add(egui::Label::new(format!("{}{more}", moved.join("; "))).wrap());
                let b = ui.button(phrase!("Take this set"));
                let name = phrase!("Take set {}", n + 2);
                b.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
                if b.clicked() {
                    taken = Some(a);
                }
            });
        }
    });
    if let Some(a) = taken {
        set.take(ctx.flock, a);
    }
    taken.is_some()
}
