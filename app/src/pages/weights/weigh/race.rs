//! The session as it runs: counts, the order of the race, what there is to look at.

use super::super::super::list::{By, List, Row, height, take_out};
use super::super::super::sections::sized;
use super::super::super::{Ctx, Intent};
use super::Now;
use super::row::capital;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{Link, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::at_scale::{
    Group, LookAt, Stand, Tally, in_last_order, look_at, next, race, race_of, tally,
};
use hirsel_core::terms::{AnimalId, ScoreKind, SessionId, counted};
use std::collections::HashSet;

/// What is shown of a session, made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct Race {
    made_for: Option<(u64, Option<SessionId>, String, Vec<AnimalId>)>,
    pub(super) rows: Vec<Stand>,
    tally: Tally,
    /// How many of the group are done.
    mine: usize,
    look: Vec<LookAt>,
    all_looks: bool,
    /// Wrongly read tags are looked for, though the flock is large.
    tags: bool,
    /// Scores that were given, each a column.
    kinds: Vec<ScoreKind>,
    list: List<(AnimalId, RecordRef)>,
    table: TableState<(AnimalId, RecordRef)>,
    /// Who is expected, in the order in which they are proposed.
    pub(super) order: Vec<AnimalId>,
    /// Who was there or will not come.
    pub(super) done: HashSet<AnimalId>,
    /// Who is still missing.
    pub(super) missing: List<AnimalId>,
    pub(super) missing_table: TableState<AnimalId>,
    pub(super) known: bool,
}

impl Race {
    /// The animal of the last row that stands.
    pub(super) fn last(&self) -> Option<AnimalId> {
        self.rows.iter().rfind(|r| !r.struck).map(|r| r.animal)
    }

    /// How many are expected, those that are away left out.
    pub(super) fn of(&self, away: usize) -> usize {
        self.order.len().saturating_sub(away)
    }

    /// Makes everything anew where the flock, the session or who is away is another; tells whether it did.
    pub(super) fn make(&mut self, ctx: &Ctx<'_>, now: &Now, away: &[AnimalId]) -> bool {
        let wanted = (ctx.flock.version(), now.id, now.group.clone(), away.to_vec());
        if self.made_for.as_ref() == Some(&wanted) {
            return false;
        }
        self.rows = now.id.map(|id| race(ctx.flock, id)).unwrap_or_default();
        let group = Group::read(ctx.flock, &now.group);
        self.known = group.is_known();
        let text = group.text();
        self.order = in_last_order(ctx.flock, group.members(ctx.flock, now.on), now.id, text.as_deref());
        self.made_for = Some(wanted);
        self.show(ctx, away);
        true
    }

    /// A row of this animal was written and nothing else: only its own file is looked into.
    pub(super) fn after(&mut self, ctx: &Ctx<'_>, now: &Now, away: &[AnimalId], came: Option<AnimalId>) {
        let wanted = (ctx.flock.version(), now.id, now.group.clone(), away.to_vec());
        let (Some(id), Some(came), Some(_)) = (now.id, came, &self.made_for) else {
            self.make(ctx, now, away);
            return;
        };
        let mut those: Vec<AnimalId> = self.rows.iter().map(|r| r.animal).chain([came]).collect();
        those.sort_unstable();
        those.dedup();
        self.rows = race_of(id, those.iter().filter_map(|id| ctx.flock.file(*id)));
        self.made_for = Some(wanted);
        self.show(ctx, away);
    }

