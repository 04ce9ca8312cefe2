//! The linear programme: shares of feeds that add up to one, within their limits, at the least cost.
//!
//! It is solved twice, as it stands and as its dual; both must give the same cost, which proves the answer, and the dual
//! gives the shadow prices (strong duality of linear programmes). What is not proved is not given out.

use microlp::{ComparisonOp, Error, OptimizationDirection, Problem, Variable};

/// min Σ cost·share, Σ share = 1, each share within its limits, each row Σ coefficient·share ≥ bound.
#[derive(Debug, Clone)]
pub(super) struct Programme {
    pub cost: Vec<f64>,
    pub limits: Vec<(f64, f64)>,
    pub rows: Vec<Row>,
}

#[derive(Debug, Clone)]
pub(super) struct Row {
    pub of: Vec<f64>,
    pub bound: f64,
}

impl Row {
    /// The greatest coefficient: rows are brought to like size before they are solved.
    fn size(&self) -> f64 {
        let most = self.of.iter().fold(self.bound.abs(), |most, x| most.max(x.abs()));
        if most > 0.0 { most } else { 1.0 }
    }
}

/// The cheapest shares.
#[derive(Debug, Clone)]
pub(super) struct Best {
    pub shares: Vec<f64>,
    pub cost: f64,
    /// Of each row: what the mix gets cheaper by when its bound falls by one, for a small step.
    pub rows: Vec<f64>,
    /// Of each feed: what holds it where it is.
    pub bounds: Vec<Bound>,
}

/// What holds a feed at its share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Bound {
    /// Nothing.
    Free,
    /// It stays out, and comes in below this price.
    Out(f64),
    /// Its least share: the mix gets cheaper by so much when that falls by one.
    Low(f64),
    /// Its highest share: the mix gets cheaper by so much when that rises by one.
    High(f64),
}

/// A price that is asked of the dual.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Price {
    Row(usize),
    Low(usize),
    High(usize),
    /// What a feed would be worth in the mix.
    Entry(usize),
}

/// Prices of the dual, brought to size.
struct Prices {
    worth: f64,
    rows: Vec<f64>,
    lows: Vec<f64>,
    highs: Vec<f64>,
}

/// No proved answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unsure;

/// Below this a coefficient of a row brought to size is nought.
const NOUGHT: f64 = 1e-9;
/// Both costs agree to this, as a part of the dearest feed's price.
const AGREE: f64 = 1e-6;
/// Prices that prove the optimum to this, likewise.
const SLACK: f64 = 1e-9;

impl Programme {
    fn primal(&self, cost: &[f64]) -> Result<Option<Vec<f64>>, Unsure> {
        let mut p = Problem::new(OptimizationDirection::Minimize);
        let shares: Vec<_> = cost.iter().zip(&self.limits).map(|(c, l)| p.add_var(*c, *l)).collect();
        let all: Vec<_> = shares.iter().map(|s| (*s, 1.0)).collect();
        p.add_constraint(all.as_slice(), ComparisonOp::Eq, 1.0);
        for row in &self.rows {
            let size = row.size();
            let of: Vec<_> = shares
                .iter()
                .zip(&row.of)
                .map(|(s, x)| (*s, x / size))
                .filter(|(_, x)| x.abs() > NOUGHT)
                .collect();
            let bound = row.bound / size;
            if of.is_empty() {
                if bound > NOUGHT {
                    return Ok(None);
                }
                continue;
            }
            p.add_constraint(of.as_slice(), ComparisonOp::Ge, bound);
        }
        match p.solve() {
            Ok(done) => {
                let done = done.into_solution().map_err(|_| Unsure)?;
                Ok(Some(shares.iter().map(|s| tidy(done.var_value(*s))).collect()))
            }
            Err(Error::Infeasible) => Ok(None),
            Err(_) => Err(Unsure),
        }
    }

    /// Any shares at all that meet the rows.
    pub fn any(&self) -> Result<Option<Vec<f64>>, Unsure> {
        self.primal(&vec![0.0; self.cost.len()])
    }

    /// The cheapest; none where nothing meets the rows.
    pub fn best(&self) -> Result<Option<Best>, Unsure> {
        let dear = self.cost.iter().fold(0.0, |most: f64, c| most.max(c.abs()));
        let unit = if dear > 0.0 { dear } else { 1.0 };
        let cost: Vec<f64> = self.cost.iter().map(|c| c / unit).collect();
        let Some(shares) = self.primal(&cost)? else { return Ok(None) };
        let paid: f64 = shares.iter().zip(&cost).map(|(s, c)| s * c).sum();
        let found = self.dual(&cost, None)?;
        if (paid - found.worth).abs() > AGREE {
            return Err(Unsure);
        }
        // Where several prices prove the same optimum, the one that a small step really saves is the least of them.
        let least = |of: Price, first: f64| -> Result<f64, Unsure> {
            if first <= NOUGHT {
                return Ok(first.max(0.0));
            }
            let least = self.dual(&cost, Some((of, found.worth)))?.worth.max(0.0);
            // The slack of the search is no other price.
            Ok(if first - least <= 1e-5 * first { first } else { least })
        };
        let mut rows = Vec::new();
        for (i, row) in self.rows.iter().enumerate() {
            rows.push(least(Price::Row(i), found.rows[i])? * unit / row.size());
        }
        let mut bounds = Vec::new();
        for (i, share) in shares.iter().enumerate() {
            let (low, high) = self.limits[i];
            bounds.push(match () {
                () if *share <= NOUGHT && low <= 0.0 && high > 0.0 => {
                    Bound::Out(least(Price::Entry(i), cost[i] - found.lows[i] + found.highs[i])? * unit)
                }
                () if found.lows[i] > NOUGHT => Bound::Low(least(Price::Low(i), found.lows[i])? * unit),
                () if found.highs[i] > NOUGHT => Bound::High(least(Price::High(i), found.highs[i])? * unit),
                () => Bound::Free,
            });
        }
        Ok(Some(Best { cost: paid * unit, rows, bounds, shares }))
    }

