//! `hirsel read-scale`: a file of an electronic reader or a scale head, as one session at the scale.

use super::out::{self, Out};
use super::tables::{Cell, Table};
use super::traffic::{called, contents};
use super::{Done, Format, Trouble, with};
use clap::Args;
use hirsel_core::entry::SessionDraft;
use hirsel_core::exchange::scale::{Choice, DateOrder, MOST_BYTES, Preview, ScaleFile, Unit, Who};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{Day, Gut};
use std::path::PathBuf;

pub const HELP: &str = "Any sign may stand between values, with or without a head line; tags may be electronic numbers or visible tags,\n\
    weights kg or lb, days in any common form. Where a day can be read in two ways, such as 3/4, it is asked for with\n\
    --dates, never guessed. A tag that nobody wears is told and left out; every line that cannot be read is told with\n\
    its number and the mend, and nothing is written then. A file of tags alone is printed: who was there, in which order.";

/// What is said of the file and the session.
#[derive(Debug, Args)]
pub struct Asked {
    /// The book
    book: PathBuf,
    /// The file; - reads what is piped in
    file: PathBuf,
    /// The day of the weighing, where the file names none; of a file with several days only this one
    #[arg(long, value_name = "DATE", value_parser = super::on::day)]
    on: Option<Day>,
    /// Who was to be weighed; of a pen or field those that are not in the file are told
    #[arg(long, value_name = "NAME")]
    group: Option<String>,
    /// Which scale
    #[arg(long, value_name = "WORD")]
    scale: Option<String>,
    /// They were off feed
    #[arg(long, conflicts_with = "full")]
    fasted: bool,
    /// They came straight from feed or milk
    #[arg(long)]
    full: bool,
    /// How days are written: dmy, mdy or ymd
    #[arg(long, value_name = "ORDER", value_parser = order)]
    dates: Option<DateOrder>,
    /// What figures without a unit are: kg or lb
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    unit: Option<Unit>,
    /// Print the lines as they are understood, and write nothing
    #[arg(long)]
    dry_run: bool,
}

fn order(text: &str) -> Result<DateOrder, String> {
    DateOrder::parse(text).map_err(|e| e.0)
}

fn unit(text: &str) -> Result<Unit, String> {
    Unit::parse(text).map_err(|e| e.0)
}

/// Reads the file, says what it understood, and writes it unless something is to mend.
pub fn read(out: &mut Out, how: &Asked) -> Done {
    let bytes = contents(&how.file, MOST_BYTES)?;
    let name = called(&how.file);
    let gut = if how.fasted { Some(Gut::Fasted) } else { how.full.then_some(Gut::Full) };
    let today = how.on.unwrap_or_else(Day::today);
    let choice = Choice { order: how.dates, unit: how.unit, on: how.on, ..Choice::default() };
    let (text, table) = with(&how.book, |book| {
        let flock = book.flock();
        let refused =
            |why: String| Trouble::Refused(format!("{name} was refused, nothing was written\n{why}"));
        let file = ScaleFile::read(&name, &bytes, &flock).map_err(|e| refused(e.to_string()))?;
        let p = file.preview(&choice, &flock, today);
        out::say(&format!("{name}: {}", p.how.join("; ")));
        stands(&p).map_err(refused)?;
        cautions(&p, &flock, how.group.as_deref());
        let session =
            SessionDraft { time: None, scale: how.scale.clone(), group: how.group.clone(), gut, note: None };
        let (mut sure, mut faults) = (Vec::new(), Vec::new());
        for day in p.checks(&session, &flock, today) {
            match day.check {
                Ok(c) => sure.extend(c.despite(&format!("read from {name}"))),
                Err(why) => faults.extend(why.iter().map(|r| {
                    let line = day.lines.get(r.field.row);
                    line.map_or_else(|| r.why.to_string(), |l| format!("line {l}: {}", r.why))
                })),
            }
        }
        if !faults.is_empty() {
            return Err(refused(faults.join("\n")));
        }
        if !p.is_tags_only && sure.is_empty() {
            return Err(refused(format!("{}: nobody of it can be written", p.sentence())));
        }
        let shown = (how.dry_run || p.is_tags_only).then(|| rows(&p, &flock));
        if !how.dry_run && !sure.is_empty() {
            book.write_many(&p.written(), sure)?;
        }
        Ok((p.sentence(), shown))
    })?;
    match table {
        Some(table) => {
            out::say(&format!("{text}; nothing was written"));
            out.print(&table.text(Format::Table))
        }
        None => out.line(&format!("Wrote {text}")),
    }
}

/// What must be answered or mended first.
fn stands(p: &Preview) -> Result<(), String> {
    let mut why: Vec<String> = p.bad.iter().map(ToString::to_string).collect();
    if let Some(ask) = &p.ask {
        let readings: Vec<String> = ask.readings.iter().map(|(_, d)| d.words()).collect();
        let says: Vec<String> = ask.readings.iter().map(|(o, _)| format!("--dates {}", o.word())).collect();
        why.push(match readings.is_empty() {
            true => format!("line {}: '{}' is no day that has been: mend it", ask.line, ask.written),
            false => format!(
                "line {}: '{}' is {}: say which with {}",
                ask.line,
                ask.written,
                readings.join(" or "),
                says.join(" or ")
            ),
        });
    }
    if why.is_empty() { Ok(()) } else { Err(why.join("\n")) }
}

/// What is odd, on standard error.
fn cautions(p: &Preview, flock: &Flock, group: Option<&str>) {
    for r in &p.rows {
        let number = r.electronic.as_deref().unwrap_or(&r.tag);
        match &r.who {
            Who::Found(id) => {
                for odd in &r.odd {
                    out::say(&format!("caution: line {}, {}: {odd}", r.line, flock.tag(*id)));
                }
            }
            Who::Unknown => out::say(&format!(
                "caution: line {}: no animal wears {number}: it is left out; give it to its animal and read the file again",
                r.line
            )),
            Who::Several(which) => out::say(&format!(
                "caution: line {}: {number} may be {which}: it is left out; write the whole tag",
                r.line
            )),
        }
    }
    if let Some(group) = group {
        let absent: Vec<&str> = p.absent(flock, group).into_iter().map(|id| flock.tag(id)).collect();
        if !absent.is_empty() {
            out::say(&format!("caution: of {group} these are not in the file: {}", absent.join(", ")));
        }
    }
}

fn rows(p: &Preview, flock: &Flock) -> Table {
    let row = |r: &hirsel_core::exchange::scale::ScaleRow| {
        let animal = match r.animal() {
            Some(id) => flock.tag(id).to_string(),
            None => "not in the book".into(),
        };
        let gain =
            r.gains.and_then(|g| g.since_last).map(|(g, _)| Cell::number(g.0)).unwrap_or_else(Cell::none);
        let mut odd = r.odd.clone();
        odd.extend(r.scores.iter().map(|s| s.words()));
        vec![
            Cell::number(r.line),
            Cell::words(r.tag.clone()),
            Cell::words(animal),
            Cell::words(r.at.map(|a| a.day.to_string()).unwrap_or_default()),
            r.weight.map_or_else(Cell::none, |w| Cell::number(w.kg_text())),
            gain,
            Cell::words(if r.is_taken { "yes" } else { "no" }),
            Cell::words(odd.join("; ")),
        ]
    };
    Table {
        columns: &["line", "read", "animal", "on", "weight_kg", "gain_g_per_day", "written", "remark"],
        rows: p.rows.iter().map(row).collect(),
    }
}
