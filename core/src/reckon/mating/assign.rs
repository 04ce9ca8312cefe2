//! The assignment of ewes to rams at least cost, exactly.
//!
//! Ewes are put in one after another along the cheapest chain of changes (successive shortest paths with potentials,
//! after Edmonds and Karp 1972 and Tomizawa 1971). A chain runs over rams, of which there are few: ewe in, one ewe of
//! that ram to another, and so on to a ram with room. Whole numbers, so that the same question has the same answer
//! everywhere.

/// The cost of a pair that must not be.
pub const FORBIDDEN: i64 = i64::MAX;

/// There is no assignment: this ewe (by row) cannot be given a ram with all the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Impossible {
    /// All pairs of this ewe are forbidden, or every ram left to her is full.
    NoRamFor(usize),
    /// This ram cannot have as many as he is to have at least.
    TooFewFor(usize),
    /// The work was stopped.
    Stopped,
}

/// A ram's places: those he must have come first, at a price that fills them before any other.
struct Stall {
    ram: usize,
    room: usize,
    bonus: i64,
}

/// The ram (by column) of each ewe (by row) at the least sum of costs, with at most `most` and at least `least` ewes
/// for each ram. Of several best ones the first by row and column is given.
///
/// # Errors
/// Which ewe or ram stands in the way.
///
/// # Panics
/// Rows are not as long as `most` and `least`.
pub fn assign(costs: &[Vec<i64>], most: &[usize], least: &[usize]) -> Result<Vec<usize>, Impossible> {
    assign_with(costs, most, least, &mut |_| true)
}

/// The same; `go_on` is told how many ewes are placed and answers whether to go on.
///
/// # Errors
/// Which ewe or ram stands in the way, or that it was stopped.
///
/// # Panics
/// Rows are not as long as `most` and `least`.
pub fn assign_with(
    costs: &[Vec<i64>],
    most: &[usize],
    least: &[usize],
    go_on: &mut dyn FnMut(usize) -> bool,
) -> Result<Vec<usize>, Impossible> {
    assert!(most.len() == least.len() && costs.iter().all(|row| row.len() == most.len()));
    let allowed = || costs.iter().flatten().filter(|c| **c != FORBIDDEN).map(|c| c.unsigned_abs());
    // More than any two assignments can differ by.
    let bonus =
        allowed().max().unwrap_or(0).saturating_mul(2 * costs.len() as u64 + 1).min(1 << 60) as i64 + 1;
    let mut stalls = Vec::new();
    for (ram, (most, least)) in most.iter().zip(least).enumerate() {
        if least > most {
            return Err(Impossible::TooFewFor(ram));
        }
        for stall in [Stall { ram, room: *least, bonus }, Stall { ram, room: most - least, bonus: 0 }] {
            // A stall without places only lengthens the search.
            if stall.room > 0 {
                stalls.push(stall);
            }
        }
    }
    let mut search = Search::new(costs, stalls);
    for ewe in 0..costs.len() {
        if !go_on(ewe) {
            return Err(Impossible::Stopped);
        }
        search.put_in(ewe)?;
    }
    for (i, s) in search.stalls.iter().enumerate().filter(|(_, s)| s.bonus > 0) {
        if search.held[i].len() < s.room {
            return Err(Impossible::TooFewFor(s.ram));
        }
    }
    Ok(search.of.iter().map(|s| search.stalls[*s].ram).collect())
}

/// The sum of costs of an assignment.
pub fn total(costs: &[Vec<i64>], of: &[usize]) -> i64 {
    costs.iter().zip(of).map(|(row, ram)| row[*ram]).sum()
}

struct Search<'a> {
    costs: &'a [Vec<i64>],
    stalls: Vec<Stall>,
    /// The stall of each ewe put in so far.
    of: Vec<usize>,
    /// The ewes of each stall.
    held: Vec<Vec<usize>>,
    /// Cheapest change of a ewe from one stall to another, and which ewe: by stall from, stall to.
    change: Vec<Vec<(i64, usize)>>,
    potential: Vec<i64>,
    end: i64,
}

const NOBODY: usize = usize::MAX;

impl<'a> Search<'a> {
    fn new(costs: &'a [Vec<i64>], stalls: Vec<Stall>) -> Self {
        let n = stalls.len();
        Self {
            costs,
            stalls,
            of: Vec::with_capacity(costs.len()),
            held: vec![Vec::new(); n],
            change: vec![vec![(FORBIDDEN, NOBODY); n]; n],
            potential: vec![0; n],
            end: 0,
        }
    }

    fn cost(&self, ewe: usize, stall: usize) -> i64 {
        let s = &self.stalls[stall];
        match self.costs[ewe][s.ram] {
            FORBIDDEN => FORBIDDEN,
            c => c - s.bonus,
        }
    }

