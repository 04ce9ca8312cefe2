//! The pages of the window, each by the keyboard alone.
//!
//! What runs through more than one page is in `window`; what the core alone can show does not belong here.

mod backups;
mod barn;
mod blood_doubts;
mod blood_pedigree;
mod book;
mod copies;
mod courses;
mod diversity;
mod feed_creep;
mod feed_mixing;
mod feed_rations;
mod feed_spring;
mod feed_store;
mod figures;
mod genes;
mod give;
mod inspect;
mod joining;
mod joining_pairs;
mod keeping;
mod keeping_values;
mod lambing;
mod language;
mod leaf;
mod papers;
mod pictures;
mod plan;
mod registers;
mod roll;
mod shelf;
mod tables_in;
mod timeline;
mod tonight;
mod treatments;
mod weigh_session;
mod weights;
mod weights_curves;
mod weights_fixed;
mod weights_milk;
mod weights_read;
mod words;
