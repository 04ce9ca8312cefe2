//! Inbreeding of every animal: F = coancestry of its parents (Wright 1922), by sires.
//!
//! For each sire s, row s of A = T·D·Tᵀ is reckoned over the ancestors of s and of his mates only (after Colleau 2002,
//! An indirect approach to the extensive calculation of relationship coefficients, Genet. Sel. Evol. 34): up,
//! v = Tᵀ·e_s; down, w = T·(D·v). A lamb of s and d has F = w(d)/2. Sires of one level know all they need from the
//! levels before, so they are shared among threads; where a sire's ancestors are nearly all animals, eight sires are
//! swept at once.

use super::pedigree::{NONE, Pedigree};
use std::thread;

/// Sires swept together.
const LANES: usize = 8;
/// Fewer sires of a level than this are not worth a thread.
const WORTH_THREADS: usize = 8;

/// D of an animal: the part of its relationship to itself that no parent explains, from the parents' inbreeding
/// (Henderson 1976; Quaas 1976).
pub fn within(parents: [u32; 2], f: &[f64]) -> f64 {
    let part = |p: u32| if p == NONE { 0.0 } else { 0.25 * (1.0 + f[p as usize]) };
    1.0 - part(parents[0]) - part(parents[1])
}

/// Inbreeding of every animal by place.
pub fn inbreeding(pedigree: &Pedigree, threads: usize) -> Vec<f64> {
    let all = pedigree.parents();
    let only = Parents::of(all);
    let mut d = vec![1.0; only.parents.len()];
    let mut of_pair = vec![0.0; only.mates.len()];
    let mut f_parent = vec![0.0; only.parents.len()];
    let mut rooms: Vec<Room> = Vec::new();
    for level in &only.levels {
        // Everything a sire of this level needs of his ancestors is known now.
        for p in &level.animals {
            let pair = only.pair_of[*p as usize];
            f_parent[*p as usize] = if pair == NONE { 0.0 } else { of_pair[pair as usize] };
        }
        for p in &level.animals {
            d[*p as usize] = within(only.parents[*p as usize], &f_parent);
        }
        let share = if level.sires.len() < WORTH_THREADS { 1 } else { threads.max(1) };
        let size = level.sires.len().div_ceil(share).max(1);
        let chunks: Vec<&[u32]> = level.sires.chunks(size).collect();
        rooms.resize_with(rooms.len().max(chunks.len()), Room::default);
        let work = |sires: &[u32], room: &mut Room| room.level(&only, &d, sires);
        match chunks.as_slice() {
            [] => {}
            [one] => work(one, &mut rooms[0]),
            many => thread::scope(|scope| {
                for (sires, room) in many.iter().zip(&mut rooms) {
                    scope.spawn(|| work(sires, room));
                }
            }),
        }
        for room in &mut rooms {
            for (pair, f) in room.found.drain(..) {
                of_pair[pair as usize] = f;
            }
        }
    }
    all.iter()
        .enumerate()
        .map(|(i, _)| match only.pair_of_animal[i] {
            NONE => 0.0,
            pair => of_pair[pair as usize],
        })
        .collect()
}

/// The animals that became parents, renumbered among themselves, and their matings.
struct Parents {
    /// Sire and dam, renumbered.
    parents: Vec<[u32; 2]>,
    /// The mating each parent was born of, or [`NONE`].
    pair_of: Vec<u32>,
    /// The same for every animal of the pedigree.
    pair_of_animal: Vec<u32>,
    /// Dams of the matings; those of one sire stand together.
    mates: Vec<u32>,
    /// First mating of each parent as sire; one more at the end.
    first: Vec<u32>,
    levels: Vec<Level>,
}

#[derive(Default)]
struct Level {
    animals: Vec<u32>,
    sires: Vec<u32>,
}

