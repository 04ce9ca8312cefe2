//! The same work without a window: every command prints what it did, or what is wrong and what to do. Knows no egui, and
//! reckons nothing that the core does not.
//!
//! Exit codes: 0 done; 1 the data were refused and nothing was written; 2 the call, the display or a file was at
//! fault. A reader that goes away early (`| head`) is no fault.

mod answers;
mod at_age;
mod attach;
mod blood;
mod books;
mod calendar;
mod creep;
mod export;
mod feed;
mod incoming;
mod keeping;
mod line;
mod merge;
mod notes;
mod on;
mod out;
mod pages;
mod paper;
mod pictures;
mod print_line;
mod ration;
mod register;
mod roll;
mod scale;
mod secret;
mod standard;
mod tables;
mod traffic;
mod values;
mod visit;
mod winter;
mod word;

use crate::crash::{self, Rehearsal};
use clap::Parser as _;
use hirsel_core::book::{Book, Failed};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{AnimalId, Day};
use line::{Answer, Command, Format, Line};
use out::Out;
use print_line::Print;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use word::PaperWord;

/// Why a command did not do its work.
#[derive(Debug)]
enum Trouble {
    /// The data were refused; nothing was written. Exit code 1.
    Refused(String),
    /// The call or a file. Exit code 2.
    World(String),
    /// Whoever read the output has gone: no fault.
    Gone,
}

impl From<Failed> for Trouble {
    fn from(e: Failed) -> Self {
        Self::World(e.to_string())
    }
}

type Done = Result<(), Trouble>;

/// Reads the command line and does what it says. `window` opens the window with a book or the last one.
pub fn run(args: impl IntoIterator<Item = OsString>, window: fn(Option<PathBuf>) -> ExitCode) -> ExitCode {
    let line = match Line::try_parse_from(args) {
        Ok(line) => line,
        Err(e) => {
            let _ = e.print(); // help to a reader that has gone is no fault
            return ExitCode::from(u8::try_from(e.exit_code()).unwrap_or(2));
        }
    };
    match line.rehearse_fault {
        Some(Rehearsal::Command) => Rehearsal::fail(),
        Some(other) => other.ask(),
        None => {}
    }
    let Some(command) = line.command else {
        // A mistyped command must not pass for a book.
        if let Some(book) = line.book.as_ref().filter(|b| !b.exists()) {
            return ended(Err(Failed::NotThere(book.clone()).into()));
        }
        return window(line.book);
    };
    crash::at("the command line");
    crash::did(crash::name_of(&command));
    let mut out = Out::new();
    ended(command.run(&mut out).and_then(|()| out.flush()))
}

fn ended(done: Done) -> ExitCode {
    match done {
        Ok(()) | Err(Trouble::Gone) => ExitCode::SUCCESS,
        Err(Trouble::Refused(why)) => {
            out::say(&format!("hirsel: {why}"));
            ExitCode::from(1)
        }
        Err(Trouble::World(why)) => {
            out::say(&format!("hirsel: {why}"));
            ExitCode::from(2)
        }
    }
}

