//! App.
pub mod cli;
pub mod desk;
pub mod look;
pub mod pages;
pub mod parts;

/// What the binary does: the command line, or the window when no command is given.
pub fn main_entry() -> std::process::ExitCode {
    cli::run(std::env::args_os(), desk::run)
}