impl Parents {
    fn of(all: &[[u32; 2]]) -> Self {
        let mut number = vec![NONE; all.len()];
        for p in all.iter().flatten().filter(|p| **p != NONE) {
            number[*p as usize] = 0;
        }
        let mut n = 0;
        for slot in number.iter_mut().filter(|s| **s == 0) {
            *slot = n;
            n += 1;
        }
        let short = |p: u32| if p == NONE { NONE } else { number[p as usize] };
        let parents: Vec<[u32; 2]> = all
            .iter()
            .zip(&number)
            .filter(|(_, n)| **n != NONE)
            .map(|([s, d], _)| [short(*s), short(*d)])
            .collect();
        // Matings by sire: counted, placed, and those of one dam made one.
        let mut first = vec![0u32; n as usize + 1];
        let both = |p: &[u32; 2]| p[0] != NONE && p[1] != NONE;
        for [s, _] in all.iter().filter(|p| both(p)) {
            first[short(*s) as usize + 1] += 1;
        }
        for i in 1..first.len() {
            first[i] += first[i - 1];
        }
        let mut next = first.clone();
        let mut mates = vec![0u32; first.last().copied().unwrap_or(0) as usize];
        for [s, d] in all.iter().filter(|p| both(p)) {
            let s = short(*s) as usize;
            mates[next[s] as usize] = short(*d);
            next[s] += 1;
        }
        let (mut kept, mut starts) = (Vec::with_capacity(mates.len()), Vec::with_capacity(first.len()));
        for w in first.windows(2) {
            starts.push(kept.len() as u32);
            let of = &mut mates[w[0] as usize..w[1] as usize];
            of.sort_unstable();
            for d in of {
                if kept.len() as u32 == starts[starts.len() - 1] || kept.last() != Some(d) {
                    kept.push(*d);
                }
            }
        }
        starts.push(kept.len() as u32);
        let pair = |p: &[u32; 2]| {
            if !both(p) {
                return NONE;
            }
            let (s, d) = (short(p[0]) as usize, short(p[1]));
            let from = starts[s] as usize;
            match kept[from..starts[s + 1] as usize].binary_search(&d) {
                Ok(i) => (from + i) as u32,
                Err(_) => NONE,
            }
        };
        let pair_of_animal: Vec<u32> = all.iter().map(pair).collect();
        let pair_of =
            number.iter().zip(&pair_of_animal).filter(|(n, _)| **n != NONE).map(|(_, p)| *p).collect();
        let levels = levels(&parents, &starts);
        Self { parents, pair_of, pair_of_animal, mates: kept, first: starts, levels }
    }

    fn mates_of(&self, sire: u32) -> impl Iterator<Item = (u32, u32)> {
        let range = self.first[sire as usize]..self.first[sire as usize + 1];
        range.map(|pair| (pair, self.mates[pair as usize]))
    }
}

/// Parents by level, one more than the larger of their parents' levels.
fn levels(parents: &[[u32; 2]], first: &[u32]) -> Vec<Level> {
    let mut level = vec![0u32; parents.len()];
    let mut all: Vec<Level> = Vec::new();
    for (i, p) in parents.iter().enumerate() {
        let above = p.iter().filter(|p| **p != NONE).map(|p| level[*p as usize] + 1).max().unwrap_or(0);
        level[i] = above;
        if all.len() <= above as usize {
            all.resize_with(above as usize + 1, Level::default);
        }
        let here = &mut all[above as usize];
        here.animals.push(i as u32);
        if first[i + 1] > first[i] {
            here.sires.push(i as u32);
        }
    }
    all
}

/// A thread's own room to work in.
#[derive(Default)]
struct Room {
    stamp: Vec<u32>,
    now: u32,
    w: Vec<f64>,
    list: Vec<u32>,
    stack: Vec<u32>,
    lanes: Vec<[f64; LANES]>,
    found: Vec<(u32, f64)>,
}

/// Marks a place on the stack whose parents are done.
const DONE: u32 = 1 << 31;

impl Room {
    fn level(&mut self, only: &Parents, d: &[f64], sires: &[u32]) {
        let n = only.parents.len();
        if self.stamp.len() < n {
            self.stamp.resize(n, 0);
            self.w.resize(n, 0.0);
        }
        let mut rest = sires;
        while let Some((one, others)) = rest.split_first() {
            let seen = self.one(only, d, *one);
            rest = others;
            // Sweeping eight sires costs about what one by one costs, where these see an eighth of it.
            let group = rest.len().min(LANES);
            let top = rest[..group].iter().map(|s| self.top(only, *s)).max().unwrap_or(0) as usize;
            if group > 2 && seen * group > top {
                let mut many = rest;
                while !many.is_empty() {
                    let (now, later) = many.split_at(many.len().min(LANES));
                    self.together(only, d, now);
                    many = later;
                }
                return;
            }
        }
    }

