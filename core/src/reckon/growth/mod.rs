//! Growth: daily gains, age-corrected weights, and weights that look odd.

mod gains;
mod odd;
mod sixty;

pub use gains::{Gains, gains};
pub use odd::{Odd, odd};
pub use sixty::{SixtyDay, corrected, sixty_day};
