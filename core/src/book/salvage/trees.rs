//! Trees of pages walked from their roots, round the pages that are damaged; and the pages that no root leads to.

use super::pages::{Pages, Tree};
use rusqlite::types::Value;

/// What a walk could not read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Gaps {
    /// Pages, each with all that lies below it.
    pub pages: usize,
    /// Rows of pages that are otherwise good.
    pub rows: usize,
}

impl Gaps {
    /// All was read.
    pub(super) fn none(self) -> bool {
        self == Self::default()
    }
}

/// Which pages were come by.
pub(super) struct Seen(Vec<bool>);

impl Seen {
    pub(super) fn new(pages: &Pages) -> Self {
        Self(vec![false; pages.count() as usize + 1])
    }

    /// True the first time.
    pub(super) fn first(&mut self, page: u32) -> bool {
        self.0.get_mut(page as usize).is_some_and(|s| !std::mem::replace(s, true))
    }

    /// Pages that were not come by.
    pub(super) fn rest(&self) -> Vec<u32> {
        (1..).zip(self.0.iter().skip(1)).filter(|(_, seen)| !**seen).map(|(n, _)| n).collect()
    }
}

/// A row as it lies in the file.
pub(super) struct Found {
    pub rowid: Option<i64>,
    pub values: Vec<Value>,
}

/// Walks a tree from its root and hands on every row that can be read.
pub(super) fn walk<E>(
    pages: &Pages,
    root: u32,
    tree: Tree,
    seen: &mut Seen,
    each: &mut dyn FnMut(Found) -> Result<(), E>,
) -> Result<Gaps, E> {
    let mut gaps = Gaps::default();
    let mut left = vec![root];
    while let Some(n) = left.pop() {
        let node = if seen.first(n) { pages.node(n).filter(|p| p.tree == tree) } else { None };
        // A page without rows stands nowhere but at the root.
        let Some(node) = node.filter(|p| !p.cells.is_empty() || n == root) else {
            gaps.pages += 1;
            continue;
        };
        for page in &node.over {
            seen.first(*page);
        }
        left.extend(node.right);
        for cell in node.cells {
            if cell.bad {
                // What leads on from here is lost with it.
                if !node.leaf && cell.child.is_none() { gaps.pages += 1 } else { gaps.rows += 1 }
            }
            left.extend(cell.child);
            if let Some(values) = cell.values {
                each(Found { rowid: cell.rowid, values })?;
            }
        }
    }
    Ok(gaps)
}

/// Every row of the pages that no tree led to.
pub(super) fn strays<E>(
    pages: &Pages,
    seen: &Seen,
    each: &mut dyn FnMut(Tree, Found) -> Result<(), E>,
) -> Result<(), E> {
    for n in seen.rest() {
        let Some(node) = pages.node(n) else { continue };
        for cell in node.cells {
            if let Some(values) = cell.values {
                each(node.tree, Found { rowid: cell.rowid, values })?;
            }
        }
    }
    Ok(())
}
