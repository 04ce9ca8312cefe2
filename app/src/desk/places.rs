//! Copies of the open book: what each holds, the second place, and what is made of one. Files are read and written off
//! the window's thread; a folder that is not there is no error, only a reminder.

use super::worker::{Died, Job};
use super::{Chosen, Desk, OpenBook, Stage, files, kept};
use crate::look::Kind as Say;
use crate::pages::PageId;
use hirsel_core::book::{self, Book, Compared, Copy, Held, PLACE_DAYS, Place, Ready};
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What a page may ask of the copies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CopyWish {
    /// Make it a book of its own beside the book.
    Beside(PathBuf),
    /// Open the book that was made beside.
    OpenMade(PathBuf),
    /// Compare it with the book as it is now.
    Compare(PathBuf),
    /// Let go of what was compared.
    LeaveCompared,
    /// Close the book, put the copy in its place, and open that.
    PutInPlace(PathBuf),
    /// From now on this folder is the second place, asked for after so many days; an empty name lets go of it.
    Place(String, String),
    /// Let the keeper choose the folder.
    ChoosePlace,
    /// Put a copy there now.
    PutThere,
    /// Write a copy to a file under a passphrase.
    Seal(PathBuf, String),
}

/// A second place as it is set on this machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Second {
    /// The folder.
    pub folder: PathBuf,
    /// Days after which a new copy is asked for.
    pub days: i64,
}

/// A copy with what it holds, or why it cannot be read.
pub type Known = (Copy, Result<Held, String>);

/// What was compared, as far as it is.
pub enum Comparing {
    /// Being read.
    Going(String),
    /// The copy's name and what differs, or why it could not be compared.
    Done(String, Result<Compared, String>),
}

/// Copies as they are known, and work that is under way.
#[derive(Default)]
pub struct Kept {
    known: Option<Arc<Vec<Known>>>,
    read_for: Option<Vec<PathBuf>>,
    reading: Option<Job<Vec<Known>>>,
    second: Option<Second>,
    state: Option<Place>,
    looked: Option<Instant>,
    looking: Option<Job<Place>>,
    putting: Option<Job<Result<PathBuf, String>>>,
    doing: Option<Job<Result<Made, String>>>,
    comparing: Option<Job<Result<Compared, String>>>,
    compared: Option<Comparing>,
    made: Option<PathBuf>,
    number: u64,
}

/// What a thread made of a copy.
enum Made {
    Beside(PathBuf),
    Sealed(PathBuf),
}

/// The folder is looked at anew after this time, while somebody looks.
const AGAIN: Duration = Duration::from_secs(30);

impl Kept {
    pub(super) fn of(kept: &kept::Kept, path: &Path) -> Self {
        Self { second: kept.second(path), ..Self::default() }
    }

    /// Kept copies with what they hold; none while they are being read for the first time.
    pub fn known(&self) -> Option<&[Known]> {
        self.known.as_ref().map(|k| k.as_slice())
    }

    /// Another number whenever copies were read anew.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// The second place, if one is set.
    pub fn second(&self) -> Option<&Second> {
        self.second.as_ref()
    }

    /// How it is; none until it was looked at.
    pub fn state(&self) -> Option<&Place> {
        self.state.as_ref()
    }

    /// A copy is being put there.
    pub fn is_putting(&self) -> bool {
        self.putting.is_some()
    }

    /// Something is being made of a copy.
    pub fn is_busy(&self) -> bool {
        self.doing.is_some()
    }

    /// What was compared last.
    pub fn compared(&self) -> Option<&Comparing> {
        self.compared.as_ref()
    }

    /// The book that was made of a copy last.
    pub fn made(&self) -> Option<&Path> {
        self.made.as_deref()
    }

