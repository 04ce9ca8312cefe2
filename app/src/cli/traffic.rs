//! Tables in.

use super::out::{self, Out};
use super::{Done, Trouble, with};
use hirsel_core::exchange::{self, Kind};
use hirsel_core::terms::{Day, Misread};
use std::io::Read as _;
use std::path::Path;

/// How to import.
#[derive(Debug, Clone, Copy)]
pub struct How<'a> {
    /// Show, write nothing.
    pub dry_run: bool,
    /// Refuse what is unlikely.
    pub strict: bool,
    /// Why what is unlikely is right as written.
    pub word: &'a str,
}

/// A table under our own columns.
pub fn import(
    out: &mut Out,
    book: &Path,
    kind: Kind,
    name: &str,
    bytes: &[u8],
    how: How<'_>,
    today: Day,
) -> Done {
    let (sentence, csv) = with(book, |book| {
        let reading = exchange::read(kind, name, bytes, &book.flock(), today)
            .map_err(|unfit| Trouble::Refused(format!("{name} was refused, nothing was written\n{unfit}")))?;
        for caution in &reading.cautions {
            out::say(&format!("caution: {caution}"));
        }
        if how.strict && !reading.cautions.is_empty() {
            let n = reading.cautions.len();
            let cautions = if n == 1 { "1 caution".to_string() } else { format!("{n} cautions") };
            return Err(Trouble::Refused(format!(
                "{name} was refused, nothing was written: {cautions} above; mend them, or leave --strict out"
            )));
        }
        let said = (reading.sentence(), how.dry_run.then(|| reading.csv()));
        if !how.dry_run
            && let Some(sure) = reading.sure(how.word).map_err(|e| not_sure(name, &e))?
        {
            book.write(sure)?;
        }
        Ok(said)
    })?;
    match csv {
        Some(csv) => {
            out::say(&format!("Would write {sentence}; nothing was written"));
            out.print(&csv)
        }
        None => out.line(&format!("Wrote {sentence}")),
    }
}

/// What is far above a label has to be said twice; in a table the word says it once more.
pub fn not_sure(name: &str, why: &Misread) -> Trouble {
    Trouble::Refused(format!("{name} was refused, nothing was written: {why} (--word)"))
}

/// The name of a file in sentences.
pub fn called(file: &Path) -> String {
    if is_stdin(file) {
        return "what was piped in".into();
    }
    file.file_name().map_or_else(|| file.display().to_string(), |n| n.to_string_lossy().into_owned())
}

fn is_stdin(file: &Path) -> bool {
    file.as_os_str() == "-"
}

/// The bytes of a file, or of what is piped in; of more than `most` one more is read, so that it is told from a whole one.
pub fn contents(file: &Path, most: usize) -> Result<Vec<u8>, Trouble> {
    let most = (most as u64).saturating_add(1);
    let mut all = Vec::new();
    let read = if is_stdin(file) {
        std::io::stdin().take(most).read_to_end(&mut all)
    } else {
        std::fs::File::open(file).and_then(|f| {
            all.reserve_exact(crate::desk::files::room(&f, most));
            f.take(most).read_to_end(&mut all)
        })
    };
    read.map(|_| all)
        .map_err(|e| Trouble::World(format!("{} could not be read: {}", file.display(), out::cause(&e))))
}

/// The columns of every kind, for `import --help`.
pub fn columns() -> String {
    let mut text = String::from(
        "Tables of other makes: columns are known by their heads (Eartag, DOB, Mother, Weight (lb), Geburtsdatum) and by\n\
         what stands in them; --columns says otherwise. Of .xlsx and .ods one sheet is read. Where a day can be read in\n\
         two ways, such as 3/4, it is asked for with --dates, never guessed. Each row becomes new, the same, changes\n\
         (written with --change only), which? (it may be an animal of the book) or to mend; see --dry-run. What you said\n\
         of a table is remembered for the next one with the same heads.\n\n\
         Tables under our own columns: the first line names them, in any order. A comma, a semicolon or a tab stands between values;\n\
         numbers may have a decimal point or comma; days are written 2026-04-03; the text is UTF-8.\n\
         Every bad row is named with its line, its column and the mend, and nothing is written then.\n\
         What looks unlikely is printed as a caution and kept with the import.\n\
         A row that the book holds word for word already, such as a weighing or a mark, is left out.\n\
         An animal is named by any tag it wears; of a tag worn twice over the years, write '12 born 2019-03-04'.\n\
         Text that begins with = + - @ is written with a single quote before it (spreadsheets would take it for a\n\
         formula); that quote is taken off again.\n",
    );
    for kind in Kind::ALL {
        text.push_str(&format!("\n{} (* must be there)\n", kind.word()));
        for c in kind.columns() {
            let star = if c.needed { "*" } else { " " };
            text.push_str(&format!("  {star} {:<18}{}\n", c.name, c.about));
        }
    }
    text
}