    fn show(&mut self, ctx: &Ctx<'_>, away: &[AnimalId]) {
        self.tally = tally(&self.rows);
        let tags = self.tags || ctx.flock.len() <= SMALL;
        self.look = look_at(ctx.flock, &self.rows, ctx.units(), tags);
        self.kinds = self.rows.iter().flat_map(|r| &r.scores).map(|(_, s)| s.kind()).collect();
        self.kinds.sort_unstable();
        self.kinds.dedup();
        self.done = self.rows.iter().filter(|r| !r.struck).map(|r| r.animal).collect();
        self.mine = self.order.iter().filter(|id| self.done.contains(*id)).count();
        self.done.extend(away);
        let rows = self.rows.iter().enumerate().rev().map(|(n, r)| row(ctx, n, r, &self.kinds)).collect();
        self.list.set(rows);
        let missing = self.order.iter().filter(|id| !self.done.contains(*id));
        let missing = missing.filter_map(|id| ctx.flock.file(*id)).enumerate().map(|(n, f)| {
            let last = f.last_weight(ctx.today);
            let words = last.map(|(on, w)| format!("{}, {}", w.show(ctx.units()), on.short()));
            Row::new(f.animal.id)
                .cell(
                    Cell::text(f.animal.title()).strong(),
                    By::Number(i64::try_from(n).unwrap_or_default()),
                    f.animal.title(),
                )
                .number(words.unwrap_or_default(), last.map(|(_, w)| w.grams()))
        });
        self.missing.set(missing.collect());
    }

    /// Another of those that are missing: the one after or before.
    pub(super) fn step(&self, at: Option<AnimalId>, back: bool) -> Option<AnimalId> {
        if back {
            let order: Vec<AnimalId> = self.order.iter().rev().copied().collect();
            next(&order, &self.done, at.or_else(|| self.last()))
        } else {
            next(&self.order, &self.done, at.or_else(|| self.last()))
        }
    }
}

/// Counts, the list of the race, and what there is to look at.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, r: &mut Race, now: &Now, out: &mut Vec<Intent>) {
    figures(ui, ctx, r, now);
    if r.rows.is_empty() {
        look::faint(ui, "Nobody yet. Each animal stands here once it is written, the last one on top.");
        return;
    }
    looks(ui, ctx, r, out);
    ui.horizontal_wrapped(|ui| {
        let group = if now.group.is_empty() { String::new() } else { format!(", {}", now.group) };
        let name = phrase!("weighing {}{group}", now.on);
        let kinds = r.kinds.iter().map(|k| k.word());
        let heads = ["no", "tag", "weight", "gain_a_day", "days"].into_iter().chain(kinds);
        let heads: Vec<&str> = heads.chain(["remark", "since_birth", "what", "pen"]).collect();
        take_out(ui, &name, &heads, &r.list, &mut r.table, out);
    });
    let mut columns = vec![
        Column::new("No.", 40.0).right(),
        Column::new("Animal", 66.0).rest(),
        Column::new("Weight", 74.0).right(),
        Column::new("Gain a day", 78.0).right(),
        Column::new("Days", 46.0).right(),
    ];
    columns.extend(r.kinds.iter().map(|k| Column::new(capital(k.word()), 84.0).right()));
    columns.push(Column::new("Remark", 64.0).rest());
    sized(ui, height(r.rows.len(), 3, 14), |ui| {
        for event in RecordTable::new("Race", &columns).single().show(ui, &mut r.table, &r.list) {
            if let TableEvent::Opened((animal, record)) = event {
                out.push(Intent::Follow(Link::Record(animal, record)));
            }
        }
    });
    look::faint(ui, "Enter opens a row, to amend it or strike it out; a click on a heading sorts.");
}

fn figures(ui: &mut egui::Ui, ctx: &Ctx<'_>, r: &Race, now: &Now) {
    let t = &r.tally;
    let away = r.made_for.as_ref().map_or(0, |m| m.3.iter().filter(|a| r.order.contains(a)).count());
    let done = if now.weighs { "weighed" } else { "scored" };
    let mine = r.mine;
    let others = t.animals.saturating_sub(mine);
    let mut count = match r.known {
        true => phrase!("{mine} of {} {done}", r.of(away)),
        false => format!("{} {done}", t.animals),
    };
    if r.known && others > 0 {
        count += &phrase!(", and {others} of no such group");
    }
    look::strong(ui, count);
    let units = ctx.units();
    let parts = [
        t.weights.mean().map(|m| phrase!("mean {}", m.show(units))),
        t.least.map(|(w, id)| phrase!("least {}, {}", w.show(units), &ctx.flock.tag(id))),
        t.most.map(|(w, id)| phrase!("most {}, {}", w.show(units), &ctx.flock.tag(id))),
        t.gain.map(|(g, n)| phrase!("mean gain {} since the last time, of {n}", g.show(units))),
        (t.struck > 0).then(|| phrase!("{} struck out", t.struck)),
    ];
    let words: Vec<String> = parts.into_iter().flatten().collect();
    if !words.is_empty() {
        ui.add(egui::Label::new(words.join(" · ")).wrap());
    }
    ui.add_space(space::XS);
}

