//! Text to lines of cells: letters of several forms, any usual sign between values.

use super::fault::NoTable;
use super::grid::{Cell, Grid, GridLine, MOST_CELLS, MOST_WIDE};
use crate::exchange::table;

/// What stands between values, the usual ones first.
const SIGNS: [(char, &str); 4] =
    [(',', "commas"), (';', "semicolons"), ('\t', "tabs"), ('|', "upright strokes")];

/// Lines looked at to find the sign.
const LOOKED_AT: usize = 200;

pub(super) fn read(bytes: &[u8]) -> Result<Grid, NoTable> {
    let (text, letters) = decoded(bytes)?;
    if text.trim().is_empty() {
        return Err(NoTable::Nothing);
    }
    let (sign, words) = sign(&text);
    // Counted before it is taken apart: each value and each line end costs room.
    let most = text.chars().filter(|c| *c == sign || *c == '\n' || *c == '\r').count();
    if most > MOST_CELLS {
        return Err(NoTable::TooMany(MOST_CELLS));
    }
    let lines = table::split(&text, sign).map_err(NoTable::Text)?;
    let lines: Vec<GridLine> = lines
        .into_iter()
        .map(|l| GridLine {
            number: l.number,
            cells: l.cells.iter().take(MOST_WIDE).map(|c| Cell::of_text(c)).collect(),
        })
        .filter(|l| l.filled() > 0)
        .collect();
    let mut how = vec![format!("values between {words}")];
    how.extend(letters);
    Ok(Grid { lines, how, ..Grid::default() })
}

/// UTF-8 or UTF-16 by its mark, else UTF-8 if it is, else the letters of Western Europe that came before it.
fn decoded(bytes: &[u8]) -> Result<(String, Option<String>), NoTable> {
    let wide = |rest: &[u8], big: bool| {
        let units: Vec<u16> = rest
            .chunks_exact(2)
            .map(|c| if big { u16::from_be_bytes([c[0], c[1]]) } else { u16::from_le_bytes([c[0], c[1]]) })
            .collect();
        String::from_utf16_lossy(&units)
    };
    let (text, said) = if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        (wide(rest, false), Some("letters as UTF-16".to_string()))
    } else if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        (wide(rest, true), Some("letters as UTF-16".to_string()))
    } else {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        match std::str::from_utf8(bytes) {
            Ok(text) => (text.to_string(), None),
            Err(_) => {
                let text = bytes.iter().map(|b| western(*b)).collect();
                (text, Some("letters in the older form Windows-1252: look at names with accents".into()))
            }
        }
    };
    let odd = text.chars().filter(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t' | '\u{1a}')).count();
    if odd * 50 > text.len() {
        return Err(NoTable::OtherFile("a file of another program"));
    }
    Ok((text, said))
}

/// A byte of Windows-1252: as Latin-1 but for 0x80 to 0x9F (Unicode's own mapping table CP1252.TXT, from memory).
fn western(b: u8) -> char {
    const HIGH: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}',
        '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
    ];
    match b {
        0x80..=0x9f => HIGH[usize::from(b - 0x80)],
        other => char::from(other),
    }
}

/// The sign under which the most lines have the same number of values, two or more.
fn sign(text: &str) -> (char, &'static str) {
    let start: String = text.chars().take(200_000).collect();
    let agree = |sign: char| {
        let mut counts = std::collections::BTreeMap::new();
        for l in table::split(&start, sign).unwrap_or_default().iter().take(LOOKED_AT) {
            *counts.entry(l.cells.len()).or_insert(0usize) += 1;
        }
        let best = counts.into_iter().filter(|(n, _)| *n > 1).max_by_key(|(n, c)| (*c, *n));
        best.map_or((0, 0), |(n, c)| (c, n))
    };
    // The first of equals: a comma.
    let mut best = (SIGNS[0], agree(SIGNS[0].0));
    for s in &SIGNS[1..] {
        let found = agree(s.0);
        if found > best.1 {
            best = (*s, found);
        }
    }
    best.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(bytes: &[u8]) -> Vec<Vec<String>> {
        let grid = read(bytes).unwrap();
        grid.lines.iter().map(|l| l.cells.iter().map(Cell::text).collect()).collect()
    }

    #[test]
    fn any_usual_sign() {
        let want = [["Tag", "kg"], ["0412", "38,5"], ["0413", "40,25"]];
        assert_eq!(cells(b"Tag;kg\n0412;38,5\n0413;40,25\n"), want);
        assert_eq!(cells(b"Tag\tkg\r\n0412\t38,5\r\n0413\t40,25"), want);
        assert_eq!(cells(b"Tag,kg\n0412,\"38,5\"\n0413,\"40,25\"\n"), want);
        assert_eq!(cells(b"Tag|kg\n0412|38,5\n0413|40,25\n"), want);
    }

    #[test]
    fn letters_of_other_forms_are_said() {
        let wide: Vec<u8> =
            [0xff, 0xfe].into_iter().chain("a;é\n1;2".encode_utf16().flat_map(u16::to_le_bytes)).collect();
        assert_eq!(cells(&wide), [["a", "é"], ["1", "2"]]);
        let grid = read(b"tag,name\n1,Si\xe2n \x96 ewe\n").unwrap();
        assert_eq!(grid.lines[1].cells[1].text(), "Siân – ewe");
        assert!(grid.how[1].contains("Windows-1252"));
        assert_eq!(read(b" \n\n").unwrap_err(), NoTable::Nothing);
        assert_eq!(read(&[0, 1, 2, 3, 4, 5]).unwrap_err(), NoTable::OtherFile("a file of another program"));
    }
}
