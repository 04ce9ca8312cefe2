//! Laying a pedigree out: every place gets a height, so that a known line has room and an unknown one takes none.

use super::ancestors::{Ancestry, Place, Who};
use super::descend::Child;

/// Where a box stands: its middle and its height, in the units of the heights asked for.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slot {
    /// Its middle, from the top.
    pub middle: f32,
    /// Its own height.
    pub height: f32,
}

/// Slots of all places that are shown from `root` backwards, and the height of the whole. `height` says how high a
/// box is, `gap` parts two boxes of the same or different lines. A parent stands beside its own parents, midway
/// between them.
pub fn lay(
    tree: &Ancestry,
    root: Place,
    height: impl Fn(Place) -> f32,
    gap: f32,
) -> (Vec<(Place, Slot)>, f32) {
    let shown = |p: Place| p.generation() <= tree.generations && !matches!(tree.who(p), Who::Nothing);
    // Room of each place with all behind it, from the last generation forward.
    let mut inside: Vec<Place> = Vec::new();
    let mut open = vec![root];
    while let Some(p) = open.pop() {
        if shown(p) {
            inside.push(p);
            open.extend([p.dam(), p.sire()]);
        }
    }
    let mut order = inside.clone();
    order.sort_unstable();
    let last = order.last().map_or(1, |p| p.0 as usize);
    let mut room = vec![0.0f32; (last + 1) * 2 + 2];
    for p in order.iter().rev() {
        let behind: f32 =
            [p.sire(), p.dam()].map(|q| room.get(q.0 as usize).copied().unwrap_or(0.0)).iter().sum();
        room[p.0 as usize] = behind.max(height(*p) + gap);
    }
    // From the root back, each place gets its part of the room of its offspring.
    let mut top = vec![0.0f32; room.len()];
    let mut middle = vec![0.0f32; room.len()];
    for p in &order {
        let i = p.0 as usize;
        let (sire, dam) = (p.sire().0 as usize, p.dam().0 as usize);
        let of = |n: usize| room.get(n).copied().unwrap_or(0.0);
        let spare = (room[i] - of(sire) - of(dam)).max(0.0) / 2.0;
        if sire < top.len() {
            top[sire] = top[i] + spare;
        }
        if dam < top.len() {
            top[dam] = top[i] + spare + of(sire);
        }
    }
    for p in order.iter().rev() {
        let i = p.0 as usize;
        let at = |q: Place| (shown(q) && order.binary_search(&q).is_ok()).then(|| middle[q.0 as usize]);
        let own = top[i] + room[i] / 2.0;
        let between = match (at(p.sire()), at(p.dam())) {
            (Some(a), Some(b)) => (a + b) / 2.0,
            _ => own,
        };
        // Midway between its parents, but never out of its own room.
        let half = (height(*p) + gap) / 2.0;
        middle[i] = between.clamp(top[i] + half, (top[i] + room[i] - half).max(top[i] + half));
    }
    let all = order.iter().map(|p| {
        let i = p.0 as usize;
        (*p, Slot { middle: middle[i], height: height(*p) })
    });
    (all.collect(), room.get(root.0 as usize).copied().unwrap_or(0.0))
}

/// Slots of descendants in the order of their list, and the height of the whole.
pub fn lay_progeny(all: &[Child], height: impl Fn(&Child) -> f32, gap: f32) -> (Vec<Slot>, f32) {
    let mut room = vec![0.0f32; all.len()];
    let mut behind = vec![0.0f32; all.len()];
    for i in (0..all.len()).rev() {
        room[i] = behind[i].max(height(&all[i]) + gap);
        if let Some(p) = all[i].parent {
            behind[p] += room[i];
        }
    }
    let whole: f32 = all.iter().zip(&room).filter(|(c, _)| c.parent.is_none()).map(|(_, r)| r).sum();
    let mut top = vec![0.0f32; all.len()];
    let mut next = vec![0.0f32; all.len()];
    let mut at = 0.0f32;
    for i in 0..all.len() {
        top[i] = match all[i].parent {
            None => {
                at += room[i];
                at - room[i]
            }
            Some(p) => {
                let here = top[p] + ((room[p] - behind[p]) / 2.0).max(0.0) + next[p];
                next[p] += room[i];
                here
            }
        };
    }
    let slot = |i: usize| Slot { middle: top[i] + room[i] / 2.0, height: height(&all[i]) };
    ((0..all.len()).map(slot).collect(), whole)
}
