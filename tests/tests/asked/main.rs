//! Every refusal, question and caution of the checks, once each, in its words and at its field.
//!
//! Through the core alone: no window, no command line.

mod blood;
mod cupboard;
mod evaluation;
mod fed;
mod medicated_feed;
mod questions;
mod ration_own;
mod treatment;
mod treatment_amended;
mod weighed;
