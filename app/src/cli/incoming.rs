//! `hirsel import`: a table of any make, its columns known by their meaning.

use super::out::{self, Out};
use super::tables::{Cell, Table};
use super::traffic::{self, called, contents};
use super::{Done, Format, Trouble, with};
use crate::desk::kept::Kept;
use clap::Args;
use hirsel_core::book::Book;
use hirsel_core::exchange::incoming::{Choice, Fate, Incoming, MOST_BYTES, Meaning, Preview};
use hirsel_core::exchange::scale::DateOrder;
use hirsel_core::exchange::standard;
use hirsel_core::exchange::{self, ColumnFault, Kind, Unfit};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Day;
use std::path::PathBuf;

/// What is said of the table.
#[derive(Debug, Args)]
pub struct Asked {
    /// The book
    book: PathBuf,
    /// What the table holds: animals, joinings, lambings, sessions, weighings, scores, vets, prescriptions,
    /// treatments, products, batches, stock, egg-counts, movements, marks, crayons, scans, tests, decisions,
    /// groups, money, feeds, measures, feed-sheets, creeps, rations, feed-moves, pen-checks; or any, to find out; or standard: a
    /// file of the open standard of animal data
    #[arg(value_parser = kind)]
    kind: KindWord,
    /// The table: CSV or other text, .xlsx or .ods; - reads what is piped in
    file: PathBuf,
    /// What columns are: "DOB=born,Mother=dam,Colour=-"; - leaves one out, remark keeps it in the note
    #[arg(long, value_name = "HEAD=COLUMN,…")]
    columns: Vec<String>,
    /// How days are written: dmy, mdy or ymd
    #[arg(long, value_name = "ORDER", value_parser = order)]
    dates: Option<DateOrder>,
    /// The sheet of a spreadsheet
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// Let the table change what the book holds
    #[arg(long)]
    change: bool,
    /// Leave out rows that are to mend or in doubt, and write the others
    #[arg(long)]
    skip_refused: bool,
    /// Forget what was said of tables with these heads before
    #[arg(long)]
    forget: bool,
    /// Print what it would write, and write nothing
    #[arg(long)]
    dry_run: bool,
    /// How --dry-run prints what each row becomes
    #[arg(long, value_name = "FORMAT")]
    format: Option<Format>,
    /// Refuse what looks unlikely, too
    #[arg(long)]
    strict: bool,
    /// Why what looks unlikely is right as written; a dose far above its label is said here once more
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    word: String,
    #[command(flatten)]
    on: super::on::On,
}

/// A kind, that it is to be found out, or that it is a document of the open standard.
#[derive(Debug, Clone, Copy, PartialEq)]
enum KindWord {
    Any,
    Table(Kind),
    Standard,
}

impl KindWord {
    fn table(self) -> Option<Kind> {
        match self {
            Self::Table(kind) => Some(kind),
            Self::Any | Self::Standard => None,
        }
    }
}

fn kind(text: &str) -> Result<KindWord, String> {
    match text.trim().to_lowercase().as_str() {
        "any" | "guess" => Ok(KindWord::Any),
        "standard" => Ok(KindWord::Standard),
        _ => Kind::parse(text)
            .map(KindWord::Table)
            .map_err(|e| format!("{}; or any, to find out; or standard", e.0)),
    }
}

fn order(text: &str) -> Result<DateOrder, String> {
    DateOrder::parse(text).map_err(|e| e.0)
}

impl Asked {
    /// Something is said that only tables of any make need.
    fn says_more(&self) -> bool {
        !self.columns.is_empty()
            || self.dates.is_some()
            || self.sheet.is_some()
            || self.change
            || self.skip_refused
            || self.forget
            || self.format.is_some()
    }
}

