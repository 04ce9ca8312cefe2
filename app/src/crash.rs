//! What is left when the program itself is at fault: a report in the settings folder, told at the next start.
//!
//! Nothing is ever sent. A report holds no word of a book: of what was done only the names of acts, and of what went
//! wrong only words known to come from the program. Knows neither pages nor the book; the desk tells it where it is.

use chrono::{DateTime, Local};
use std::any::Any;
use std::cell::RefCell;
use std::collections::VecDeque;
use std::fmt::{self, Debug, Write as _};
use std::io::Write as _;
use std::panic::{Location, PanicHookInfo};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, TryLockError};

/// Acts that are remembered.
const ACTS: usize = 12;
/// Reports that are kept; older ones make room.
const KEPT: usize = 20;
/// The file that names the report nobody was told of yet.
const UNTOLD: &str = "untold";

/// The page on which the program stands while it opens a book.
pub const OPENING: &str = "opening a book";

struct Trail {
    page: &'static str,
    acts: VecDeque<String>,
}

static TRAIL: Mutex<Trail> = Mutex::new(Trail { page: "none", acts: VecDeque::new() });
static FOLDER: OnceLock<PathBuf> = OnceLock::new();
/// The last report of a thread that is not the window's.
static LAST: Mutex<Option<PathBuf>> = Mutex::new(None);
thread_local! {
    /// The report of this thread's own fault.
    static OWN: RefCell<Option<PathBuf>> = const { RefCell::new(None) };
}
static IN_WORK: Mutex<Vec<Option<PathBuf>>> = Mutex::new(Vec::new());
static ASKED: OnceLock<Rehearsal> = OnceLock::new();

/// A fault on purpose, to see that it is reported as it should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Rehearsal {
    /// In the window's own thread: the program ends.
    Window,
    /// In slow work beside it: the window goes on.
    Work,
    /// In a command without a window.
    Command,
}

impl Rehearsal {
    /// Asks for it; the window looks for it once it is open.
    pub fn ask(self) {
        let _ = ASKED.set(self); // the first one holds
    }

    /// What was asked for.
    pub fn asked() -> Option<Self> {
        ASKED.get().copied()
    }

    /// Is at fault.
    pub fn fail() -> ! {
        std::panic::panic_any("a fault on purpose")
    }
}

/// A report of an earlier run that nobody was told of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Untold {
    /// Where it lies.
    pub report: PathBuf,
    /// The page on which it happened, in its words on screen, or [`OPENING`].
    pub page: String,
}

/// From now on every fault leaves a report in `reports` of this folder.
pub fn watch(settings: &Path) {
    if FOLDER.set(settings.join("reports")).is_err() {
        return;
    }
    let main = std::thread::current().id();
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        let ends = std::thread::current().id() == main;
        // For those who look for the fault themselves.
        if cfg!(debug_assertions) || std::env::var_os("RUST_BACKTRACE").is_some() {
            before(info);
        }
        left_behind(info, ends);
    }));
}

/// Where the program is now.
pub fn at(page: &'static str) {
    if let Ok(mut trail) = TRAIL.lock() {
        trail.page = page;
    }
}

/// What is done now, in words of the program's own.
pub fn did(act: impl Into<String>) {
    if let Ok(mut trail) = TRAIL.lock() {
        if trail.acts.len() == ACTS {
            trail.acts.pop_front();
        }
        trail.acts.push_back(act.into());
    }
}

/// The name of an act without what it carries: up to the first sign that is no letter of a name.
pub fn name_of(act: &impl Debug) -> String {
    struct Name(String);
    impl fmt::Write for Name {
        fn write_str(&mut self, text: &str) -> fmt::Result {
            let end = text.find(|c: char| !c.is_ascii_alphanumeric() && c != '_');
            self.0.push_str(&text[..end.unwrap_or(text.len())]);
            if end.is_some() { Err(fmt::Error) } else { Ok(()) }
        }
    }
    let mut name = Name(String::new());
    let _ = write!(name, "{act:?}"); // it ends with an error on purpose
    name.0
}

/// Work of a thread of its own dies. The fault may have been in a thread that worked for it.
pub fn work_died() {
    let own = OWN.with_borrow_mut(Option::take);
    let report = own.or_else(|| LAST.lock().ok().and_then(|mut last| last.take()));
    if let Ok(mut died) = IN_WORK.lock() {
        died.push(report);
    }
}

/// Work that died since this was asked last, each with its report if one could be written; whoever asks tells them.
pub fn in_work() -> Vec<Option<PathBuf>> {
    let died = IN_WORK.lock().map(|mut all| std::mem::take(&mut *all)).unwrap_or_default();
    if !died.is_empty()
        && let Some(folder) = FOLDER.get()
    {
        let _ = std::fs::remove_file(folder.join(UNTOLD)); // told now
    }
    died
}

