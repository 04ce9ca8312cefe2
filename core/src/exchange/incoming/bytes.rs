//! What kind of file it is, by its first bytes; and the refusals that can be said plainly.

use super::fault::NoTable;
use super::grid::{Grid, MOST_BYTES};
use super::{packed, text, workbook};

/// First bytes of files that are no tables (from the formats' own descriptions; from memory).
const OTHERS: [(&[u8], &str); 12] = [
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"II*\0", "a picture"),
    (b"MM\0*", "a picture"),
    (b"{\\rtf", "a text document"),
    (b"SQLite format 3", "a database"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"Rar!", "a packed file"),
    (b"\x7fELF", "a program"),
];

/// The lines of a file; of a spreadsheet those of one sheet.
pub(super) fn read(bytes: &[u8], sheet: Option<&str>) -> Result<Grid, NoTable> {
    if bytes.is_empty() {
        return Err(NoTable::Nothing);
    }
    if bytes.len() > MOST_BYTES {
        return Err(NoTable::TooLarge(MOST_BYTES >> 20));
    }
    if let Some((_, what)) = OTHERS.iter().find(|(mark, _)| bytes.starts_with(mark)) {
        return Err(NoTable::OtherFile(what));
    }
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        // A locked .xlsx lies in the same wrapping as an old .xls; the name of its stream tells.
        let name: Vec<u8> = "EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let locked = bytes.windows(name.len()).any(|w| w == name);
        return Err(if locked { NoTable::Password } else { NoTable::OldSpreadsheet });
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return match packed::look(bytes)? {
            packed::Form::Xlsx => workbook::xlsx(bytes, sheet),
            packed::Form::Ods => workbook::ods(bytes, sheet),
        };
    }
    let head = String::from_utf8_lossy(bytes.get(..bytes.len().min(400)).unwrap_or_default()).to_lowercase();
    if head.trim_start_matches('\u{feff}').trim_start().starts_with('<') {
        let what = if head.contains("<html") || head.contains("<table") { "a web page" } else { "XML" };
        return Err(NoTable::OtherFile(what));
    }
    text::read(bytes)
}
