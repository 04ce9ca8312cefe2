//! What is made once for a version of the flock and a filter; rows are made when they are first looked at.

use super::super::Ctx;
use hirsel_core::phrase;
use hirsel_core::reckon::season::{Filter, Line, Picked, Roll, Row, say};
use hirsel_core::terms::{AnimalId, Day};
use std::collections::HashMap;
use std::rc::Rc;

/// What everything hangs on: the flock, the day, and whether its jobs are known.
type For = (u64, Day, Option<u64>);

/// So many rows are kept; past that all are made anew as they are looked at.
const KEPT: usize = 3_000;

/// The parts made so far.
#[derive(Debug, Default)]
pub(super) struct Cache {
    made_for: Option<For>,
    roll: Option<(u64, Day, Rc<Roll>)>,
    picked: Option<(Filter, Rc<Picked>)>,
    lines: HashMap<AnimalId, Rc<Line>>,
    said: Option<((AnimalId, usize), String)>,
}

impl Cache {
    /// Throws away what was made for another flock.
    pub(super) fn refresh(&mut self, ctx: &Ctx<'_>) {
        let now = (ctx.flock.version(), ctx.today, ctx.board.map(|b| b.version()));
        if self.made_for == Some(now) {
            return;
        }
        self.made_for = Some(now);
        self.picked = None;
        self.lines.clear();
        self.said = None;
    }

    /// Every animal in barn order.
    pub(super) fn roll(&mut self, ctx: &Ctx<'_>) -> Rc<Roll> {
        let now = (ctx.flock.version(), ctx.today);
        match &self.roll {
            Some((version, day, roll)) if (*version, *day) == now => Rc::clone(roll),
            _ => {
                let roll = Rc::new(Roll::of(ctx.flock, ctx.today));
                self.roll = Some((now.0, now.1, Rc::clone(&roll)));
                roll
            }
        }
    }

    /// The rows a filter keeps.
    pub(super) fn picked(&mut self, ctx: &Ctx<'_>, filter: &Filter) -> Rc<Picked> {
        if let Some((f, picked)) = &self.picked
            && f == filter
        {
            return Rc::clone(picked);
        }
        let picked = Rc::new(self.roll(ctx).pick(ctx.flock, ctx.board, ctx.today, filter));
        self.picked = Some((filter.clone(), Rc::clone(&picked)));
        picked
    }

    /// The events of one animal.
    pub(super) fn line(&mut self, ctx: &Ctx<'_>, id: AnimalId) -> Rc<Line> {
        if let Some(line) = self.lines.get(&id) {
            return Rc::clone(line);
        }
        if self.lines.len() > KEPT {
            self.lines.clear();
        }
        let ground = ctx.board.map(|b| b.ground());
        let line =
            ctx.flock.file(id).map_or_else(Line::default, |f| Line::of(ctx.flock, f, ctx.today, ground));
        let line = Rc::new(line);
        self.lines.insert(id, Rc::clone(&line));
        line
    }

    /// One event in a sentence, after the animal's tag.
    pub(super) fn said(&mut self, ctx: &Ctx<'_>, id: AnimalId, at: usize) -> String {
        if let Some((of, said)) = &self.said
            && *of == (id, at)
        {
            return said.clone();
        }
        let line = self.line(ctx, id);
        let said = match (ctx.flock.file(id), line.events.get(at)) {
            (Some(f), Some(e)) => phrase!("{}, {}", f.animal.title(), say(ctx.flock, f, &line, e, ctx.today)),
            _ => String::new(),
        };
        self.said = Some(((id, at), said.clone()));
        said
    }
}

/// The place of an animal among the rows, tried first where it was.
pub(super) fn place(rows: &[Row], animal: AnimalId, guess: usize) -> Option<usize> {
    let is = |r: &Row| *r == Row::Animal(animal);
    if rows.get(guess).is_some_and(is) { Some(guess) } else { rows.iter().position(is) }
}
