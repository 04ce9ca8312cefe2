//! Pictures and papers kept with records: put in, listed, taken out as files.

use super::on::day;
use super::out::{self, Out};
use super::tables::{Cell, Table};
use super::{Done, Format, Trouble, chosen, not_the_book, with};
use crate::desk::files;
use clap::{Args, ValueEnum};
use hirsel_core::entry::{self, CupboardRefused, DocumentDraft};
use hirsel_core::exchange::picture_in::{Taking, take_in};
use hirsel_core::flock::{Document, DocumentOf, Flock, RecordRef, records};
use hirsel_core::reckon::papers::{animal_of, links, record_words, words_at};
use hirsel_core::terms::{AnimalId, Day};
use std::path::{Path, PathBuf};

pub const HELP: &str = "A picture is turned upright, made at most 2000 pixels long, and where it was taken is left out of it; the day it\n\
    says it was taken becomes its day. The file itself stays as it is. What is done is printed, a line each.";

#[derive(Debug, Args)]
pub struct Asked {
    /// The book
    book: PathBuf,
    /// The picture (PNG or JPEG) or paper (PDF)
    file: PathBuf,
    /// Keep it with the animal that wears this tag
    #[arg(long, value_name = "TAG", required_unless_present = "to")]
    animal: Option<String>,
    /// Keep it with a record of the animal, the last one; or, without an animal, with the holding
    #[arg(long, value_name = "RECORD")]
    to: Option<To>,
    /// The record of this day, such as 2026-04-03
    #[arg(long, value_name = "DATE", value_parser = day, requires = "to")]
    on: Option<Day>,
    /// Keep it under this name
    #[arg(long, value_name = "TEXT")]
    name: Option<String>,
    /// Leave its pixels as they are, however many
    #[arg(long)]
    keep_original: bool,
    /// Leave in it where it was taken
    #[arg(long)]
    keep_position: bool,
}

/// What a paper can be kept with, as it is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum To {
    /// A lambing of the ewe
    Lambing,
    /// A joining of the ewe
    Joining,
    /// A weighing
    Weighing,
    /// A treatment
    Treatment,
    /// A move to a pen
    Pen,
    /// A change of standing: bought, sold, died
    Standing,
    /// A note
    Note,
    /// A job that was ticked
    Job,
    /// A mating mark of the ewe
    Mark,
    /// A scan of the ewe
    Scan,
    /// A crayon of the ram
    Crayon,
    /// A test of genes or parents
    Test,
    /// A score
    Score,
    /// A decision
    Decision,
    /// Who keeps the flock; without an animal
    Holding,
}

impl To {
    /// As records of an animal are called.
    fn word(self) -> &'static str {
        match self {
            Self::Lambing => "lambing",
            Self::Joining => "joining",
            Self::Weighing => "weighing",
            Self::Treatment => "treatment",
            Self::Pen => "pen",
            Self::Standing => "standing",
            Self::Note => "note",
            Self::Job => "job",
            Self::Mark => "mating mark",
            Self::Scan => "scan",
            Self::Crayon => "crayon",
            Self::Test => "test",
            Self::Score => "score",
            Self::Decision => "decision",
            Self::Holding => "holding",
        }
    }
}

pub fn attach(out: &mut Out, a: &Asked) -> Done {
    let (own, bytes) = files::contents(&a.file).map_err(Trouble::World)?;
    let name = a.name.clone().unwrap_or(own);
    if entry::paper_kind(&bytes).is_none() {
        return Err(Trouble::Refused(CupboardRefused::NoPaper(name).to_string()));
    }
    let how = Taking { original: a.keep_original, position: a.keep_position };
    let today = Day::today();
    let taken = take_in(&name, bytes, how, today).map_err(|e| Trouble::Refused(e.to_string()))?;
    let told = taken.told;
    let sentence = with(&a.book, |book| {
        let flock = book.flock();
        let of = target(&flock, a)?;
        let draft = DocumentDraft { of, name, bytes: taken.bytes.into(), on: taken.on };
        let checked = entry::documents(vec![draft], &flock, today)
            .map_err(|all| Trouble::Refused(all.first().map(ToString::to_string).unwrap_or_default()))?;
        let sure = checked.sure().map_err(|checked| {
            let asked = checked.questions().first().map(ToString::to_string).unwrap_or_default();
            Trouble::Refused(format!("{asked} Nothing was kept a second time"))
        })?;
        Ok(book.write(sure)?.sentence)
    })?;
    out.line(&sentence)?;
    told.iter().try_for_each(|t| out.line(t))
}

