//! Breeding values as a table, and how they are asked for.

use super::tables::{Cell, Table};
use super::{Trouble, answers::files, blood, out};
use clap::Args;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::evaluation::{
    Ask, Bounds, Estimate, Evaluation, FixedBy, Method, Model, Shares, Trait, Unfit, evaluate,
};
use hirsel_core::terms::{AnimalId, Day, Misread};

/// What is asked of breeding values.
#[derive(Debug, Args)]
pub struct Values {
    /// For evaluation: weight:60 (the age in days, 0 for birth), born or reared
    #[arg(long = "trait", value_name = "TRAIT", value_parser = of, required_if_eq("answer", "evaluation"))]
    of: Option<Trait>,
    /// For evaluation: animal, repeatability or maternal
    #[arg(long, value_name = "MODEL", value_parser = model)]
    model: Option<Model>,
    /// For evaluation: compare within these: sex, birth_type, ewe_age, group, year, parity
    #[arg(long, value_name = "WORD,…")]
    fixed: Option<String>,
    /// For evaluation: shares of the variance, such as "h2=0.3,c2=0.1": h2 heritability, c2 what stays the same beside
    /// genes (of the ewe that rears; of the animal itself in a repeatability model without pe2), m2 genes for
    /// mothering, rdm their correlation with the animal's own, pe2 what stays with the animal, l2 litter
    #[arg(long, value_name = "SHARE=N,…")]
    set: Option<String>,
}

fn of(text: &str) -> Result<Trait, String> {
    Trait::parse(text).map_err(|e| e.0)
}

fn model(text: &str) -> Result<Model, String> {
    Model::parse(text).map_err(|e| e.0)
}

impl Values {
    /// Options that go with evaluation alone but were given with something else.
    pub fn stray(&self) -> Option<&'static str> {
        let given = [
            ("--trait", self.of.is_some()),
            ("--model", self.model.is_some()),
            ("--fixed", self.fixed.is_some()),
            ("--set", self.set.is_some()),
        ];
        given.iter().find(|(_, given)| *given).map(|(name, _)| *name)
    }
}

/// Breeding values of the chosen animals, or of all in the flock. What the keeper should know beside them is said on
/// standard error when a person reads it.
pub fn evaluation(
    flock: &Flock,
    animals: Option<Vec<AnimalId>>,
    asked: &Values,
    on: Day,
) -> Result<Table, Trouble> {
    let world = |e: Misread| Trouble::World(e.0);
    let of = asked.of.ok_or_else(|| Trouble::World("evaluation needs --trait, such as weight:60".into()))?;
    let usual = if of.is_of_ewes() { Model::Repeatability } else { Model::Animal };
    let ask = Ask {
        of,
        model: asked.model.unwrap_or(usual),
        fixed: FixedBy::parse_list(asked.fixed.as_deref().unwrap_or_default()).map_err(world)?,
        shares: Shares::parse(asked.set.as_deref().unwrap_or_default()).map_err(world)?,
        on,
        bounds: Bounds::default(),
    };
    let mut told = 0;
    let found = evaluate(flock, &ask, &mut |part| {
        let tenth = (part * 10.0) as u32;
        if tenth > told {
            told = tenth;
            out::progress(&format!("{} per cent", tenth * 10));
        }
        true
    });
    let found = match found {
        Ok(found) => found,
        // The circle is told by its tags.
        Err(Unfit::Circle) => {
            return Err(blood::pedigree(flock).err().unwrap_or_else(|| refused(&Unfit::Circle)));
        }
        Err(e) => return Err(refused(&e)),
    };
    out::progress(&said(&found));
    let maternal = found.model == Model::Maternal;
    let permanent = found.animals.iter().any(|a| a.permanent.is_some());
    let rows = files(flock, animals)
        .into_iter()
        .filter_map(|f| {
            let a = found.of_animal(f.animal.id)?;
            let mut row = vec![Cell::words(f.animal.tag())];
            estimate(&mut row, Some(a.direct));
            row.push(Cell::number(a.own));
            row.push(Cell::number(a.offspring));
            row.push(a.best_quarter.map_or_else(Cell::none, |c| Cell::number(format!("{c:.3}"))));
            row.push(Cell::words(if found.exact { "exact" } else { "approximate" }));
            if maternal {
                estimate(&mut row, a.maternal);
            } else if permanent {
                estimate(&mut row, a.permanent);
            }
            Some(row)
        })
        .collect();
    let columns: &'static [&'static str] = match (maternal, permanent) {
        (true, _) => &[
            "tag",
            "value",
            "accuracy",
            "records",
            "offspring_with_records",
            "best_quarter",
            "accuracy_is",
            "mothering",
            "mothering_accuracy",
        ],
        (false, true) => &[
            "tag",
            "value",
            "accuracy",
            "records",
            "offspring_with_records",
            "best_quarter",
            "accuracy_is",
            "permanent",
            "permanent_accuracy",
        ],
        (false, false) => {
            &["tag", "value", "accuracy", "records", "offspring_with_records", "best_quarter", "accuracy_is"]
        }
    };
    Ok(Table { columns, rows })
}

fn refused(e: &Unfit) -> Trouble {
    Trouble::Refused(e.to_string())
}

fn estimate(row: &mut Vec<Cell>, e: Option<Estimate>) {
    let cell = |v: Option<f64>| v.map_or_else(Cell::none, Cell::number);
    row.push(cell(e.map(|e| e.value)));
    row.push(cell(e.map(|e| e.accuracy)));
}

/// What stands behind the values.
fn said(e: &Evaluation) -> String {
    let mut lines = vec![format!("{}, in {}: {} records", e.of.words(), e.of.unit(), e.records)];
    lines.extend(e.left_out.iter().map(|(why, n)| format!("left out: {n} {why}")));
    let variances: Vec<String> = e.variances.iter().map(|(name, v)| format!("{name} {v:.4}")).collect();
    lines.push(format!("variances: {} of {:.4}", variances.join(", "), e.phenotypic));
    if let Method::Gradients { steps, .. } = e.method {
        lines.push(format!("solved in {steps} steps"));
    }
    for f in e.fixed.iter().filter(|f| f.value.is_none()) {
        lines.push(format!("{} {}: the others are measured from it", f.factor, f.level));
    }
    lines.extend(e.notes.iter().cloned());
    lines.join("\n")
}
