//! The open standard of animal data (ICAR ADE 1.3.2, JSON), out and in.

use super::out::{self, Out};
use super::traffic::{How, not_sure};
use super::{Done, Trouble, with};
use clap::Args;
use hirsel_core::book::Book;
use hirsel_core::exchange::standard::{self, NOT_CARRIED, Options, Value, Zone};
use hirsel_core::reckon::evaluation::{Ask, Trait, evaluate};
use hirsel_core::terms::Day;
use std::path::Path;

/// What is asked of an export of the standard.
#[derive(Debug, Default, Args)]
#[group(skip)]
pub struct Asked {
    /// For standard: records that are struck out too, marked as deleted
    #[arg(long)]
    struck: bool,
    /// For standard: breeding values of this trait too: weight:60 (the age in days, 0 for birth), born or reared
    #[arg(long = "trait", value_name = "TRAIT", value_parser = of)]
    of: Option<Trait>,
}

impl Asked {
    /// The first of these that was given.
    pub fn stray(&self) -> Option<&'static str> {
        self.struck.then_some("--struck").or(self.of.map(|_| "--trait"))
    }
}

fn of(text: &str) -> Result<Trait, String> {
    Trait::parse(text).map_err(|e| e.0)
}

/// The flock as a document of the standard.
pub fn text(book: &Book, asked: &Asked, today: Day) -> Result<String, Trouble> {
    let flock = book.flock();
    let mut how = Options { struck: asked.struck, ..Options::of(today) };
    if let Some(of) = asked.of {
        let found = evaluate(&flock, &Ask::usual(of, today), &mut |_| true)
            .map_err(|e| Trouble::Refused(e.to_string()))?;
        let value = |id| {
            let direct = found.of_animal(id)?.direct;
            Some(Value { animal: id, of: of.word(), value: direct.value, accuracy: Some(direct.accuracy) })
        };
        let mut ids: Vec<_> = flock.files().map(|f| f.animal.id).collect();
        ids.sort_unstable();
        how.values = ids.into_iter().filter_map(value).collect();
    }
    Ok(standard::export(&flock, &book.stamps()?, &how))
}

pub fn export(out: &mut Out, path: &Path, asked: &Asked, to: Option<&Path>, today: Day) -> Done {
    let text = with(path, |book| text(book, asked, today))?;
    match to {
        None => out.print(&text),
        Some(to) => {
            if out::save(out, to, text.as_bytes())? {
                out.line(&format!("Wrote the flock as the open standard has it to {}", to.display()))?;
            }
            Ok(())
        }
    }
}

pub fn import(out: &mut Out, book: &Path, name: &str, bytes: &[u8], how: How<'_>, today: Day) -> Done {
    let lines = with(book, |book| {
        let found = standard::read(name, bytes, &book.flock(), Zone::Local, today)
            .map_err(|e| Trouble::Refused(format!("{name} was refused, nothing was written\n{e}")))?;
        for told in &found.told {
            out::say(told);
        }
        for caution in &found.cautions {
            out::say(&format!("caution: {caution}"));
        }
        let n = found.cautions.len();
        if how.strict && n > 0 {
            let cautions = if n == 1 { "1 caution".to_string() } else { format!("{n} cautions") };
            return Err(Trouble::Refused(format!(
                "{name} was refused, nothing was written: {cautions} above; mend them, or leave --strict out"
            )));
        }
        let sentence = found.sentence();
        if how.dry_run {
            let mut lines = vec![format!("Would write {sentence}; nothing was written")];
            lines.extend(found.new.iter().map(|n| {
                let on = n.on.map(|d| format!(", {d}")).unwrap_or_default();
                format!("{} of {}{on}: {}", n.kind, n.animal, n.what)
            }));
            return Ok(lines);
        }
        if !found.is_empty() {
            let (what, all) = found.sure(how.word).map_err(|(e, _)| not_sure(name, &e))?;
            book.write_many(&what, all)?;
        }
        Ok(vec![format!("Wrote {sentence}")])
    })?;
    lines.iter().try_for_each(|line| out.line(line))
}

/// What the standard carries and what not, for `export --help`.
pub fn help() -> String {
    let mut text = String::from(
        "\nstandard is animal data as ICAR ADE 1.3.2 has it, JSON: one object with a collection of each resource\n\
         (icarAnimalCoreCollection, icarWeightEventCollection, ...). Times are UTC; a day alone stands at 12:00Z.\n\
         Each record carries its id, so that importing the same file again brings nothing. A fact that has no field is\n\
         kept in the last line of the remark, after 'hirsel:'. Not carried, a copy of the book keeps it:\n",
    );
    for what in NOT_CARRIED {
        text.push_str(&format!("  {what}\n"));
    }
    text
}
