//! Before a visit: the inspector's questions answered; and the records that need no longer be kept.

use super::line::Format;
use super::out::Out;
use super::tables::{Cell, Table};
use super::{Done, with};
use hirsel_core::reckon::doubts::Doubts;
use hirsel_core::reckon::visit::{Gap, Question, Visit, visit};
use hirsel_core::terms::{Day, counted};
use std::path::Path;

/// Every question with its answer and what is missing.
pub fn check(out: &mut Out, path: &Path, format: Format, on: Day) -> Done {
    let visit = with(path, |book| Ok(visit(&book.flock(), on)))?;
    match format {
        Format::Table => lines(out, &visit),
        _ => out.print(&table(&visit).text(format)),
    }
}

/// What cannot be or is doubtful in the pedigree, by kind, and how much it is.
pub fn pedigree(out: &mut Out, path: &Path) -> Done {
    let doubts = with(path, |book| Ok(Doubts::of(&book.flock())))?;
    for (kind, n) in doubts.counts() {
        out.line(&format!("{} ({}): {n}", kind.words(), kind.weight().words()))?;
        let listed = || doubts.list().iter().filter(|d| d.kind == *kind);
        for d in listed() {
            out.line(&format!("  - {}", d.words))?;
        }
        let more = n.saturating_sub(listed().count());
        if more > 0 {
            out.line(&format!("  … and {more} more"))?;
        }
    }
    match doubts.total() {
        0 => out.line("No doubt in the pedigree"),
        n => out.line(&format!("{} in the pedigree", counted(n, "doubt"))),
    }
}

fn lines(out: &mut Out, v: &Visit) -> Done {
    out.line(&format!("Before a visit on {}. {}.", v.day().words(), v.by))?;
    out.line("The authority, the label and the vet decide.")?;
    for q in &v.questions {
        out.line("")?;
        out.line(&format!("{:>2}. {} {}", q.number, q.ask, q.answer.words()))?;
        out.line(&format!("    {}", q.found))?;
        for g in &q.gaps {
            out.line(&format!("    {} {}", if g.asked { "-" } else { "~" }, g.words))?;
        }
        if q.more > 0 {
            out.line(&format!("    … and {} more", q.more))?;
        }
    }
    out.line("")?;
    if v.questions.iter().any(|q| q.gaps.iter().any(|g| !g.asked)) {
        out.line("- is missing, ~ would better be written.")?;
    }
    out.line(&v.summary())
}

/// A row for each gap, and one for each question without.
fn table(v: &Visit) -> Table {
    let row = |q: &Question, gap: Option<&Gap>| {
        vec![
            Cell::number(q.number),
            Cell::words(q.ask),
            Cell::words(q.answer.words()),
            Cell::words(q.found.as_str()),
            gap.map_or_else(Cell::none, |g| Cell::words(if g.asked { "missing" } else { "advised" })),
            gap.and_then(|g| g.on).map_or_else(Cell::none, |d| Cell::words(d.to_string())),
            gap.map_or_else(Cell::none, |g| Cell::words(g.words.as_str())),
        ]
    };
    let mut rows = Vec::new();
    for q in &v.questions {
        match q.gaps.as_slice() {
            [] => rows.push(row(q, None)),
            gaps => rows.extend(gaps.iter().map(|g| row(q, Some(g)))),
        }
    }
    Table { columns: &["question", "ask", "answer", "found", "kind", "on", "gap"], rows }
}

/// Takes out what need no longer be kept, or tells what would go.
pub fn purge(out: &mut Out, path: &Path, before: Day, yes: bool, today: Day) -> Done {
    if !yes {
        let told = with(path, |book| Ok(book.would_purge(before, today)?))?;
        out.line(&told.words())?;
        return out
            .line("Nothing was taken out: do it with --yes. A copy is made first; it cannot be undone.");
    }
    let done = with(path, |book| Ok(book.purge(before, today)?))?;
    out.line(&done.words())?;
    match &done.copy {
        Some(copy) => out.line(&format!("The book as it was is kept at {}", copy.display())),
        None => Ok(()),
    }
}
