//! Registers as tables, CSV and JSON.

use super::out::{self, Out};
use super::tables::{Cell, Dress, text};
use super::{Done, Format, PaperWord, Trouble};
use hirsel_core::exchange::shown::of_register;
use hirsel_core::registers::{Register, RegisterKind, Span};
use hirsel_core::terms::Day;
use std::path::Path;

/// The days a register is asked for; one of a day has none but --on.
pub fn span(kind: RegisterKind, from: Option<Day>, to: Option<Day>) -> Result<Span, Trouble> {
    if kind.is_of_a_day() && (from.is_some() || to.is_some()) {
        let word = kind.word();
        return Err(Trouble::World(format!(
            "{word} is of one day: use --on for the day, not --from or --to"
        )));
    }
    Span::new(from, to).map_err(|e| Trouble::World(e.0))
}

/// Prints a register or writes it to a file.
pub fn write(out: &mut Out, book: &Path, register: &Register, dress: Dress, to: Option<&Path>) -> Done {
    if let Some(to) = to {
        super::not_the_book(book, to)?;
    }
    let bytes = match dress {
        Dress::Xlsx => super::export::xlsx(&of_register(register), register.on)?,
        Dress::Text(Format::Table) => shown(register).into_bytes(),
        Dress::Text(format) => taken_out(register, format).into_bytes(),
    };
    let Some(to) = to else { return out.bytes(&bytes) };
    if out::save(out, to, &bytes)? {
        out.line(&format!(
            "Wrote {} of the {} to {}",
            register.counted(),
            register.kind.word(),
            to.display()
        ))?;
    }
    Ok(())
}

/// A figure is a number; all else is words.
fn value(csv: &str, figures: bool) -> Cell {
    if figures && csv.parse::<f64>().is_ok() { Cell::number(csv) } else { Cell::words(csv) }
}

fn taken_out(register: &Register, format: Format) -> String {
    let heads = register.heads();
    let figures = |i: usize| register.columns.get(i).is_some_and(|c| c.right);
    let rows: Vec<Vec<Cell>> = register
        .values()
        .iter()
        .map(|row| row.iter().enumerate().map(|(i, v)| value(v, figures(i))).collect())
        .collect();
    text(&heads, &rows, format)
}

/// For reading: the columns that are shown, what is to be known at the end of each row, sums below.
fn shown(register: &Register) -> String {
    let mut all = format!("{}, {}\n", register.title, register.days());
    if register.rows.is_empty() {
        all.push_str(&format!("{}\n", register.empty));
    } else {
        let mut heads: Vec<&str> = register.columns.iter().filter(|c| c.is_shown()).map(|c| c.csv).collect();
        let remarked = register.rows.iter().any(|r| !r.remarks.is_empty() || r.struck);
        if remarked {
            heads.push("remarks");
        }
        let row = |r: &hirsel_core::registers::Row| {
            let seen = register.columns.iter().zip(&r.cells).filter(|(c, _)| c.is_shown());
            let mut cells: Vec<Cell> = seen
                .map(|(c, v)| if c.right { value(&v.plain(), true) } else { Cell::words(v.plain()) })
                .collect();
            if remarked {
                cells.push(Cell::words(r.remarks.join("; ")));
            }
            cells
        };
        let rows: Vec<Vec<Cell>> = register.rows.iter().map(row).collect();
        all.push_str(&text(&heads, &rows, Format::Table));
    }
    for totals in &register.totals {
        let heads: Vec<&str> = totals.columns.iter().map(|c| c.csv).collect();
        let rows: Vec<Vec<Cell>> = totals
            .rows
            .iter()
            .map(|r| totals.columns.iter().zip(r).map(|(c, v)| value(&v.csv, c.right)).collect())
            .collect();
        all.push_str(&format!("\n{}\n{}", totals.title, text(&heads, &rows, Format::Table)));
    }
    all
}

impl PaperWord {
    /// The register it prints; none for other papers. The treatment log may be of some animals only.
    pub(super) fn register(self) -> Option<RegisterKind> {
        Some(match self {
            Self::MedicineBought => RegisterKind::MedicineBought,
            Self::MedicineDisposed => RegisterKind::MedicineDisposed,
            Self::Stock => RegisterKind::Stock,
            Self::WithdrawalNow => RegisterKind::WithdrawalNow,
            Self::OffLabel => RegisterKind::OffLabel,
            Self::Antibiotics => RegisterKind::Antibiotics,
            Self::Prescriptions => RegisterKind::Prescriptions,
            Self::MovementRegister => RegisterKind::Movements,
            Self::BirthRegister => RegisterKind::Births,
            Self::DeathRegister => RegisterKind::Deaths,
            Self::IdentityRegister => RegisterKind::Identities,
            Self::FlockCount => RegisterKind::FlockCount,
            Self::Amendments => RegisterKind::Amendments,
            _ => return None,
        })
    }
}