/// The report of an earlier run that nobody was told of, once.
pub fn untold(settings: &Path) -> Option<Untold> {
    let folder = settings.join("reports");
    let mark = folder.join(UNTOLD);
    let text = std::fs::read_to_string(&mark).ok()?;
    let _ = std::fs::remove_file(mark); // if it stays it is told twice
    let (name, page) = text.split_once('\n')?;
    // Only a file of that folder, whatever stands in the mark.
    let report = folder.join(Path::new(name).file_name()?);
    report.is_file().then(|| Untold { report, page: page.trim().to_string() })
}

fn left_behind(info: &PanicHookInfo<'_>, ends: bool) {
    let Some(folder) = FOLDER.get() else { return };
    // Whoever holds the trail may be the one at fault: never wait for it.
    let (page, acts) = match TRAIL.try_lock() {
        Ok(trail) => (trail.page, trail.acts.iter().cloned().collect()),
        Err(TryLockError::Poisoned(trail)) => {
            let trail = trail.into_inner();
            (trail.page, trail.acts.iter().cloned().collect())
        }
        Err(TryLockError::WouldBlock) => ("not known", Vec::new()),
    };
    let report = Report {
        when: Local::now(),
        place: info.location().map(Location::to_string).unwrap_or_default(),
        what: harmless(info.payload()),
        thread: std::thread::current().name().unwrap_or("without a name").to_string(),
        page,
        acts,
        trace: std::backtrace::Backtrace::force_capture().to_string(),
    };
    let text = report.text(ends);
    let said = match kept(folder, &report.when, &text) {
        Ok(path) => {
            let mark = format!("{}\n{page}\n", path.file_name().unwrap_or_default().to_string_lossy());
            let _ = std::fs::write(folder.join(UNTOLD), mark); // the report itself is there
            let lies = format!("A report lies in {}; nothing was sent", path.display());
            if !ends && let Ok(mut last) = LAST.lock() {
                OWN.set(Some(path.clone()));
                *last = Some(path);
            }
            lies
        }
        Err(why) => format!("No report could be written ({why}). At {}: {}", report.place, report.what),
    };
    let what = if ends { "it failed and closed itself" } else { "it failed at some work and gave that up" };
    let line = format!("hirsel: {what}; everything written is in the book. {said}");
    let _ = writeln!(std::io::stderr(), "{line}"); // nobody may be there to read it
}

/// Writes a report under a name of its own, and lets the oldest go.
fn kept(folder: &Path, when: &DateTime<Local>, text: &str) -> std::io::Result<PathBuf> {
    std::fs::create_dir_all(folder)?;
    let stem = when.format("fault %Y-%m-%d %H.%M.%S").to_string();
    // Always with a number, so that names in order are reports in order.
    let named = |n: u32| folder.join(format!("{stem} {n:02}.txt"));
    let mut number = (1..99).rev().find(|n| named(*n).exists()).map_or(1, |last| last + 1);
    // Another thread may fail in the same moment: neither writes over the other's report.
    let path = loop {
        let path = named(number);
        match std::fs::File::create_new(&path) {
            Ok(mut file) => {
                file.write_all(text.as_bytes())?;
                break path;
            }
            Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists && number < 999 => number += 1,
            Err(e) => return Err(e),
        }
    };
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)?
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    all.sort();
    let many = all.len().saturating_sub(KEPT);
    for old in all.into_iter().take(many) {
        let _ = std::fs::remove_file(old); // one more report does no harm
    }
    Ok(path)
}

struct Report {
    when: DateTime<Local>,
    place: String,
    what: String,
    thread: String,
    page: &'static str,
    acts: Vec<String>,
    trace: String,
}

impl Report {
    fn text(&self, ends: bool) -> String {
        let became = if ends { "the program ended" } else { "the work was given up, the window went on" };
        let acts = if self.acts.is_empty() { "none".to_string() } else { self.acts.join(", ") };
        format!(
            "A fault of Hirsel\n\
             =================\n\n\
             This file lies on this machine alone; nothing was sent. It holds no tag, name or note of your book.\n\
             If it happens again, read it and give it to whoever you have Hirsel from, with what you did before.\n\
             What was written before is in the book. You may throw this file away.\n\n\
             when     {}\n\
             version  hirsel {}\n\
             system   {} {}\n\
             then     {became}\n\
             where    {}\n\
             what     {}\n\
             thread   {}\n\
             page     {}\n\
             acts     {acts}\n\n\
             {}\n",
            self.when.format("%Y-%m-%d %H:%M:%S %:z"),
            crate::version(),
            std::env::consts::OS,
            std::env::consts::ARCH,
            self.place,
            self.what,
            self.thread,
            self.page,
            self.trace,
        )
    }
}

/// Beginnings of the messages of the standard library, and the sign from which on they hold what the program held.
const KNOWN: [(&str, &str); 11] = [
    ("index out of bounds: ", "\n"),
    ("range start index ", "\n"),
    ("range end index ", "\n"),
    ("slice index starts at ", "\n"),
    ("byte index ", ";"),
    ("start byte index ", ";"),
    ("end byte index ", ";"),
    ("called `Result::unwrap()` on an `Err` value", ":"),
    ("attempt to ", "\n"),
    ("already ", ":"),
    ("capacity overflow", "\n"),
];

