//! Who stands in the way when there is no set at all.

use super::table::{Table, cannot};
use super::{FORBIDDEN, NoPairs};
use crate::flock::Flock;
use crate::phrase;
use crate::terms::counted;

/// Some ewes may go only to rams that are full: those ewes and rams by name.
pub(super) fn crowded(flock: &Flock, table: &Table, costs: &[Vec<i64>], most: &[usize]) -> NoPairs {
    // Ewe after ewe by chains of changes, costs aside, until one finds no room: whom her chains reach stand in her way.
    let mut held: Vec<Vec<usize>> = vec![Vec::new(); most.len()];
    for ewe in 0..costs.len() {
        let mut by: Vec<Option<(usize, usize)>> = vec![None; most.len()];
        let mut seen: Vec<usize> = Vec::new();
        let mut queue = vec![(ewe, usize::MAX)];
        let mut room = None;
        while let Some((who, from)) = queue.pop() {
            for (ram, cost) in costs[who].iter().enumerate() {
                if *cost != FORBIDDEN && by[ram].is_none() && !seen.contains(&ram) {
                    by[ram] = Some((who, from));
                    seen.push(ram);
                    if held[ram].len() < most[ram] {
                        room = room.or(Some(ram));
                    }
                    queue.extend(held[ram].iter().map(|e| (*e, ram)));
                }
            }
        }
        let Some(mut at) = room else {
            seen.sort_unstable();
            let rams: Vec<&str> = seen.iter().map(|r| flock.tag(table.rams[*r].ram)).collect();
            let most: usize = seen.iter().map(|r| most[*r]).sum();
            let mut ewes: Vec<usize> =
                seen.iter().flat_map(|r| held[*r].iter().copied()).chain([ewe]).collect();
            ewes.sort_unstable();
            let mut tags: Vec<&str> = ewes.iter().take(6).map(|e| flock.tag(table.ewes[*e])).collect();
            if ewes.len() > tags.len() {
                tags.push("…");
            }
            let (n, who) = (ewes.len(), rams.join(" and "));
            let words = phrase!(
                "{n} ewes ({}) may only go to {who}, who may have {most}: raise a number or the limit, allow other pairs, or leave {} out",
                tags.join(", "),
                n - most,
            );
            return cannot(Some(table.ewes[ewe]), seen.first().map(|r| table.rams[*r].ram), words);
        };
        while let Some((who, from)) = by[at] {
            held[at].push(who);
            if from == usize::MAX {
                break;
            }
            held[from].retain(|e| *e != who);
            at = from;
        }
    }
    cannot(None, None, phrase!("the numbers of the rams leave a ewe over: raise a number"))
}

pub(super) fn too_few(flock: &Flock, table: &Table, costs: &[Vec<i64>], ram: usize) -> NoPairs {
    let cap = table.rams[ram];
    let tag = flock.tag(cap.ram);
    let can = costs.iter().filter(|row| row[ram] != FORBIDDEN).count();
    let words = if cap.least > cap.most {
        phrase!(
            "{tag} is to have at least {} and at most {}: mend one of the numbers",
            cap.least,
            cap.most,
            tag = &tag
        )
    } else if can < cap.least {
        phrase!(
            "{tag} is to have at least {}, but only {} may go to him: lower that number",
            cap.least,
            counted(can, "ewe"),
            tag = &tag
        )
    } else {
        phrase!(
            "{tag} cannot have as many as he is to have at least ({}): lower that number",
            cap.least,
            tag = &tag
        )
    };
    cannot(None, Some(cap.ram), words)
}
