//! Charts that are read at once: a figure year by year as dots, and bars below one another. Every value is written
//! beside its shape, and the whole is one sentence for those who listen.

mod dots;
mod levels;

pub use dots::{Dot, Dots};
pub use levels::{Level, levels, said};
