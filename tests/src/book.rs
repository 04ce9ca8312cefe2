//! Books in a room of their own, and everything in one laid out for comparison.

use hirsel_core::book::Book;
use hirsel_core::flock::{
    Amendment, AnimalFile, Cupboard, Daybook, Document, FeedRoom, Flock, Holding, Product, RecordRef,
};
use hirsel_core::plan::PlanStep;
use hirsel_core::terms::{AnimalId, Day};
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The day on which the tests' flocks live.
pub fn today() -> Day {
    day("2026-04-10")
}

/// A day written in a test.
///
/// # Panics
/// When it is none.
pub fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap_or_else(|e| panic!("{e}"))
}

/// A folder of our own, in memory where the machine has such a place: a test writes thousands of times.
///
/// # Panics
/// When no folder can be made.
pub fn room() -> TempDir {
    let shm = Path::new("/dev/shm");
    let made = if shm.is_dir() { tempfile::tempdir_in(shm) } else { tempfile::tempdir() };
    made.or_else(|_| tempfile::tempdir()).unwrap_or_else(|e| panic!("no folder for a test: {e}"))
}

/// A new book in a room.
///
/// # Panics
/// When it cannot be made.
pub fn new_book(room: &Path) -> Book {
    let holding = Holding { flock: "Test flock".into(), ..Holding::default() };
    Book::create(&room.join("a.hirsel"), holding).unwrap_or_else(|e| panic!("{e}"))
}

/// A copy of an open book's file and log as they lie on the disk, for a second look at it.
///
/// # Panics
/// When it cannot be copied.
pub fn copy_of(book: &Path, to: &Path) -> PathBuf {
    let at = |path: &Path| {
        let mut log = path.as_os_str().to_os_string();
        log.push("-wal");
        PathBuf::from(log)
    };
    let copy = to.join("copy.hirsel");
    let copied = std::fs::copy(book, &copy).and_then(|_| {
        let log = at(book);
        if log.exists() {
            std::fs::copy(log, at(&copy)).map(|_| ())
        } else {
            let _ = std::fs::remove_file(at(&copy));
            Ok(())
        }
    });
    copied.unwrap_or_else(|e| panic!("{} was not copied: {e}", book.display()));
    copy
}

/// Every row of every recorded table of an open book, as it lies on the disk: the journal's own tables left out.
///
/// # Panics
/// When it cannot be read.
pub fn rows(book: &Path) -> Rows {
    let room = room();
    let db = Connection::open(copy_of(book, room.path())).unwrap_or_else(|e| panic!("{e}"));
    Rows::of(&db).unwrap_or_else(|e| panic!("{e}"))
}

/// Tables with their rows as text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rows(BTreeMap<String, Vec<String>>);

impl Rows {
    /// Reads them.
    ///
    /// # Errors
    /// What the database says.
    pub fn of(db: &Connection) -> rusqlite::Result<Self> {
        let names: Vec<String> = db
            .prepare(
                "select name from sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%'",
            )?
            .query_map([], |r| r.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        let mut all = BTreeMap::new();
        for name in names {
            let cols: Vec<String> = db
                .prepare("select name from pragma_table_info(?1) order by cid")?
                .query_map([&name], |r| r.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            let parts: Vec<String> = cols.iter().map(|c| format!("'{c}=' || quote({c})")).collect();
            let sql = format!("select {} from {name} order by 1", parts.join(" || ' | ' || "));
            let rows = db.prepare(&sql)?.query_map([], |r| r.get(0))?.collect::<rusqlite::Result<_>>()?;
            all.insert(name, rows);
        }
        Ok(Self(all))
    }

    /// How many rows there are in all.
    pub fn len(&self) -> usize {
        self.0.values().map(Vec::len).sum()
    }

    /// No row at all.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The first row in which two books differ, in words; none when they are equal.
    pub fn difference(&self, other: &Self) -> Option<String> {
        if self == other {
            return None;
        }
        for name in self.0.keys().chain(other.0.keys()) {
            let none = Vec::new();
            let (a, b) = (self.0.get(name).unwrap_or(&none), other.0.get(name).unwrap_or(&none));
            let lost: Vec<_> = a.iter().filter(|r| !b.contains(r)).collect();
            let come: Vec<_> = b.iter().filter(|r| !a.contains(r)).collect();
            if a != b {
                return Some(format!(
                    "table {name}\n  only in the first: {lost:#?}\n  only in the second: {come:#?}"
                ));
            }
        }
        Some("tables differ".into())
    }
}

/// Everything a flock tells, laid out in an order of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    files: BTreeMap<AnimalId, AnimalFile>,
    products: Vec<Product>,
    holding: Holding,
    plan: Vec<PlanStep>,
    cupboard: Cupboard,
    documents: Vec<Document>,
    daybook: Daybook,
    feedroom: FeedRoom,
    amendments: BTreeMap<RecordRef, Vec<Amendment>>,
}

impl Laid {
    /// Lays a flock out, and asserts that its indexes agree with its files.
    ///
    /// # Panics
    /// When they do not.
    pub fn out(flock: &Flock) -> Self {
        let files: BTreeMap<AnimalId, AnimalFile> = flock.files().map(|f| (f.animal.id, f.clone())).collect();
        assert_eq!(files.len(), flock.len(), "as many files as animals");
        let mut amendments = BTreeMap::new();
        for (id, f) in &files {
            assert_eq!(flock.file(*id), Some(f), "found by its id");
            for i in &f.animal.identities {
                let wears = f
                    .animal
                    .identities
                    .iter()
                    .any(|o| o.kind == i.kind && o.ended.is_none() && o.tag.norm() == i.tag.norm());
                let found = flock.wearing(i.kind, i.tag.as_str()) == Some(*id);
                assert_eq!(found, wears, "'{}' found by the marks that {} wears", i.tag, f.animal.tag());
            }
            for record in records(f) {
                let trail = flock.amendments(record);
                if !trail.is_empty() {
                    amendments.insert(record, trail.to_vec());
                }
            }
        }
        // A change written again comes back under its old id, so the order of ids is that of the book.
        let mut plan = flock.plan().changes().to_vec();
        plan.sort_by_key(|c| c.id);
        let (products, holding) = (flock.products().to_vec(), flock.holding().clone());
        let cupboard = flock.cupboard().as_ref().clone();
        let documents = flock.documents().all().to_vec();
        for d in &documents {
            assert!(flock.documents().with(d.of).any(|o| o == d), "found with its record");
            let trail = flock.amendments(RecordRef::Document(d.id));
            if !trail.is_empty() {
                amendments.insert(RecordRef::Document(d.id), trail.to_vec());
            }
        }
        let daybook = flock.daybook().as_ref().clone();
        let feedroom = flock.feedroom().as_ref().clone();
        Self { files, products, holding, plan, cupboard, documents, daybook, feedroom, amendments }
    }

