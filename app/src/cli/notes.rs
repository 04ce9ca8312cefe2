//! `hirsel write`: barn notes from the command line.

use super::out::{self, Out};
use super::{Done, Trouble, with};
use hirsel_core::book::{Evening, NoteLine, NotePiece, Stands};
use hirsel_core::entry::notes::LONGEST_LINE;
use hirsel_core::terms::Day;
use hirsel_core::terms::speech::Speech;
use std::path::Path;

/// How notes are written.
pub struct How {
    pub dry_run: bool,
    pub strict: bool,
    pub word: Option<String>,
}

/// Longest text that is read from a pipe: an evening has a few hundred lines.
const LONGEST: u64 = 500 * LONGEST_LINE as u64;

/// Writes the notes, or says what stands in the way; prints what it understood.
pub fn write(out: &mut Out, path: &Path, note: &str, how: &How, on: Day) -> Done {
    let text = if note == "-" { piped()? } else { note.to_string() };
    if text.trim().is_empty() {
        return Err(Trouble::Refused(
            "there is nothing to write: give a note, such as '0412 to pen 5'".into(),
        ));
    }
    let mut notes = Evening::of(text);
    let sentences = with(path, |book| {
        // Days are read in the book's order: 3/4 is another day in another place.
        let _spoken = Speech { days: book.flock().holding().days, ..Speech::default() }.during();
        let lines = book.read_notes(&mut notes, on)?;
        lines.iter().for_each(cautions);
        let clear = |p: &NotePiece| match &p.stands {
            Stands::Plain => true,
            Stands::Asked(_) => !how.strict,
            Stands::Several | Stands::Refused(_) => false,
        };
        let faults: Vec<String> = lines
            .iter()
            .flat_map(|l| {
                let lost = l.lost.iter().map(|d| d.says.clone());
                lost.chain(l.pieces.iter().filter(|p| !clear(p)).map(|p| fault(l, p)))
            })
            .collect();
        if !faults.is_empty() {
            return Err(Trouble::Refused(format!("nothing was written:\n  {}", faults.join("\n  "))));
        }
        let sentences: Vec<String> =
            lines.iter().flat_map(|l| &l.pieces).map(|p| p.sentence().to_string()).collect();
        if !how.dry_run {
            notes.word = how.word.clone().unwrap_or_else(|| "written from the command line".into());
            if book.write_notes(&mut notes, on)?.is_err() {
                return Err(Trouble::Refused(
                    "nothing was written: the notes say nothing that can be kept".into(),
                ));
            }
        }
        Ok(sentences)
    })?;
    if how.dry_run {
        out::say("Would write this; nothing was written");
    }
    sentences.iter().try_for_each(|s| out.line(s))
}

fn piped() -> Result<String, Trouble> {
    use std::io::Read as _;
    let mut text = String::new();
    let read = std::io::stdin().take(LONGEST).read_to_string(&mut text);
    read.map_err(|e| Trouble::World(format!("the notes could not be read: {}", out::cause(&e))))?;
    Ok(text)
}

/// What looks unlikely or doubtful, on standard error.
fn cautions(line: &NoteLine) {
    for p in &line.pieces {
        if let Stands::Asked(all) = &p.stands {
            all.iter().for_each(|q| out::say(&format!("caution: {q}")));
        }
        let taken = p.taken.and_then(|i| p.readings.get(i)).filter(|r| r.draft.is_some());
        taken.iter().flat_map(|r| &r.doubts).for_each(|d| out::say(&format!("caution: {}", d.says)));
    }
}

/// Why a piece is not written.
fn fault(line: &NoteLine, p: &NotePiece) -> String {
    let said = line.text.get(p.span.clone()).unwrap_or_default();
    match &p.stands {
        Stands::Several => {
            let all: Vec<&str> = p.readings.iter().map(|r| r.sentence.as_str()).collect();
            format!("'{said}' can mean several things; write the one you mean:\n    {}", all.join("\n    "))
        }
        Stands::Refused(why) => format!("'{said}': {}", why.join("; ")),
        Stands::Plain | Stands::Asked(_) => {
            format!("'{said}' looks unlikely, see the caution above; mend it, or leave --strict out")
        }
    }
}

/// The forms of barn notes with examples, from the grammar itself.
pub fn forms() -> String {
    let mut text = String::from("What can be written:\n");
    for form in hirsel_core::entry::notes::forms() {
        text.push_str(&format!("\n{}: {}\n", form.name, form.how));
        form.example.iter().for_each(|e| text.push_str(&format!("    {}\n", e.note)));
    }
    text
}
