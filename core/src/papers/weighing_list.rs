//! A list to take to the scale: who is expected in which order, with empty columns to write into.

use super::flow::Flow;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Holding;
use crate::phrase;
use crate::terms::Day;

/// What the list says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeighingList {
    /// Its title.
    pub title: String,
    /// Heads of the empty columns; the last one is the widest.
    pub blanks: Vec<String>,
    /// Tag, what it is, and its last weight.
    pub rows: Vec<(String, String, String)>,
}

const MARGINS: [f32; 4] = [14.0, 13.0, 14.0, 15.0];
/// More empty columns than this lie across the sheet.
const UPRIGHT: usize = 4;

/// Lays the list out.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so; [`PaperFailed::Nothing`] without an animal.
pub fn weighing_list(
    holding: &Holding,
    list: &WeighingList,
    sheet: SheetSize,
    today: Day,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    if list.rows.is_empty() {
        let mend = "choose a group that has animals";
        return Err(PaperFailed::Nothing { paper: "weighing list", mend });
    }
    let turn = if list.blanks.len() > UPRIGHT { Turn::Landscape } else { Turn::Portrait };
    let head = |page: &mut Page, number: usize| {
        let (x, y) = (MARGINS[0], MARGINS[1]);
        if number == 0 {
            page.text(x, y + 6.0, Look::new(Face::SerifStrong, 18.0), &list.title);
            let under = phrase!("{}    Day:                    Scale:                    ", holding.flock);
            page.text(x, y + 12.5, Look::new(Face::Sans, 10.0).ink(Ink::Grey), &under);
            y + 18.0
        } else {
            page.text(x, y + 3.0, Look::new(Face::SansStrong, 9.0), &list.title);
            y + 6.5
        }
    };
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    let mut columns = vec![Column::figures("No.", Width::Mm(10.0)), Column::new("Animal", Width::Mm(48.0))];
    columns.push(Column::new("Last weight", Width::Mm(26.0)));
    let last = list.blanks.len().saturating_sub(1);
    columns.extend(list.blanks.iter().enumerate().map(|(i, blank)| {
        let width = if i == last { Width::Share(1.0) } else { Width::Mm(22.0) };
        Column::new(blank.clone(), width).ruled()
    }));
    let table = Table { columns, size_pt: 11.0, between: Between::Hairline };
    let rows = list.rows.iter().enumerate().map(|(n, (tag, what, weight))| {
        let cells = vec![
            Cell::new((n + 1).to_string()),
            Cell::strong(tag.clone()).under(what.clone()),
            Cell::new(weight.clone()),
        ];
        Row { cells, struck: false, notes: Vec::new() }
    });
    table.flow(&mut flow, rows, watch)?;
    let foot = phrase!("Printed {}", today.words());
    let pages = flow.finish(Look::new(Face::Sans, 7.5).ink(Ink::Grey), &foot);
    Ok(Paper { title: list.title.clone(), author: holding.flock.clone(), printed: Some(today), pages })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::{carry_on, check};

    #[test]
    fn every_animal_has_a_row_to_write_into() {
        let rows: Vec<_> = (1..=60)
            .map(|n| (format!("{n:04} Bracken"), "ram lamb, born 3 Apr 2026".into(), "19.4 kg, 2 May".into()))
            .collect();
        let today = Day::parse_iso("2026-06-10").unwrap();
        let holding = Holding { flock: "Test".into(), ..Holding::default() };
        let blanks: Vec<String> = ["Weight", "Condition", "Remark"].map(String::from).into();
        let mut list = WeighingList { title: "To be weighed: ram lambs".into(), blanks, rows };
        let paper = weighing_list(&holding, &list, SheetSize::A4, today, &carry_on).unwrap();
        assert!(paper.pages.len() > 2);
        check::assert_inside(&paper, 8.0);
        let words: Vec<&str> = paper.words().collect();
        for n in 1..=60 {
            assert!(words.iter().any(|w| w.contains(&format!("{n:04}"))), "{n}");
        }
        assert_eq!(words.iter().filter(|w| **w == "Condition").count(), paper.pages.len());
        list.rows.clear();
        assert!(weighing_list(&holding, &list, SheetSize::A4, today, &carry_on).is_err());
    }
}