impl Command {
    fn run(self, out: &mut Out) -> Done {
        match self {
            Self::New {
                book,
                flock,
                rules,
                units,
                keeper,
                number,
                address,
                sheet,
                words,
                days,
                currency,
            } => {
                let mut holding = hirsel_core::flock::Holding { flock, units, ..Default::default() };
                let text = Option::unwrap_or_default;
                (holding.keeper, holding.number, holding.address) =
                    (text(keeper), text(number), text(address));
                holding.rules = text(rules);
                holding.sheet = sheet.map(|s| s.word().to_lowercase()).unwrap_or_default();
                holding.words = text(words);
                holding.days = days.unwrap_or_default();
                holding.currency = text(currency);
                books::new(out, &book, holding)
            }
            Self::Demo { book, ewes, seasons, seed, on } => {
                books::demo(out, &book, &hirsel_demo::Spec { ewes, seasons, seed }, on.day())
            }
            Self::Import(asked) => incoming::import(out, &asked),
            Self::ReadScale(asked) => scale::read(out, &asked),
            Self::Attach(asked) => attach::attach(out, &asked),
            Self::Papers(asked) => attach::papers(out, &asked),
            Self::Roll(asked) => roll::roll(out, &asked),
            Self::Write { book, note, dry_run, strict, word, on } => {
                notes::write(out, &book, &note, &notes::How { dry_run, strict, word }, on.day())
            }
            Self::Export(asked) => export::export(out, &asked),
            Self::Reckon { book, answer, animal, matrix: true, format, output, on, .. } => {
                if answer != Answer::Kinship {
                    return Err(Trouble::World("--matrix goes with kinship only: leave it out".into()));
                }
                let dress = match tables::dress(format, output.as_deref())? {
                    tables::Dress::Text(Format::Table) => tables::Dress::Text(Format::Csv),
                    other => other,
                };
                output.as_deref().map_or(Ok(()), |to| not_the_book(&book, to))?;
                let made = with(&book, |book| blood::matrix(&book.flock(), &animal))?;
                tables::write(out, "kinship", made, dress, output.as_deref(), on.day())
            }
            Self::Reckon {
                book,
                answer,
                animal,
                rams,
                limit,
                forbid,
                keep,
                sold,
                values,
                at_age,
                mix,
                winter,
                format,
                output,
                on,
                ..
            } => {
                let dress = tables::dress(format, output.as_deref())?;
                output.as_deref().map_or(Ok(()), |to| not_the_book(&book, to))?;
                if sold && answer != Answer::Clearance {
                    return Err(Trouble::World("--sold goes with clearance only: leave it out".into()));
                }
                let more = [("--limit", &limit), ("--forbid", &forbid), ("--keep", &keep)];
                let stray = more.iter().find(|(_, given)| given.is_some() && answer != Answer::Pairs);
                if let Some((name, _)) = stray {
                    return Err(Trouble::World(format!("{name} goes with pairs only: leave it out")));
                }
                if let Some(name) = values.stray().filter(|_| answer != Answer::Evaluation) {
                    return Err(Trouble::World(format!("{name} goes with evaluation only: leave it out")));
                }
                if let Some(name) = at_age.stray().filter(|_| answer != Answer::Weights) {
                    return Err(Trouble::World(format!("{name} goes with weights only: leave it out")));
                }
                if let Some(name) = mix.stray().filter(|_| answer != Answer::Ration) {
                    return Err(Trouble::World(format!("{name} goes with ration only: leave it out")));
                }
                if answer == Answer::Ration && !animal.is_empty() {
                    return Err(Trouble::World("a ration is of feeds: leave --animal out".into()));
                }
                winter.fits(answer, !animal.is_empty())?;
                let asked = blood::Asked {
                    rams: rams.as_deref().unwrap_or_default(),
                    limit: limit.as_deref(),
                    forbid: forbid.as_deref().unwrap_or_default(),
                    keep: keep.as_deref().unwrap_or_default(),
                };
                let table = with(&book, |book| match sold {
                    true => Ok(answers::sold(&book.flock(), on.day())),
                    false if answer == Answer::Spring => winter.spring(&book.flock(), on.day()),
                    false if answer == Answer::FeedCosts => winter.costs(&book.flock(), on.day()),
                    false if answer == Answer::Ration => ration::ration(&book.flock(), &mix, on.day()),
                    false if answer == Answer::Weights => {
                        let animals = chosen(&book.flock(), &animal, &[])?;
                        Ok(answers::weights(&book.flock(), animals, at_age.days(), at_age.using(), on.day()))
                    }
                    false => answer.table(&book.flock(), &animal, &asked, &values, on.day()),
                })?;
                let name = clap::ValueEnum::to_possible_value(&answer).map(|v| v.get_name().to_string());
                let name = name.unwrap_or_default();
                tables::write(out, &name, table.parts(), dress, output.as_deref(), on.day())
            }
            Self::Register { book, register, from, to, format, output, on } => {
                let span = register::span(register, from, to)?;
                let dress = tables::dress(format, output.as_deref())?;
                let made = with(&book, |book| Ok(register.make(&book.flock(), span, on.day())))?;
                register::write(out, &book, &made, dress, output.as_deref())
            }
            Self::Print(asked) => paper::print(out, &asked),
            Self::Check { book, visit: true, format, on, .. } => visit::check(out, &book, format, on.day()),
            Self::Check { book, pedigree: true, .. } => visit::pedigree(out, &book),
            Self::Check { book, mend: true, .. } => books::mend(out, &book),
            Self::Check { book, salvage: Some(to), .. } => books::salvage(out, &book, &to),
            Self::Check { book, .. } => books::check(out, &book),
            Self::Purge { book, before, yes, on } => visit::purge(out, &book, before, yes, on.day()),
            Self::Backup(asked) => asked.run(out),
            Self::Merge { book, other, dry_run, list: _, decide, reason, who } => {
                let asked = merge::Asked { other, dry_run, decide, reason, who };
                merge::run(out, &book, &asked)
            }
            Self::Pages { folder } => pages::write(out, &folder),
            Self::Restore { file, book, passphrase_file } => {
                books::restore(out, &file, &book, passphrase_file.as_deref())
            }
        }
    }
}

