//! Circles: animals that are their own ancestors. Found as strongly connected sets (Tarjan 1972), without recursion.

use super::{DoubtKind, Found, parents_of};
use crate::flock::{AnimalFile, Flock, Link};
use crate::phrase;
use crate::terms::AnimalId;
use rapidhash::{RapidHashMap, RapidHashSet};
use std::collections::VecDeque;

/// So many animals of a circle are named in its sentence.
const NAMED: usize = 8;
const UNSEEN: u32 = u32::MAX;

pub(super) fn look(files: &[&AnimalFile], found: &mut Found<'_>) {
    let at: RapidHashMap<AnimalId, u32> = files.iter().zip(0..).map(|(f, i)| (f.animal.id, i)).collect();
    // Parents of each, one list after another.
    let (mut first, mut up) = (Vec::with_capacity(files.len() + 1), Vec::with_capacity(files.len() * 2));
    for (i, f) in files.iter().enumerate() {
        first.push(up.len() as u32);
        let mut own: Option<&str> = None;
        for (part, id) in parents_of(&f.animal) {
            match at.get(&id) {
                Some(p) if *p as usize == i => own = Some(part),
                Some(p) => up.push(*p),
                None => {}
            }
        }
        if let Some(part) = own {
            let id = f.animal.id;
            found.add(DoubtKind::OwnParent, |flock| {
                let tag = flock.tag(id);
                let words = phrase!(
                    "{tag} stands as its own {part}: open it and choose another {part}, or none",
                    tag = &tag
                );
                (vec![id], words, Link::Animal(id))
            });
        }
    }
    first.push(up.len() as u32);
    let parents = |i: u32| &up[first[i as usize] as usize..first[i as usize + 1] as usize];
    for set in sets(files.len(), &parents) {
        let circle: Vec<AnimalId> =
            shortest(&set, &parents).into_iter().map(|i| files[i as usize].animal.id).collect();
        found.add(DoubtKind::Circle, |flock| {
            let words = sentence(flock, &circle);
            let link = circle.first().map_or(Link::Holding, |id| Link::Animal(*id));
            (circle, words, link)
        });
    }
}

fn sentence(flock: &Flock, circle: &[AnimalId]) -> String {
    let named: Vec<&str> = circle.iter().take(NAMED).map(|id| flock.tag(*id)).collect();
    let start = named.first().copied().unwrap_or_default();
    let more = match circle.len() - named.len() {
        0 => String::new(),
        n => phrase!(", and {n} more,"),
    };
    let chain = named.join(", child of ");
    phrase!(
        "{chain}{more}, child of {start}: no animal can be its own ancestor. One of these parents is wrong: open {start} and mend it",
        start = &start
    )
}

/// Sets of two or more animals that are ancestors of each other, by place.
fn sets<'p>(n: usize, parents: &dyn Fn(u32) -> &'p [u32]) -> Vec<Vec<u32>> {
    let mut order = vec![UNSEEN; n];
    let mut low = vec![0u32; n];
    let mut open = vec![false; n];
    let (mut next, mut stack, mut all) = (0u32, Vec::new(), Vec::new());
    // Each step: an animal, and which of its parents comes next.
    let mut path: Vec<(u32, usize)> = Vec::new();
    for start in 0..n as u32 {
        if order[start as usize] != UNSEEN {
            continue;
        }
        path.push((start, 0));
        while let Some((at, nth)) = path.last_mut() {
            let i = *at as usize;
            if *nth == 0 {
                (order[i], low[i], open[i]) = (next, next, true);
                next += 1;
                stack.push(*at);
            }
            if let Some(p) = parents(*at).get(*nth).copied() {
                *nth += 1;
                if order[p as usize] == UNSEEN {
                    path.push((p, 0));
                } else if open[p as usize] {
                    low[i] = low[i].min(order[p as usize]);
                }
                continue;
            }
            if low[i] == order[i] {
                let from = stack.iter().rposition(|s| *s as usize == i).unwrap_or(0);
                let set = stack.split_off(from);
                set.iter().for_each(|s| open[*s as usize] = false);
                if set.len() > 1 {
                    all.push(set);
                }
            }
            path.pop();
            if let Some((above, _)) = path.last() {
                let a = *above as usize;
                low[a] = low[a].min(low[i]);
            }
        }
    }
    all
}

/// A shortest circle through the first animal of a set: each a child of the next, the last of the first.
fn shortest<'p>(set: &[u32], parents: &dyn Fn(u32) -> &'p [u32]) -> Vec<u32> {
    let Some(start) = set.iter().min().copied() else { return Vec::new() };
    let mut came: RapidHashMap<u32, u32> = RapidHashMap::default();
    let inside: RapidHashSet<u32> = set.iter().copied().collect();
    let mut wait = VecDeque::from([start]);
    while let Some(at) = wait.pop_front() {
        for p in parents(at).iter().copied().filter(|p| inside.contains(p)) {
            if p == start {
                let mut circle = vec![at];
                while let Some(last) = circle.last().copied().filter(|l| *l != start) {
                    match came.get(&last) {
                        Some(child) => circle.push(*child),
                        None => break,
                    }
                }
                circle.reverse();
                return circle;
            }
            if let std::collections::hash_map::Entry::Vacant(free) = came.entry(p) {
                free.insert(at);
                wait.push_back(p);
            }
        }
    }
    set.to_vec()
}
