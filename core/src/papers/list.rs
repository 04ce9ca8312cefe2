//! Any list of the window as a paper: the same rows in the same order, under the flock's name.

use super::flow::Flow;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Holding;
use crate::phrase;
use crate::terms::Day;

/// Left, top, right and bottom margins in millimetres.
const MARGINS: [f32; 4] = [14.0, 13.0, 14.0, 15.0];
/// More columns than this lie across the sheet.
const UPRIGHT_COLUMNS: usize = 6;

/// A column of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct ListColumn {
    /// Its heading.
    pub heading: String,
    /// Its share of the width beside the other columns.
    pub share: f32,
    /// Figures stand to the right.
    pub figures: bool,
}

/// Lays out a list with its headings on every page. Rows with fewer cells than columns end in empty ones.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so; [`PaperFailed::Nothing`] without a column.
pub fn list(
    holding: &Holding,
    title: &str,
    columns: &[ListColumn],
    rows: &[Vec<String>],
    sheet: SheetSize,
    today: Day,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    if columns.is_empty() {
        return Err(PaperFailed::Nothing { paper: "list", mend: "choose a list with columns" });
    }
    let turn = if columns.len() > UPRIGHT_COLUMNS { Turn::Landscape } else { Turn::Portrait };
    let head = |page: &mut Page, number: usize| {
        let (x, y) = (MARGINS[0], MARGINS[1]);
        if number == 0 {
            page.text(x, y + 6.0, Look::new(Face::SerifStrong, 18.0), title);
            let under = [holding.flock.as_str(), holding.number.as_str()]
                .into_iter()
                .filter(|t| !t.is_empty())
                .collect::<Vec<_>>()
                .join(", ");
            page.text(x, y + 11.5, Look::new(Face::Sans, 9.0).ink(Ink::Grey), &under);
            y + 16.0
        } else {
            page.text(x, y + 3.0, Look::new(Face::SansStrong, 9.0), title);
            y + 6.5
        }
    };
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    let table = Table {
        columns: columns
            .iter()
            .map(|c| {
                let width = Width::Share(c.share.max(0.1));
                if c.figures {
                    Column::figures(c.heading.clone(), width)
                } else {
                    Column::new(c.heading.clone(), width)
                }
            })
            .collect(),
        size_pt: 8.5,
        between: Between::Hairline,
    };
    let lines = rows.iter().map(|cells| Row {
        cells: (0..columns.len())
            .map(|i| {
                cells
                    .get(i)
                    .map_or_else(Cell::default, |c| if i == 0 { Cell::strong(c) } else { Cell::new(c) })
            })
            .collect(),
        struck: false,
        notes: Vec::new(),
    });
    table.flow(&mut flow, lines, watch)?;
    let foot = phrase!("Printed {}", today.words());
    let pages = flow.finish(Look::new(Face::Sans, 7.5).ink(Ink::Grey), &foot);
    Ok(Paper { title: title.to_string(), author: holding.flock.clone(), printed: Some(today), pages })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::{carry_on, check};

    #[test]
    fn every_word_of_a_list_stands_on_a_page() {
        let columns: Vec<ListColumn> = ["Tag", "Name", "Pen", "Note", "Weight", "Born", "State"]
            .into_iter()
            .map(|h| ListColumn { heading: h.into(), share: 1.0, figures: h == "Weight" })
            .collect();
        let rows: Vec<Vec<String>> = (0..120)
            .map(|n| {
                vec![
                    format!("{n:04}"),
                    "Långa öron".into(),
                    "Orchard".into(),
                    "very long words ".repeat(n % 9),
                ]
            })
            .collect();
        let today = Day::parse_iso("2026-04-10").unwrap();
        let holding = Holding { flock: "Test".into(), ..Holding::default() };
        let paper = list(&holding, "Ewes", &columns, &rows, SheetSize::A4, today, &carry_on).unwrap();
        assert!(paper.pages.len() > 2);
        check::assert_inside(&paper, 8.0);
        let words: Vec<&str> = paper.words().collect();
        for n in 0..120 {
            assert!(words.contains(&format!("{n:04}").as_str()), "{n}");
        }
        assert_eq!(words.iter().filter(|w| **w == "Weight").count(), paper.pages.len(), "headings repeat");
    }
}
