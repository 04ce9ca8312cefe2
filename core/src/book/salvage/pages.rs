//! The pages of a database file as they lie there, read without SQLite, which gives up at the first bad one.
//! By the published file format (sqlite.org, 'Database File Format'). Every number is checked before it is used:
//! the bytes may be anything.

use rusqlite::types::Value;
use std::cell::RefCell;
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;

/// The page size of every book of ours.
const OURS: usize = 4096;

/// A file of pages, counted from 1.
pub(super) struct Pages {
    file: RefCell<File>,
    size: usize,
    usable: usize,
    count: u32,
    /// The file's first bytes are those of a database.
    pub has_head: bool,
    head: [u8; 100],
}

/// What a page is, by its first byte.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tree {
    /// Rows by number.
    Table,
    /// Rows by key, or an index.
    Index,
}

/// One row of a page, or what leads to further pages.
pub(super) struct Cell {
    /// The page before it, on pages that are no leaves.
    pub child: Option<u32>,
    /// Its number, in trees of tables.
    pub rowid: Option<i64>,
    /// Its values; none where the page leads on only, or they cannot be read.
    pub values: Option<Vec<Value>>,
    /// Its values cannot be read.
    pub bad: bool,
}

/// A page of a tree.
pub(super) struct Node {
    pub tree: Tree,
    pub leaf: bool,
    pub cells: Vec<Cell>,
    pub right: Option<u32>,
    /// Further pages that hold long values.
    pub over: Vec<u32>,
}

impl Pages {
    /// Opens a file. Where its head is damaged, pages are taken to be as large as ours are.
    pub(super) fn open(path: &Path) -> std::io::Result<Self> {
        let mut file = File::open(path)?;
        let len = file.metadata()?.len();
        let mut head = [0; 100];
        let mut at = 0;
        while at < head.len() {
            match file.read(&mut head[at..])? {
                0 => break,
                n => at += n,
            }
        }
        let has_head = at == 100 && head.starts_with(b"SQLite format 3\0");
        let told = match u16::from_be_bytes([head[16], head[17]]) {
            1 => 65_536,
            n => usize::from(n),
        };
        let size = if has_head && told.is_power_of_two() && told >= 512 { told } else { OURS };
        let kept = if has_head && usize::from(head[20]) + 480 <= size { usize::from(head[20]) } else { 0 };
        let count = u32::try_from(len / size as u64).unwrap_or(u32::MAX);
        Ok(Self { file: RefCell::new(file), size, usable: size - kept, count, has_head, head })
    }

    /// How many whole pages there are.
    pub(super) fn count(&self) -> u32 {
        self.count
    }

    /// A number of the head, four bytes from this place.
    pub(super) fn head_number(&self, at: usize) -> u32 {
        number(&self.head, at).unwrap_or(0)
    }

    fn page(&self, n: u32) -> Option<Vec<u8>> {
        if n == 0 || n > self.count {
            return None;
        }
        let mut bytes = vec![0; self.size];
        let mut file = self.file.borrow_mut();
        file.seek(SeekFrom::Start(u64::from(n - 1) * self.size as u64)).ok()?;
        file.read_exact(&mut bytes).ok()?;
        Some(bytes)
    }

    /// A page of a tree; none if it is none or damaged.
    pub(super) fn node(&self, n: u32) -> Option<Node> {
        let page = self.page(n)?;
        let at = if n == 1 { 100 } else { 0 };
        let (tree, leaf) = match page[at] {
            2 => (Tree::Index, false),
            5 => (Tree::Table, false),
            10 => (Tree::Index, true),
            13 => (Tree::Table, true),
            _ => return None,
        };
        let cells = usize::from(short(&page, at + 3)?);
        let body = at + if leaf { 8 } else { 12 };
        let list_end = body + 2 * cells;
        let content = match short(&page, at + 5)? {
            0 => 65_536,
            n => usize::from(n),
        };
        if list_end > self.usable || content < list_end || content > self.usable {
            return None;
        }
        let mut node = Node { tree, leaf, cells: Vec::with_capacity(cells), right: None, over: Vec::new() };
        if !leaf {
            node.right = Some(number(&page, at + 8)?);
        }
        for i in 0..cells {
            let place = usize::from(short(&page, body + 2 * i)?);
            let cell = if place < list_end || place >= self.usable {
                None
            } else {
                self.cell(&page, place, tree, leaf, &mut node.over)
            };
            let lost = Cell { child: None, rowid: None, values: None, bad: true };
            node.cells.push(cell.unwrap_or(lost));
        }
        Some(node)
    }

