//! What the program keeps beside the books: recent books, the look, and drafts of half-typed forms.
//! Plain JSON in the user's own folders; each file is written whole or not at all.

use hirsel_core::exchange::Kind;
use hirsel_core::exchange::incoming::Remembered;
use serde::{Deserialize, Serialize};
use std::hash::{Hash as _, Hasher as _};
use std::path::{Path, PathBuf};

/// Choices of tables that are kept, the newest first.
const TABLES: usize = 100;

/// The user's settings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Books opened last, newest first.
    pub recent: Vec<PathBuf>,
    /// Type size in parts of a hundred; 0 is 100.
    pub zoom: u32,
    /// light, dark, or as the system says (empty).
    pub theme: String,
    /// High contrast, in either.
    pub contrast: bool,
    /// The file of translations the window speaks by, without its ending; empty is English.
    pub language: String,
    /// Columns that are not shown, for each table by its name.
    pub hidden_columns: std::collections::BTreeMap<String, Vec<String>>,
    /// A number that a reader types outside of any field opens nothing.
    pub scan_rests: bool,
    /// The ten small tasks with a made-up flock, once they were begun.
    pub tour: Option<super::Tour>,
}

/// Where settings and drafts are kept.
#[derive(Debug, Clone)]
pub struct Kept {
    folder: PathBuf,
}

impl Kept {
    /// The user's own folder for programs' data; `HIRSEL_HOME` names another.
    pub fn of_user() -> Self {
        use etcetera::BaseStrategy as _;
        let folder = std::env::var_os("HIRSEL_HOME")
            .map(PathBuf::from)
            .or_else(|| etcetera::choose_base_strategy().ok().map(|b| b.data_dir().join("hirsel")));
        Self { folder: folder.unwrap_or_else(|| std::env::temp_dir().join("hirsel")) }
    }

    /// A folder of one's own choosing: for tests.
    pub fn at(folder: &Path) -> Self {
        Self { folder: folder.to_path_buf() }
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The settings; what cannot be read counts as not set.
    pub fn settings(&self) -> Settings {
        read(&self.folder.join("settings.json")).unwrap_or_default()
    }

    /// Keeps the settings.
    pub fn set(&self, settings: &Settings) {
        if let Ok(text) = serde_json::to_string_pretty(settings) {
            write(&self.folder.join("settings.json"), &text);
        }
    }

    /// Puts a book first among the recent ones.
    pub fn opened(&self, book: &Path) {
        let book = std::path::absolute(book).unwrap_or_else(|_| book.to_path_buf());
        let mut s = self.settings();
        s.recent.retain(|b| *b != book);
        s.recent.insert(0, book);
        s.recent.truncate(8);
        self.set(&s);
    }

    /// What was said of a table with these heads; of a kind, or the last one.
    pub fn table(&self, signature: &str, kind: Option<Kind>) -> Option<Remembered> {
        let fits = |r: &Remembered| r.signature == signature && kind.is_none_or(|k| r.kind == k.word());
        self.tables().into_iter().find(fits)
    }

    /// Keeps what was said of a table.
    pub fn remember_table(&self, said: Remembered) {
        let mut all = self.tables();
        all.retain(|r| r.signature != said.signature || r.kind != said.kind);
        all.insert(0, said);
        all.truncate(TABLES);
        self.set_tables(&all);
    }

    /// Forgets what was said of tables with these heads.
    pub fn forget_table(&self, signature: &str) {
        let mut all = self.tables();
        let before = all.len();
        all.retain(|r| r.signature != signature);
        if all.len() < before {
            self.set_tables(&all);
        }
    }

    fn tables(&self) -> Vec<Remembered> {
        read(&self.folder.join("tables.json")).unwrap_or_default()
    }

    fn set_tables(&self, all: &[Remembered]) {
        if let Ok(text) = serde_json::to_string_pretty(all) {
            write(&self.folder.join("tables.json"), &text);
        }
    }

    /// The half-typed forms of a book, as JSON.
    pub fn drafts(&self, book: &Path) -> Option<String> {
        std::fs::read_to_string(self.draft_file(book)).ok()
    }

    /// Keeps the half-typed forms of a book. Tells whether it could.
    pub fn set_drafts(&self, book: &Path, text: &str) -> bool {
        write(&self.draft_file(book), text)
    }

    fn draft_file(&self, book: &Path) -> PathBuf {
        let book = std::path::absolute(book).unwrap_or_else(|_| book.to_path_buf());
        let mut hash = std::hash::DefaultHasher::new();
        book.hash(&mut hash);
        self.folder.join("drafts").join(format!("{:016x}.json", hash.finish()))
    }
}

fn read<T: for<'de> Deserialize<'de>>(path: &Path) -> Option<T> {
    serde_json::from_str(&std::fs::read_to_string(path).ok()?).ok()
}

fn write(path: &Path, text: &str) -> bool {
    let half = path.with_extension("part");
    path.parent().is_some_and(|p| std::fs::create_dir_all(p).is_ok())
        && std::fs::write(&half, text).is_ok()
        && std::fs::rename(&half, path).is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recent_books_newest_first_and_once() {
        let dir = std::env::temp_dir().join(format!("hirsel-kept-{}", std::process::id()));
        let kept = Kept::at(&dir);
        for n in 0..12 {
            kept.opened(Path::new(&format!("/b/{n}.hirsel")));
        }
        kept.opened(Path::new("/b/5.hirsel"));
        let recent = kept.settings().recent;
        assert_eq!(recent.len(), 8);
        assert_eq!(recent[0], Path::new("/b/5.hirsel"));
        assert_eq!(recent[1], Path::new("/b/11.hirsel"));
        assert!(kept.set_drafts(Path::new("/b/1.hirsel"), "{}"));
        assert_eq!(kept.drafts(Path::new("/b/1.hirsel")).as_deref(), Some("{}"));
        assert_eq!(kept.drafts(Path::new("/b/2.hirsel")), None);
        let _ = std::fs::remove_dir_all(&dir);
    }
}
