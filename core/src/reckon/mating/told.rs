//! Why each ewe goes to her ram, and what another would cost, in plain words.

use super::{Bar, Pairs, Terms};
use crate::flock::Flock;
use crate::phrase;
use crate::terms::AnimalId;

/// Another ram for a ewe.
#[derive(Debug, Clone, PartialEq)]
pub struct Other {
    /// The ram.
    pub ram: AnimalId,
    /// Inbreeding of her lamb with him.
    pub coancestry: f64,
    /// What it costs to move her alone.
    pub alone: f64,
    /// What it costs to give her to him with all others settled anew; none when that cannot be.
    pub settled: Option<f64>,
    /// Why it is out of the question.
    pub bar: Option<Bar>,
}

/// A ewe with her ram, the reason, and the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The ewe.
    pub ewe: AnimalId,
    /// Her ram.
    pub ram: AnimalId,
    /// Every term of what the pair costs.
    pub terms: Terms,
    /// The keeper keeps the pair.
    pub kept: bool,
    /// Why, in one sentence.
    pub reason: String,
    /// The other rams, the cheapest change first; those that cannot be last.
    pub others: Vec<Other>,
}

/// `6.3 %`; what is under half a tenth but not nothing is told as such.
pub fn percent(f: f64) -> String {
    match f * 100.0 {
        p if p > 0.0 && p < 0.05 => phrase!("under 0.1 %"),
        // A half is rounded up, as on paper: 6.25 is told as 6.3.
        p => format!("{:.1} %", (p * 10.0 + 1e-9).round() / 10.0),
    }
}

/// Two coancestries that differ by less are the same.
const SAME: f64 = 1e-9;

fn all_of(n: usize) -> String {
    let word = match n {
        2 => return phrase!("the two"),
        3 => "three",
        4 => "four",
        5 => "five",
        6 => "six",
        7 => "seven",
        8 => "eight",
        9 => "nine",
        10 => "ten",
        11 => "eleven",
        12 => "twelve",
        n => return phrase!("the {n}"),
    };
    phrase!("the {word}")
}

impl Pairs {
    /// Everything of one ewe.
    pub fn told(&self, flock: &Flock, ewe: AnimalId) -> Option<Told> {
        let e = self.place(ewe)?;
        let r = self.of[e];
        let own = self.table.terms(e, r);
        let cost = own.cost();
        let other = |n: usize| Other {
            ram: self.table.rams[n].ram,
            coancestry: self.table.f(e, n),
            alone: self.table.cost(e, n) - cost,
            settled: self.forced(e, n),
            bar: self.barred(e, n),
        };
        let mut others: Vec<Other> = (0..self.table.rams.len()).filter(|n| *n != r).map(other).collect();
        let key = |o: &Other| (o.bar.is_some() || o.settled.is_none(), o.settled.unwrap_or(o.alone));
        others.sort_by(|a, b| key(a).0.cmp(&key(b).0).then(key(a).1.total_cmp(&key(b).1)));
        let kept = self.kept[e].is_some_and(|k| k == r);
        let reason = self.reason(flock, (e, r), kept, &others);
        Some(Told { ewe, ram: self.table.rams[r].ram, terms: own, kept, reason, others })
    }