    /// One line when a new copy in the second place is due; none while all is well or nothing is set.
    pub fn reminder(&self, today: Day) -> Option<String> {
        let second = self.second.as_ref()?;
        if self.is_putting() {
            return None;
        }
        // On the stick's own name a keeper knows it; the whole path stands under The book.
        let place = name(&second.folder);
        match self.state.as_ref()? {
            Place::NotThere => Some(phrase!(
                "The second place for copies is not there ({place}): plug it in, then put a copy there"
            )),
            Place::There(None) => Some(phrase!("No copy is in the second place yet ({place})")),
            Place::There(Some(on)) if today.since(*on) > second.days => Some(phrase!(
                "The newest copy in the second place is {} days old ({place})",
                today.since(*on)
            )),
            Place::There(Some(_)) => None,
        }
    }
}

impl kept::Kept {
    fn places(&self) -> BTreeMap<PathBuf, Second> {
        let text = std::fs::read_to_string(self.folder().join("places.json")).unwrap_or_default();
        serde_json::from_str(&text).unwrap_or_default()
    }

    /// The second place of a book on this machine.
    pub fn second(&self, book: &Path) -> Option<Second> {
        self.places().remove(&std::path::absolute(book).unwrap_or_else(|_| book.to_path_buf()))
    }

    /// Sets it, or lets go of it.
    pub fn set_second(&self, book: &Path, second: Option<Second>) {
        let mut all = self.places();
        let book = std::path::absolute(book).unwrap_or_else(|_| book.to_path_buf());
        match second {
            Some(second) => all.insert(book, second),
            None => all.remove(&book),
        };
        if let Ok(text) = serde_json::to_string_pretty(&all) {
            let _ = std::fs::create_dir_all(self.folder());
            let _ = files::save(&self.folder().join("places.json"), text.as_bytes());
        }
    }
}

impl OpenBook {
    /// Keeps up what is known of the copies and of the second place while it is seen.
    pub(super) fn keep_places(&mut self, ctx: &egui::Context) {
        let p = &mut self.places;
        if let Some(known) = p.reading.as_ref().and_then(Job::take) {
            (p.known, p.reading) = (Some(Arc::new(known)), None);
            p.number += 1;
        }
        if let Some(state) = p.looking.as_ref().and_then(Job::take) {
            (p.state, p.looking) = (Some(state), None);
        }
        if self.pages.at == PageId::Book && p.reading.is_none() {
            let folder = book::backup_folder(&self.path);
            let now: Vec<PathBuf> = self.copies.iter().map(|c| c.path.clone()).collect();
            if p.read_for.as_ref() != Some(&now) {
                p.read_for = Some(now);
                p.reading = Some(Job::start(ctx, move |reins| {
                    let all = book::copies(&folder);
                    let n = all.len().max(1);
                    let held = |(i, c): (usize, Copy)| {
                        let going = reins.go_on((i * 100 / n) as u32);
                        let held = book::held(&c.path).map_err(|e| e.to_string());
                        going.then_some((c, held))
                    };
                    all.into_iter().enumerate().map_while(held).collect()
                }));
            }
        }
        let seen = matches!(self.pages.at, PageId::Book | PageId::Tonight);
        let old = p.looked.is_none_or(|at| at.elapsed() > AGAIN);
        if let Some(second) = p.second.as_ref().filter(|_| seen && old && p.looking.is_none()) {
            p.looked = Some(Instant::now());
            let (folder, path) = (second.folder.clone(), self.path.clone());
            p.looking = Some(Job::start(ctx, move |_| book::place(&folder, &path)));
        }
    }
}

