//! Mixing on the farm: which feeds there are to mix and what is known of them, what a group asks of a mix, what the
//! answer means in words, and what is weighed out for a batch.
//!
//! Knows the flock's feed room, the handbook and [`crate::reckon::ration`]. Nothing here stands over the label, a feed
//! analyst or the vet.

mod asked;
mod group;
mod stuff;
mod unit;
mod weigh;
mod words;

pub use asked::{AskRow, What, demands};
pub use group::{Group, Wanted, wanted};
pub use stuff::{From, Offer, Stuff, figures, offers, stuff};
pub use unit::Unit;
pub use weigh::{WeighLine, Weighing, weighing};
pub use words::{
    Held, cautions, cost_words, floor, held, left_out, limited, money, no_blend, rounded_words, shadow,
    square_words,
};

#[cfg(test)]
mod tests;
