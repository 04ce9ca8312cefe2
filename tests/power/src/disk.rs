//! What a disk holds after a power cut.

use crate::Record;
use fastrand::Rng;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// In bytes: the least that reaches a disk whole.
const SECTOR: usize = 512;

/// One thing done to a file.
#[derive(Debug, Clone)]
pub enum Op {
    /// Bytes written at a place.
    Write(PathBuf, usize, Vec<u8>),
    /// Cut or stretched to a size.
    Size(PathBuf, usize),
    /// Made lasting: all that was done to this file before.
    Sync(PathBuf),
    /// Deleted.
    Delete(PathBuf),
    /// A moment marked by the caller.
    Mark(usize),
}

/// What becomes of that which was not synced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lasting {
    /// All of it reached the disk.
    All,
    /// Nothing did.
    Nothing,
    /// Some sectors did, in no order.
    Some,
}

/// Files by their path.
pub type Disk = BTreeMap<PathBuf, Vec<u8>>;

impl Record {
    /// What lies on the disk when the power goes before the op of that number.
    pub fn cut(&self, at: usize, lasting: Lasting, rng: &mut Rng) -> Disk {
        let mut disk = self.start.clone();
        let mut open: Vec<&Op> = Vec::new();
        for op in self.ops.iter().take(at) {
            match op {
                Op::Sync(path) => {
                    open.retain(|o| {
                        let same = o.path() == Some(path);
                        if same {
                            o.done(&mut disk);
                        }
                        !same
                    });
                }
                Op::Mark(_) => {}
                other => open.push(other),
            }
        }
        for op in open {
            match lasting {
                Lasting::All => op.done(&mut disk),
                Lasting::Nothing => {}
                Lasting::Some => op.half_done(&mut disk, rng),
            }
        }
        disk
    }

    /// The last mark set before the op of that number.
    pub fn mark_before(&self, at: usize) -> usize {
        let mark = |o: &Op| if let Op::Mark(n) = o { Some(*n) } else { None };
        self.ops.iter().take(at).rev().find_map(mark).unwrap_or_default()
    }
}

impl Op {
    fn path(&self) -> Option<&PathBuf> {
        match self {
            Self::Write(p, ..) | Self::Size(p, _) | Self::Sync(p) | Self::Delete(p) => Some(p),
            Self::Mark(_) => None,
        }
    }

    fn done(&self, disk: &mut Disk) {
        match self {
            Self::Write(path, at, bytes) => put(disk, path, *at, bytes),
            Self::Size(path, size) => disk.entry(path.to_path_buf()).or_default().resize(*size, 0),
            Self::Delete(path) => drop(disk.remove(path)),
            Self::Sync(_) | Self::Mark(_) => {}
        }
    }

    fn half_done(&self, disk: &mut Disk, rng: &mut Rng) {
        match self {
            Self::Write(path, at, bytes) => {
                let mut from = 0;
                while from < bytes.len() {
                    // Sectors lie at their own places of the file, wherever the write begins.
                    let to = bytes.len().min(from + SECTOR - (at + from) % SECTOR);
                    if rng.bool() {
                        put(disk, path, at + from, &bytes[from..to]);
                    }
                    from = to;
                }
            }
            other => {
                if rng.bool() {
                    other.done(disk);
                }
            }
        }
    }
}

fn put(disk: &mut Disk, path: &Path, at: usize, bytes: &[u8]) {
    let file = disk.entry(path.to_path_buf()).or_default();
    if file.len() < at + bytes.len() {
        file.resize(at + bytes.len(), 0);
    }
    file[at..at + bytes.len()].copy_from_slice(bytes);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record() -> Record {
        let path = || PathBuf::from("a");
        Record {
            start: BTreeMap::from([(path(), vec![1; 1024])]),
            ops: vec![
                Op::Write(path(), 0, vec![2; 1024]),
                Op::Mark(7),
                Op::Sync(path()),
                Op::Write(path(), 512, vec![3; 1024]),
                Op::Delete(path()),
            ],
        }
    }

    #[test]
    fn what_was_synced_is_there_and_the_rest_may_be() {
        let (record, mut rng) = (record(), Rng::with_seed(1));
        let at = |n, lasting, rng: &mut Rng| record.cut(n, lasting, rng).remove(&PathBuf::from("a"));
        assert_eq!(at(1, Lasting::Nothing, &mut rng), Some(vec![1; 1024]));
        assert_eq!(at(1, Lasting::All, &mut rng), Some(vec![2; 1024]));
        assert_eq!(at(3, Lasting::Nothing, &mut rng), Some(vec![2; 1024]));
        assert_eq!(at(4, Lasting::All, &mut rng).map(|f| f.len()), Some(1536));
        assert_eq!(at(5, Lasting::All, &mut rng), None);
        assert_eq!((record.mark_before(1), record.mark_before(3)), (0, 7));
    }

    #[test]
    fn a_torn_write_leaves_whole_sectors() {
        let (record, mut rng) = (record(), Rng::with_seed(2));
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..40 {
            let file = record.cut(1, Lasting::Some, &mut rng).remove(&PathBuf::from("a")).expect("there");
            assert!(file.chunks(SECTOR).all(|s| s.iter().all(|b| *b == s[0])), "a sector was torn");
            seen.insert((file[0], file[512]));
        }
        assert_eq!(seen.len(), 4, "every choice of two sectors was met: {seen:?}");
    }
}
