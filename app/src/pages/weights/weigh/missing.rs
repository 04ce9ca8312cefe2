//! Who of the group is still missing.

use super::super::super::list::height;
use super::super::super::sections::sized;
use super::super::super::{Ctx, Intent};
use super::race::Race;
use super::{Now, Wish};
use crate::look;
use crate::parts::record_table::{Column, RecordTable, TableEvent};
use hirsel_core::papers::WeighingList;
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;

/// Draws the list; gives what is wished of one of them.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    r: &mut Race,
    away: &[AnimalId],
    now: &Now,
    out: &mut Vec<Intent>,
) -> Wish {
    if !r.known {
        look::faint(ui, "Of this session it is not known who belongs to it: nobody is listed as missing.");
        return Wish::Nothing;
    }
    let mut wish = Wish::Nothing;
    let n = r.missing.rows.len();
    let chosen = r.missing_table.cursor().filter(|id| r.missing.rows.iter().any(|row| row.key == *id));
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, if n == 0 { phrase!("Nobody is missing") } else { phrase!("Missing: {n}") });
        if n > 0 {
            let first = r.missing.rows.first().map(|row| row.key);
            let those = chosen.or(first);
            let button = |ui: &mut egui::Ui, text: &'static str, hint: &'static str| {
                ui.add_enabled(those.is_some(), egui::Button::new(crate::look::spoken(text)))
                    .on_hover_text(crate::look::spoken(hint))
                    .clicked()
            };
            if button(ui, "Not there", "The one marked in the list; in the field Animal: Ctrl+Delete") {
                wish = those.map_or(Wish::Nothing, Wish::Away);
            }
        }
        let barn = ui.button(phrase!("Print for the barn"));
        if barn
            .on_hover_text(phrase!("Who is expected, in this order, with empty columns to write into"))
            .clicked()
        {
            out.push(Intent::PrintWeighing(Box::new(paper(ctx, r, now))));
        }
    });
    let gone: Vec<AnimalId> = away.iter().copied().filter(|id| r.order.contains(id)).collect();
    if !gone.is_empty() {
        ui.horizontal_wrapped(|ui| {
            look::faint(ui, "Not there:");
            for id in gone {
                let tag = ctx.flock.tag(id);
                if ui.small_button(phrase!("{tag} came after all", tag = &tag)).clicked() {
                    wish = Wish::Back(id);
                }
            }
        });
    }
    if n > 0 {
        let columns = [Column::new("Next", 120.0).rest(), Column::new("Was", 140.0).right()];
        sized(ui, height(n, 1, 7), |ui| {
            for event in
                RecordTable::new("Missing", &columns).single().show(ui, &mut r.missing_table, &r.missing)
            {
                if let TableEvent::Opened(id) = event {
                    wish = Wish::Take(id);
                }
            }
        });
        look::faint(ui, "Enter takes one next. In the field Animal, Ctrl+↓ and Ctrl+↑ show another of them.");
    }
    wish
}

/// The list to take to the barn.
fn paper(ctx: &Ctx<'_>, r: &Race, now: &Now) -> WeighingList {
    let group = if now.group.is_empty() { String::new() } else { format!(": {}", now.group) };
    let mut blanks: Vec<String> = if now.weighs { vec![phrase!("Weight")] } else { Vec::new() };
    blanks.extend(now.kinds.iter().map(|k| super::row::capital(k.word())));
    blanks.push(phrase!("Remark"));
    let rows = r.order.iter().filter_map(|id| ctx.flock.file(*id)).map(|f| {
        let last = f.last_weight(ctx.today);
        let last = last.map(|(on, w)| format!("{}, {}", w.show(ctx.units()), on.short()));
        (f.animal.title(), ctx.detail(f), last.unwrap_or_default())
    });
    WeighingList { title: phrase!("To be weighed{group}"), blanks, rows: rows.collect() }
}
