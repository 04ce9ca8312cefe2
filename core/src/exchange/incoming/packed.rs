//! A look into a packed spreadsheet before it is read: what it is, that no password is on it, and that it does not unpack
//! to more than a table holds. The bytes are really unpacked and counted; what the directory claims is not believed.

use super::fault::NoTable;
use super::grid::MOST_CELLS;
use std::io::{Cursor, Read as _};
use zip::ZipArchive;

/// The most bytes all parts may unpack to.
const MOST_UNPACKED: u64 = 128 << 20;
/// The most parts.
const MOST_PARTS: usize = 4_000;

/// Which spreadsheet it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Xlsx,
    Ods,
}

pub(super) fn look(bytes: &[u8]) -> Result<Form, NoTable> {
    let damaged = |e: &dyn std::fmt::Display| NoTable::Damaged(e.to_string());
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    if zip.len() > MOST_PARTS {
        return Err(NoTable::Unpacks((MOST_UNPACKED >> 20) as usize));
    }
    let mut left = MOST_UNPACKED;
    let mut sink = vec![0u8; 64 << 10];
    for at in 0..zip.len() {
        {
            let raw = zip.by_index_raw(at).map_err(|e| damaged(&e))?;
            if raw.encrypted() {
                return Err(NoTable::Password);
            }
        }
        let mut part = zip.by_index(at).map_err(|e| damaged(&e))?;
        loop {
            let n = part.read(&mut sink).map_err(|e| damaged(&e))?;
            if n == 0 {
                break;
            }
            left = left.checked_sub(n as u64).ok_or(NoTable::Unpacks((MOST_UNPACKED >> 20) as usize))?;
        }
    }
    let has = |zip: &ZipArchive<Cursor<&[u8]>>, name: &str| {
        zip.file_names().flatten().any(|n| n.replace('\\', "/").eq_ignore_ascii_case(name))
    };
    if has(&zip, "xl/workbook.xml") {
        return Ok(Form::Xlsx);
    }
    if has(&zip, "xl/workbook.bin") {
        return Err(NoTable::BinarySpreadsheet);
    }
    if has(&zip, "EncryptedPackage") {
        return Err(NoTable::Password);
    }
    if has(&zip, "content.xml") {
        let part = |zip: &mut ZipArchive<Cursor<&[u8]>>, name: &str| -> Result<String, NoTable> {
            let mut text = Vec::new();
            zip.by_name(name).map_err(|e| damaged(&e))?.read_to_end(&mut text).map_err(|e| damaged(&e))?;
            Ok(String::from_utf8_lossy(&text).into_owned())
        };
        if has(&zip, "META-INF/manifest.xml")
            && part(&mut zip, "META-INF/manifest.xml")?.contains("encryption-data")
        {
            return Err(NoTable::Password);
        }
        if !part(&mut zip, "mimetype")?.contains("spreadsheet") {
            return Err(NoTable::OtherFile("a document"));
        }
        repeats(&part(&mut zip, "content.xml")?)?;
        return Ok(Form::Ods);
    }
    let what = if has(&zip, "word/document.xml") { "a text document" } else { "a packed file" };
    Err(NoTable::OtherFile(what))
}

