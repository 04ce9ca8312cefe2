//! Animal data as the open standard has it (ICAR ADE 1.3.2, JSON), out and in.
//!
//! The carrier. The standard defines a schema for each resource and one for a collection of each, but none for a whole
//! flock: its files are answers of a service, a collection a time. Our document is one object with a property for each
//! collection, named as its schema is (`icarWeightEventCollection`) and holding what that schema says (`view`, `member`).
//! So each part of the file is valid by itself, and can be handed on alone to whoever asks for it. In comes any of
//! these: our document, one collection, a bare array of resources, one resource.
//!
//! What is ours and has no field stands in the last line of the remark (`kept`); what no resource can carry is listed in
//! [`NOT_CARRIED`]. Nothing is written as null, no field is invented. Times are UTC (`time`).
//!
//! A resource names its record by `meta.source` and `meta.sourceId`: what comes in keeps its id, so that the same file
//! again brings nothing, wherever the record has gone since.

mod kept;
mod out;
mod read;
mod schemes;
mod time;
mod words;

pub use out::{Options, Value, export};
pub use read::{BadRecord, Incoming, MOST_BYTES, New, Unread, read};
pub use time::Zone;

/// What the standard has no place for, and what therefore stays in the book: a copy of the book keeps it.
pub const NOT_CARRIED: [&str; 9] = [
    "days between which a mark was worn (that it was lost or replaced is told)",
    "of animals neither born here nor with a day they came: estimated births, kind of birth and rearing, registry section, marks, the standing note, what they are meant for, several possible sires",
    "scores other than condition, whose scales the standard does not have",
    "sessions at the scale, decisions, groups mended by hand, crayon marks, tests of genes, egg counts",
    "pens of the past (those of today are sets), notes by day, jobs ticked, kept papers",
    "products, batches and stock of the cupboard, vets and prescriptions (a treatment names its product and batch)",
    "feed, money, rules and plans",
    "that a genetic dam did not bear the animal, where the ewe that bore it is not known; fractions of a breed that are not reduced",
    "since when and why an animal is outside the flock, and why one is here of which no day is known",
];