/// Reads a table and writes it unless something is to mend.
pub fn import(out: &mut Out, asked: &Asked) -> Done {
    let today = asked.on.day();
    let most = match asked.kind {
        KindWord::Standard => standard::MOST_BYTES,
        _ => MOST_BYTES,
    };
    let bytes = contents(&asked.file, most)?;
    let name = called(&asked.file);
    if asked.kind == KindWord::Standard {
        if asked.says_more() {
            return Err(Trouble::World(
                "what columns, days and sheets are goes with tables only: leave it out with standard".into(),
            ));
        }
        let how = traffic::How { dry_run: asked.dry_run, strict: asked.strict, word: &asked.word };
        return super::standard::import(out, &asked.book, &name, &bytes, how, today);
    }
    if let Some(kind) = asked.kind.table().filter(|_| !asked.says_more()) {
        let own = with(&asked.book, |book| Ok(has_own_columns(kind, &name, &bytes, &book.flock(), today)))?;
        if own {
            let how = traffic::How { dry_run: asked.dry_run, strict: asked.strict, word: &asked.word };
            return traffic::import(out, &asked.book, kind, &name, &bytes, how, today);
        }
    }
    let (said, shown) = with(&asked.book, |book| any(book, asked, &name, &bytes, today))?;
    match shown {
        Some(table) => {
            out::say(&format!("Would write {said}; nothing was written"));
            out.print(&table.text(asked.format.unwrap_or(Format::Table)))
        }
        None => out.line(&format!("Wrote {said}")),
    }
}

/// A table under our own columns, or one of which nothing better can be said than by their names.
fn has_own_columns(kind: Kind, name: &str, bytes: &[u8], flock: &Flock, today: Day) -> bool {
    let fault = match exchange::read(kind, name, bytes, flock, today) {
        Ok(_) => return true,
        Err(fault) => fault,
    };
    match &fault {
        Unfit::Spreadsheet => return false,
        // Named otherwise, but known by their meaning: what nobody knows is refused by its name.
        Unfit::Columns(faults) if faults.iter().all(|f| matches!(f, ColumnFault::Unknown { .. })) => {
            let Ok(table) = Incoming::open(name, bytes, None, flock) else { return true };
            let choice = Choice { kind: Some(kind), ..Choice::default() };
            let seen = table.preview(&choice, flock, today);
            return seen.columns.iter().any(|c| !matches!(c.meaning, Meaning::Column(_)));
        }
        Unfit::Columns(faults) if faults.iter().any(|f| matches!(f, ColumnFault::Missing(_))) => {}
        Unfit::NotUtf8 { .. } => {}
        _ => return true,
    }
    let Ok(table) = Incoming::open(name, bytes, None, flock) else { return true };
    let own = |h: &String| kind.columns().iter().any(|c| c.name == h.to_lowercase().replace([' ', '-'], "_"));
    if table.heads().iter().all(own) {
        return true;
    }
    let choice = Choice { kind: Some(kind), ..Choice::default() };
    !table.preview(&choice, flock, today).missing.is_empty()
}

/// Reads a table by the meaning of its columns; answers what it writes, and with --dry-run every row.
fn any(
    book: &mut Book,
    asked: &Asked,
    name: &str,
    bytes: &[u8],
    today: Day,
) -> Result<(String, Option<Table>), Trouble> {
    let flock = book.flock();
    let refused = |why: String| Trouble::Refused(format!("{name} was refused, nothing was written\n{why}"));
    let table =
        Incoming::open(name, bytes, asked.sheet.as_deref(), &flock).map_err(|e| refused(e.to_string()))?;
    let kept = Kept::of_user();
    let choice = choice(&table, asked, &kept, &flock, today)?;
    let p = table.preview(&choice, &flock, today);
    tell(&p);
    if asked.dry_run {
        for open in open(&p) {
            out::say(&format!("open: {open}"));
        }
        return Ok((p.sentence(), Some(rows(&p))));
    }
    let open = open(&p);
    if !open.is_empty() {
        return Err(refused(open.join("\n")));
    }
    if asked.strict && (!p.cautions.is_empty() || p.columns.iter().any(|c| c.is_lost)) {
        return Err(refused("there are cautions above: mend them, or leave --strict out".into()));
    }
    let (sentence, kept_choice) = (p.sentence(), table.remember(&choice, &p));
    let (what, all) = p.sure(&asked.word).map_err(|e| traffic::not_sure(name, &e))?;
    if !all.is_empty() {
        book.write_many(&what, all)?;
        if let Some(kept_choice) = kept_choice {
            kept.remember_table(kept_choice);
        }
    }
    Ok((format!("{sentence}: {what}"), None))
}

