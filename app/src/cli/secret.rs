//! Passphrases for the command line: from a file or what is piped in, never an argument.

use super::{Trouble, out};
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;

/// More than this is no passphrase.
const MOST: u64 = 4096;

/// The passphrase for a file whose name ends in .age: the first line of `from`. None where the file is not to be closed.
pub fn passphrase(to: &Path, from: Option<&Path>) -> Result<Option<String>, Trouble> {
    let sealed = to.extension().is_some_and(|e| e.eq_ignore_ascii_case("age"));
    let Some(from) = from else {
        return match sealed {
            false => Ok(None),
            true => Err(Trouble::World(format!(
                "{} would be closed with a passphrase: name a file that holds it with --passphrase-file, or - to pipe it in",
                to.display()
            ))),
        };
    };
    if !sealed {
        return Err(Trouble::World(format!(
            "{} would not be closed with the passphrase: give it a name that ends in .age, or leave --passphrase-file out",
            to.display()
        )));
    }
    let mut line = String::new();
    let read = if from.as_os_str() == "-" {
        BufReader::new(std::io::stdin().take(MOST)).read_line(&mut line)
    } else {
        std::fs::File::open(from).and_then(|f| BufReader::new(f.take(MOST)).read_line(&mut line))
    };
    read.map_err(|e| Trouble::World(format!("{} could not be read: {}", from.display(), out::cause(&e))))?;
    let word = line.trim_end_matches(['\n', '\r']);
    if word.is_empty() {
        return Err(Trouble::World(format!(
            "there is no passphrase in {}: its first line is empty",
            from.display()
        )));
    }
    Ok(Some(word.to_string()))
}
