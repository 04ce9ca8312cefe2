//! The computations: pure, deterministic functions of a flock and a day. No clock, no files.

pub mod antibiotics;
pub mod clearance;
pub mod courses;
pub mod curves;
pub mod dosing;
pub mod doubts;
pub mod due;
pub mod evaluation;
pub mod figures;
pub mod genes;
pub mod gestation;
pub mod grading;
pub mod growth;
pub mod joined;
pub mod kinship;
pub mod life;
pub mod mating;
pub mod pedigree;
pub mod purge;
pub mod season;
pub mod seasons;
pub mod stock;
pub mod trail;
pub mod visit;
pub mod watch;
pub mod worms;