    fn cell(&self, page: &[u8], mut at: usize, tree: Tree, leaf: bool, over: &mut Vec<u32>) -> Option<Cell> {
        let mut cell = Cell { child: None, rowid: None, values: None, bad: false };
        if !leaf {
            cell.child = Some(number(page, at)?);
            at += 4;
        }
        if tree == Tree::Table && !leaf {
            cell.rowid = Some(varint(page, &mut at)?);
            return Some(cell);
        }
        let len = usize::try_from(varint(page, &mut at)?).ok()?;
        if tree == Tree::Table {
            cell.rowid = Some(varint(page, &mut at)?);
        }
        cell.values = self.payload(page, at, len, tree, over).and_then(|bytes| values(&bytes));
        cell.bad = cell.values.is_none();
        Some(cell)
    }

    /// The bytes of a row, those on further pages too.
    fn payload(
        &self,
        page: &[u8],
        at: usize,
        len: usize,
        tree: Tree,
        over: &mut Vec<u32>,
    ) -> Option<Vec<u8>> {
        let u = self.usable;
        // No row is larger than the file.
        if len as u64 > u64::from(self.count) * self.size as u64 {
            return None;
        }
        let most = if tree == Tree::Table { u - 35 } else { (u - 12) * 64 / 255 - 23 };
        let least = (u - 12) * 32 / 255 - 23;
        let here = if len <= most {
            len
        } else {
            let k = least + (len - least) % (u - 4);
            if k <= most { k } else { least }
        };
        let mut bytes = page.get(at..at + here)?.to_vec();
        if at + here > u {
            return None;
        }
        let mut next = if here < len { number(page, at + here)? } else { 0 };
        while bytes.len() < len {
            let further = self.page(next)?;
            over.push(next);
            let n = (len - bytes.len()).min(u - 4);
            bytes.extend_from_slice(further.get(4..4 + n)?);
            next = number(&further, 0)?;
        }
        // The last page names no other; a page of anything else seldom does so by chance.
        (next == 0).then_some(bytes)
    }

    /// Pages that are not in use; none if the list of them is damaged.
    pub(super) fn free(&self) -> Option<Vec<u32>> {
        if !self.has_head {
            return None;
        }
        let (mut next, told) = (self.head_number(32), self.head_number(36));
        let mut all = Vec::new();
        while next != 0 {
            let page = self.page(next)?;
            all.push(next);
            let n = number(&page, 4)? as usize;
            if n > self.usable / 4 - 2 || all.len() + n > self.count as usize {
                return None;
            }
            for i in 0..n {
                all.push(number(&page, 8 + 4 * i)?);
            }
            next = number(&page, 0)?;
        }
        (all.len() == told as usize && all.iter().all(|p| *p > 1 && *p <= self.count)).then_some(all)
    }
}

