//! Growth curves: of one animal, and of the animals of a sort in this flock.
//!
//! A curve is drawn through weights by least squares and says what it does not know: its figures come with standard
//! errors, its weights with a band in which nine of ten lie, and where the weights do not carry a curve or a mature
//! weight the reason is told in words. Weights here are kilograms and ages days; both may be any other unit in checks
//! against published fits.

mod behind;
mod curve;
mod draw;
mod fit;
mod flock;
mod misread;
mod own;
mod shape;
mod sort;
#[cfg(test)]
mod tests;

pub use behind::{Behind, Beside, falling_behind};
pub use curve::{Curve, Figures, Mature, NoMature, NotTold, Reach};
pub use draw::{NoCurve, Spread, draw};
pub use flock::{Bands, Like, NotEnough, bands};
pub use misread::{Misread, Row, misread_tags};
pub(crate) use own::off_curve;
pub use own::{MODELS, of_animal, of_animal_as, points_of};
pub use shape::Model;
pub use sort::{Sort, sort_of};
