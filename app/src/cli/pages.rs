//! The pages of the manual and the completions of shells, made from the same words as `--help`.

use super::line::Line;
use super::out::{self, Out};
use super::{Done, Trouble};
use clap::CommandFactory as _;
use clap_complete::Shell;
use std::path::Path;

/// Lays them into a folder: `man/*.1`, and a file for each shell under the name the shell looks for.
pub(super) fn write(out: &mut Out, folder: &Path) -> Done {
    let failed = |path: &Path, e: &std::io::Error| {
        Trouble::World(format!("{} could not be written: {}", path.display(), out::cause(e)))
    };
    let man = folder.join("man");
    std::fs::create_dir_all(&man).map_err(|e| failed(&man, &e))?;
    clap_mangen::generate_to(Line::command(), &man).map_err(|e| failed(&man, &e))?;
    for shell in [Shell::Bash, Shell::Zsh, Shell::Fish, Shell::PowerShell] {
        clap_complete::generate_to(shell, &mut Line::command(), "hirsel", folder)
            .map_err(|e| failed(folder, &e))?;
    }
    out.line(&format!("Wrote the pages of the manual and the completions into {}", folder.display()))
}