fn short(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

fn number(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// A number of one to nine bytes, seven bits in each but the ninth.
fn varint(bytes: &[u8], at: &mut usize) -> Option<i64> {
    let mut value: u64 = 0;
    for i in 0..9 {
        let byte = *bytes.get(*at)?;
        *at += 1;
        if i == 8 {
            value = value << 8 | u64::from(byte);
            break;
        }
        value = value << 7 | u64::from(byte & 0x7f);
        if byte < 0x80 {
            break;
        }
    }
    Some(value.cast_signed())
}

/// The values of a row; none unless every byte of it is accounted for.
pub(super) fn values(bytes: &[u8]) -> Option<Vec<Value>> {
    let mut at = 0;
    let head = usize::try_from(varint(bytes, &mut at)?).ok()?;
    if head > bytes.len() {
        return None;
    }
    let mut body = head;
    let mut all = Vec::new();
    while at < head {
        let kind = varint(bytes, &mut at)?;
        let len = match kind {
            0 | 8 | 9 => 0,
            1..=4 => usize::try_from(kind).ok()?,
            5 => 6,
            6 | 7 => 8,
            12.. => usize::try_from((kind - 12) / 2).ok()?,
            _ => return None,
        };
        let part = bytes.get(body..body.checked_add(len)?)?;
        body += len;
        all.push(match kind {
            0 => Value::Null,
            8 => Value::Integer(0),
            9 => Value::Integer(1),
            7 => Value::Real(f64::from_be_bytes(part.try_into().ok()?)),
            1..=6 => {
                let sign = if part[0] >= 0x80 { -1i64 } else { 0 };
                Value::Integer(part.iter().fold(sign, |n, b| n << 8 | i64::from(*b)))
            }
            k if k % 2 == 0 => Value::Blob(part.to_vec()),
            // No text of ours holds a zero: that is a page wiped out.
            _ => Value::Text(std::str::from_utf8(part).ok().filter(|t| !t.contains('\0'))?.to_string()),
        });
    }
    (at == head && body == bytes.len()).then_some(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use rusqlite::{Connection, params};

    /// What SQLite itself wrote: long values, all kinds of numbers, trees of several levels.
    #[test]
    fn rows_that_sqlite_wrote_are_read_alike() {
        let dir = tempfile::tempdir().expect("a folder");
        let path = dir.path().join("a.db");
        let db = Connection::open(&path).expect("opens");
        db.execute_batch("create table t (n integer primary key, a any, b any) strict;").expect("made");
        let numbers =
            [0, 1, -1, 127, -128, 300, -40_000, 9_000_000, -3_000_000_000, 1 << 45, i64::MAX, i64::MIN];
        for i in 0..3000i64 {
            let n = numbers[usize::try_from(i).expect("small") % numbers.len()];
            let long = "é".repeat(usize::try_from(i % 7 * 900).expect("small"));
            db.execute("insert into t values (?, ?, ?)", params![i * 3 + 1, n, long]).expect("put");
        }
        db.execute("insert into t values (-5, 2.5, x'00ff')", []).expect("put");
        let root: u32 = db
            .query_row("select rootpage from sqlite_schema where name = 't'", [], |r| r.get(0))
            .expect("root");
        db.close().expect("closed");
        let pages = Pages::open(&path).expect("opens");
        let (mut left, mut found) = (vec![root], Vec::new());
        while let Some(n) = left.pop() {
            let node = pages.node(n).expect("a page");
            left.extend(node.right);
            for c in node.cells {
                left.extend(c.child);
                assert!(!c.bad);
                if let Some(values) = c.values {
                    found.push((c.rowid.expect("a number"), values));
                }
            }
        }
        found.sort_by_key(|f| f.0);
        let db = Connection::open(&path).expect("opens");
        let mut all = db.prepare("select n, a, b from t order by n").expect("a statement");
        let all: Vec<(i64, Vec<Value>)> = all
            .query_map([], |r| Ok((r.get(0)?, vec![Value::Null, r.get(1)?, r.get(2)?])))
            .expect("rows")
            .collect::<Result<_, _>>()
            .expect("read");
        assert_eq!(found.len(), 3001);
        assert!(found == all);
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_or_not_but_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            let _ = values(&bytes);
        }

        #[test]
        fn any_file_is_read_or_not_but_never_panics(
            bytes in proptest::collection::vec(any::<u8>(), 0..9000),
            kind in prop::sample::select(vec![2u8, 5, 10, 13]),
            cells in 0u16..700,
        ) {
            let dir = tempfile::tempdir().expect("a folder");
            let path = dir.path().join("a.db");
            let mut bytes = bytes;
            if bytes.len() > 4112 {
                bytes[4096] = kind;
                bytes[4099..4101].copy_from_slice(&cells.to_be_bytes());
                bytes[4101..4103].copy_from_slice(&(4000u16).to_be_bytes());
            }
            std::fs::write(&path, &bytes).expect("written");
            let pages = Pages::open(&path).expect("opens");
            let _ = pages.free();
            for n in 0..=pages.count() + 1 {
                let _ = pages.node(n);
            }
        }
    }
}
