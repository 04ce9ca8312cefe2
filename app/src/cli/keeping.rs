//! Who may be kept and who may leave, as tables.

use super::Trouble;
use super::tables::{Cell, Table};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::keeping::Keeping;
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::terms::{AnimalId, Day, ScoreKind, Sex};

fn made(flock: &Flock, on: Day) -> Result<Keeping, Trouble> {
    let k = Keeping::whole(flock, &Kindred::of(flock), None, on, &mut |_| true);
    match &k.amiss {
        Some(amiss) => Err(Trouble::Refused(format!("the settings of keeping cannot be read: {amiss}"))),
        None => Ok(k),
    }
}

fn figure(value: Option<f64>) -> Cell {
    value.map_or_else(Cell::none, Cell::number)
}

/// Lambs of the last season that has any, rams before ewes, each sex in the keeper's order.
pub fn keep(flock: &Flock, animals: Option<&[AnimalId]>, on: Day) -> Result<Table, Trouble> {
    let k = made(flock, on)?;
    let mut rows = Vec::new();
    for sex in [Sex::Ram, Sex::Ewe] {
        for p in k.ordered(sex) {
            let Some(c) = k.lambs(sex).get(p.at) else { continue };
            if animals.is_some_and(|these| !these.contains(&c.animal)) {
                continue;
            }
            let dam = c.dam.as_deref();
            rows.push(vec![
                Cell::words(c.tag.as_str()),
                Cell::words(sex.words()),
                Cell::number(p.place),
                Cell::number(format!("{:.3}", p.total + 0.0)),
                Cell::words(p.proposed.words()),
                Cell::words(c.decided.as_ref().map_or("", |d| d.what.word())),
                c.born_with.map_or_else(Cell::none, Cell::number),
                c.ratio
                    .as_ref()
                    .and_then(|r| r.percent)
                    .map_or_else(Cell::none, |r| Cell::number(format!("{r:.1}"))),
                Cell::words(dam.map_or("", |d| d.title.as_str())),
                dam.map_or_else(Cell::none, |d| Cell::number(d.reared)),
                dam.and_then(|d| d.milk).map_or_else(Cell::none, |m| Cell::number(format!("{:.0}", m.0))),
                figure(c.value.map(|v| v.0)),
                figure(c.value.map(|v| v.1)),
                figure(c.inbreeding),
                figure(c.kinship.map(|x| x.0)),
                Cell::words(c.score_words(&[ScoreKind::Bite, ScoreKind::Lids])),
                Cell::words(c.never.join("; ")),
            ]);
        }
    }
    Ok(Table {
        columns: &[
            "tag",
            "sex",
            "place",
            "total",
            "proposed",
            "decided",
            "born_with",
            "weight_ratio",
            "dam",
            "dam_reared",
            "dam_milk_g",
            "value",
            "accuracy",
            "inbreeding",
            "kinship",
            "faults",
            "never",
        ],
        rows,
    })
}

/// Ewes that a rule names, most reasons first.
pub fn cull(flock: &Flock, animals: Option<&[AnimalId]>, on: Day) -> Result<Table, Trouble> {
    let k = made(flock, on)?;
    let row = |c: &hirsel_core::reckon::keeping::Cull| {
        vec![
            Cell::words(c.tag.as_str()),
            Cell::words(c.reasons()),
            c.dam.years.map_or_else(Cell::none, Cell::number),
            Cell::number(c.dam.lambings),
            Cell::number(c.dam.reared),
            c.milk_place.map_or_else(Cell::none, |p| Cell::number(p.0)),
            figure(c.blood.map(|b| b.kinship)),
            figure(c.blood.map(|b| b.diversity)),
            Cell::number(c.daughters),
            Cell::words(c.decided.as_ref().map_or("", |d| d.what.word())),
        ]
    };
    let mine = k.culls.iter().filter(|c| animals.is_none_or(|these| these.contains(&c.animal)));
    Ok(Table {
        columns: &[
            "tag",
            "why",
            "years",
            "lambings",
            "reared",
            "milk_place",
            "mean_kinship",
            "diversity_change",
            "daughters",
            "decided",
        ],
        rows: mine.map(row).collect(),
    })
}
