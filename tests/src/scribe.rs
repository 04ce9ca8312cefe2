//! Running the scribe, killing it, and telling from its words what the book must hold.

use hirsel_core::flock::Flock;
use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::time::Duration;

/// A scribe at work.
pub struct Scribe {
    child: Child,
    lines: Receiver<String>,
    heard: Vec<String>,
}

/// What a scribe said before it ended.
pub struct Said {
    /// Its lines.
    pub lines: Vec<String>,
    /// What it said on standard error.
    pub error: String,
    /// Its exit code; none if it was killed.
    pub code: Option<i32>,
}

impl Scribe {
    /// Starts one.
    ///
    /// # Panics
    /// When it cannot be started.
    pub fn start(mut command: Command) -> Self {
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap_or_else(|e| panic!("the scribe did not start: {e}"));
        let (send, lines) = mpsc::channel();
        if let Some(out) = child.stdout.take() {
            std::thread::spawn(move || {
                let mut out = BufReader::new(out);
                let mut line = String::new();
                // A line cut off by the kill was not said.
                while out.read_line(&mut line).is_ok_and(|n| n > 0) && line.ends_with('\n') {
                    let _ = send.send(line.trim_end().to_string());
                    line.clear();
                }
            });
        }
        Self { child, lines, heard: Vec::new() }
    }

    /// Waits until it has said that something is done.
    ///
    /// # Panics
    /// When it ends or is silent for half a minute before.
    pub fn until_first_ok(&mut self) {
        while !self.heard.last().is_some_and(|l| l.starts_with("ok ")) {
            match self.lines.recv_timeout(Duration::from_secs(30)) {
                Ok(line) => self.heard.push(line),
                Err(e) => {
                    let _ = self.child.kill();
                    let mut said = String::new();
                    let _ = self.child.stderr.take().map(|mut e| e.read_to_string(&mut said));
                    panic!("the scribe said nothing ({e}): {said}");
                }
            }
        }
    }

    /// Kills it where it stands.
    pub fn kill(mut self) -> Said {
        let _ = self.child.kill();
        self.end()
    }

    /// Waits for its end.
    pub fn end(mut self) -> Said {
        let mut error = String::new();
        let _ = self.child.stderr.take().map(|mut e| e.read_to_string(&mut error));
        let code = self.child.wait().ok().and_then(|s| s.code());
        self.heard.extend(self.lines.iter());
        Said { lines: self.heard, error, code }
    }
}

/// What a book must hold, told from a scribe's words.
#[derive(Debug, Clone, Default)]
pub struct Promised {
    /// Records by mark, of writes acknowledged and not undone.
    pub held: BTreeMap<u64, usize>,
    /// The first number not used.
    pub next: u64,
    /// Acts begun and not acknowledged, one for each scribe killed since the book was last read: the mark with the
    /// records written, or taken away (none).
    open: Vec<(u64, Option<usize>)>,
    /// How many acts were acknowledged.
    pub acts: usize,
}

impl Promised {
    /// Nothing yet.
    pub fn nothing() -> Self {
        Self { next: 1, ..Self::default() }
    }

    /// Takes a scribe's words in.
    ///
    /// # Panics
    /// When they are none of a scribe's.
    pub fn hear(&mut self, lines: &[String]) {
        for line in lines {
            let words: Vec<&str> = line.split(' ').collect();
            let number = |w: &str| w.parse::<u64>().unwrap_or_else(|e| panic!("'{line}': {e}"));
            match words.as_slice() {
                ["do", n, "write", records] => {
                    self.next = number(n) + 1;
                    self.open.push((number(n), Some(number(records) as usize)));
                }
                ["do", n, "undo", m] => {
                    self.next = number(n) + 1;
                    self.open.push((number(m), None));
                }
                ["ok", _] => {
                    self.acts += 1;
                    match self.open.pop() {
                        Some((n, Some(records))) => drop(self.held.insert(n, records)),
                        Some((m, None)) => drop(self.held.remove(&m)),
                        None => panic!("'{line}' without an act"),
                    }
                }
                _ => panic!("'{line}' is none of a scribe's words"),
            }
        }
    }

    /// Compares a flock with what was promised. An act that was begun and not acknowledged may have been done
    /// or not, but not in part.
    ///
    /// # Errors
    /// What is lost, half there, or was never promised.
    pub fn settle(&mut self, flock: &Flock) -> Result<(), String> {
        let found = marks(flock);
        let open = std::mem::take(&mut self.open);
        for (n, records) in &self.held {
            let here = found.get(n).copied().unwrap_or_default();
            let may_be_gone = open.contains(&(*n, None)) && here == 0;
            if here != *records && !may_be_gone {
                return Err(format!("of {records} acknowledged records of write {n} there are {here}"));
            }
        }
        for (n, here) in &found {
            if !self.held.contains_key(n) && !open.contains(&(*n, Some(*here))) {
                return Err(format!("{here} records of write {n}, which was not acknowledged: {open:?}"));
            }
        }
        self.held = found;
        Ok(())
    }
}

/// Records by their mark.
fn marks(flock: &Flock) -> BTreeMap<u64, usize> {
    let mut found = BTreeMap::new();
    let mut take = |text: Option<&str>| {
        if let Some(n) = text.and_then(|t| t.strip_prefix('#')).and_then(|n| n.parse::<u64>().ok()) {
            *found.entry(n).or_default() += 1;
        }
    };
    for f in flock.files() {
        take(f.animal.colour.as_deref());
        f.lambings.iter().for_each(|r| take(r.note.as_deref()));
        f.weighings.iter().for_each(|r| take(r.note.as_deref()));
        f.treatments.iter().for_each(|r| take(r.batch.as_deref()));
        f.remarks.iter().for_each(|r| take(Some(&r.text)));
    }
    found
}

/// The scribe's command for a book.
pub fn command(scribe: &str, book: &Path, first: u64) -> Command {
    let mut c = Command::new(scribe);
    c.arg(book).arg(first.to_string());
    c
}
