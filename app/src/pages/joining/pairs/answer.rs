//! The pairs: what they come to, each ewe with her ram and the reason, and the ewe in hand beside them.

use super::super::super::list::{into_table, take_out};
use super::super::super::{Ctx, Intent};
use super::set::{HEADS, Set};
use super::{ewe, question};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::record_table::{Column, RecordTable, TableEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{NoPairs, percent};
use hirsel_core::terms::Why;
use hirsel_core::terms::counted;

const TABLE: &str = "Pairs";

/// Under so many complete generations inbreeding means little (MacCluer 1983; Boichard 1997: figures of shallow
/// pedigrees are too low).
const DEEP: f64 = 3.0;

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    set: &mut Set,
    seen: &mut ewe::Seen,
    ask: &mut question::Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    ui.horizontal_wrapped(|ui| {
        head(ui, ctx, set);
        take_out(ui, "who to whom", &HEADS, &set.list, &mut set.table, out);
        if set.pairs.by_hand() && ui.button(phrase!("Settle all others anew")).clicked() {
            match set.pairs.clone().settle(ctx.flock) {
                Ok(pairs) => set.become_(ctx.flock, pairs),
                Err(why) => out.push(Intent::Say(Kind::Refuse, why.to_string())),
            }
        }
    });
    totals(ui, ctx, set);
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    left.max.x = whole.left() + whole.width() * 0.56;
    right.min.x = left.max.x + space::L;
    ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
        if std::mem::take(into) {
            into_table(ui, TABLE);
        }
        let columns = [
            Column::new("Ram", 64.0),
            Column::new("Ewe", 130.0),
            Column::new("Lamb inbred", 92.0).right(),
            Column::new("Why", 160.0).rest(),
        ];
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut set.table, &set.list) {
            if let TableEvent::Opened(_) = event {
                seen.into();
            }
        }
    });
    ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
        egui::ScrollArea::vertical().id_salt("the ewe").auto_shrink(false).show(ui, |ui| {
            if ewe::view(ui, ctx, set, seen, out) {
                ask.keep = set.pairs.kept();
                *into = true;
            }
        });
    });
    ui.advance_cursor_after_rect(whole);
}

/// What the whole comes to, in a line.
fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, set: &Set) {
    let t = &set.totals;
    let tag = |id| ctx.flock.tag(id);
    let n: usize = t.ewes.iter().map(|e| e.1).sum();
    let worst = phrase!("{} with {}", &tag(t.worst.ewe), &tag(t.worst.ram));
    let (mean, most) = (percent(t.mean), percent(t.worst.coancestry));
    look::strong(
        ui,
        phrase!("{}: lambs {mean} inbred on the mean, at most {most} ({worst})", counted(n, "ewe")),
    );
}

/// The rest of it, and what to beware of.
fn totals(ui: &mut egui::Ui, ctx: &Ctx<'_>, set: &Set) {
    let t = &set.totals;
    let tag = |id| ctx.flock.tag(id);
    ui.horizontal_wrapped(|ui| {
        let rams: Vec<String> = t.ewes.iter().map(|(r, n)| format!("{} {n}", tag(*r))).collect();
        look::faint(ui, phrase!("Ewes for each ram: {}.", rams.join(", ")));
        look::faint(
            ui,
            phrase!(
                "Mean kinship of the flock now {}, with a lamb of each pair {}.",
                percent(t.kinship_now),
                percent(t.kinship_after)
            ),
        );
        if set.change > 1 {
            look::faint(ui, phrase!("As proposed the mean was {}.", percent(set.before.mean)));
        }
    });
    if t.depth < DEEP {
        let words = phrase!(
            "Pedigrees reach back {:.1} complete generations on the mean: the lambs are likely more inbred than it looks.",
            t.depth
        );
        caution::sentence(ui, Kind::Caution, &[Why::Inbreeding], &words);
    }
    for a in set.amiss.iter().take(3) {
        look::sentence(ui, Kind::Caution, &a.words);
    }
    if set.amiss.len() > 3 {
        look::faint(ui, phrase!("and {} more", set.amiss.len() - 3));
    }
}

/// There is no set: who stands in the way, and the way back. Tells whether to go back.
pub(super) fn nothing(ui: &mut egui::Ui, ctx: &Ctx<'_>, why: &NoPairs, out: &mut Vec<Intent>) -> bool {
    ui.add_space(space::M);
    look::subheading(ui, "It cannot be done so");
    match why {
        NoPairs::Cannot(all) => {
            for a in all.iter().take(20) {
                ui.horizontal_wrapped(|ui| {
                    look::sentence(ui, Kind::Refuse, &a.words);
                    if let Some(id) = a.ewe.or(a.ram) {
                        let tag = ctx.flock.tag(id);
                        if ui.small_button(phrase!("Open {tag}", tag = &tag)).clicked() {
                            out.push(Intent::Open(id));
                        }
                    }
                });
            }
            if all.len() > 20 {
                look::faint(ui, phrase!("and {} more", all.len() - 20));
            }
        }
        other => {
            look::sentence(ui, Kind::Refuse, other.to_string());
        }
    }
    ui.add_space(space::S);
    let back = look::primary(ui, "Change the question");
    if ui.memory(|m| m.focused().is_none()) {
        back.request_focus();
    }
    back.clicked()
}
