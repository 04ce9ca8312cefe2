//! What a change costs once the best set is known. The rams and one place outside are the nodes of a small graph: an
//! edge from one ram to another is the cheapest ewe to move so. Shortest ways over it (Floyd 1962, Warshall 1962) tell
//! for every pair what forcing it costs with all the others settled anew: the cheapest circle through that pair in the
//! residual network (optimality of minimum cost flow: Klein 1967).

use super::FORBIDDEN;

/// The graph of one assignment.
pub(super) struct Swaps {
    /// Rams, and last the place outside.
    n: usize,
    /// Cost of the way in the upper bits, its number of steps in the lower: of equal ways the shortest, so that no way
    /// goes round in a circle that costs nothing.
    far: Vec<i128>,
    next: Vec<usize>,
    who: Vec<usize>,
}

const NOBODY: usize = usize::MAX;
const NO_WAY: i128 = i128::MAX;

/// A step of this cost.
fn step(cost: i64) -> i128 {
    (i128::from(cost) << 16) + 1
}

impl Swaps {
    /// Of the best assignment `of` at these costs.
    pub fn of(costs: &[Vec<i64>], of: &[usize], most: &[usize], least: &[usize]) -> Self {
        let rams = most.len();
        let n = rams + 1;
        let mut s = Self { n, far: vec![NO_WAY; n * n], next: vec![NOBODY; n * n], who: vec![NOBODY; n * n] };
        let mut many = vec![0; rams];
        for (ewe, (row, from)) in costs.iter().zip(of).enumerate() {
            many[*from] += 1;
            if row[*from] == FORBIDDEN {
                continue;
            }
            for (to, cost) in row.iter().enumerate().filter(|(to, c)| to != from && **c != FORBIDDEN) {
                let (at, d) = (from * n + to, step(cost - row[*from]));
                if d < s.far[at] {
                    (s.far[at], s.next[at], s.who[at]) = (d, to, ewe);
                }
            }
        }
        for ram in 0..rams {
            if many[ram] < most[ram] {
                (s.far[ram * n + rams], s.next[ram * n + rams]) = (step(0), rams);
            }
            if many[ram] > least[ram] {
                (s.far[rams * n + ram], s.next[rams * n + ram]) = (step(0), ram);
            }
        }
        for a in 0..n {
            (s.far[a * n + a], s.next[a * n + a]) = (0, a);
        }
        for over in 0..n {
            for a in 0..n {
                let first = s.far[a * n + over];
                if first == NO_WAY || a == over {
                    continue;
                }
                for b in 0..n {
                    let second = s.far[over * n + b];
                    if second != NO_WAY && first + second < s.far[a * n + b] {
                        s.far[a * n + b] = first + second;
                        s.next[a * n + b] = s.next[a * n + over];
                    }
                }
            }
        }
        s
    }

    /// What the whole costs more when this ewe goes to this ram and all others are settled anew; none when that
    /// cannot be.
    pub fn forced(&self, costs: &[Vec<i64>], of: &[usize], ewe: usize, ram: usize) -> Option<i64> {
        let (from, cost) = (of[ewe], costs[ewe][ram]);
        let back = self.far[ram * self.n + from];
        (cost != FORBIDDEN && back != NO_WAY).then(|| cost - costs[ewe][from] + (back >> 16) as i64)
    }

    /// The assignment with this ewe forced to this ram, all others settled anew.
    pub fn force(&self, of: &[usize], ewe: usize, ram: usize) -> Vec<usize> {
        let (mut new, from) = (of.to_vec(), of[ewe]);
        new[ewe] = ram;
        let mut at = ram;
        // A way visits no node twice, so it ends within as many steps as there are nodes.
        for _ in 0..self.n {
            if at == from {
                break;
            }
            let to = self.next[at * self.n + from];
            if to == NOBODY {
                break;
            }
            if at + 1 < self.n && to + 1 < self.n {
                let who = self.who[at * self.n + to];
                if who != NOBODY {
                    new[who] = to;
                }
            }
            at = to;
        }
        new
    }

    /// The cheapest change there is: its cost, the ewe, and the ram she goes to. The first by ewe and ram of equals.
    pub fn cheapest(&self, costs: &[Vec<i64>], of: &[usize]) -> Option<(i64, usize, usize)> {
        let mut best: Option<(i64, usize, usize)> = None;
        for ewe in 0..of.len() {
            for ram in (0..self.n - 1).filter(|r| *r != of[ewe]) {
                if let Some(cost) = self.forced(costs, of, ewe, ram)
                    && best.is_none_or(|b| cost < b.0)
                {
                    best = Some((cost, ewe, ram));
                }
            }
        }
        best
    }
}