impl Desk {
    /// Does what a page asks of the copies.
    pub(super) fn copy_wish(&mut self, ctx: &egui::Context, wish: CopyWish) {
        let Stage::Open(open) = &mut self.stage else { return };
        match wish {
            CopyWish::Beside(copy) => {
                let path = open.path.clone();
                open.places.doing = Some(Job::start(ctx, move |_| {
                    book::restore_beside(&copy, &path).map(Made::Beside).map_err(|e| e.to_string())
                }));
            }
            CopyWish::OpenMade(path) => {
                let trouble = self.close_with_copy(ctx);
                self.open_path(&path);
                if let Some(trouble) = trouble {
                    self.say(Say::Refuse, trouble);
                }
            }
            CopyWish::Compare(copy) => match open.book.ready_copy() {
                Ok(ready) => {
                    let name = copy.file_stem().unwrap_or_default().to_string_lossy().into_owned();
                    open.places.compared = Some(Comparing::Going(name));
                    open.places.comparing =
                        Some(Job::start(ctx, move |_| ready.compare(&copy).map_err(|e| e.to_string())));
                }
                Err(e) => self.failed(&e),
            },
            CopyWish::LeaveCompared => {
                (open.places.compared, open.places.comparing) = (None, None);
            }
            CopyWish::PutInPlace(copy) => self.put_in_place(ctx, copy),
            CopyWish::Place(folder, days) => self.set_place(&folder, &days),
            CopyWish::ChoosePlace => {
                let job = Job::start(ctx, |_| {
                    rfd::FileDialog::new().set_title("A second place for copies").pick_folder()
                });
                open.chosen_file = Some((Chosen::Place, job));
            }
            CopyWish::PutThere => self.put_there(ctx),
            CopyWish::Seal(to, word) => {
                let to = files::target(&to, &open.path, "age");
                let ready = open.book.ready_copy();
                match (to, ready) {
                    (Err(why), _) => self.say(Say::Refuse, why),
                    (_, Err(e)) => self.failed(&e),
                    (Ok(to), Ok(ready)) => {
                        open.places.doing = Some(Job::start(ctx, move |_| {
                            ready.seal(&to, &word).map(|()| Made::Sealed(to)).map_err(|e| e.to_string())
                        }));
                    }
                }
            }
        }
    }

    /// Sets the second place of this book on this machine.
    pub(super) fn set_place(&mut self, folder: &str, days: &str) {
        let Stage::Open(open) = &mut self.stage else { return };
        let second = match folder.trim() {
            "" => None,
            typed => {
                let days = if days.trim().is_empty() { Ok(PLACE_DAYS) } else { days.trim().parse() };
                let Some(days) = days.ok().filter(|d| (1..=365).contains(d)) else {
                    self.say(Say::Refuse, "After how many days: write a number from 1 to 365");
                    return;
                };
                Some(Second { folder: files::absolute(typed, &open.path), days })
            }
        };
        self.kept.set_second(&open.path, second.clone());
        let said = match &second {
            None => phrase!("There is no second place for copies any more"),
            Some(s) => phrase!("The second place for copies is {}", name(&s.folder)),
        };
        (open.places.second, open.places.state, open.places.looked) = (second, None, None);
        self.say(Say::Good, said);
    }

