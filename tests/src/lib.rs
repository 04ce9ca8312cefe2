//! Tests: what the end-to-end, reference and window tests share.
pub mod flocks;
pub mod painter;
pub mod shot;
