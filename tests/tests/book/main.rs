//! The book on the disk: its formats, copies, damage, strangers' books, and what becomes of it when a write fails.
//!
//! The long drills are in `drills`.

mod backups;
mod copies;
mod documents;
mod killed;
mod killed_import;
mod merged;
mod older_books;
mod pedigree_truth;
mod salvage;
mod strangers;
mod write_failures;
