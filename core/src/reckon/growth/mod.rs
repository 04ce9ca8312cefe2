//! Growth: gains between any two days, weights carried to a fixed age and compared, a ewe's milk, and weights that look
//! odd.

mod between;
pub mod fixed;
mod gains;
pub mod milk;
mod odd;
pub mod rules;
mod sixty;

pub use super::curves::{Misread, misread_tags};
pub use between::{Between, NoGain, gain_between, gain_between_sessions, mean_gains, weight_on};
pub use gains::{Gains, gains};
pub use odd::{Odd, odd};
pub use sixty::{SixtyDay, corrected, sixty_day};
