//! Two copies of one book brought together, and what is to be decided between them.

use super::{Done, Out, Trouble};
use hirsel_core::book::{Book, Conflict, Other, Side};
use hirsel_core::terms::counted;
use std::path::{Path, PathBuf};

/// What was asked of the command.
pub struct Asked {
    /// The other copy.
    pub other: Option<PathBuf>,
    /// Write nothing.
    pub dry_run: bool,
    /// Number and side.
    pub decide: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Who writes.
    pub who: Option<String>,
}

/// Brings the other copy in, lists what is to be decided, or decides.
pub fn run(out: &mut Out, book: &Path, asked: &Asked) -> Done {
    let mut book = Book::open(book)?;
    if let Some(who) = &asked.who {
        book.set_who(who.trim());
    }
    let done = match (&asked.other, &asked.decide) {
        (Some(other), _) => bring(out, &mut book, other, asked.dry_run),
        (None, Some(what)) => decide(out, &mut book, what, asked.reason.as_deref().unwrap_or_default()),
        (None, None) => open(&book).and_then(|all| list(out, &all)),
    };
    // Closed in any case: a refusal leaves no log beside the book.
    book.close()?;
    done
}

fn bring(out: &mut Out, book: &mut Book, other: &Path, dry_run: bool) -> Done {
    let other = Other::read(book.path(), other)?;
    let united = if dry_run { book.would_unite(&other)? } else { book.unite(&other)? };
    let verb = if dry_run { "Would bring" } else { "Brought" };
    if united.lines() == 0 {
        out.line("Nothing new: this copy has everything of the other")?;
    } else {
        out.line(&format!("{verb}: {}", united.words()))?;
        for (at, what) in &united.last {
            out.line(&format!("  {}  {what}", at.chars().take(16).collect::<String>()))?;
        }
        let more = united.lines() - united.last.len();
        if more > 0 {
            out.line(&format!("  and {} before them", counted(more, "line")))?;
        }
    }
    for words in &united.mended {
        out.line(&format!("Look at this: {words}"))?;
    }
    if united.only_here > 0 {
        let n = counted(united.only_here, "line");
        out.line(&format!("{n} of this copy the other does not have: bring this one in there as well"))?;
    }
    if !dry_run {
        list(out, &open(book)?)?;
    }
    Ok(())
}

/// What is not decided yet.
fn open(book: &Book) -> Result<Vec<Conflict>, Trouble> {
    Ok(book.conflicts()?.into_iter().filter(|c| !c.decided).collect())
}

fn list(out: &mut Out, all: &[Conflict]) -> Done {
    if all.is_empty() {
        return out.line("Nothing is to be decided");
    }
    out.line(&format!("{} to decide:", counted(all.len(), "thing")))?;
    for (n, c) in all.iter().enumerate() {
        let field = if c.field.is_empty() { String::new() } else { format!(", {}", c.field) };
        out.line(&format!("{:>3}  {}{field}", n + 1, c.what))?;
        for (side, v) in [(Side::Ours, &c.ours), (Side::Theirs, &c.theirs)] {
            let name = if side == Side::Ours { "ours" } else { "theirs" };
            let holds = if c.stands == side { " (holds for now)" } else { "" };
            out.line(&format!("       {name:<7} {}, by {} on {}{holds}", v.words, v.who, v.at))?;
        }
    }
    Ok(())
}

fn decide(out: &mut Out, book: &mut Book, what: &str, reason: &str) -> Done {
    let all = open(book)?;
    let wrong = || {
        Trouble::World(format!(
            "'{what}' does not say what is decided: write a number of the list and ours or theirs, such as \"1 ours\""
        ))
    };
    let (number, side) = what.trim().split_once(char::is_whitespace).ok_or_else(wrong)?;
    let side = match side.trim().to_lowercase().as_str() {
        "ours" => Side::Ours,
        "theirs" => Side::Theirs,
        _ => return Err(wrong()),
    };
    let n: usize = number.parse().map_err(|_| wrong())?;
    let Some(c) = n.checked_sub(1).and_then(|n| all.get(n)) else {
        return Err(Trouble::World(format!(
            "there is no {n} in the list: hirsel merge BOOK --list shows it"
        )));
    };
    let written = book.decide(c.id, side, reason)?;
    out.line(&written.sentence)
}
