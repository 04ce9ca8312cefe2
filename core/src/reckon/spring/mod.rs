//! Feed to spring: how long what is in store lasts, by who will eat it day by day, with bands by chance.
//!
//! A [`Model`] is plain numbers; [`outlook`] reckons many winters of it and gives the middle and the band in which eight
//! of ten lie. [`winter`] gathers the model from the flock: ewes in lamb go on to lamb by their due windows, lambs are
//! expected from scans (which are never a birth count) and the flock's own litters, rations hold as they are planned.

mod ask;
mod chance;
mod gather;
mod model;
mod off;
mod outlook;
mod own;
mod run;
mod store;
#[cfg(test)]
mod tests;
mod told;

pub use ask::{Ask, NoWinter};
pub use model::{Carrying, Head, Life, Line, Model, Raising};
pub use outlook::{Band, DayAhead, GoOn, Outlook, SHARES, at_share, band, outlook};
pub use own::{Own, Share};
pub use told::{Winter, winter};

/// No farther ahead than this is looked.
const MOST_DAYS: usize = 400;
