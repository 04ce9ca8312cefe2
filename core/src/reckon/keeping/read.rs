//! The settings as text: read with the line of what is wrong, written as what differs from what is shipped.

use super::criteria::Criterion;
use super::settings::{CullKind, CullRule, Fault, Never, Settings, Weighted};
use crate::handbook::{Ground, Marked};
use crate::phrase;
use crate::terms::{Misread, Weight};
use serde::Deserialize;
use toml::{Spanned, Table, Value};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    sheet: SheetRow,
    #[serde(default)]
    culling: Vec<CullRow>,
    index: Option<Value>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct SheetRow {
    rams_after_days: Option<Spanned<i64>>,
    ewes_after_days: Option<Spanned<i64>>,
    ewes_a_ram: Option<Spanned<i64>>,
    ram_seasons: Option<Spanned<i64>>,
    ewe_crops: Option<Spanned<i64>>,
    keep_rams: Option<Spanned<i64>>,
    keep_ewes: Option<Spanned<i64>>,
    target_kg: Option<Spanned<f64>>,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
    #[serde(default)]
    criterion: Vec<CriterionRow>,
    #[serde(default)]
    never: Vec<NeverRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CriterionRow {
    key: Spanned<String>,
    rams: Option<Spanned<i64>>,
    ewes: Option<Spanned<i64>>,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NeverRow {
    fault: Spanned<String>,
    from: Option<Spanned<i64>>,
    #[serde(default)]
    off: bool,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CullRow {
    key: Spanned<String>,
    limit: Option<Spanned<i64>>,
    #[serde(default)]
    off: bool,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
}

/// Weights a lamb may be wanted to reach, kilograms.
pub(super) const TARGET_KG: std::ops::RangeInclusive<f64> = 10.0..=120.0;

/// What a row of the keeper's own stands on.
pub fn keepers() -> Ground {
    Ground::Memory("the keeper".into())
}

/// Everything must be there.
pub(super) fn shipped(text: &str) -> Result<Settings, Misread> {
    let empty = Settings {
        rams_after_days: 0,
        ewes_after_days: 0,
        ewes_a_ram: 0,
        ram_seasons: 0,
        ewe_crops: 0,
        keep_rams: None,
        keep_ewes: None,
        target: None,
        ground: Ground::Practice,
        weights: Vec::new(),
        never: Vec::new(),
        culling: Vec::new(),
        other: Table::new(),
    };
    let made = read(text, &empty, true)?;
    let whole = made.weights.len() == Criterion::ALL.len()
        && made.culling.len() == CullKind::ALL.len()
        && [made.rams_after_days, made.ewes_after_days].iter().all(|n| *n > 0)
        && [made.ewes_a_ram, made.ram_seasons, made.ewe_crops].iter().all(|n| *n > 0);
    if whole { Ok(made) } else { Err(Misread::new("a row is left out")) }
}

/// What is written, over what is shipped.
pub(super) fn over(text: &str, base: &Settings) -> Result<Settings, Misread> {
    read(text, base, false)
}

struct Reader<'a> {
    text: &'a str,
    sourced: bool,
}

impl Reader<'_> {
    fn wrong(&self, at: usize, why: &str) -> Misread {
        let line = self.text.get(..at).unwrap_or(self.text).matches('\n').count() + 1;
        Misread::new(phrase!("line {line}: {why}", why = &why))
    }

    /// A number within bounds.
    fn number(&self, n: &Spanned<i64>, name: &str, (least, most): (i64, i64)) -> Result<i64, Misread> {
        let value = *n.get_ref();
        if (least..=most).contains(&value) {
            return Ok(value);
        }
        Err(self.wrong(
            n.span().start,
            &phrase!(
                "{name} is {value}: write a whole number from {least} to {most}",
                name = &name,
                value = &value
            ),
        ))
    }

    fn ground(
        &self,
        source: Option<Spanned<String>>,
        seen: Option<bool>,
        at: usize,
    ) -> Result<Ground, Misread> {
        let at = source.as_ref().map_or(at, |s| s.span().start);
        match source.map(Spanned::into_inner) {
            None if !self.sourced => Ok(keepers()),
            source => Marked::new(source.unwrap_or_default(), seen).ground().map_err(|e| self.wrong(at, &e)),
        }
    }
}

fn read(text: &str, base: &Settings, sourced: bool) -> Result<Settings, Misread> {
    let r = Reader { text, sourced };
    let file: File =
        toml::from_str(text).map_err(|e| r.wrong(e.span().map_or(0, |s| s.start), e.message()))?;
    let mut made = base.clone();
    if let Some(index) = file.index {
        made.other.insert("index".into(), index);
    }
    let sheet = file.sheet;
    let some = |n: &Option<Spanned<i64>>, name: &str, bounds| -> Result<Option<i64>, Misread> {
        n.as_ref().map(|n| r.number(n, name, bounds)).transpose()
    };
    if let Some(n) = some(&sheet.rams_after_days, "rams_after_days", (1, 365))? {
        made.rams_after_days = n;
    }
    if let Some(n) = some(&sheet.ewes_after_days, "ewes_after_days", (1, 365))? {
        made.ewes_after_days = n;
    }
    let size = |n: Option<i64>, now: usize| n.and_then(|n| usize::try_from(n).ok()).unwrap_or(now);
    made.ewes_a_ram = size(some(&sheet.ewes_a_ram, "ewes_a_ram", (1, 500))?, base.ewes_a_ram);
    made.ram_seasons = size(some(&sheet.ram_seasons, "ram_seasons", (1, 20))?, base.ram_seasons);
    made.ewe_crops = size(some(&sheet.ewe_crops, "ewe_crops", (1, 20))?, base.ewe_crops);
    let keep = |n: Option<i64>| n.and_then(|n| usize::try_from(n).ok());
    made.keep_rams = keep(some(&sheet.keep_rams, "keep_rams", (0, 10_000))?).or(base.keep_rams);
    made.keep_ewes = keep(some(&sheet.keep_ewes, "keep_ewes", (0, 100_000))?).or(base.keep_ewes);
    if let Some(kg) = &sheet.target_kg {
        let fit = Some(*kg.get_ref()).filter(|kg| TARGET_KG.contains(kg));
        let (least, most) = (TARGET_KG.start(), TARGET_KG.end());
        let why = phrase!("target_kg is {}: write kilograms from {least} to {most}", kg.get_ref());
        let grams = fit.and_then(|kg| Weight::from_grams((kg * 1000.0).round() as i64));
        made.target = Some(grams.ok_or_else(|| r.wrong(kg.span().start, &why))?);
    }
    if sourced {
        made.ground = r.ground(sheet.source, sheet.seen, 0)?;
    } else if let Some(source) = sheet.source {
        made.ground = r.ground(Some(source), sheet.seen, 0)?;
    }
    for row in sheet.criterion {
        let at = row.key.span().start;
        let criterion = Criterion::parse(row.key.get_ref()).ok_or_else(|| {
            let all: Vec<&str> = Criterion::ALL.into_iter().map(Criterion::key).collect();
            r.wrong(
                at,
                &phrase!("'{}' is nothing that is weighed: write {}", row.key.get_ref(), all.join(", ")),
            )
        })?;
        let now = made.weights.iter().position(|w| w.criterion == criterion);
        let (old_rams, old_ewes) = now.map_or((0, 0), |i| (made.weights[i].rams, made.weights[i].ewes));
        let weight = |n: &Option<Spanned<i64>>, name: &str, old: u8| -> Result<u8, Misread> {
            Ok(some(n, name, (0, 10))?.and_then(|n| u8::try_from(n).ok()).unwrap_or(old))
        };
        let rams = weight(&row.rams, "the weight for rams", old_rams)?;
        let ewes = weight(&row.ewes, "the weight for ewes", old_ewes)?;
        let new = Weighted { criterion, rams, ewes, ground: r.ground(row.source, row.seen, at)? };
        put(&mut made.weights, now, new);
    }
    for row in sheet.never {
        let at = row.fault.span().start;
        let fault = Fault::parse(row.fault.get_ref()).ok_or_else(|| {
            let name = row.fault.get_ref();
            r.wrong(at, &phrase!("'{name}' is no fault that bars: write bite, lids, type, colour or gene"))
        })?;
        let now = made.never.iter().position(|n| n.fault == fault);
        let (least, most) = fault.range();
        let from = some(&row.from, "from", (least.into(), most.into()))?.and_then(|n| u8::try_from(n).ok());
        let from = from.or_else(|| now.map(|i| made.never[i].from)).unwrap_or(most);
        let new = Never { fault, from, off: row.off, ground: r.ground(row.source, row.seen, at)? };
        put(&mut made.never, now, new);
    }
    for row in file.culling {
        let at = row.key.span().start;
        let kind = CullKind::parse(row.key.get_ref()).ok_or_else(|| {
            let all: Vec<&str> = CullKind::ALL.into_iter().map(CullKind::key).collect();
            r.wrong(at, &phrase!("'{}' is no rule of culling: write {}", row.key.get_ref(), all.join(", ")))
        })?;
        let now = made.culling.iter().position(|c| c.kind == kind);
        let (least, most) = kind.range();
        let limit =
            some(&row.limit, "limit", (least.into(), most.into()))?.and_then(|n| u32::try_from(n).ok());
        let limit = limit.or_else(|| now.map(|i| made.culling[i].limit)).unwrap_or(most);
        let new = CullRule { kind, limit, off: row.off, ground: r.ground(row.source, row.seen, at)? };
        put(&mut made.culling, now, new);
    }
    Ok(made)
}

fn put<T>(all: &mut Vec<T>, at: Option<usize>, new: T) {
    match at {
        Some(i) => all[i] = new,
        None => all.push(new),
    }
}

/// What differs from `base`, as text.
pub(super) fn text(s: &Settings, base: &Settings) -> String {
    let int = |n: usize| Value::Integer(i64::try_from(n).unwrap_or(i64::MAX));
    let mut sheet = Table::new();
    let mut differ = |name: &str, mine: usize, its: usize| {
        if mine != its {
            sheet.insert(name.into(), int(mine));
        }
    };
    let days = |n: i64| usize::try_from(n).unwrap_or_default();
    differ("rams_after_days", days(s.rams_after_days), days(base.rams_after_days));
    differ("ewes_after_days", days(s.ewes_after_days), days(base.ewes_after_days));
    differ("ewes_a_ram", s.ewes_a_ram, base.ewes_a_ram);
    differ("ram_seasons", s.ram_seasons, base.ram_seasons);
    differ("ewe_crops", s.ewe_crops, base.ewe_crops);
    for (name, keep) in [("keep_rams", s.keep_rams), ("keep_ewes", s.keep_ewes)] {
        if let Some(n) = keep {
            sheet.insert(name.into(), int(n));
        }
    }
    if let Some(w) = s.target {
        sheet.insert("target_kg".into(), Value::Float(w.kg()));
    }
    let own = |ground: &Ground, row: &mut Table| match ground {
        Ground::Seen(source) => {
            row.insert("source".into(), Value::String(source.clone()));
            row.insert("seen".into(), Value::Boolean(true));
        }
        Ground::Memory(source) if *ground != keepers() => {
            row.insert("source".into(), Value::String(source.clone()));
            row.insert("seen".into(), Value::Boolean(false));
        }
        Ground::Memory(_) | Ground::Practice => {}
    };
    let mut rows = Vec::new();
    for w in s.weights.iter().filter(|w| !base.weights.contains(w)) {
        let mut row = Table::new();
        row.insert("key".into(), Value::String(w.criterion.key().into()));
        row.insert("rams".into(), Value::Integer(w.rams.into()));
        row.insert("ewes".into(), Value::Integer(w.ewes.into()));
        own(&w.ground, &mut row);
        rows.push(Value::Table(row));
    }
    if !rows.is_empty() {
        sheet.insert("criterion".into(), Value::Array(rows));
    }
    let mut rows = Vec::new();
    for n in s.never.iter().filter(|n| !base.never.contains(n)) {
        let mut row = Table::new();
        row.insert("fault".into(), Value::String(n.fault.key().into()));
        row.insert("from".into(), Value::Integer(n.from.into()));
        if n.off {
            row.insert("off".into(), Value::Boolean(true));
        }
        own(&n.ground, &mut row);
        rows.push(Value::Table(row));
    }
    if !rows.is_empty() {
        sheet.insert("never".into(), Value::Array(rows));
    }
    let mut culling = Vec::new();
    for c in s.culling.iter().filter(|c| !base.culling.contains(c)) {
        let mut row = Table::new();
        row.insert("key".into(), Value::String(c.kind.key().into()));
        row.insert("limit".into(), Value::Integer(c.limit.into()));
        if c.off {
            row.insert("off".into(), Value::Boolean(true));
        }
        own(&c.ground, &mut row);
        culling.push(Value::Table(row));
    }
    let mut whole = s.other.clone();
    if !sheet.is_empty() {
        whole.insert("sheet".into(), Value::Table(sheet));
    }
    if !culling.is_empty() {
        whole.insert("culling".into(), Value::Array(culling));
    }
    if whole.is_empty() { String::new() } else { toml::to_string(&whole).unwrap_or_default() }
}