impl Answer {
    fn table(
        self,
        flock: &Flock,
        tags: &[String],
        asked: &blood::Asked<'_>,
        values: &values::Values,
        on: Day,
    ) -> Result<tables::Table, Trouble> {
        let animals = chosen(flock, tags, &[])?;
        Ok(match self {
            Self::Clearance => answers::clearance(flock, animals, on),
            Self::Growth => answers::growth(flock, animals, on),
            Self::Figures if animals.is_some() => {
                return Err(Trouble::World("figures are of the whole flock: leave --animal out".into()));
            }
            Self::Figures => answers::figures(flock, on),
            Self::Due => answers::due(flock, animals, on),
            Self::Kinship => blood::kinship(flock, animals)?,
            Self::Pairs => blood::pairs(flock, animals, asked, on)?,
            Self::Diversity if animals.is_some() => {
                return Err(Trouble::World("diversity is of the whole flock: leave --animal out".into()));
            }
            Self::Diversity => blood::diversity(flock, on)?,
            Self::Evaluation => values::evaluation(flock, animals, values, on)?,
            Self::Keep => keeping::keep(flock, animals.as_deref(), on)?,
            Self::Cull => keeping::cull(flock, animals.as_deref(), on)?,
            Self::Creep if animals.is_some() => {
                return Err(Trouble::World("creeps are of pens: leave --animal out".into()));
            }
            Self::Creep => creep::creeps(flock, on),
            Self::Spring | Self::FeedCosts => {
                return Err(Trouble::World("spring and feed-costs are of feed: leave --animal out".into()));
            }
            Self::Ration => return Err(Trouble::World("ration needs --mix".into())),
            Self::Feed if animals.is_some() => {
                return Err(Trouble::World("the store is of feeds: leave --animal out".into()));
            }
            Self::Feed => feed::store(flock, on),
            Self::Weights => {
                answers::weights(flock, animals, 60, hirsel_core::reckon::growth::fixed::Using::Table, on)
            }
        })
    }
}

/// Does some work on a book and closes it whatever comes of it, so that it is one plain file again.
fn with<T>(path: &Path, work: impl FnOnce(&mut Book) -> Result<T, Trouble>) -> Result<T, Trouble> {
    let mut book = Book::open(path)?;
    // What the work made is not told if the book is damaged. Work that tells as it goes asks before it begins.
    let done = work(&mut book).and_then(|done| Ok(book.soundness_of_records().map(|()| done)?));
    let closed = book.close();
    let done = done?;
    closed?;
    Ok(done)
}

/// A file to write that is the book itself would destroy it.
fn not_the_book(book: &Path, to: &Path) -> Done {
    match (book.canonicalize(), to.canonicalize()) {
        (Ok(a), Ok(b)) if a == b => Err(Trouble::World(format!(
            "{} is the book itself: name another file for the output",
            to.display()
        ))),
        _ => Ok(()),
    }
}

/// The animals of these tags and pens in the order given, each once; none when nothing is asked for.
fn chosen(flock: &Flock, tags: &[String], pens: &[String]) -> Result<Option<Vec<AnimalId>>, Trouble> {
    if tags.is_empty() && pens.is_empty() {
        return Ok(None);
    }
    let (mut all, mut missing) = (Vec::new(), Vec::new());
    for tag in tags {
        match flock.by_tag(tag) {
            Some(id) => all.push(id),
            None => missing.push(format!("no animal wears the tag {tag}: mend the tag")),
        }
    }
    for pen in pens {
        let animals = flock.in_pen(pen);
        if animals.is_empty() {
            let known: Vec<String> = flock.pens().into_iter().map(|(p, _)| p).collect();
            missing.push(match known.as_slice() {
                [] => format!("no animal is in the pen {pen}: no pen holds animals yet"),
                known => {
                    format!("no animal is in the pen {pen}: the pens with animals are {}", known.join(", "))
                }
            });
        }
        all.extend(animals);
    }
    if !missing.is_empty() {
        return Err(Trouble::Refused(missing.join("\nhirsel: ")));
    }
    let mut seen = std::collections::HashSet::new();
    all.retain(|id| seen.insert(*id));
    Ok(Some(all))
}