/// What the keeper said now, over what was said of tables with these heads before.
fn choice(
    table: &Incoming,
    asked: &Asked,
    kept: &Kept,
    flock: &Flock,
    today: Day,
) -> Result<Choice, Trouble> {
    let signature = table.signature().unwrap_or_default();
    if asked.forget {
        kept.forget_table(&signature);
    }
    let known = kept.table(&signature, asked.kind.table()).and_then(|k| table.recalled(&k));
    if known.is_some() {
        out::say("Columns as you said of such a table before; --forget reads it afresh");
    }
    let mut choice = known.unwrap_or_default();
    choice.kind = asked.kind.table().or(choice.kind);
    choice.order = asked.dates.or(choice.order);
    choice.change = asked.change;
    choice.skip = asked.skip_refused;
    let kind =
        choice.kind.or_else(|| table.kinds(flock, today).first().map(|k| k.0)).unwrap_or(Kind::Animals);
    for pair in asked.columns.iter().flat_map(|c| c.split(',')).filter(|p| !p.trim().is_empty()) {
        let (head, word) = pair.rsplit_once('=').ok_or_else(|| {
            Trouble::World(format!("--columns '{}': write HEAD=COLUMN, such as DOB=born", pair.trim()))
        })?;
        let at = table.column(head).ok_or_else(|| {
            let heads = table.heads().join(", ");
            Trouble::World(format!("--columns: there is no column '{}': the table has {heads}", head.trim()))
        })?;
        let meaning = Meaning::parse(kind, word).ok_or_else(|| {
            let names: Vec<&str> = kind.columns().iter().map(|c| c.name).collect();
            Trouble::World(format!(
                "--columns: {} have no column '{}': write {}, remark or -",
                kind.word(),
                word.trim(),
                names.join(", ")
            ))
        })?;
        choice.meanings.insert(at, meaning);
    }
    Ok(choice)
}

/// How it was read, and what is odd, on standard error.
fn tell(p: &Preview) {
    let columns: Vec<String> = p
        .columns
        .iter()
        .filter(|c| c.meaning != Meaning::Out)
        .map(|c| format!("{} = {}", c.head, c.meaning.word()))
        .collect();
    out::say(&format!("{}: {}, {}; {}", p.file, p.kind.word(), p.kind_why, p.how.join("; ")));
    out::say(&format!("columns: {}", columns.join(", ")));
    for c in p.columns.iter().filter(|c| c.is_lost) {
        out::say(&format!("caution: the column '{}' is left out: {}", c.head, c.why));
    }
    for r in p.rows.iter().filter(|r| matches!(r.fate, Fate::New | Fate::Changes | Fate::Same)) {
        for why in &r.why {
            out::say(&format!("caution: line {}: {why}", r.line));
        }
    }
    for c in &p.cautions {
        out::say(&format!("caution: {c}"));
    }
}

/// What must be answered or mended first, in the words of the command line.
fn open(p: &Preview) -> Vec<String> {
    let mut open = Vec::new();
    if !p.is_skipping {
        for r in p.rows.iter().filter(|r| matches!(r.fate, Fate::Refused | Fate::Doubtful)) {
            open.extend(r.why.iter().map(|why| format!("line {}: {why}", r.line)));
        }
    }
    for (n, mut text) in p.stands_open().into_iter().enumerate() {
        if n == 0 && !p.missing.is_empty() {
            let heads: Vec<&str> = p.columns.iter().map(|c| c.head.as_str()).collect();
            text = format!(
                "{text}; with --columns \"HEAD={}\" (the table has {})",
                p.missing[0],
                heads.join(", ")
            );
        } else if let Some(ask) = p.ask.as_ref().filter(|a| !a.readings.is_empty() && text.starts_with('\''))
        {
            let says: Vec<String> =
                ask.readings.iter().map(|(o, _)| format!("--dates {}", o.word())).collect();
            text = format!("{text}: say it with {}", says.join(" or "));
        } else {
            text = format!("{text} with --skip-refused");
        }
        open.push(text);
    }
    open
}

fn rows(p: &Preview) -> Table {
    let row = |r: &exchange::incoming::Row| {
        let changes: Vec<String> = r.changes.iter().map(exchange::incoming::FieldChange::words).collect();
        vec![
            Cell::number(r.line),
            Cell::words(r.who.clone()),
            Cell::words(r.fate.words()),
            Cell::words(changes.join("; ")),
            Cell::words(r.why.join("; ")),
        ]
    };
    Table {
        columns: &["line", "about", "becomes", "changes", "remark"],
        rows: p.rows.iter().map(row).collect(),
    }
}
