//! Tests: what the end-to-end, reference and window tests share.
pub mod book;
pub mod cli;
pub mod dense;
pub mod flocks;
pub mod journal;
pub mod kin;
pub mod life;
pub mod maker;
pub mod painter;
pub mod reference;
pub mod scribe;
pub mod shed;
pub mod shelf;
pub mod shot;
