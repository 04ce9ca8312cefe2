//! Marks, scans, crayons, scores and decisions as lines of text, and what an amendment makes of them.

use super::super::{Ctx, fields};
use super::record::{Found, Line, What, ram};
use hirsel_core::entry::Amended;
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::joined::return_words;
use hirsel_core::terms::{Day, MarkKind, Minute, Scanned, Score, SessionId};

/// Every mark, crayon, scan, score and decision of an animal.
pub(super) fn all(file: &AnimalFile) -> impl Iterator<Item = RecordRef> {
    let marks = file.marks.iter().map(|r| RecordRef::Mark(r.id));
    let crayons = file.crayons.iter().map(|r| RecordRef::Crayon(r.id));
    let scores = file.scores.iter().map(|r| RecordRef::Scoring(r.id));
    let decisions = file.decisions.iter().map(|r| RecordRef::Decision(r.id));
    let scans = file.scans.iter().map(|r| RecordRef::Scan(r.id));
    marks.chain(crayons).chain(scans).chain(scores).chain(decisions)
}

/// The record as it stands, written into `f`; nothing for a record of another kind.
pub(super) fn lines(ctx: &Ctx<'_>, file: &AnimalFile, record: RecordRef, mut f: Found) -> Option<Found> {
    let line = |label: &str, kind: What, text: String| Line { label: label.into(), kind, text };
    match record {
        RecordRef::Mark(id) => {
            let r = file.marks.iter().find(|r| r.id == id)?;
            f.title = "Mating";
            let ram = r.ram.map(|x| ctx.flock.tag(x).to_string()).unwrap_or_default();
            f.lines = vec![
                line("Day", What::Day, r.on.to_string()),
                line("Ram", What::RamOrNone, ram),
                line("What", What::Marked, r.kind.words().into()),
                line("Colour", What::Text, opt(&r.colour)),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.more.extend(return_words(file, r).map(|w| ("It says".into(), w)));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Scan(id) => {
            let r = file.scans.iter().find(|r| r.id == id)?;
            f.title = "Scan";
            f.lines = vec![
                line("Day", What::Day, r.on.to_string()),
                line("Found", What::Scanned, r.found.words().into()),
                line("Age of lambs", What::Age, r.age_days.map(|d| d.to_string()).unwrap_or_default()),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.more.push(("To know".into(), "a scan counts lambs seen, not lambs born".into()));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Crayon(id) => {
            let r = file.crayons.iter().find(|r| r.id == id)?;
            f.title = "Crayon";
            f.may_amend = false;
            let colour = if r.colour.is_empty() { phrase!("taken off") } else { r.colour.clone() };
            f.more.push(("From".into(), r.on.long()));
            f.more.push(("Colour".into(), colour));
            f.more.push((
                "To change it".into(),
                crate::look::said("strike it out and write it anew on the page Joinings").into_owned(),
            ));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Scoring(id) => {
            let r = file.scores.iter().find(|r| r.id == id)?;
            f.title = "Score";
            let kind = r.score.kind();
            f.lines = vec![
                line("Day", What::Day, r.at.day.to_string()),
                line("Time", What::Time, r.at.time.map(|t| t.to_string()).unwrap_or_default()),
                line("Score", What::Score(kind), r.score.to_string()),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.more.push(("Of".into(), phrase!("{}: {}", kind.word(), kind.scale())));
            f.more.extend(session(ctx, r.session));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Decision(id) => {
            let r = file.decisions.iter().find(|r| r.id == id)?;
            f.title = "Decision";
            f.may_amend = false;
            f.more.push(("Decided".into(), r.what.words().into()));
            f.more.push(("On".into(), r.on.long()));
            f.more.extend(r.reason.as_ref().map(|why| ("Because of".into(), why.into())));
            f.more.push((
                "To change it".into(),
                "decide anew on the page Keep or part, or strike it out".into(),
            ));
            f.struck.clone_from(&r.struck);
        }
        _ => return None,
    }
    Some(f)
}

/// The session at the scale a record was written in: `10 Apr 2026, ram lambs`.
pub(super) fn session(ctx: &Ctx<'_>, id: Option<SessionId>) -> Option<(String, String)> {
    let s = ctx.flock.daybook().session(id?)?;
    let group = s.group.as_ref().map(|g| format!(", {g}")).unwrap_or_default();
    let gut = s.gut.map(|g| phrase!(", {}", g.words())).unwrap_or_default();
    Some(("Session".into(), phrase!("{}{group}{gut}", s.on.words())))
}

/// The age of lambs in days.
pub(super) fn age(text: &str) -> Result<u16, String> {
    let bare = text.trim().trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
    bare.parse().map_err(|_| phrase!("'{}' is no number of days: write it like 60", text.trim()))
}

/// The record with what is typed, or which field is wrong.
pub(super) fn amended(
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    record: RecordRef,
    lines: &[Line],
) -> Result<Amended, (String, String)> {
    let gone = || ("Day".to_string(), phrase!("the record is not there any more"));
    let text = |label: &str| {
        lines.iter().find(|l| l.label == label).map(|l| l.text.trim().to_string()).unwrap_or_default()
    };
    let opt = |label: &str| fields::some(&text(label));
    let day = || Day::parse_typed(&text("Day"), ctx.today).map_err(|e| ("Day".to_string(), e.0));
    let at = |label: &'static str| move |e: String| (label.to_string(), e);
    Ok(match record {
        RecordRef::Mark(id) => {
            let mut r = file.marks.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day()?;
            r.ram = opt("Ram").map(|t| ram(ctx, &t)).transpose().map_err(at("Ram"))?;
            r.kind = MarkKind::parse(&text("What")).map_err(|e| at("What")(e.0))?;
            r.colour = opt("Colour").map(Into::into);
            r.note = opt("Note").map(Into::into);
            Amended::Mark(r)
        }
        RecordRef::Scan(id) => {
            let mut r = file.scans.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day()?;
            r.found = Scanned::parse(&text("Found")).map_err(|e| at("Found")(e.0))?;
            r.age_days = opt("Age of lambs").map(|t| age(&t)).transpose().map_err(at("Age of lambs"))?;
            r.note = opt("Note").map(Into::into);
            Amended::Scan(r)
        }
        RecordRef::Scoring(id) => {
            let mut r = file.scores.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at.day = day()?;
            r.at.time = opt("Time").map(|t| Minute::parse(&t)).transpose().map_err(|e| at("Time")(e.0))?;
            r.score = Score::parse(r.score.kind(), &text("Score")).map_err(|e| at("Score")(e.0))?;
            r.note = opt("Note").map(Into::into);
            Amended::Scoring(r)
        }
        _ => return Err(gone()),
    })
}

/// Words as they are shown; nothing for none.
fn opt(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}
