//! The window as a whole and its parts: desk, look, help, note line, readers, and whole evenings at the table.
//!
//! One page's own tests are in `pages`.

mod calendar_pictures;
mod desk;
mod evening;
mod evening_recorded;
mod help;
mod look;
mod meant_for;
mod note_line;
mod parts_form;
mod parts_table;
mod readers;
