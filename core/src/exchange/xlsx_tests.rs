//! What is in a spreadsheet, read by another library (calamine) and from its own XML.

use super::super::Holds;
use super::*;
use calamine::{Data, Reader as _, Xlsx};
use proptest::prelude::*;
use std::io::{Cursor, Read as _};

const TODAY: (i32, u32, u32) = (2026, 4, 3);

fn today() -> Day {
    Day::new(TODAY.0, TODAY.1, TODAY.2).unwrap()
}

fn opened(bytes: Vec<u8>) -> Xlsx<Cursor<Vec<u8>>> {
    Xlsx::new(Cursor::new(bytes)).unwrap()
}

fn cells(list: &Listed) -> Vec<Vec<Data>> {
    let mut book = opened(list.xlsx(today()).unwrap());
    let sheet = book.worksheet_range_at(0).unwrap().unwrap();
    sheet.rows().map(<[Data]>::to_vec).collect()
}

fn part(bytes: &[u8], name: &str) -> String {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut text = String::new();
    zip.by_name(name).unwrap().read_to_string(&mut text).unwrap();
    text
}

/// A sheet as CSV text, from the cells alone: what a program that reads spreadsheets would make of it.
pub(crate) fn as_csv(bytes: &[u8], sheet: usize, list: &Listed) -> String {
    let mut book = opened(bytes.to_vec());
    let range = book.worksheet_range_at(sheet).unwrap().unwrap();
    let value = |cell: &Data| match cell {
        Data::Empty => Value::Nothing,
        Data::String(text) => Value::Text(text.clone()),
        Data::Float(n) => Value::Number(n.to_string()),
        Data::DateTime(when) => {
            // Day 61 is the first of March 1900 in every spreadsheet.
            let first = Day::new(1900, 3, 1).unwrap();
            Value::Day(first.plus(when.as_f64() as i64 - 61))
        }
        other => panic!("{other:?}"),
    };
    let mut rows = range.rows();
    let heads: Vec<String> = rows.next().into_iter().flatten().map(ToString::to_string).collect();
    assert_eq!(heads, list.heads);
    let rows = rows.map(|row| row.iter().map(value).collect()).collect();
    Listed { name: list.name.clone(), heads, rows }.csv()
}

fn gains() -> Listed {
    let row = |cells: [&str; 4]| cells.map(String::from).to_vec();
    Listed::of(
        "gains: at 60 days",
        &["tag", "on", "weight_kg", "remark"],
        &[Holds::Text, Holds::Days, Holds::Numbers, Holds::Text],
        vec![
            row(["0412", "2026-04-03", "12.300", "=1+1"]),
            row(["826012345678901", "~2026", "-4", "@SUM(A1)"]),
            row(["-12", "1899-12-31", "too light", "two\nlines \u{1}_x0041_"]),
        ],
    )
}

#[test]
fn numbers_days_and_words_are_what_they_are() {
    let rows = cells(&gains());
    assert_eq!(rows[0].iter().map(ToString::to_string).collect::<Vec<_>>(), gains().heads);
    assert_eq!(rows[1][0], Data::String("0412".into()));
    let Data::DateTime(day) = &rows[1][1] else { panic!("{:?}", rows[1][1]) };
    // Day 46115 is 3 April 2026 (counted by hand: 126 years of 365 days with 31 leap days, 92 days more, and the two
    // that spreadsheets begin with).
    assert_eq!(day.as_f64(), 126.0 * 365.0 + 31.0 + 92.0 + 2.0);
    assert_eq!(rows[1][2], Data::Float(12.3));
    assert_eq!(rows[1][3], Data::String("=1+1".into()));
    assert_eq!(rows[2][0], Data::String("826012345678901".into()));
    assert_eq!(rows[2][1], Data::String("~2026".into()));
    assert_eq!(rows[2][2], Data::Float(-4.0));
    assert_eq!(rows[3][0], Data::String("-12".into()));
    assert_eq!(rows[3][1], Data::String("1899-12-31".into()));
    assert_eq!(rows[3][2], Data::String("too light".into()));
}

