//! The main job against the world outside: published tables, worked examples and data sets, each with its source.
//!
//! Values and their sources lie in `tests/reference`; what only the made-up flock says does not belong here.

mod calibrated;
mod curves;
mod dose;
mod drawing;
mod due;
mod evaluation;
mod feed_costs;
mod feedstore;
mod figures;
mod gestation;
mod growth;
mod handbook;
mod kinship;
mod marks;
mod off_label;
mod pairs;
mod plan;
mod ration;
mod reml;
mod rules;
mod twenty;
mod withdrawal;
mod worms;
