//! Feed in figures: the square of two feeds, the cheapest mix of many, what a mix holds, what a group needs and what a
//! ration gives it, and what must be said about it.
//!
//! Every share and percentage names its base ([`crate::terms::Base`]): as fed, water and all, or dry matter. Feeds are
//! reckoned as [`Ingredient`]s, which know nothing of the book. Nothing here stands over the label, a feed analyst or the vet.

mod balance;
mod blend;
mod cautions;
#[cfg(test)]
mod fed_tests;
mod holds;
mod ingredient;
mod needs;
mod open;
mod own;
mod rules;
mod square;
#[cfg(test)]
mod tests;

pub use balance::{Balance, Given, Line, balance};
pub use blend::{
    Alone, Ask, Blend, Cannot, Choice, Demand, LeftOut, Limited, Met, NoBlend, Part, Rounded, RoundedPart,
    Short, blend, whole_units,
};
pub use cautions::{Caution, Diet, Grave, Whole, of_diet, of_mix};
pub use holds::{Holds, holds};
pub use ingredient::Ingredient;
pub use needs::{Asked, How, Need, Needs, daily, daily_unit, needs};
pub use open::{Circle, open};
pub use own::{analysis, ingredient, ingredients, opened, source};
pub use rules::{CreepStep, FeedRules, Limit, NeedRow, Target};
pub use square::{Corner, NoSquare, Side, Square, square};