/// What a fault says of itself, as far as it can hold no word of a book: words that stand in the program as they are,
/// and the fixed part of the messages of the standard library.
fn harmless(payload: &(dyn Any + Send)) -> String {
    if let Some(fixed) = payload.downcast_ref::<&'static str>() {
        return (*fixed).to_string();
    }
    let made = payload.downcast_ref::<String>().map(String::as_str).unwrap_or_default();
    for (begins, ends) in KNOWN {
        if let Some(rest) = made.strip_prefix(begins) {
            let kept = rest.find(ends).map_or(rest, |at| &rest[..at]);
            // `byte index 3 is out of bounds of `…``: what stands in such signs is text of the program's.
            let kept = kept.find('`').map_or(kept, |at| &kept[..at]);
            return format!("{begins}{kept}").trim_end().to_string();
        }
    }
    "left out, for it may hold words of the book".into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> String {
        harmless(&text.to_string())
    }

    #[test]
    fn words_of_a_book_stay_out() {
        let caught = |work: fn()| {
            let payload = std::panic::catch_unwind(work).unwrap_err();
            harmless(payload.as_ref())
        };
        let told = caught(|| {
            let name = String::from("Siân");
            let _ = std::hint::black_box(&name[..3]);
        });
        assert!(told.contains("byte index 3") && !told.contains("Si"), "{told}");
        let told = caught(|| {
            let name = String::from("Siân");
            let _ = std::hint::black_box(&name[..30]);
        });
        assert!(told.contains("byte index 30") && !told.contains("Si"), "{told}");
        let told = caught(|| {
            let wrong = Err::<(), _>("Siân is no ewe".to_string());
            std::hint::black_box(wrong).unwrap();
        });
        assert_eq!(told, "called `Result::unwrap()` on an `Err` value");
        let told = caught(|| {
            let all = [1, 2, 3];
            let _ = std::hint::black_box(all[std::hint::black_box(5)]);
        });
        assert_eq!(told, "index out of bounds: the len is 3 but the index is 5");
        assert_eq!(of("0412 is under withdrawal"), "left out, for it may hold words of the book");
        assert_eq!(harmless(&"no such thing"), "no such thing");
        assert_eq!(harmless(&7_u32), "left out, for it may hold words of the book");
    }

    #[test]
    fn two_that_fail_at_once_leave_two_reports() {
        let folder = std::env::temp_dir().join(format!("hirsel-at-once-{}", std::process::id()));
        let when = Local::now();
        let paths: std::collections::BTreeSet<PathBuf> = std::thread::scope(|scope| {
            let one = |n: usize| {
                let (folder, when) = (&folder, &when);
                move || kept(folder, when, &n.to_string()).unwrap()
            };
            let all: Vec<_> = (0..8).map(|n| scope.spawn(one(n))).collect();
            all.into_iter().map(|t| t.join().unwrap()).collect()
        });
        let texts: std::collections::BTreeSet<_> =
            paths.iter().map(|p| std::fs::read_to_string(p).unwrap()).collect();
        assert_eq!((paths.len(), texts.len()), (8, 8));
        let _ = std::fs::remove_dir_all(&folder);
    }

    #[test]
    fn an_act_is_named_without_what_it_carries() {
        #[derive(Debug)]
        #[allow(dead_code)] // read by Debug alone
        enum Act {
            Write { who: &'static str },
            Open(&'static str),
            Undo,
        }
        let names = [Act::Write { who: "0412" }, Act::Open("Siân"), Act::Undo].map(|a| name_of(&a));
        assert_eq!(names, ["Write", "Open", "Undo"]);
    }

    #[test]
    fn a_report_says_what_to_do_and_old_ones_make_room() {
        let report = Report {
            when: Local::now(),
            place: "app/src/x.rs:1:2".into(),
            what: "no such thing".into(),
            thread: "main".into(),
            page: "Weights",
            acts: vec!["Go".into(), "Write".into()],
            trace: "0: main".into(),
        };
        let text = report.text(true);
        for words in
            ["nothing was sent", "book format", "app/src/x.rs:1:2", "Weights", "Go, Write", "0: main"]
        {
            assert!(text.contains(words), "{words}: {text}");
        }
        let folder = std::env::temp_dir().join(format!("hirsel-reports-{}", std::process::id()));
        let inside = folder.join("reports");
        let paths: Vec<_> = (0..KEPT + 3).map(|_| kept(&inside, &report.when, &text).unwrap()).collect();
        assert_eq!(std::fs::read_dir(&inside).unwrap().count(), KEPT);
        assert!(paths.last().unwrap().is_file());

        assert_eq!(untold(&folder), None);
        let name = paths.last().unwrap().file_name().unwrap().to_string_lossy().into_owned();
        std::fs::write(inside.join(UNTOLD), format!("../reports/{name}\nWeights\n")).unwrap();
        let told = untold(&folder).unwrap();
        assert_eq!((told.report.as_path(), told.page.as_str()), (paths.last().unwrap().as_path(), "Weights"));
        assert_eq!(untold(&folder), None, "it is told once");
        let _ = std::fs::remove_dir_all(&folder);
    }
}
