//! Access: every page and part is walked through as a screen reader and a keyboard go through it.

mod drafts;
mod finder;
mod keys_alone;
mod large;
mod tab;
mod walk;
