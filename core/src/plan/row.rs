//! The row a step of a plan is written as, and the checks of reading it.

use super::Span;
use super::check::{JOB, SHORT};
use super::step::{Anchor, DoneBy, Repeat, Step, Times, Variant, When, Whom, is_key};
use crate::handbook::{Ground, Marked};
use crate::phrase;
use crate::rules::Procedure;
use crate::terms::{Misread, Why};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    key: String,
    #[serde(rename = "for")]
    whom: Whom,
    job: String,
    short: String,
    anchor: String,
    earliest: Span,
    due: Span,
    #[serde(skip_serializing_if = "Option::is_none")]
    late: Option<Span>,
    close: Span,
    #[serde(skip_serializing_if = "Option::is_none")]
    law: Option<Procedure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    done_by: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    product: Option<String>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    off: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    caution: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<Why>,
    source: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    seen: Option<bool>,
    #[serde(default, skip_serializing_if = "When::is_empty")]
    when: When,
    #[serde(skip_serializing_if = "Option::is_none")]
    repeat: Option<RepeatRow>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    other: Vec<VariantRow>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RepeatRow {
    every: Span,
    #[serde(skip_serializing_if = "Option::is_none")]
    until: Option<String>,
    most: u16,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct VariantRow {
    name: String,
    earliest: Span,
    due: Span,
    #[serde(skip_serializing_if = "Option::is_none")]
    late: Option<Span>,
    source: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    seen: Option<bool>,
}

/// The source and mark of a ground, as a row writes them.
fn marked(ground: &Ground) -> (String, Option<bool>) {
    match ground {
        Ground::Seen(source) => (source.clone(), Some(true)),
        Ground::Memory(source) => (source.clone(), Some(false)),
        Ground::Practice => (ground.to_string(), None),
    }
}

impl From<&Step> for Row {
    fn from(s: &Step) -> Self {
        let (source, seen) = marked(&s.ground);
        Self {
            key: s.key.clone(),
            whom: s.whom,
            job: s.job.clone(),
            short: s.short.clone(),
            anchor: s.anchor.word(),
            earliest: s.times.earliest,
            due: s.times.due,
            late: s.times.late,
            close: s.times.close,
            law: s.law,
            done_by: (s.done_by != DoneBy::Tick).then(|| s.done_by.word()),
            product: s.product.clone(),
            off: s.off,
            caution: s.caution.clone(),
            why: s.why,
            source,
            seen,
            when: s.when.clone(),
            repeat: s.repeat.map(|r| RepeatRow {
                every: r.every,
                until: r.until_weaning.then(|| "weaning".into()),
                most: r.most,
            }),
            other: s
                .other
                .iter()
                .map(|v| {
                    let (source, seen) = marked(&v.ground);
                    VariantRow {
                        name: v.name.clone(),
                        earliest: v.earliest,
                        due: v.due,
                        late: v.late,
                        source,
                        seen,
                    }
                })
                .collect(),
        }
    }
}

/// Earliest, due, late and close must follow one another.
fn in_order(earliest: Span, due: Span, late: Option<Span>, close: Span) -> Result<(), Misread> {
    let late = late.unwrap_or(due);
    if earliest <= due && due <= late && late <= close {
        Ok(())
    } else {
        Err(Misread::new("earliest, due, late and close do not follow one another"))
    }
}

impl TryFrom<Row> for Step {
    type Error = Misread;

    fn try_from(row: Row) -> Result<Self, Misread> {
        if !is_key(&row.key) {
            return Err(Misread::new(phrase!(
                "'{}' is no key: small letters, figures and strokes below, at most 40",
                row.key
            )));
        }
        let named = |e: Misread| Misread::new(phrase!("step '{}': {}", row.key, e.0));
        for (what, text, most) in [("job", &row.job, JOB), ("short", &row.short, SHORT)] {
            if text.trim().is_empty() || text.chars().count() > most {
                return Err(named(Misread::new(phrase!("'{what}' needs 1 to {most} letters"))));
            }
        }
        in_order(row.earliest, row.due, row.late, row.close).map_err(named)?;
        let repeat = match row.repeat {
            None => None,
            Some(r) if r.every <= Span::ZERO || !(2..=60).contains(&r.most) => {
                return Err(named(Misread::new("'repeat' needs a span above zero and 2 to 60 times")));
            }
            Some(r) => Some(Repeat {
                every: r.every,
                until_weaning: match r.until.as_deref() {
                    None => false,
                    Some("weaning") => true,
                    Some(other) => {
                        return Err(named(Misread::new(phrase!(
                            "'until = {other}': only weaning ends it",
                            other = &other
                        ))));
                    }
                },
                most: r.most,
            }),
        };
        let ground = |source, seen| Marked::new(source, seen).ground().map_err(|e| named(Misread::new(e)));
        let other = row.other.into_iter().map(|v| {
            in_order(v.earliest, v.due, v.late, row.close).map_err(named)?;
            let ground = ground(v.source, v.seen)?;
            Ok(Variant { name: v.name, earliest: v.earliest, due: v.due, late: v.late, ground })
        });
        let other = other.collect::<Result<_, Misread>>()?;
        Ok(Self {
            whom: row.whom,
            anchor: Anchor::parse(&row.anchor).map_err(named)?,
            times: Times { earliest: row.earliest, due: row.due, late: row.late, close: row.close },
            law: row.law,
            done_by: row.done_by.as_deref().map_or(Ok(DoneBy::Tick), DoneBy::parse).map_err(named)?,
            product: row.product,
            when: row.when,
            repeat,
            off: row.off,
            caution: row.caution,
            why: row.why,
            ground: ground(row.source, row.seen)?,
            other,
            job: row.job,
            short: row.short,
            key: row.key,
        })
    }
}

impl<'de> Deserialize<'de> for Step {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let row = Row::deserialize(from)?;
        Step::try_from(row).map_err(serde::de::Error::custom)
    }
}