/// In a flock of no more animals wrongly read tags are looked for unasked.
const SMALL: usize = 20_000;
/// So many are said at once.
const LOOKS: usize = 3;

fn looks(ui: &mut egui::Ui, ctx: &Ctx<'_>, r: &mut Race, out: &mut Vec<Intent>) {
    if r.look.is_empty() {
        return;
    }
    look::strong(ui, phrase!("To look at: {}", counted(r.look.len(), "weight")));
    let shown = if r.all_looks { r.look.len() } else { LOOKS };
    for l in r.look.iter().take(shown) {
        ui.horizontal_wrapped(|ui| {
            if ui.small_button(phrase!("Open")).on_hover_text(crate::look::spoken(&l.words)).clicked() {
                out.push(Intent::Follow(Link::Record(l.animal, RecordRef::Weighing(l.weighing))));
            }
            look::sentence(ui, Kind::Caution, &l.words);
        });
    }
    if ctx.flock.len() > SMALL && !r.tags && ui.button(phrase!("Look for wrongly read tags")).clicked() {
        r.tags = true;
        r.made_for = None;
    }
    if r.look.len() > LOOKS {
        let word = if r.all_looks { "Show fewer" } else { "Show all" };
        r.all_looks ^= ui.button(crate::look::spoken(word)).clicked();
    }
    ui.add_space(space::S);
}

fn row(ctx: &Ctx<'_>, n: usize, s: &Stand, kinds: &[ScoreKind]) -> Row<(AnimalId, RecordRef)> {
    let units = ctx.units();
    let record = s.record();
    let cell = |text: &str| {
        if s.struck { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let weight = s.weight.map(|w| w.show(units)).unwrap_or_default();
    let gain = s.gain.map(|(g, _)| g.show(units).replace(" a day", "")).unwrap_or_default();
    let days = s.gain.map(|(_, d)| d);
    let state = match (s.struck, ctx.flock.amendments(record).is_empty()) {
        (true, _) => "struck out",
        (false, false) => "amended",
        (false, true) => "",
    };
    let note = s.note.as_deref().unwrap_or_default();
    let remark = [state, note].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(": ");
    let scores = s.score_words();
    let file = ctx.flock.file(s.animal);
    let number = (n + 1).to_string();
    let falls = s.gain.is_some_and(|(g, _)| g.0 < 0);
    let gain_cell = if falls { Cell::chip(Kind::Caution, gain.clone()) } else { cell(&gain) };
    let tag = ctx.flock.tag(s.animal);
    let since = days.map(|d| d.to_string()).unwrap_or_default();
    let said = [number.as_str(), tag, &weight, &gain, &since, &scores, &remark];
    let said: Vec<&str> = said.into_iter().filter(|t| !t.is_empty()).collect();
    let said = said.join(", ");
    let mut row = Row::new((s.animal, record))
        .said(said)
        .number(number, i64::try_from(n).ok())
        .tag(tag)
        .cell(cell(&weight), By::number(s.weight.map(|w| w.grams())), weight)
        .cell(gain_cell, By::number(s.gain.map(|(g, _)| g.0)), gain)
        .number(since, days);
    for kind in kinds {
        let score = s.scores.iter().rfind(|(_, s)| s.kind() == *kind).map(|(_, s)| s);
        let points = score.map(|s| s.to_string()).unwrap_or_default();
        row = row.number(points, score.map(|s| s.quarters().into()));
    }
    row.cell(Cell::text(remark.clone()), By::Text(remark.clone()), remark)
        .hidden(s.since_birth.map(|b| b.show(units)).unwrap_or_default())
        .hidden(file.map(|f| ctx.detail(f)).unwrap_or_default())
        .hidden(file.and_then(|f| f.animal.pen.clone()).unwrap_or_default())
}
