//! App.
pub mod look;
pub mod parts;