#[test]
fn nothing_is_a_formula_or_a_link() {
    let bytes = gains().xlsx(today()).unwrap();
    let sheet = part(&bytes, "xl/worksheets/sheet1.xml");
    assert!(!sheet.contains("<f>") && !sheet.contains("<f ") && !sheet.contains("hyperlink"), "{sheet}");
    assert!(sheet.contains(r#"state="frozen""#) && sheet.contains("<autoFilter ref=\"A1:D4\"/>"), "{sheet}");
    assert!(sheet.contains("<cols>"), "{sheet}");
    let styles = part(&bytes, "xl/styles.xml");
    assert!(styles.contains("<b/>") && styles.contains("yyyy") && styles.contains("0.000"), "{styles}");
    let strings = part(&bytes, "xl/sharedStrings.xml");
    assert!(strings.contains("=1+1") && strings.contains("_x005F_x0041_"), "{strings}");
}

#[test]
fn the_same_list_makes_the_same_bytes() {
    let one = gains().xlsx(today()).unwrap();
    std::thread::sleep(std::time::Duration::from_millis(1100));
    assert!(one == gains().xlsx(today()).unwrap());
    assert!(part(&one, "docProps/core.xml").contains("2026-04-03T00:00:00Z"));
}

#[test]
fn names_of_sheets_are_made_valid() {
    let mut taken = HashSet::new();
    let mut name = |text: &str| sheet_name(text, &mut taken);
    assert_eq!(name("gains at 60: 2026/04"), "gains at 60 2026 04");
    assert_eq!(name("Gains at 60: 2026/04"), "Gains at 60 2026 04 2");
    assert_eq!(name("'[]*"), "List");
    assert_eq!(name(""), "List 2");
    assert_eq!(name("history"), "history list");
    assert_eq!(name(&"x".repeat(40)), "x".repeat(31));
    assert_eq!(name(&"x".repeat(40)), format!("{} 2", "x".repeat(29)));
}

#[test]
fn what_a_sheet_cannot_hold_is_refused_with_a_mend() {
    let mut list = gains();
    list.rows[1][3] = Value::text("x".repeat(32_768));
    let why = list.xlsx(today()).unwrap_err().to_string();
    assert_eq!(
        why,
        "gains: at 60 days, row 2, remark: a text of 32768 signs is more than the 32767 a cell holds: save it as CSV"
    );
    list.rows[1][3] = Value::text("x".repeat(32_767));
    assert!(list.xlsx(today()).is_ok());
    let wide = Listed { heads: vec!["x".into(); 16_385], ..Listed::default() };
    assert!(wide.xlsx(today()).unwrap_err().to_string().contains("16385 columns"));
    let long = Listed { name: "lines".into(), heads: vec!["x".into()], rows: vec![Vec::new(); 1_048_576] };
    assert!(long.xlsx(today()).unwrap_err().to_string().contains("save it as CSV"));
    assert!(opened(workbook(&[Listed::default(), gains()], today()).unwrap()).sheet_names().len() == 2);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
    #[test]
    fn any_text_comes_back_as_text(texts in proptest::collection::vec("\\PC{0,12}|[=+@'0-9.\\-]{1,20}", 1..12), name in ".{0,40}") {
        let rows = texts.iter().map(|t| vec!["1".to_string(), t.clone()]).collect();
        let list = Listed::of(&name, &["n", "text"], &[Holds::Numbers, Holds::Text], rows);
        let seen = cells(&list);
        for (row, text) in seen.iter().skip(1).zip(&texts) {
            prop_assert_eq!(&row[0], &Data::Float(1.0));
            let got = row.get(1).cloned().unwrap_or(Data::Empty);
            let want = if text.is_empty() { Data::Empty } else { Data::String(text.clone()) };
            prop_assert_eq!(got, want);
        }
    }
}
