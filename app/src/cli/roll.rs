//! `hirsel roll`: who was read, from a reader's file or any list of tags and numbers.

use super::on::On;
use super::out::{self, Out};
use super::tables::{Cell, Table};
use super::traffic::{called, contents};
use super::{Done, Format, Trouble, with};
use clap::Args;
use hirsel_core::exchange::roll::{Called, LONGEST, Roll, RollRow, RollText};
use hirsel_core::flock::Flock;
use hirsel_core::terms::AnimalId;
use std::path::PathBuf;

pub const HELP: &str = "Tags and numbers may stand in any order and form: as a reader's file, with weights and times beside them, or as a\n\
    text somebody sent. Each reading is printed with its animal; a number nobody wears with the nearest one; what was\n\
    read twice; who is dead or sold. With --pen those of the pen that were not read stand at the end. Nothing is\n\
    written; it ends with 1 only where nobody could be read.";

/// What is asked.
#[derive(Debug, Args)]
pub struct Asked {
    /// The book
    book: PathBuf,
    /// The file; - reads what is piped in
    file: PathBuf,
    /// Tell who of this pen is missing; may be given again
    #[arg(long, value_name = "NAME")]
    pen: Vec<String>,
    /// How to print it
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    #[command(flatten)]
    on: On,
}

/// Reads the list and prints who was read.
pub fn roll(out: &mut Out, how: &Asked) -> Done {
    let bytes = contents(&how.file, LONGEST)?;
    let name = called(&how.file);
    let today = how.on.day();
    let table = with(&how.book, |book| {
        let flock = book.flock();
        let pens = super::chosen(&flock, &[], &how.pen)?.unwrap_or_default();
        let text = RollText::read(&name, &bytes, &flock, today)
            .map_err(|e| Trouble::Refused(format!("{name} was refused\n{e}")))?;
        let roll = text.roll(&flock, today);
        roll.bad.iter().for_each(|b| out::say(&format!("caution: {b}")));
        out::say(&format!("{name}: {}", roll.sentence()));
        let missing = roll.missing(&pens);
        if !how.pen.is_empty() {
            let tags = |ids: &[AnimalId]| ids.iter().map(|id| flock.tag(*id)).collect::<Vec<_>>().join(", ");
            let pens_named = how.pen.join(", ");
            match missing.as_slice() {
                [] => out::say(&format!("all of {pens_named} were read")),
                some => out::say(&format!("of {pens_named} not read: {}", tags(some))),
            }
            let strays = roll.strays(&pens);
            if !strays.is_empty() {
                out::say(&format!("read, but not of {pens_named}: {}", tags(&strays)));
            }
        }
        Ok(rows(&roll, &missing, &flock))
    })?;
    out.print(&table.text(how.format))
}

fn rows(roll: &Roll, missing: &[AnimalId], flock: &Flock) -> Table {
    let absent = |id: &AnimalId| {
        let mut row = vec![Cell::none(), Cell::none(), Cell::words(flock.tag(*id)), Cell::words("missing")];
        row.extend([Cell::none(), Cell::none(), Cell::none(), Cell::none()]);
        row
    };
    let mut all: Vec<Vec<Cell>> = roll.rows.iter().map(|r| row(r, flock)).collect();
    all.extend(missing.iter().map(absent));
    Table { columns: &["line", "read", "animal", "standing", "on", "time", "weight_kg", "remark"], rows: all }
}

fn row(r: &RollRow, flock: &Flock) -> Vec<Cell> {
    let standing = match &r.who {
        _ if r.is_again() => "read again",
        Called::Found(_) if r.is_gone => "gone",
        Called::Found(_) => "there",
        Called::Unknown(_) => "not in the book",
        Called::Several(_) => "which",
        Called::Wrong(_) => "no number",
    };
    let mut remark = r.odd.clone();
    if let Some(first) = r.first {
        remark.insert(0, format!("first on line {first}"));
    }
    match &r.who {
        Called::Unknown(near) if !near.is_empty() => {
            let near: Vec<String> =
                near.iter().map(|n| format!("{} of {}", n.mark, flock.tag(n.animal))).collect();
            remark.push(format!("one sign off {}", near.join(", ")));
        }
        Called::Several(which) => remark.push(format!("may be {which}")),
        Called::Wrong(why) => remark.push(why.clone()),
        Called::Unknown(_) | Called::Found(_) => {}
    }
    vec![
        Cell::number(r.line),
        Cell::words(r.read.clone()),
        Cell::words(r.animal().map(|id| flock.tag(id).to_string()).unwrap_or_default()),
        Cell::words(standing),
        Cell::words(r.at.map(|a| a.day.to_string()).unwrap_or_default()),
        Cell::words(r.at.and_then(|a| a.time).map(|t| t.to_string()).unwrap_or_default()),
        r.weight.map_or_else(Cell::none, |w| Cell::number(w.kg_text())),
        Cell::words(remark.join("; ")),
    ]
}