    /// One more than the youngest animal a sire's matings touch.
    fn top(&self, only: &Parents, sire: u32) -> u32 {
        only.mates_of(sire).map(|(_, d)| d).chain([sire]).max().unwrap_or(0) + 1
    }

    /// Puts the ancestors of `from` that are not stamped yet after `list`, ancestors first, itself last.
    fn ancestors(&mut self, only: &Parents, from: u32, mut emit: impl FnMut(&mut Vec<f64>, u32)) {
        self.stack.push(from);
        while let Some(at) = self.stack.pop() {
            let i = at & !DONE;
            if at & DONE == 0 {
                // Stamped when it is opened, not when it is pushed: a parent pushed by another may still be waiting.
                if self.stamp[i as usize] == self.now {
                    continue;
                }
                self.stamp[i as usize] = self.now;
                self.stack.push(i | DONE);
                for p in only.parents[i as usize] {
                    if p != NONE && self.stamp[p as usize] != self.now {
                        self.stack.push(p);
                    }
                }
            } else {
                self.list.push(i);
                emit(&mut self.w, i);
            }
        }
    }

    /// One sire over his ancestors and his mates' alone; how many animals that were.
    fn one(&mut self, only: &Parents, d: &[f64], sire: u32) -> usize {
        self.now += 1;
        self.list.clear();
        self.ancestors(only, sire, |w, i| w[i as usize] = 0.0);
        self.w[sire as usize] = 1.0;
        up(&only.parents, &self.list, &mut self.w);
        for i in 0..self.list.len() {
            let i = self.list[i] as usize;
            self.w[i] = d[i] * self.w[i] + half(only.parents[i], &self.w);
        }
        for (pair, dam) in only.mates_of(sire) {
            if self.stamp[dam as usize] != self.now {
                self.ancestors(only, dam, |w, i| w[i as usize] = half(only.parents[i as usize], w));
            }
            self.found.push((pair, 0.5 * self.w[dam as usize]));
        }
        self.list.len()
    }

    /// Up to eight sires over everything older than their youngest mate.
    fn together(&mut self, only: &Parents, d: &[f64], sires: &[u32]) {
        let top = sires.iter().map(|s| self.top(only, *s)).max().unwrap_or(0) as usize;
        let young = sires.iter().copied().max().unwrap_or(0) as usize;
        self.lanes.clear();
        self.lanes.resize(top, [0.0; LANES]);
        let w = &mut self.lanes;
        for (lane, s) in sires.iter().enumerate() {
            w[*s as usize][lane] = 1.0;
        }
        for i in (0..=young).rev() {
            let here = w[i].map(|x| x * 0.5);
            for p in only.parents[i] {
                if p != NONE {
                    w[p as usize].iter_mut().zip(here).for_each(|(w, h)| *w += h);
                }
            }
        }
        for i in 0..top {
            let mut here = if i <= young { w[i].map(|x| x * d[i]) } else { [0.0; LANES] };
            for p in only.parents[i] {
                if p != NONE {
                    here.iter_mut().zip(w[p as usize]).for_each(|(h, w)| *h += 0.5 * w);
                }
            }
            w[i] = here;
        }
        for (lane, s) in sires.iter().enumerate() {
            for (pair, dam) in only.mates_of(*s) {
                self.found.push((pair, 0.5 * self.lanes[dam as usize][lane]));
            }
        }
    }
}

/// v = Tᵀ·x over a list of animals, ancestors first: each gives half of its own to each parent.
fn up(parents: &[[u32; 2]], list: &[u32], v: &mut [f64]) {
    for i in list.iter().rev() {
        let half = 0.5 * v[*i as usize];
        for p in parents[*i as usize] {
            if p != NONE {
                v[p as usize] += half;
            }
        }
    }
}

/// Half of both parents' values.
fn half(parents: [u32; 2], w: &[f64]) -> f64 {
    // The sum of nothing is -0.
    0.0 + parents.iter().filter(|p| **p != NONE).map(|p| 0.5 * w[*p as usize]).sum::<f64>()
}
