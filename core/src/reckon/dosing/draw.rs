//! What a syringe can give of a dose, and its parts for several sites.

use crate::handbook::dosing::{Syringe, syringes};
use crate::phrase;
use crate::terms::Dose;
use std::cmp::Ordering;

/// Which mark of the syringe a dose goes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rounding {
    /// The nearest one; from the middle to the upper.
    #[default]
    Nearest,
    /// The next one above, for a dose that must not be short.
    Up,
}

/// A dose as a syringe gives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Drawn {
    /// What was reckoned.
    pub exact: Dose,
    /// What is drawn up: whole marks, never nothing, never above the label's most.
    pub drawn: Dose,
    /// The smallest syringe that holds it (the largest there is, if none does), millilitres.
    pub syringe_ml: u32,
    /// What lies between two of its marks, microlitres.
    pub mark_ul: u32,
    /// How often it is filled: more than once only where no syringe holds the dose.
    pub fills: u32,
    /// The exact dose is above the label's most, and less than it is drawn up.
    pub over: bool,
}

impl Drawn {
    /// The drawn dose against the exact one.
    pub fn against_exact(&self) -> Ordering {
        self.drawn.cmp(&self.exact)
    }

    /// As it is said: `3.72 ml, drawn as 3.8 ml (5 ml syringe, marks of 0.2 ml)`.
    pub fn words(&self) -> String {
        let syringe = phrase!("{} ml syringe, marks of {}", self.syringe_ml, Dose::Volume(self.mark_ul));
        let times = if self.fills > 1 { phrase!(", filled {} times", self.fills) } else { String::new() };
        let capped = if self.over { ": the label allows no more, ask the vet" } else { "" };
        if self.drawn == self.exact {
            format!("{} ({syringe}{times})", self.drawn)
        } else {
            phrase!("{}, drawn as {} ({syringe}{times}){capped}", self.exact, self.drawn)
        }
    }
}

/// A dose rounded to what the smallest syringe that holds it can give: whole marks (handbook, `dosing.syringes`), never
/// nothing, and never above the label's most, for which it is rounded down.
///
/// None for what no syringe gives: a mass, pieces, no volume at all, or a most below the syringe's first mark.
/// A most that is not a volume bounds nothing.
pub fn draw_up(exact: Dose, most: Option<Dose>, rounding: Rounding) -> Option<Drawn> {
    let Dose::Volume(ul) = exact else { return None };
    let most = match most {
        Some(Dose::Volume(most)) => Some(most),
        _ => None,
    };
    let over = most.is_some_and(|m| ul > m);
    let wanted = most.map_or(ul, |m| ul.min(m));
    let syringe = syringe_for(wanted)?;
    let mark = syringe.mark_ul;
    let allowed = most.map_or(u32::MAX, |m| m / mark);
    if ul == 0 || allowed == 0 {
        return None;
    }
    let rest = wanted % mark;
    let up = match rounding {
        Rounding::Nearest => u64::from(rest) * 2 >= u64::from(mark),
        Rounding::Up => rest > 0,
    };
    let marks = (wanted / mark + u32::from(up)).max(1).min(allowed);
    let drawn = marks.checked_mul(mark)?;
    let fills = drawn.div_ceil(syringe.ml.saturating_mul(1000)).max(1);
    Some(Drawn { exact, drawn: Dose::Volume(drawn), syringe_ml: syringe.ml, mark_ul: mark, fills, over })
}

/// The smallest syringe that holds so many microlitres, or the largest there is.
fn syringe_for(ul: u32) -> Option<&'static Syringe> {
    let all = syringes();
    all.iter().find(|s| s.ml.saturating_mul(1000) >= ul).or(all.last())
}

/// More parts than this are no splitting of a dose.
const MOST_SITES: u32 = 100;

/// A dose in the fewest parts of which none is above the most for one site, as equal as the marks of a syringe allow;
/// the larger come first, and together they are the dose exactly.
///
/// A dose that is no volume, or has no volume as its bound, or would need over 100 sites, comes back whole.
pub fn per_site(drawn: Dose, most_per_site: Dose) -> Vec<Dose> {
    let (Dose::Volume(ul), Dose::Volume(most)) = (drawn, most_per_site) else { return vec![drawn] };
    if ul == 0 || most == 0 || ul <= most || ul.div_ceil(most) > MOST_SITES {
        return vec![drawn];
    }
    let sites = ul.div_ceil(most);
    let own = syringe_for(ul.div_ceil(sites)).map_or(1, |s| s.mark_ul);
    // A dose that was not rounded to the marks of the parts' syringe is split by finer ones; whole microlitres always fit.
    let mark =
        [own, 100, 10].into_iter().find(|m| ul.is_multiple_of(*m) && (ul / m).div_ceil(sites) <= most / m);
    let mark = mark.unwrap_or(1);
    let (each, more) = ((ul / mark) / sites, (ul / mark) % sites);
    (0..sites).map(|i| Dose::Volume((each + u32::from(i < more)) * mark)).collect()
}