/// An open spreadsheet writes equal cells and lines once with a count: a short file may stand for billions of them.
/// Counts what would come of it; blank cells and lines at the end cost nothing.
fn repeats(xml: &str) -> Result<(), NoTable> {
    let too_many = || NoTable::TooMany(MOST_CELLS);
    let (mut lines, mut widest, mut pushed) = (0usize, 0usize, 0usize);
    let (mut width, mut blank, mut blank_lines, mut row_repeats) = (0usize, 0usize, 0usize, 1usize);
    let mut tables = 0usize;
    let mut rest = xml;
    while let Some(at) = rest.find('<') {
        rest = rest.get(at..).unwrap_or_default();
        if let Some((tail, end)) = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")]
            .iter()
            .find_map(|(begin, end)| rest.strip_prefix(begin).map(|t| (t, *end)))
        {
            rest = tail.find(end).and_then(|e| tail.get(e + end.len()..)).unwrap_or_default();
            continue;
        }
        if rest.starts_with("<!") {
            return Err(NoTable::Damaged("a document type in its table".into()));
        }
        let Some(len) = tag_len(rest) else { break };
        let tag = rest.get(..len).unwrap_or_default();
        rest = rest.get(len..).unwrap_or_default();
        let name =
            tag.trim_start_matches('<').split([' ', '\t', '\n', '\r', '/', '>']).next().unwrap_or_default();
        match name {
            "table:table" => {
                tables = tables.saturating_add(lines.saturating_mul(widest));
                (lines, widest, blank_lines) = (0, 0, 0);
            }
            "table:table-row" => {
                row_repeats = count(tag, "table:number-rows-repeated")?;
                (width, blank) = (0, 0);
            }
            "table:table-cell" | "table:covered-table-cell" => {
                let n = count(tag, "table:number-columns-repeated")?;
                let is_blank =
                    !tag.contains("office:") && !tag.contains("formula") && !tag.contains("calcext:");
                if is_blank {
                    blank = blank.saturating_add(n);
                } else {
                    width = width.saturating_add(blank).saturating_add(n);
                    pushed = pushed.saturating_add(blank).saturating_add(n);
                    blank = 0;
                }
            }
            "" if tag.starts_with("</table:table-row") => {
                if width == 0 {
                    blank_lines = blank_lines.saturating_add(row_repeats);
                } else {
                    lines = lines.saturating_add(blank_lines).saturating_add(row_repeats);
                    widest = widest.max(width);
                    blank_lines = 0;
                }
            }
            _ => {}
        }
        if pushed > MOST_CELLS || tables.saturating_add(lines.saturating_mul(widest)) > MOST_CELLS {
            return Err(too_many());
        }
    }
    Ok(())
}

/// Length of a tag up to its `>`; those within quotes are values.
fn tag_len(text: &str) -> Option<usize> {
    let mut quote = None;
    for (i, b) in text.bytes().enumerate() {
        match (quote, b) {
            (None, b'>') => return Some(i + 1),
            (None, b'"' | b'\'') => quote = Some(b),
            (Some(q), b) if b == q => quote = None,
            _ => {}
        }
    }
    None
}

fn count(tag: &str, name: &str) -> Result<usize, NoTable> {
    let Some((_, after)) = tag.split_once(name) else { return Ok(1) };
    let value = after.trim_start().trim_start_matches('=').trim_start().trim_start_matches(['"', '\'']);
    let figures: String = value.chars().take_while(char::is_ascii_digit).collect();
    figures.parse().map_err(|_| NoTable::Damaged("a count in it is no number".into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_of_cells_are_added_up() {
        let table = |rows: &str| format!("<table:table table:name=\"a\">{rows}</table:table>");
        let fine = "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>x</text:p></table:table-cell>\
            <table:table-cell table:number-columns-repeated=\"16383\"/></table:table-row>\
            <table:table-row table:number-rows-repeated=\"1048575\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>";
        assert_eq!(repeats(&table(fine)), Ok(()));
        let wide = "<table:table-row><table:table-cell table:number-columns-repeated='16000' office:value='1'/></table:table-row>";
        assert_eq!(repeats(&table(&wide.repeat(200))), Err(NoTable::TooMany(MOST_CELLS)));
        let long = "<table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell table:number-columns-repeated=\"3\" office:value=\"1\"/></table:table-row>";
        assert_eq!(repeats(&table(long)), Err(NoTable::TooMany(MOST_CELLS)));
        let apart = "<table:table-row><table:table-cell office:value=\"1\"/></table:table-row>\
            <table:table-row table:number-rows-repeated=\"1000000\"><table:table-cell/></table:table-row>\
            <table:table-row><table:table-cell table:number-columns-repeated=\"5\"/><table:table-cell office:value=\"1\"/></table:table-row>";
        assert_eq!(repeats(&table(apart)), Err(NoTable::TooMany(MOST_CELLS)));
        // What a comment says is not counted, nor can it hide anything.
        let hidden = "<!-- <table:table-row> > -->".to_string() + long;
        assert_eq!(repeats(&table(&hidden)), Err(NoTable::TooMany(MOST_CELLS)));
        assert!(matches!(repeats("<!DOCTYPE x>"), Err(NoTable::Damaged(_))));
    }
}
