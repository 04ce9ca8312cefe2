//! What a pen needs: in all, in syringes, in bottles.

use crate::terms::Dose;

/// What a pen needs of a medicine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PenTotal {
    /// Doses.
    pub doses: usize,
    /// Their sum.
    pub exact: Dose,
    /// Their sum and what is lost, rounded up to a whole microlitre, microgram or piece.
    pub with_waste: Dose,
}

/// The sum of a pen's doses, and what to have ready when so many percent are lost (handbook, `waste_percent`).
/// None without doses, for doses of different kinds (a volume and pieces have no sum), or for more than a dose can hold.
pub fn pen_total(doses: &[Dose], waste_percent: u32) -> Option<PenTotal> {
    let mut sum: u128 = 0;
    let first = *doses.first()?;
    for dose in doses {
        let (_, amount) = super::amounts(first, *dose)?;
        sum += amount;
    }
    let exact = like(first, sum)?;
    let with_waste = (sum * u128::from(100 + u64::from(waste_percent))).div_ceil(100);
    Some(PenTotal { doses: doses.len(), exact, with_waste: like(exact, with_waste)? })
}

/// An amount in the smallest unit as a dose of the same kind as another.
fn like(kind: Dose, amount: u128) -> Option<Dose> {
    match kind {
        Dose::Volume(_) => u32::try_from(amount).ok().map(Dose::Volume),
        Dose::Mass(_) => u64::try_from(amount).ok().map(Dose::Mass),
        Dose::Pieces(_) => u32::try_from(amount).ok().map(Dose::Pieces),
    }
}

/// How often a syringe or gun of so many millilitres is filled to give these doses in their order, each whole out of one
/// filling; a dose it cannot hold takes fillings of its own. None for what no syringe gives, or one of 0 ml.
pub fn fills(doses: &[Dose], syringe_ml: u32) -> Option<u32> {
    let holds = syringe_ml.checked_mul(1000).filter(|ul| *ul > 0)?;
    let mut fillings = 0u32;
    let mut left = 0u32;
    for dose in doses {
        let Dose::Volume(ul) = *dose else { return None };
        if ul > left {
            let took = ul.div_ceil(holds);
            fillings = fillings.checked_add(took)?;
            // What is left of the last of them; it is given up when the next dose does not fit.
            left = (u64::from(took) * u64::from(holds) - u64::from(ul)) as u32;
        } else {
            left -= ul;
        }
    }
    Some(fillings)
}

/// How many bottles of this size hold so much. None for different kinds, or a bottle of nothing.
pub fn bottles(total: Dose, bottle: Dose) -> Option<u32> {
    let (total, bottle) = super::amounts(total, bottle)?;
    (bottle > 0).then(|| total.div_ceil(bottle)).and_then(|n| u32::try_from(n).ok())
}
