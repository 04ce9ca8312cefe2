//! App.
pub mod desk;
pub mod look;
pub mod pages;
pub mod parts;
