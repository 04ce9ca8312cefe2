//! The set of pairs in hand, with what was changed by hand.

use super::super::super::Ctx;
use super::super::super::list::{By, List, Row};
use crate::desk::pairs::Found;
use crate::look::Kind;
use crate::parts::record_table::{Cell, TableState};
use hirsel_core::flock::{Flock, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{Alternative, InTheWay, NoPairs, Pairs, Totals, percent};
use hirsel_core::terms::AnimalId;
use std::sync::Arc;

/// The set and the list it is shown by.
pub(super) struct Set {
    number: u64,
    pub version: u64,
    pub pairs: Pairs,
    /// The set as it was proposed.
    proposed: Pairs,
    /// What the proposal came to, before changes by hand.
    pub before: Totals,
    pub totals: Totals,
    pub amiss: Vec<InTheWay>,
    pub list: List<AnimalId>,
    pub table: TableState<AnimalId>,
    /// Grows with every change.
    pub change: u64,
}

pub(super) const HEADS: [&str; 6] =
    ["ram", "ewe", "inbreeding_of_lamb", "why", "second_ram", "second_inbreeding"];

impl Set {
    /// The set of this answer, with what was changed since.
    pub fn keep<'a>(kept: &'a mut Option<Self>, ctx: &Ctx<'_>, found: &Arc<Found>) -> &'a mut Self {
        if kept.as_ref().is_some_and(|s| s.number != found.number) {
            *kept = None;
        }
        kept.get_or_insert_with(|| {
            let totals = found.pairs.totals();
            let mut set = Self {
                number: found.number,
                version: found.version,
                pairs: found.pairs.clone(),
                proposed: found.pairs.clone(),
                before: totals.clone(),
                totals,
                amiss: Vec::new(),
                list: List::default(),
                table: TableState::sorted_by(0, false),
                change: 0,
            };
            set.tell(ctx.flock);
            if let Some(first) = set.list.rows.first() {
                set.table.set_cursor(first.key);
            }
            set
        })
    }

    /// Another set in its place.
    pub fn become_(&mut self, flock: &Flock, pairs: Pairs) {
        self.pairs = pairs;
        self.totals = self.pairs.totals();
        self.tell(flock);
    }

    /// One of the next best sets, with what moves in it kept.
    pub fn take(&mut self, flock: &Flock, other: &Alternative) {
        let mut pairs = self.proposed.clone();
        for m in &other.moved {
            pairs = pairs.move_alone(m.ewe, m.to).unwrap_or(pairs);
        }
        self.become_(flock, pairs);
    }

    fn tell(&mut self, flock: &Flock) {
        self.change += 1;
        self.amiss = self.pairs.amiss(flock);
        let mut told: Vec<_> = self.pairs.ewes().iter().filter_map(|e| self.pairs.told(flock, *e)).collect();
        told.sort_by(|a, b| {
            natural(flock.tag(a.ram), flock.tag(b.ram)).then(natural(flock.tag(a.ewe), flock.tag(b.ewe)))
        });
        let rows = told.iter().map(|t| {
            let f = t.terms.coancestry;
            let second = t.others.iter().find(|o| o.bar.is_none());
            let (ram, ewe) = (flock.tag(t.ram), flock.animal(t.ewe).map_or_else(String::new, |a| a.title()));
            let why = if t.kept {
                Cell::chip(Kind::Accent, t.reason.clone())
            } else {
                Cell::text(t.reason.clone()).faint()
            };
            Row::new(t.ewe)
                .tag(ram)
                .text(ewe.to_string())
                .number(percent(f), Some((f * 1e9) as i64))
                .cell(why, By::Text(t.reason.clone()), t.reason.as_str())
                .hidden(second.map_or("", |o| flock.tag(o.ram)))
                .hidden(second.map_or_else(String::new, |o| percent(o.coancestry)))
                .said(phrase!(
                    "{ewe} with {ram}, {} inbred, {}",
                    percent(f),
                    t.reason,
                    ewe = &ewe,
                    ram = &ram
                ))
        });
        self.list.set(rows.collect());
    }

    /// Gives a ewe another ram; the others settled anew, or left as they are.
    pub fn give(
        &mut self,
        flock: &Flock,
        ewe: AnimalId,
        ram: AnimalId,
        settle: bool,
    ) -> Result<String, NoPairs> {
        let was = self.pairs.clone();
        let kept = was.kept().iter().any(|k| k.0 == ewe);
        let new = match settle {
            true if kept => was.free(flock, ewe)?.force(flock, ewe, ram)?,
            true => was.force(flock, ewe, ram)?,
            false => was.move_alone(ewe, ram).ok_or(NoPairs::Nobody("ram"))?,
        };
        let moved = new.pairs().zip(was.pairs()).filter(|(a, b)| a.ram != b.ram).count();
        let before = self.totals.mean;
        self.become_(flock, new);
        let others = match moved.saturating_sub(1) {
            0 => phrase!("nobody else moves"),
            1 => phrase!("one other ewe moves"),
            n => phrase!("{n} other ewes move"),
        };
        let (a, b) = (percent(before), percent(self.totals.mean));
        Ok(phrase!(
            "{} with {}: {others}; lambs {a} inbred on the mean before, {b} now",
            &flock.tag(ewe),
            &flock.tag(ram)
        ))
    }
}
