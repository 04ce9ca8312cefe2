//! The command line and the files it reads and writes: transcripts, registers, tables, the open standard.
//!
//! What it refuses is all shown: `refusals_covered` holds that.

mod cli_world;
mod incoming;
mod refusals_covered;
mod registers;
mod standard;
mod tables_out;
mod transcripts;