    /// The dual: max λ + Σ bound·y + Σ low·l − Σ high·h, with λ + Σ of·y + l − h = cost of each feed. With a price asked
    /// for: the least it can be while the worth of the whole stays what it is.
    fn dual(&self, cost: &[f64], least: Option<(Price, f64)>) -> Result<Prices, Unsure> {
        let asked = least.map(|(price, _)| price);
        let mut d = Problem::new(if asked.is_some() {
            OptimizationDirection::Minimize
        } else {
            OptimizationDirection::Maximize
        });
        let free = (0.0, f64::INFINITY);
        let sizes: Vec<f64> = self.rows.iter().map(Row::size).collect();
        // What each variable brings to the worth of the whole, and to what is asked for.
        let mut worth = Vec::new();
        let aim = |brings: f64, here: f64| if asked.is_some() { here } else { brings };
        let entry = |i: usize| matches!(asked, Some(Price::Entry(e)) if e == i);
        let whole = d.add_var(
            aim(1.0, f64::from(u8::from(matches!(asked, Some(Price::Entry(_)))))),
            (f64::NEG_INFINITY, f64::INFINITY),
        );
        worth.push((whole, 1.0));
        let mut rows = Vec::new();
        for (j, (row, size)) in self.rows.iter().zip(&sizes).enumerate() {
            let here = match asked {
                Some(Price::Row(i)) if i == j => 1.0,
                Some(Price::Entry(i)) => tidy(row.of[i] / size),
                _ => 0.0,
            };
            let y = d.add_var(aim(row.bound / size, here), free);
            worth.push((y, row.bound / size));
            rows.push(y);
        }
        let (mut lows, mut highs) = (Vec::new(), Vec::new());
        for (i, (low, high)) in self.limits.iter().enumerate() {
            let is = |price: Price| f64::from(u8::from(asked == Some(price)));
            let l = d.add_var(aim(*low, is(Price::Low(i))), free);
            worth.push((l, *low));
            lows.push(l);
            // No share is above the whole: only a lower bound holds anything down.
            let h = (*high < 1.0).then(|| d.add_var(aim(-high, is(Price::High(i))), free));
            worth.extend(h.map(|h| (h, -high)));
            highs.push(h);
        }
        for (i, cost) in cost.iter().enumerate().filter(|(i, _)| !entry(*i)) {
            let mut of = vec![(whole, 1.0), (lows[i], 1.0)];
            of.extend(highs[i].map(|h| (h, -1.0)));
            for ((row, y), size) in self.rows.iter().zip(&rows).zip(&sizes) {
                let x = row.of[i] / size;
                if x.abs() > NOUGHT {
                    of.push((*y, x));
                }
            }
            d.add_constraint(of.as_slice(), ComparisonOp::Eq, *cost);
        }
        if let Some((_, at)) = least {
            worth.retain(|(_, x)| x.abs() > NOUGHT);
            d.add_constraint(worth.as_slice(), ComparisonOp::Ge, at - SLACK);
        }
        let done = d.solve().map_err(|_| Unsure)?.into_solution().map_err(|_| Unsure)?;
        let of =
            |vars: &[Variable]| vars.iter().map(|v| tidy(done.var_value(*v)).max(0.0)).collect::<Vec<f64>>();
        Ok(Prices {
            worth: done.objective(),
            rows: of(&rows),
            lows: of(&lows),
            highs: highs.iter().map(|h| h.map_or(0.0, |h| tidy(done.var_value(h)).max(0.0))).collect(),
        })
    }

    /// The shares that miss the rows least: the sum of what each lacks, as a part of `scale`, is as small as can be.
    pub fn nearest(&self, scale: &[f64]) -> Result<Option<Vec<f64>>, Unsure> {
        let mut p = Problem::new(OptimizationDirection::Minimize);
        let shares: Vec<_> = self.limits.iter().map(|l| p.add_var(0.0, *l)).collect();
        let all: Vec<_> = shares.iter().map(|s| (*s, 1.0)).collect();
        p.add_constraint(all.as_slice(), ComparisonOp::Eq, 1.0);
        for (row, scale) in self.rows.iter().zip(scale) {
            let lacks = p.add_var(1.0, (0.0, f64::INFINITY));
            let mut of: Vec<_> = shares
                .iter()
                .zip(&row.of)
                .map(|(s, x)| (*s, x / scale))
                .filter(|(_, x)| x.abs() > NOUGHT)
                .collect();
            of.push((lacks, 1.0));
            p.add_constraint(of.as_slice(), ComparisonOp::Ge, row.bound / scale);
        }
        match p.solve() {
            Ok(done) => {
                let done = done.into_solution().map_err(|_| Unsure)?;
                Ok(Some(shares.iter().map(|s| tidy(done.var_value(*s))).collect()))
            }
            Err(Error::Infeasible) => Ok(None),
            Err(_) => Err(Unsure),
        }
    }
}

fn tidy(x: f64) -> f64 {
    if x.abs() < NOUGHT { 0.0 } else { x }
}