    /// Puts a copy into the second place.
    pub(super) fn put_there(&mut self, ctx: &egui::Context) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(second) = open.places.second.clone() else {
            self.say(Say::Refuse, "No second place is set: name a folder under The book, Copies and check");
            return;
        };
        if open.places.putting.is_some() {
            return;
        }
        match open.book.ready_copy() {
            Ok(ready) => {
                open.places.putting = Some(Job::start(ctx, move |_| put(&ready, &second, today)));
                self.say(Say::Plain, "Putting a copy in the second place …");
            }
            Err(e) => self.failed(&e),
        }
    }

    /// Closes the book; a copy goes to the second place, if there is one.
    pub(super) fn close_with_copy(&mut self, ctx: &egui::Context) -> Option<String> {
        let today = self.today();
        if let Stage::Open(open) = &self.stage
            && let Some((ready, second)) = open.parting_copy()
        {
            self.parting = Some(Job::start(ctx, move |_| put(&ready, &second, today)));
        }
        self.close()
    }

    /// The window closes: a copy goes to the second place, and is waited for a while at most.
    pub(super) fn close_and_wait(&mut self) -> Option<String> {
        self.speed.ends();
        let today = self.today();
        let copy = match &self.stage {
            Stage::Open(open) => open.parting_copy(),
            Stage::Start(_) => None,
        };
        let closed = self.close();
        if let Some((ready, second)) = copy {
            let (send, done) = std::sync::mpsc::channel();
            std::thread::spawn(move || {
                let _ = send.send(put(&ready, &second, today));
            });
            let _ = done.recv_timeout(PATIENCE);
        }
        closed
    }

    fn put_in_place(&mut self, ctx: &egui::Context, copy: PathBuf) {
        let Stage::Open(open) = &self.stage else { return };
        let path = open.path.clone();
        if let Some(trouble) = self.close() {
            self.say(Say::Refuse, trouble);
            return;
        }
        if let Stage::Start(state) = &mut self.stage {
            state.busy = Some(phrase!("Putting the copy in the book’s place …"));
        }
        self.opening = Some(Job::start(ctx, move |_| {
            // Whatever comes of it, the book that stands there is opened again.
            let placed = book::restore(&copy, &path).map_err(|e| e.to_string());
            let opened = Book::open(&path).map_err(|e| e.to_string());
            placed.and(opened)
        }));
    }

    /// Takes in what threads have made of copies.
    pub(super) fn poll_places(&mut self) {
        let died = |Died| Err(phrase!("the copy could not be read or written; please report it"));
        if let Some(answer) = self.parting.as_ref().and_then(Job::answer) {
            self.parting = None;
            if let Ok(to) = answer.unwrap_or_else(died) {
                self.say(
                    Say::Good,
                    phrase!("The book is closed; a copy is in the second place: {}", to.display()),
                );
            }
        }
        let Stage::Open(open) = &mut self.stage else { return };
        let p = &mut open.places;
        let mut said = None;
        if let Some(answer) = p.comparing.as_ref().and_then(Job::answer) {
            p.comparing = None;
            let answer =
                answer.unwrap_or_else(|Died| Err(phrase!("the copy could not be read; please report it")));
            if let Some(Comparing::Going(name)) = p.compared.take() {
                said = Some(match &answer {
                    Ok(c) => (Say::Plain, format!("{name}: {}", c.words())),
                    Err(why) => (Say::Refuse, why.clone()),
                });
                p.compared = Some(Comparing::Done(name, answer));
            }
        }
        if let Some(answer) = p.putting.as_ref().and_then(Job::answer) {
            (p.putting, p.looked) = (None, None);
            said = Some(match answer.unwrap_or_else(died) {
                Ok(to) => {
                    (Say::Good, phrase!("A copy is in the second place and was read back: {}", to.display()))
                }
                Err(why) => (Say::Caution, why),
            });
        }
        if let Some(answer) = p.doing.as_ref().and_then(Job::answer) {
            p.doing = None;
            said = Some(match answer {
                Ok(Ok(Made::Beside(path))) => {
                    let text = phrase!("Made {}; the open book is as it was", path.display());
                    p.made = Some(path);
                    (Say::Good, text)
                }
                Ok(Ok(Made::Sealed(path))) => {
                    (Say::Good, phrase!("Copied to {}, closed with the passphrase", path.display()))
                }
                Ok(Err(why)) => (Say::Refuse, why),
                Err(Died) => (Say::Refuse, phrase!("the copy could not be made; please report it")),
            });
        }
        if let Some((kind, text)) = said {
            self.say(kind, text);
        }
    }
}

/// How long the program waits for the second place when its window is closed.
const PATIENCE: Duration = Duration::from_secs(20);

impl OpenBook {
    /// A copy for the second place when the book is closed; none where all of it is there already.
    fn parting_copy(&self) -> Option<(Ready, Second)> {
        let second = self.places.second.clone()?;
        let ready = self.book.ready_copy().ok()?;
        Some((ready, second))
    }
}

fn name(folder: &Path) -> String {
    folder.file_name().map_or_else(|| folder.display().to_string(), |n| n.to_string_lossy().into_owned())
}

fn put(ready: &Ready, second: &Second, today: Day) -> Result<PathBuf, String> {
    if !second.folder.is_dir() {
        return Err(phrase!(
            "The second place is not there ({}): plug it in and do it again; nothing is lost",
            second.folder.display()
        ));
    }
    ready.put(&second.folder, today).map_err(|e| e.to_string())
}