    /// Puts one ewe more in along the cheapest chain.
    fn put_in(&mut self, ewe: usize) -> Result<(), Impossible> {
        let n = self.stalls.len();
        let mut distance: Vec<i64> = (0..n)
            .map(|s| match self.cost(ewe, s) {
                FORBIDDEN => FORBIDDEN,
                c => c - self.potential[s],
            })
            .collect();
        let low = distance.iter().copied().filter(|d| *d != FORBIDDEN).min();
        let Some(low) = low else { return Err(Impossible::NoRamFor(ewe)) };
        distance.iter_mut().filter(|d| **d != FORBIDDEN).for_each(|d| *d -= low);
        let mut from = vec![NOBODY; n];
        let mut done = vec![false; n];
        let mut best: Option<(i64, usize)> = None;
        loop {
            let next =
                (0..n).filter(|s| !done[*s] && distance[*s] != FORBIDDEN).min_by_key(|s| (distance[*s], *s));
            let Some(at) = next.filter(|s| best.is_none_or(|(b, _)| distance[*s] < b)) else { break };
            done[at] = true;
            if self.held[at].len() < self.stalls[at].room {
                let d = distance[at] + self.potential[at] - self.end;
                if best.is_none_or(|(b, _)| d < b) {
                    best = Some((d, at));
                }
            }
            for to in 0..n {
                let (c, who) = self.change[at][to];
                if done[to] || who == NOBODY {
                    continue;
                }
                let d = distance[at] + c + self.potential[at] - self.potential[to];
                if d < distance[to] {
                    distance[to] = d;
                    from[to] = at;
                }
            }
        }
        let Some((way, mut at)) = best else { return Err(Impossible::NoRamFor(ewe)) };
        for s in 0..n {
            self.potential[s] += distance[s].min(way);
        }
        self.end += way;
        let mut touched = vec![at];
        while from[at] != NOBODY {
            let before = from[at];
            let (_, who) = self.change[before][at];
            self.held[before].retain(|e| *e != who);
            self.held[at].push(who);
            self.of[who] = at;
            at = before;
            touched.push(at);
        }
        self.held[at].push(ewe);
        self.of.push(at);
        for s in touched {
            self.look_again(s);
        }
        Ok(())
    }

    /// The cheapest changes out of a stall, after its ewes changed.
    fn look_again(&mut self, stall: usize) {
        for to in 0..self.stalls.len() {
            let best = self.held[stall]
                .iter()
                .filter(|_| to != stall)
                .map(|e| (self.cost(*e, to), *e))
                .filter(|(c, _)| *c != FORBIDDEN)
                .map(|(c, e)| (c - self.cost(e, stall), e))
                .min();
            self.change[stall][to] = best.unwrap_or((FORBIDDEN, NOBODY));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every assignment there is, tried.
    fn by_force(costs: &[Vec<i64>], most: &[usize], least: &[usize]) -> Option<i64> {
        let (ewes, rams) = (costs.len(), most.len());
        let mut best: Option<i64> = None;
        for code in 0..rams.pow(ewes as u32) {
            let of: Vec<usize> = (0..ewes).map(|e| code / rams.pow(e as u32) % rams).collect();
            let many = |r: usize| of.iter().filter(|x| **x == r).count();
            let fits = (0..rams).all(|r| (least[r]..=most[r]).contains(&many(r)));
            if fits && of.iter().zip(costs).all(|(r, row)| row[*r] != FORBIDDEN) {
                let sum = total(costs, &of);
                best = Some(best.map_or(sum, |b| b.min(sum)));
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]
        #[test]
        fn no_assignment_is_better(
            cells in prop::collection::vec(prop_oneof![8 => 0i64..40, 1 => Just(FORBIDDEN)], 18),
            ewes in 1usize..=6,
            bounds in prop::collection::vec((0usize..4, 0usize..6), 3),
        ) {
            let costs: Vec<Vec<i64>> = (0..ewes).map(|e| cells[e * 3..e * 3 + 3].to_vec()).collect();
            let least: Vec<usize> = bounds.iter().map(|b| b.0.min(b.1)).collect();
            let most: Vec<usize> = bounds.iter().map(|b| b.1).collect();
            let forced = by_force(&costs, &most, &least);
            match assign(&costs, &most, &least) {
                Ok(of) => {
                    for r in 0..3 {
                        let many = of.iter().filter(|x| **x == r).count();
                        prop_assert!((least[r]..=most[r]).contains(&many));
                    }
                    prop_assert_eq!(Some(total(&costs, &of)), forced);
                }
                Err(_) => prop_assert_eq!(forced, None),
            }
        }
    }

    #[test]
    fn a_ewe_nobody_may_serve_is_named() {
        assert_eq!(assign(&[vec![1], vec![FORBIDDEN]], &[5], &[0]), Err(Impossible::NoRamFor(1)));
        assert_eq!(assign(&[vec![1], vec![1]], &[1], &[0]), Err(Impossible::NoRamFor(1)));
        assert_eq!(assign(&[vec![1, 1]], &[1, 1], &[1, 1]), Err(Impossible::TooFewFor(1)));
    }
}