    /// What differs first, in words; none when they are equal.
    pub fn difference(&self, other: &Self) -> Option<String> {
        for id in self.files.keys().chain(other.files.keys()) {
            let (a, b) = (self.files.get(id), other.files.get(id));
            if a != b {
                return Some(format!("first: {a:#?}\nsecond: {b:#?}"));
            }
        }
        if self.products != other.products {
            return Some(format!("products\nfirst: {:#?}\nsecond: {:#?}", self.products, other.products));
        }
        if self.holding != other.holding {
            return Some(format!("holding\nfirst: {:#?}\nsecond: {:#?}", self.holding, other.holding));
        }
        if self.plan != other.plan {
            return Some(format!("care plan\nfirst: {:#?}\nsecond: {:#?}", self.plan, other.plan));
        }
        if self.cupboard != other.cupboard {
            return Some(format!("cupboard\nfirst: {:#?}\nsecond: {:#?}", self.cupboard, other.cupboard));
        }
        if self.documents != other.documents {
            return Some(format!("papers\nfirst: {:#?}\nsecond: {:#?}", self.documents, other.documents));
        }
        if self.daybook != other.daybook {
            return Some(format!("daybook\nfirst: {:#?}\nsecond: {:#?}", self.daybook, other.daybook));
        }
        if self.feedroom != other.feedroom {
            return Some(format!("feed room\nfirst: {:#?}\nsecond: {:#?}", self.feedroom, other.feedroom));
        }
        (self.amendments != other.amendments)
            .then(|| format!("amendments\nfirst: {:#?}\nsecond: {:#?}", self.amendments, other.amendments))
    }
}

/// Every record of an animal's file that can be opened.
pub fn records(f: &AnimalFile) -> Vec<RecordRef> {
    let mut all = vec![RecordRef::Animal(f.animal.id)];
    all.extend(f.lambings.iter().map(|r| RecordRef::Lambing(r.id)));
    all.extend(f.joinings.iter().map(|r| RecordRef::Joining(r.id)));
    all.extend(f.weighings.iter().map(|r| RecordRef::Weighing(r.id)));
    all.extend(f.treatments.iter().map(|r| RecordRef::Treatment(r.id)));
    all.extend(f.pen_moves.iter().map(|r| RecordRef::PenMove(r.id)));
    all.extend(f.movements.iter().map(|r| RecordRef::Movement(r.id)));
    all.extend(f.remarks.iter().map(|r| RecordRef::Remark(r.id)));
    all.extend(f.ticks.iter().map(|r| RecordRef::Tick(r.id)));
    all
}

/// The flock of an open book read anew from the disk by a second program.
///
/// # Panics
/// When it cannot be read.
pub fn read_anew(book: &Path) -> Laid {
    let room = room();
    let copy = copy_of(book, room.path());
    let again = Book::open_plain(&copy).unwrap_or_else(|e| panic!("{e}"));
    Laid::out(&again.flock())
}
