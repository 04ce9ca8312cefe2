//! Values and reliabilities of a problem, by the way that suits its size.

use super::{
    Frame, Method, Order, Problem, Solution, Unfit, approximate, by_gradients, reliabilities, variances,
};

/// Up to what size accuracies are exact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Animals of the pedigree.
    pub animals: usize,
    /// Entries of the Cholesky factor, eight bytes each; the inverse needs as many again.
    pub entries: usize,
    /// Multiplications of its factorisation; the inverse takes about three times as many.
    pub work: f64,
}

impl Default for Bounds {
    /// 20,000 animals, half a gigabyte for the factor, about a minute of reckoning.
    fn default() -> Self {
        Self { animals: 20_000, entries: 64_000_000, work: 1.5e11 }
    }
}

/// Values and reliabilities of a problem.
#[derive(Debug, Clone)]
pub struct Predicted {
    /// Where each unknown stands.
    pub frame: Frame,
    /// The solutions.
    pub solution: Solution,
    /// Reliabilities of each block, the effects of one level side by side.
    pub reliabilities: Vec<Vec<f64>>,
    /// They are exact; else from records, parents and offspring by approximation.
    pub exact: bool,
}

impl Predicted {
    /// A level's value of an effect.
    pub fn value(&self, block: usize, effect: usize, level: usize) -> Option<f64> {
        let b = self.frame.blocks().get(block)?;
        let inside = effect < b.effects && level < b.levels;
        inside.then(|| self.solution.values.get(b.at(effect, level)).copied()).flatten()
    }

    /// Its reliability.
    pub fn reliability(&self, block: usize, effect: usize, level: usize) -> Option<f64> {
        let b = self.frame.blocks().get(block)?;
        self.reliabilities.get(block)?.get(level * b.effects + effect).copied()
    }
}

/// Solves a problem: exactly with a sparse Cholesky factor within `bounds`, else by conjugate gradients with approximate
/// reliabilities. `go_on` is told the part done, 0 to 1, and stops the work by answering no.
///
/// # Errors
/// What is wrong with the problem, or [`Unfit::Stopped`].
pub fn predict(
    problem: &Problem,
    bounds: &Bounds,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Predicted, Unfit> {
    let frame = Frame::of(problem)?;
    let variances = variances(problem);
    let weights = frame.weights(&variances, problem.residual)?;
    let mut at = |part: f64| if go_on(part) { Ok(()) } else { Err(Unfit::Stopped) };
    at(0.02)?;
    let animals = problem.blocks.iter().filter(|b| b.pedigree.is_some()).map(|b| b.levels).max().unwrap_or(0);
    if animals <= bounds.animals {
        let equations = frame.equations(&variances, problem.residual)?;
        at(0.05)?;
        // A factor that cannot even be numbered is too great as well.
        if let Some(order) = Order::of(&equations.matrix)
            .ok()
            .filter(|o| o.entries() <= bounds.entries && o.work() <= bounds.work)
        {
            at(0.1)?;
            let factored = order.factor(&equations.matrix)?;
            at(0.3)?;
            let values = factored.solve(&equations.right)?;
            if values.iter().any(|v| !v.is_finite()) {
                return Err(Unfit::NoAnswer(
                    "the equations have no single answer: leave a fixed effect out".into(),
                ));
            }
            let inverse = factored.inverse(&mut |part| go_on(0.3 + 0.7 * part))?;
            let reliabilities = reliabilities(&frame, &variances, &inverse);
            let solution = Solution { values, method: Method::Cholesky };
            return Ok(Predicted { frame, solution, reliabilities, exact: true });
        }
    }
    let solution = by_gradients(&frame, &weights, &mut |part| go_on(0.1 + 0.85 * part))?;
    let reliabilities = approximate(&frame, problem);
    Ok(Predicted { frame, solution, reliabilities, exact: false })
}
