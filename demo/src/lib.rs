//! Demo.
