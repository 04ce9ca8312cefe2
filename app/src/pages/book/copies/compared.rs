//! A copy beside the book as it is now: lines that came since, records that differ.

use super::super::super::list::{List, Row, fits, height, search_field, take_out};
use super::super::super::{Ctx, Intent};
use crate::desk::places::{Comparing, CopyWish};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableState};
use hirsel_core::book::Compared;
use hirsel_core::phrase;

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Shown {
    made_for: Option<(String, usize, String)>,
    list: List<usize>,
    table: TableState<usize>,
    search: String,
}

const HEADS: [&str; 4] = ["what", "of", "when", "words"];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut Shown, out: &mut Vec<Intent>) {
    let (name, compared) = match ctx.places.compared() {
        None => return,
        Some(Comparing::Going(name)) => {
            look::faint(ui, phrase!("Comparing {name} with the book …"));
            return;
        }
        Some(Comparing::Done(name, compared)) => (name, compared),
    };
    ui.add_space(space::M);
    look::subheading(ui, phrase!("The book and its copy {name}"));
    let compared = match compared {
        Ok(compared) => compared,
        Err(why) => {
            look::refusal(ui, why);
            return;
        }
    };
    let kind = if compared.only_there.is_empty() { Kind::Plain } else { Kind::Caution };
    look::sentence(ui, kind, phrase!("{name}: {}", compared.words()));
    if !compared.only_there.is_empty() {
        look::paragraph(
            ui,
            "Lines that only the copy has are brought in under Two copies: nothing of either is lost then.",
        );
    }
    search_field(ui, "compared search", "a tag, a word or a day", &mut false, &mut s.search);
    let wanted = (name.clone(), compared.rows.len() + compared.since.len(), s.search.clone());
    if s.made_for.as_ref() != Some(&wanted) {
        s.list.set(rows(compared, &s.search));
        s.made_for = Some(wanted);
    }
    let columns = [
        Column::new("What", 150.0),
        Column::new("Of", 140.0),
        Column::new("When", 170.0),
        Column::new("Words", 300.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(s.list.rows.len(), 3, 10));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new("Differences", &columns).single().show(ui, &mut s.table, &s.list);
    });
    ui.horizontal(|ui| {
        take_out(ui, "differences", &HEADS, &s.list, &mut s.table, out);
        if ui.button(phrase!("Done with it")).clicked() {
            out.push(Intent::Copies(CopyWish::LeaveCompared));
        }
    });
}

fn rows(c: &Compared, search: &str) -> Vec<Row<usize>> {
    let lines = [("written since", &c.since), ("only in the copy", &c.only_there)];
    let lines = lines.into_iter().flat_map(|(what, lines)| {
        lines.iter().map(move |l| [what.to_string(), l.who.clone(), l.at.clone(), l.what.clone()])
    });
    let records = c.rows.iter().map(|r| {
        let what = format!("{}, {}", r.table.replace('_', " "), r.how);
        [what, r.of.clone().unwrap_or_default(), String::new(), r.what()]
    });
    lines
        .chain(records)
        .filter(|cells| fits(search, cells.iter().map(String::as_str)))
        .enumerate()
        .map(|(i, cells)| cells.into_iter().fold(Row::new(i), Row::text))
        .collect()
}
