//! The program: the window and the command line, over the same core.
//!
//! `desk` runs the window and is the one that writes to the book in it; `pages` show and ask, `parts` are what pages are
//! made of, `look` is how all of it looks; `cli` does the same work without a window; `crash` is for
//! faults of our own, `whole` for files.
//! What is true of sheep, papers and files belongs into the core.

pub mod cli;
pub mod crash;
pub mod desk;
pub mod help;
pub mod look;
pub mod pages;
pub mod parts;
pub mod whole;

/// The version of the program and of the books it writes.
pub fn version() -> &'static str {
    static WORDS: std::sync::LazyLock<String> = std::sync::LazyLock::new(|| {
        format!("{} (book format {})", env!("CARGO_PKG_VERSION"), hirsel_core::book::FORMAT)
    });
    &WORDS
}

/// What the binary does: the command line, or the window when no command is given.
pub fn main_entry() -> std::process::ExitCode {
    crash::watch(desk::kept::Kept::of_user().folder());
    cli::run(std::env::args_os(), desk::run)
}