    fn reason(&self, flock: &Flock, (e, r): (usize, usize), kept: bool, others: &[Other]) -> String {
        let tag = |n: usize| flock.tag(self.table.rams[n].ram);
        let rams: Vec<usize> = (0..self.table.rams.len()).collect();
        let f = |n: usize| self.table.f(e, n);
        let rest = || rams.iter().copied().filter(|n| *n != r);
        let least_of_rest = rest().min_by(|a, b| f(*a).total_cmp(&f(*b)));
        let Some(nearest) = least_of_rest else { return phrase!("the only ram") };
        let would = |n: usize| phrase!("{} would give {}", &tag(n), percent(f(n)));
        if kept {
            let less = if f(nearest) + SAME < f(r) { format!("; {}", would(nearest)) } else { String::new() };
            return phrase!("kept as you set it{less}");
        }
        let open: Vec<usize> = rest().filter(|n| self.barred(e, *n).is_none()).collect();
        if open.is_empty() {
            let over = rest().any(|n| matches!(self.barred(e, n), Some(Bar::OverLimit(_))));
            let forbidden = rest().any(|n| matches!(self.barred(e, n), Some(Bar::Forbidden)));
            return match (over, forbidden) {
                (true, false) => phrase!("the only one within the limit; {}", would(nearest)),
                (false, true) => phrase!("the only one not forbidden"),
                _ => phrase!("the only one within the limit and not forbidden"),
            };
        }
        if f(r) <= f(nearest) + SAME {
            let n = rams.len();
            let of = all_of(n);
            if f(nearest) > f(r) + SAME {
                let how =
                    if f(r) <= 0.0 { phrase!("no known kin") } else { phrase!("least related of {of}") };
                return format!("{how}; {}", would(nearest));
            }
            let alike: Vec<usize> = rest().filter(|n| f(*n) <= f(r) + SAME).collect();
            let even = alike.len() + 1;
            let rare = |n: usize| self.table.terms(e, n).costs[1];
            let rarest = alike.iter().all(|n| rare(r) + SAME < rare(*n));
            let and = if rarest { "; his blood is the rarest of theirs" } else { "" };
            let words = match (even == n, f(r) <= 0.0) {
                (true, true) if n == 2 => phrase!("no known kin of either"),
                (true, true) => phrase!("no known kin of any of {of}"),
                (true, false) => phrase!("{of} are kin to her alike"),
                (false, _) => phrase!("with {} least related of {of}", tags(flock, self, e, r)),
            };
            return format!("{words}{and}");
        }
        // A ram less related there is: either the whole would cost more, or something else speaks against him.
        let less =
            open.iter().copied().filter(|n| f(*n) + SAME < f(r)).min_by(|a, b| f(*a).total_cmp(&f(*b)));
        let Some(less) = less else {
            let why = match self.barred(e, nearest) {
                Some(Bar::Forbidden) => "but is forbidden",
                _ => "but cannot be",
            };
            return phrase!("least related of those allowed; {} {why}", would(nearest));
        };
        let other = others.iter().find(|o| o.ram == self.table.rams[less].ram);
        if let Some(o) = other.filter(|o| o.alone < -SAME) {
            return match o.settled {
                Some(more) if more <= SAME => phrase!("{}, and the whole would cost the same", would(less)),
                Some(more) => {
                    phrase!(
                        "{}, but others need him more: worse by {} over all lambs",
                        would(less),
                        percent(more)
                    )
                }
                None => phrase!("{}, but his places are taken", would(less)),
            };
        }
        let (own, his) = (self.table.terms(e, r), self.table.terms(e, less));
        let against =
            (1..5).max_by(|a, b| (his.costs[*a] - own.costs[*a]).total_cmp(&(his.costs[*b] - own.costs[*b])));
        let why = match against {
            Some(1) => phrase!("but his blood is common in the flock"),
            Some(2) => phrase!("but with a lower breeding value"),
            Some(3) => match &his.gene {
                Some((gene, p)) => phrase!("but {} that a lamb {gene}", chance(*p)),
                None => phrase!("but with more risk by their genes"),
            },
            _ => phrase!("but both are {}", his.alike.join(", ")),
        };
        format!("{}, {why}", would(less))
    }
}

/// A chance in words: `one chance in four`.
fn chance(p: f64) -> String {
    match 1.0 / p {
        n if n < 1.05 => phrase!("the certainty"),
        n if (n - 2.0).abs() < 0.05 => phrase!("one chance in two"),
        n if (n - 4.0).abs() < 0.05 => phrase!("one chance in four"),
        _ => phrase!("a chance of {}", percent(p)),
    }
}

/// The other rams as little related to the ewe as her own.
fn tags(flock: &Flock, pairs: &Pairs, e: usize, r: usize) -> String {
    let f = |n: usize| pairs.table.f(e, n);
    let even = (0..pairs.table.rams.len()).filter(|n| *n != r && f(*n) <= f(r) + SAME);
    even.map(|n| flock.tag(pairs.table.rams[n].ram)).collect::<Vec<_>>().join(" and ")
}
