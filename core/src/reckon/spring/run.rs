//! One winter by chance.

use super::chance::Seed;
use super::model::{Carrying, GROUPS, Head, Life, Model, Rates};
use crate::terms::Eaters;

/// Heads by slot and day, as changes from the day before.
struct Counts {
    days: usize,
    by: Vec<i32>,
}

impl Counts {
    fn new(slots: usize, days: usize) -> Self {
        Self { days, by: vec![0; slots * (days + 2)] }
    }

    /// One more of a slot from a day up to another, not counted.
    fn add(&mut self, slot: usize, from: i64, to: i64) {
        let end = self.days as i64 + 1;
        let (from, to) = (from.clamp(1, end), to.clamp(1, end));
        if from < to {
            let at = slot * (self.days + 2);
            self.by[at + from as usize] += 1;
            self.by[at + to as usize] -= 1;
        }
    }
}

/// What is the same in every run: those whose life is known.
pub(super) struct Ground<'a> {
    m: &'a Model,
    rates: Rates,
    /// What they need, by day.
    need: Vec<f64>,
    /// Their heads by group and day.
    heads: Vec<f64>,
    carrying: Vec<(u32, &'a Head, &'a Carrying)>,
}

/// One run.
pub(super) struct Run {
    /// Need of each day, kg, spoiled counted.
    pub need: Vec<f64>,
    /// What there is at first, kg.
    pub stock: f64,
    /// What a bale truly holds of its written weight.
    pub bale: f64,
}

/// No end within what is looked at.
const EVER: i64 = i64::MAX / 4;

impl<'a> Ground<'a> {
    pub(super) fn of(m: &'a Model) -> Self {
        let rates = Rates::of(m);
        let mut counts = Counts::new(rates.by_slot.len(), m.days);
        let mut carrying = Vec::new();
        for (i, head) in m.heads.iter().enumerate() {
            match &head.life {
                Life::Carrying(c) => carrying.push((i as u32, head, c)),
                Life::Known(steps) => {
                    let until = head.until.map_or(EVER, |u| u as i64);
                    for (n, (from, group)) in steps.iter().enumerate() {
                        let to = steps.get(n + 1).map_or(EVER, |s| s.0 as i64);
                        counts.add(Rates::slot(head.pen, *group), *from as i64, to.min(until));
                    }
                }
            }
        }
        let mut heads = vec![0.0; GROUPS * (m.days + 1)];
        let need = needs(&rates, &counts, m.days, &mut heads);
        Self { m, rates, need, heads, carrying }
    }

    /// Heads of those whose life is known, by group and day.
    pub(super) fn heads(&self) -> &[f64] {
        &self.heads
    }

    /// One winter; adds the heads of this run to `heads`.
    pub(super) fn run(&self, seed: u64, run: u32, heads: &mut [f64]) -> Run {
        let m = self.m;
        // What is off for a whole winter comes in pairs, one either way (antithetic), so that the middle is not off.
        let mut all = Seed::new(seed, run / 2, u32::MAX);
        let either = if run.is_multiple_of(2) { 1.0 } else { -1.0 };
        let bale = (1.0 + m.stock_off * either * all.normal()).max(0.05);
        let given = (1.0 + m.given_off * either * all.normal()).max(0.0);
        let spoiled = (m.spoiled.0 + m.spoiled.1 * either * all.normal()).max(0.0);
        let mut counts = Counts::new(self.rates.by_slot.len(), m.days);
        for (i, head, c) in &self.carrying {
            lambs(m, head, c, &mut Seed::new(seed, run, *i), &mut counts);
        }
        let mut need = needs(&self.rates, &counts, m.days, heads);
        for (n, known) in need.iter_mut().zip(&self.need) {
            *n = (*n + known) * given * (1.0 + spoiled);
        }
        Run { need, stock: (m.stock_kg + m.bought_kg) * bale, bale }
    }
}

/// What all slots need by day, and their heads by group.
fn needs(rates: &Rates, counts: &Counts, days: usize, heads: &mut [f64]) -> Vec<f64> {
    let mut need = vec![0.0; days + 1];
    for slot in 0..rates.by_slot.len() {
        let (mut n, at) = (0, slot * (days + 2));
        let group = (slot % GROUPS) * (days + 1);
        for day in 1..=days {
            n += counts.by[at + day];
            if n != 0 {
                need[day] += f64::from(n) * rates.each(slot, day);
                heads[group + day] += f64::from(n);
            }
        }
    }
    need
}

/// A ewe that is looked to lamb, and her lambs. Each draws the same numbers whatever comes of them.
fn lambs(m: &Model, head: &Head, c: &Carrying, by: &mut Seed, counts: &mut Counts) {
    let r = &m.raising;
    let until = head.until.map_or(EVER, |u| u as i64);
    let mut put = |group: Eaters, from: i64, to: i64| {
        counts.add(Rates::slot(head.pen, group), from, to.min(until));
    };
    let (holds, carried, within, again) = (by.share() < c.holds, by.normal(), by.share(), by.share());
    let born = by.among(&c.litter) + 1;
    // Only the time with the ram is known: somewhere in the first cycle, or a cycle later for each that failed.
    let mut served = within * c.open_days.min(r.cycle);
    if c.open_days > r.cycle && r.settle > 0.0 && r.settle < 1.0 {
        let failed = ((1.0 - again).ln() / (1.0 - r.settle).ln()).floor();
        let most = ((c.open_days - served) / r.cycle).floor().max(0.0);
        served += r.cycle * failed.min(most);
    }
    // Fed by the day she is looked for, not by the day she will lamb.
    let late = c.late_from;
    let joined = c.joined_until as i64;
    let day = ((c.usual + served + c.off * carried).round() as i64).max(1);
    // A ewe that is not in lamb is fed as one until her days are past.
    let day = if holds { day } else { ((c.usual + c.open_days + 2.0 * c.off).round() as i64 + 1).max(1) };
    put(Eaters::JoinedEwes, 0, joined.min(day));
    put(Eaters::EarlyEwes, joined, late.min(day));
    put(Eaters::LateEwes, late.max(joined), day);
    let mut ends: Vec<i64> = Vec::with_capacity(3);
    for _ in 0..3 {
        let (lost, soon, when) = (by.share() < r.lost, by.share() < r.lost_first_week, by.share());
        let age = if soon { when * when * 7.0 } else { 7.0 + when * (r.wean as f64 - 7.0) };
        ends.push(if lost { day + age.floor() as i64 } else { EVER });
    }
    ends.truncate(born);
    if !holds {
        put(Eaters::DryEwes, day, EVER);
        return;
    }
    let wean = day + r.wean;
    for end in &ends {
        put(Eaters::MilkLambs, day, (day + r.creep_from).min(*end));
        put(Eaters::CreepLambs, day + r.creep_from, wean.min(*end));
        put(Eaters::WeanedLambs, wean, *end);
    }
    // She nurses as many as live, until they are weaned or lost.
    let mut from = day;
    ends.sort_unstable();
    for (i, end) in ends.iter().enumerate() {
        let group = match ends.len() - i {
            1 => Eaters::NursingOne,
            2 => Eaters::NursingTwo,
            _ => Eaters::NursingThree,
        };
        let to = (*end).min(wean);
        put(group, from, to);
        from = to.max(from);
    }
    put(Eaters::DryEwes, from, EVER);
}
