//! Who falls behind, with the reason.

use super::super::super::list::{List as Rows, Row, height, into_table, take_out};
use super::super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::curves::Beside;
use hirsel_core::terms::{AnimalId, Day};

/// The list, made once for a version of the flock and a day.
#[derive(Debug, Default)]
pub(super) struct List {
    made_for: Option<(u64, Day)>,
    rows: Rows<AnimalId>,
    table: TableState<AnimalId>,
}

const TABLE: &str = "Fall behind";

/// Draws the list; answers whose chart is asked for.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    list: &mut List,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> Option<AnimalId> {
    let Some(seen) = ctx.watching else {
        look::faint(ui, "The flock is being looked through …");
        // The part was turned to after it was asked who is seen to.
        ui.ctx().request_repaint();
        return None;
    };
    // What was shown stays while it is looked through anew.
    let wanted = (seen.version(), seen.day());
    if list.made_for != Some(wanted) {
        list.made_for = Some(wanted);
        let rows = seen.behind.iter().filter_map(|b| {
            let a = ctx.flock.animal(b.animal)?;
            let by = match &b.beside {
                Beside::Flock { weights, animals, .. } => phrase!("{weights} weights of {animals}"),
                Beside::Handbook { .. } => phrase!("the handbook"),
            };
            let row = Row::new(a.id)
                .tag(a.tag())
                .text(a.pen.clone().unwrap_or_default())
                .number(b.on.words(), Some(b.on.since(ctx.today)))
                .text(b.why.clone())
                .text(by);
            Some(row)
        });
        list.rows.set(rows.collect());
    }
    let n = list.rows.rows.len();
    if n == 0 {
        look::paragraph(
            ui,
            "Nobody weighed in the last two weeks lies below the band of its like. An animal is named here, and on \
             Tonight, as soon as a weighing shows it.",
        );
        return None;
    }
    ui.horizontal(|ui| {
        look::faint(ui, "Weighed in the last two weeks and lighter than nineteen of twenty of their like. Enter shows the chart.");
        let heads = ["tag", "pen", "weighed_on", "why", "held_beside"];
        take_out(ui, "falling behind", &heads, &list.rows, &mut list.table, out);
    });
    ui.add_space(space::XS);
    let columns = [
        Column::new("Animal", 92.0),
        Column::new("Pen", 110.0),
        Column::new("Weighed on", 100.0),
        Column::new("Why", 360.0).rest(),
        Column::new("Held beside", 160.0),
    ];
    let mut asked = None;
    let size = egui::vec2(ui.available_width(), ui.available_height().max(height(1, 4, 4)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(into) {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).show(ui, &mut list.table, &list.rows) {
            if let TableEvent::Opened(id) = event {
                asked = Some(id);
            }
        }
    });
    asked
}