/// What the call means.
fn target(flock: &Flock, a: &Asked) -> Result<DocumentOf, Trouble> {
    let Some(tag) = &a.animal else {
        return match a.to {
            Some(To::Holding) => Ok(DocumentOf::Holding),
            _ => Err(Trouble::World("a record is of an animal: write --animal with its tag".into())),
        };
    };
    let animals = chosen(flock, std::slice::from_ref(tag), &[])?.unwrap_or_default();
    let Some(id) = animals.first().copied() else {
        return Err(Trouble::World("--animal needs a tag".into()));
    };
    match a.to {
        None => Ok(RecordRef::Animal(id).into()),
        Some(To::Holding) => {
            Err(Trouble::World("the holding is no record of an animal: leave --animal out".into()))
        }
        Some(to) => record(flock, id, to, a.on).map(DocumentOf::from),
    }
}

/// The record of this kind and day, or the last of this kind.
fn record(flock: &Flock, id: AnimalId, to: To, on: Option<Day>) -> Result<RecordRef, Trouble> {
    let tag = flock.tag(id);
    let mut found: Vec<(Day, RecordRef)> = Vec::new();
    for f in flock.file(id).into_iter() {
        for (record, _) in records(f).filter(|(_, struck)| !struck) {
            let said = record_words(f, record)
                .filter(|(word, day)| *word == to.word() && on.is_none_or(|d| d == *day));
            found.extend(said.map(|(_, day)| (day, record)));
        }
    }
    let last = found.iter().map(|(day, _)| *day).max();
    found.retain(|(day, _)| Some(*day) == last);
    let when = on.map(|d| format!(" on {}", d.words())).unwrap_or_default();
    match (found.as_slice(), last) {
        ([], _) | (_, None) => Err(Trouble::Refused(format!(
            "{tag} has no {} in the book{when}: write it up first, or mend the day",
            to.word()
        ))),
        ([(_, one)], _) => Ok(*one),
        (several, Some(day)) => Err(Trouble::Refused(format!(
            "{tag} has {} of the kind {} on {}: keep it with the animal, or with the record in the window",
            several.len(),
            to.word(),
            day.words()
        ))),
    }
}

/// How papers are listed or taken out.
#[derive(Debug, Args)]
pub struct PapersAsked {
    /// The book
    book: PathBuf,
    /// Only those of this animal and its records; may be given several times
    #[arg(long, value_name = "TAG")]
    animal: Vec<String>,
    /// Take the paper of this number out as a file
    #[arg(long, value_name = "N", requires = "output")]
    get: Option<usize>,
    /// Where it goes; - is standard output
    #[arg(short, long, value_name = "FILE", requires = "get")]
    output: Option<PathBuf>,
    /// How the list is printed
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
}

pub fn papers(out: &mut Out, a: &PapersAsked) -> Done {
    match (a.get, &a.output) {
        (Some(n), Some(to)) => get(out, &a.book, n, to),
        _ => {
            let table = with(&a.book, |book| list(&book.flock(), &a.animal))?;
            out.print(&table.text(a.format))
        }
    }
}

/// Every paper of the book, or of these animals, oldest first; the numbers are those of the whole list.
fn list(flock: &Flock, tags: &[String]) -> Result<Table, Trouble> {
    let animals = chosen(flock, tags, &[])?;
    let all = flock.documents().all();
    let links = links(flock, all.iter());
    let fits = |link| match &animals {
        Some(wanted) => animal_of(link).is_some_and(|id| wanted.contains(&id)),
        None => true,
    };
    let row = |n: usize, d: &Document, link| {
        vec![
            Cell::number(n + 1),
            Cell::words(d.on.to_string()),
            Cell::words(d.name.as_str()),
            Cell::words(d.kind.as_str()),
            Cell::number(d.size),
            Cell::words(words_at(flock, d.of, Some(link))),
            Cell::words(d.struck.as_deref().map(|s| s.reason.clone()).unwrap_or_default()),
        ]
    };
    let rows = all.iter().zip(links).enumerate().filter(|(_, (_, link))| fits(*link));
    Ok(Table {
        columns: &["number", "day", "name", "kind", "bytes", "with", "struck_out"],
        rows: rows.map(|(n, (d, link))| row(n, d, link)).collect(),
    })
}

fn get(out: &mut Out, path: &Path, n: usize, to: &Path) -> Done {
    not_the_book(path, to)?;
    let (name, bytes) = with(path, |book| {
        let flock = book.flock();
        let all = flock.documents().all();
        let Some(d) = n.checked_sub(1).and_then(|n| all.get(n)) else {
            let there = match all.len() {
                0 => "none is kept in the book".to_string(),
                n => format!("the numbers go from 1 to {n}"),
            };
            return Err(Trouble::Refused(format!("there is no paper {n}: {there}")));
        };
        match book.document(d.id)? {
            Some(bytes) => Ok((d.name.clone(), bytes)),
            None => Err(Trouble::World(format!("the file of {} is lost: take it from a copy", d.name))),
        }
    })?;
    if out::save(out, to, &bytes)? {
        out::say(&format!("{name} saved as {}", to.display()));
    }
    Ok(())
}
