//! The ZIP as it grows: each file counted and summed as it is written, and listed in the manifest at the end.

use super::super::listed::{Holds, Listed, Value};
use super::super::table;
use super::{MANIFEST, Stuck};
use crate::terms::Day;
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use std::io::{Seek, Write};
use std::mem::ManuallyDrop;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// The columns of the manifest: name, meaning, how it is written.
pub(super) const COLUMNS: [(&str, &str, &str); 4] = [
    ("file", "name of the file in this ZIP; the manifest does not name itself", "text"),
    ("rows", "rows of a table, the line of heads left out; blank of another file", "number"),
    ("size_bytes", "size of the file", "number"),
    ("sha256", "SHA-256 of the file's bytes", "text, 64 figures of base 16"),
];

/// Text that is handed on when it is so long.
const HANDED_ON: usize = 64 * 1024;

/// A ZIP being written.
pub(super) struct Pack<W: Write + Seek> {
    /// Never dropped before its end: dropped half written it would close itself and pass for whole.
    zip: ManuallyDrop<ZipWriter<W>>,
    today: Day,
    options: SimpleFileOptions,
    manifest: Vec<Vec<String>>,
    rows: u64,
}

impl<W: Write + Seek> Pack<W> {
    pub fn new(zip: ZipWriter<W>, today: Day) -> Self {
        // A ZIP knows the years 1980 to 2107 alone; every file is of the day it was taken out.
        let when = u16::try_from(today.year()).ok().and_then(|y| {
            let part = |n: u32| u8::try_from(n).ok();
            zip::DateTime::from_date_and_time(y, part(today.month())?, part(today.day())?, 0, 0, 0).ok()
        });
        let options = SimpleFileOptions::default()
            .compression_method(zip::CompressionMethod::Deflated)
            .last_modified_time(when.unwrap_or_default())
            .unix_permissions(0o644);
        Self { zip: ManuallyDrop::new(zip), today, options, manifest: Vec::new(), rows: 0 }
    }

    /// The day it is made.
    pub fn today(&self) -> Day {
        self.today
    }

    /// A file of these bytes.
    pub fn file(&mut self, name: &str, bytes: &[u8]) -> Result<(), Stuck> {
        let large = bytes.len() as u64 > u64::from(u32::MAX);
        self.zip.start_file(name, self.options.large_file(large))?;
        self.zip.write_all(bytes)?;
        self.listed(name, None, bytes.len() as u64, &Sha256::digest(bytes));
        Ok(())
    }

    /// A table, row by row.
    pub fn table(&mut self, name: &str, list: &Listed) -> Result<(), Stuck> {
        let mut open = self.begin(name, &list.heads)?;
        for row in &list.rows {
            open.row(row)?;
        }
        open.end()
    }

    /// A table whose rows are still to come.
    pub fn begin(&mut self, name: &str, heads: &[String]) -> Result<Open<'_, W>, Stuck> {
        // How large it grows is not known before it is written.
        self.zip.start_file(name, self.options.large_file(true))?;
        let mut text = table::Text::default();
        text.heads(heads);
        Ok(Open { pack: self, name: name.into(), text, rows: 0, size: 0, sum: Sha256::new() })
    }

    fn listed(&mut self, name: &str, rows: Option<u64>, size: u64, sum: &[u8]) {
        let mut hex = String::with_capacity(sum.len() * 2);
        for byte in sum {
            let _ = write!(hex, "{byte:02x}"); // a string takes everything
        }
        let counted = rows.map(|n| n.to_string()).unwrap_or_default();
        self.rows += rows.unwrap_or(0);
        self.manifest.push(vec![name.into(), counted, size.to_string(), hex]);
    }

    /// Writes the manifest and closes the ZIP. Answers how many files and rows it holds.
    pub fn finish(mut self) -> Result<(usize, u64), Stuck> {
        let heads: Vec<&str> = COLUMNS.iter().map(|c| c.0).collect();
        let holds = [Holds::Text, Holds::Numbers, Holds::Numbers, Holds::Text];
        let rows = std::mem::take(&mut self.manifest);
        let (files, all) = (rows.len() + 1, self.rows);
        self.file(MANIFEST, Listed::of(MANIFEST, &heads, &holds, rows).csv().as_bytes())?;
        ManuallyDrop::into_inner(self.zip).finish()?.flush()?;
        Ok((files, all))
    }
}

/// A table whose rows are being written.
pub(super) struct Open<'a, W: Write + Seek> {
    pack: &'a mut Pack<W>,
    name: String,
    text: table::Text,
    rows: u64,
    size: u64,
    sum: Sha256,
}

impl<W: Write + Seek> Open<'_, W> {
    pub fn row(&mut self, row: &[Value]) -> Result<(), Stuck> {
        self.text.row(row);
        self.rows += 1;
        if self.text.0.len() > HANDED_ON { self.hand_on() } else { Ok(()) }
    }

    fn hand_on(&mut self) -> Result<(), Stuck> {
        let bytes = self.text.0.as_bytes();
        self.sum.update(bytes);
        self.size += bytes.len() as u64;
        self.pack.zip.write_all(bytes)?;
        self.text.0.clear();
        Ok(())
    }

    pub fn end(mut self) -> Result<(), Stuck> {
        self.hand_on()?;
        let sum = std::mem::take(&mut self.sum).finalize();
        self.pack.listed(&self.name, Some(self.rows), self.size, &sum);
        Ok(())
    }
}
