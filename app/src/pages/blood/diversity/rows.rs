//! The rows of what is looked at, made once for each reckoning and search.

use super::bars::Bar;
use super::{Key, Look, State};
use crate::look::Kind;
use crate::pages::Ctx;
use crate::pages::list::{By, Row, fits};
use crate::parts::record_table::{Cell, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::kinship::{Diversity, Founder, Line, Side, Standing, percent};
use hirsel_core::terms::{AnimalId, counted};

/// So many bars at most.
const BARS: usize = 12;

/// A share or difference as something to sort by.
fn by(x: f64) -> By {
    By::Number((x * 1e9).round() as i64)
}

/// Who a founder or ancestor is.
pub(super) fn who(ctx: &Ctx<'_>, animal: AnimalId, unknown: Option<Side>) -> String {
    let title = ctx.flock.animal(animal).map_or_else(|| "–".into(), |a| a.title());
    match unknown {
        None => title,
        Some(Side::Sires) => phrase!("unknown sire of {title}"),
        Some(Side::Dams) => phrase!("unknown dam of {title}"),
    }
}

/// Makes the rows where they are not of this reckoning, look and search.
pub(super) fn make(ctx: &Ctx<'_>, made: &Diversity, state: &mut State) {
    let wanted = (made.version(), made.day(), state.look, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let other = state.made_for.as_ref().is_none_or(|m| m.2 != state.look);
    if other {
        state.table = match state.look {
            Look::Figures | Look::Crops => TableState::default(),
            Look::Animals | Look::Young => TableState::sorted_by(1, false),
            _ => TableState::sorted_by(1, true),
        };
        state.search.clear();
    }
    state.list.set(rows(ctx, made, state.look, &state.search));
    state.opens = opens(made, state.look);
    state.bars = bars(ctx, made, state.look);
    if other && state.look == Look::Figures {
        state.table.set_cursor(0);
    }
    state.made_for = Some((made.version(), made.day(), state.look, state.search.clone()));
}

/// The animal each row leads to, by key.
fn opens(made: &Diversity, look: Look) -> Vec<AnimalId> {
    match look {
        Look::Figures | Look::Crops => Vec::new(),
        Look::Founders => made.founders.iter().map(|f| f.animal).collect(),
        Look::Ancestors => made.ancestors.iter().map(|a| a.animal).collect(),
        Look::DamLines | Look::RamFamilies => lines(made, look).iter().map(|l| l.root).collect(),
        Look::Animals | Look::Young => made.animals.iter().map(|a| a.animal).collect(),
    }
}

fn rows(ctx: &Ctx<'_>, made: &Diversity, look: Look, search: &str) -> Vec<Row<Key>> {
    let mut rows = Vec::new();
    let mut add = |row: Row<Key>| {
        if fits(search, row.plain.iter().map(String::as_str)) {
            rows.push(row);
        }
    };
    match look {
        Look::Figures => {
            for (i, f) in made.figures.iter().enumerate() {
                let mark = if f.calls { Cell::text("⚠") } else { Cell::empty() };
                let row = Row::new(i as Key)
                    .text(f.name)
                    .cell(Cell::text(&f.shown).strong(), f.value.map_or(By::Nothing, by), &f.shown)
                    .cell(mark, By::Nothing, &f.advice)
                    .hidden(f.formula)
                    .hidden(f.source)
                    .said(phrase!("{}: {}. {}", f.name, f.shown, f.advice));
                add(row);
            }
        }
        Look::Founders => {
            for (i, f) in made.founders.iter().enumerate() {
                let row = Row::new(i as Key)
                    .tag(who(ctx, f.animal, f.unknown))
                    .cell(Cell::text(percent(f.share)), by(f.share), percent(f.share))
                    .cell(Cell::text(percent(f.kept)), by(f.kept), percent(f.kept))
                    .number(f.carriers.to_string(), Some(f.carriers as i64))
                    .said(said_founder(ctx, f));
                add(row);
            }
        }
        Look::Ancestors => {
            for (i, a) in made.ancestors.iter().enumerate() {
                let row = Row::new(i as Key)
                    .tag(who(ctx, a.animal, a.unknown))
                    .cell(Cell::text(percent(a.share)), by(a.share), percent(a.share))
                    .cell(Cell::text(percent(a.together)), by(a.together), percent(a.together));
                add(row);
            }
        }
        Look::DamLines | Look::RamFamilies => {
            for (i, l) in lines(made, look).iter().enumerate() {
                let n = l.ewes + l.rams;
                let row = Row::new(i as Key)
                    .tag(who(ctx, l.root, None))
                    .number(n.to_string(), Some(n as i64))
                    .number(l.ewes.to_string(), Some(l.ewes as i64))
                    .number(l.rams.to_string(), Some(l.rams as i64));
                add(row);
            }
        }
        Look::Crops => {
            for (i, c) in made.cohorts.iter().enumerate() {
                let depth = format!("{:.1}", c.depth);
                let row = Row::new(i as Key)
                    .number(c.year.to_string(), Some(c.year.into()))
                    .number(c.born.to_string(), Some(c.born as i64))
                    .number(c.known.to_string(), Some(c.known as i64))
                    .cell(Cell::text(percent(c.inbreeding)), by(c.inbreeding), percent(c.inbreeding))
                    .cell(Cell::text(depth.clone()), by(c.depth), depth);
                add(row);
            }
        }
        Look::Animals => {
            for (i, a) in made.animals.iter().enumerate() {
                add(animal(ctx, made, i, a));
            }
        }
        Look::Young => {
            let rare: Vec<AnimalId> = made.rare_young().iter().map(|a| a.animal).collect();
            for (i, a) in made.animals.iter().enumerate().filter(|(_, a)| a.young) {
                let mut row = animal(ctx, made, i, a);
                if rare.contains(&a.animal) {
                    row = row.cell(
                        Cell::chip(Kind::Good, "rare blood: keep"),
                        By::Text("a".into()),
                        "rare blood",
                    );
                } else {
                    row = row.cell(Cell::empty(), By::Nothing, "");
                }
                add(row);
            }
        }
    }
    rows
}

fn lines(made: &Diversity, look: Look) -> &[Line] {
    if look == Look::DamLines { &made.dam_lines } else { &made.ram_families }
}

fn animal(ctx: &Ctx<'_>, made: &Diversity, i: usize, a: &Standing) -> Row<Key> {
    let file = ctx.flock.file(a.animal);
    let what = file.map(|f| crate::pages::detail(f, ctx.today)).unwrap_or_default();
    let rarest = a
        .rarest
        .and_then(|r| made.founders.get(r as usize))
        .map_or_else(String::new, |f| phrase!("{} ({} carry it)", who(ctx, f.animal, f.unknown), f.carriers));
    // Three figures: one animal of many moves the whole by little.
    let loss = format!("{:+.3}", a.loss + 0.0);
    Row::new(i as Key)
        .tag(who(ctx, a.animal, None))
        .cell(Cell::text(percent(a.kinship)), by(a.kinship), percent(a.kinship))
        .cell(Cell::text(percent(a.inbreeding)), by(a.inbreeding), percent(a.inbreeding))
        .cell(Cell::text(loss.clone()), by(a.loss), loss)
        .text(rarest)
        .text(what)
}

fn said_founder(ctx: &Ctx<'_>, f: &Founder) -> String {
    phrase!(
        "{}: {} of the blood, {} of its genes still here, carried by {}",
        who(ctx, f.animal, f.unknown),
        percent(f.share),
        percent(f.kept),
        counted(f.carriers, "animal")
    )
}

fn bars(ctx: &Ctx<'_>, made: &Diversity, look: Look) -> Vec<Bar> {
    match look {
        Look::Founders => {
            let bar = |f: &Founder| Bar {
                name: who(ctx, f.animal, f.unknown),
                length: f.share,
                filled: f.kept,
                figures: phrase!("{}, {} carry it", percent(f.share), f.carriers),
                said: said_founder(ctx, f),
            };
            made.founders.iter().take(BARS).map(bar).collect()
        }
        Look::Ancestors => made
            .ancestors
            .iter()
            .take(BARS)
            .map(|a| {
                let name = who(ctx, a.animal, a.unknown);
                let figures = percent(a.share);
                let said = phrase!("{name} explains {figures}");
                Bar { name, length: a.share, filled: 1.0, figures, said }
            })
            .collect(),
        Look::DamLines | Look::RamFamilies => lines(made, look)
            .iter()
            .take(BARS)
            .map(|l| {
                let n = l.ewes + l.rams;
                let name = who(ctx, l.root, None);
                let bearers = if look == Look::DamLines { l.ewes } else { l.rams };
                let figures = match look {
                    Look::DamLines => phrase!("{n}, {} among them", counted(bearers, "ewe")),
                    _ => phrase!("{n}, {} among them", counted(bearers, "ram")),
                };
                let said = phrase!("Line of {name}: {figures}");
                Bar { name, length: n as f64, filled: bearers as f64 / n.max(1) as f64, figures, said }
            })
            .collect(),
        Look::Crops => {
            let last = made.cohorts.iter().rev().take(BARS).rev();
            last.map(|c| {
                let figures = percent(c.inbreeding);
                let said = phrase!("Born {}: {figures} inbred in the mean", c.year);
                Bar { name: c.year.to_string(), length: c.inbreeding, filled: 1.0, figures, said }
            })
            .collect()
        }
        Look::Figures | Look::Animals | Look::Young => Vec::new(),
    }
}
