//! Reads the table.

use super::{CreepStep, FeedRules, Limit, NeedRow, Target};
use crate::handbook::{Ground, Marked};
use crate::phrase;
use crate::terms::{Base, Eaters, Misread, Nutrient};
use serde::Deserialize;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    need: Option<Vec<Spanned<Need>>>,
    target: Option<Vec<Spanned<Own>>>,
    creep: Option<Vec<Spanned<Creep>>>,
    #[serde(default)]
    limit: Vec<Spanned<Bound>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Need {
    eaters: String,
    weight_kg: f64,
    lambs: Option<u8>,
    from_day: Option<i64>,
    gain_g: Option<f64>,
    #[serde(flatten)]
    figures: Daily,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Own {
    eaters: String,
    #[serde(flatten)]
    figures: Daily,
}

#[derive(Deserialize)]
struct Daily {
    dry_matter_kg: Option<f64>,
    protein_g: Option<f64>,
    energy_mj: Option<f64>,
    tdn_kg: Option<f64>,
    calcium_g: Option<f64>,
    phosphorus_g: Option<f64>,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Creep {
    from_day: i64,
    protein: f64,
    base: Option<String>,
    source: Option<String>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Bound {
    key: String,
    value: f64,
    source: Option<String>,
    seen: Option<bool>,
}

struct Reader<'a> {
    text: &'a str,
    sourced: bool,
}

impl Reader<'_> {
    fn wrong(&self, at: usize, why: impl AsRef<str>) -> Misread {
        let line = self.text.get(..at).unwrap_or(self.text).matches('\n').count() + 1;
        Misread::new(phrase!("line {line}: {}", &why.as_ref()))
    }

    fn ground(&self, source: Option<String>, seen: Option<bool>, at: usize) -> Result<Ground, Misread> {
        match source {
            None if !self.sourced => Ok(crate::reckon::keeping::own_ground()),
            source => Marked::new(source.unwrap_or_default(), seen).ground().map_err(|e| self.wrong(at, e)),
        }
    }

    fn eaters(&self, text: &str, at: usize) -> Result<Eaters, Misread> {
        Eaters::parse(text).map_err(|e| self.wrong(at, e.0))
    }

    fn figures(&self, d: &Daily, at: usize) -> Result<Vec<(Nutrient, f64)>, Misread> {
        let all = [
            (Nutrient::DryMatter, "dry_matter_kg", d.dry_matter_kg, 10.0),
            (Nutrient::Protein, "protein_g", d.protein_g, 1000.0),
            (Nutrient::Energy, "energy_mj", d.energy_mj, 100.0),
            (Nutrient::Tdn, "tdn_kg", d.tdn_kg, 8.0),
            (Nutrient::Calcium, "calcium_g", d.calcium_g, 60.0),
            (Nutrient::Phosphorus, "phosphorus_g", d.phosphorus_g, 60.0),
        ];
        let mut found = Vec::new();
        for (what, name, figure, most) in all {
            let Some(figure) = figure else { continue };
            if !(figure.is_finite() && figure > 0.0 && figure <= most) {
                return Err(self.wrong(at, phrase!("{name} is {figure}: write more than 0 and up to {most}")));
            }
            found.push((what, figure));
        }
        if found.is_empty() {
            return Err(self.wrong(at, "a row without a figure: write dry_matter_kg, protein_g, energy_mj, tdn_kg, calcium_g or phosphorus_g"));
        }
        Ok(found)
    }

    fn within(&self, name: &str, value: f64, (least, most): (f64, f64), at: usize) -> Result<f64, Misread> {
        if value.is_finite() && (least..=most).contains(&value) {
            return Ok(value);
        }
        Err(self
            .wrong(at, phrase!("{name} is {value}: write {least} to {most}", name = &name, value = &value)))
    }
}

/// Reads a text over a base; without one everything must be there, with its source.
pub(super) fn read(text: &str, base: Option<&FeedRules>) -> Result<FeedRules, Misread> {
    let r = Reader { text, sourced: base.is_none() };
    let file: File =
        toml::from_str(text).map_err(|e| r.wrong(e.span().map_or(0, |s| s.start), e.message()))?;
    let empty = FeedRules { needs: Vec::new(), targets: Vec::new(), creep: Vec::new(), limits: Vec::new() };
    let mut made = base.cloned().unwrap_or(empty);
    if let Some(rows) = file.need {
        made.needs = rows.into_iter().map(|row| need(&r, row)).collect::<Result<_, _>>()?;
    }
    if let Some(rows) = file.target {
        made.targets = Vec::new();
        for row in rows {
            let (at, row) = (row.span().start, row.into_inner());
            let eaters = r.eaters(&row.eaters, at)?;
            if made.target(eaters).is_some() {
                return Err(r.wrong(at, phrase!("{} stand twice: leave one target", eaters.words())));
            }
            let figures = r.figures(&row.figures, at)?;
            made.targets.push(Target {
                eaters,
                figures,
                ground: r.ground(row.figures.source, row.figures.seen, at)?,
            });
        }
    }
    if let Some(rows) = file.creep {
        made.creep = Vec::new();
        for row in rows {
            let (at, row) = (row.span().start, row.into_inner());
            let from_day = r.within("from_day", row.from_day as f64, (0.0, 365.0), at)? as i64;
            if made.creep.last().is_some_and(|s: &CreepStep| s.from_day >= from_day) {
                return Err(r.wrong(at, "the steps of the creep stand by age: write the youngest first"));
            }
            let protein = r.within("protein", row.protein, (8.0, 40.0), at)?;
            let base = match row.base {
                Some(text) => Base::parse(&text).map_err(|e| r.wrong(at, e.0))?,
                None => Base::AsFed,
            };
            let ground = r.ground(row.source, row.seen, at)?;
            made.creep.push(CreepStep { from_day, protein, base, ground });
        }
    }
    for row in file.limit {
        let (at, row) = (row.span().start, row.into_inner());
        let limit = Limit::parse(&row.key).ok_or_else(|| {
            let all: Vec<&str> = Limit::ALL.iter().map(|l| l.key()).collect();
            r.wrong(at, phrase!("'{}' is no bound of feeding: write {}", row.key, all.join(", ")))
        })?;
        let value = r.within(&row.key, row.value, limit.range(), at)?;
        let ground = r.ground(row.source, row.seen, at)?;
        if r.sourced && ground.is_memory() {
            return Err(
                r.wrong(at, phrase!("{ground}: a bound needs a text that was read, or common practice"))
            );
        }
        made.limits.retain(|(l, ..)| *l != limit);
        made.limits.push((limit, value, ground));
    }
    if let Some(missing) = Limit::ALL.iter().find(|l| made.row(**l).is_none()) {
        return Err(Misread::new(phrase!("{} is left out", missing.key())));
    }
    if made.limit(Limit::CopperWarn) > made.limit(Limit::CopperStop) {
        return Err(Misread::new("copper_warn is above copper_stop: warn first"));
    }
    if made.limit(Limit::Thin) >= made.limit(Limit::Fat) {
        return Err(Misread::new("thin_score is not below fat_score: mend one of them"));
    }
    Ok(made)
}

fn need(r: &Reader<'_>, row: Spanned<Need>) -> Result<NeedRow, Misread> {
    let (at, row) = (row.span().start, row.into_inner());
    Ok(NeedRow {
        eaters: r.eaters(&row.eaters, at)?,
        weight_kg: r.within("weight_kg", row.weight_kg, (2.0, 200.0), at)?,
        lambs: row.lambs,
        from_day: r.within("from_day", row.from_day.unwrap_or(0) as f64, (0.0, 365.0), at)? as i64,
        gain_g: row.gain_g,
        figures: r.figures(&row.figures, at)?,
        ground: r.ground(row.figures.source, row.figures.seen, at)?,
    })
}
