//! Any table in any dress, and any bytes at all.

use super::*;
use proptest::prelude::*;

fn never_panics(bytes: &[u8]) {
    let desk = FLOCK.with(std::rc::Rc::clone);
    if let Ok(table) = Incoming::open("x.csv", bytes, None, &desk.flock()) {
        let p = table.preview(&Choice::default(), &desk.flock(), day(TODAY));
        let _ = (p.sentence(), p.stands_open(), table.signature());
        for kind in [Kind::Animals, Kind::Weighings, Kind::Lambings] {
            let choice = Choice { kind: Some(kind), change: true, skip: true, ..Choice::default() };
            let _ = table.preview(&choice, &desk.flock(), day(TODAY)).sure("x");
        }
    }
}

thread_local! {
    static FLOCK: std::rc::Rc<Desk> = {
        let mut desk = Desk::new();
        bring(&mut desk, "tag,sex,born\n0412,ewe,2021\nR7,ram,2020\n", &Choice::default());
        std::rc::Rc::new(desk)
    };
}

/// A table of animals as records, and the dress it wears.
#[derive(Debug, Clone)]
struct Dress {
    sign: char,
    heads: Vec<usize>,
    order: Vec<usize>,
    days: usize,
    comma: bool,
    is_sheet: bool,
}

fn dress() -> impl Strategy<Value = Dress> {
    let order = Just((0..5).collect::<Vec<usize>>()).prop_shuffle();
    (
        prop::sample::select(vec![';', '\t', ',', '|']),
        prop::collection::vec(0usize..1000, 5),
        order,
        0usize..4,
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(sign, heads, order, days, comma, is_sheet)| Dress {
            sign,
            heads,
            order,
            days,
            comma,
            is_sheet,
        })
}

fn dressed(rows: &[(u32, bool, u32, u32)], d: &Dress) -> Vec<u8> {
    let columns = ["tag", "sex", "born", "birth_weight_kg", "colour"];
    let mut table: Vec<Vec<String>> = vec![
        columns
            .iter()
            .enumerate()
            .map(|(at, c)| {
                let Some(n) = d.heads.get(at) else { return (*c).to_string() };
                let all = heads_of(Kind::Animals, c);
                all.get(n % all.len().max(1)).cloned().unwrap_or_else(|| (*c).into())
            })
            .collect(),
    ];
    for (n, (tag, is_ewe, at, grams)) in rows.iter().enumerate() {
        let (m, day) = (1 + at % 12, 13 + at % 15);
        let born = match d.days {
            0 => format!("{day:02}/{m:02}/2024"),
            1 => format!("{m}/{day}/2024"),
            2 => format!("2024-{m:02}-{day:02}"),
            _ => format!("{day}.{m}.24"),
        };
        let kg = format!("{}.{:03}", grams / 1000, grams % 1000);
        let kg = if d.comma { kg.replace('.', ",") } else { kg };
        let sex = if *is_ewe { "F" } else { "tup" };
        table.push(vec![format!("T{n}-{tag}"), sex.into(), born, kg, "grey, dark".into()]);
    }
    if d.is_sheet {
        let mut book = Workbook::new();
        let s = book.add_worksheet();
        for (r, row) in table.iter().enumerate() {
            for (c, at) in d.order.iter().enumerate() {
                s.write_string(r as u32, c as u16, &row[*at]).unwrap();
            }
        }
        return book.save_to_buffer().unwrap();
    }
    let mut text = String::new();
    for row in &table {
        let cells: Vec<String> = d.order.iter().map(|at| format!("\"{}\"", row[*at])).collect();
        text.push_str(&cells.join(&d.sign.to_string()));
        text.push('\n');
    }
    text.into_bytes()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_table_is_the_same_in_any_dress(
        rows in prop::collection::vec((0u32..1000, any::<bool>(), 0u32..10_000, 2_000u32..7_000), 2..9),
        dress in dress(),
    ) {
        let plain = Dress { sign: ',', heads: vec![], order: (0..5).collect(), days: 2, comma: false, is_sheet: false };
        let mut texts = Vec::new();
        for d in [&plain, &dress] {
            let mut desk = Desk::new();
            let bytes = dressed(&rows, d);
            let choice = all(Kind::Animals);
            let p = open(&desk, "x", &bytes).preview(&choice, &desk.flock(), day(TODAY));
            prop_assert_eq!(p.stands_open(), Vec::<String>::new(), "{:?} {:#?} {:#?}", dress, p.columns, p.rows);
            let (what, all) = p.sure("x").unwrap();
            desk.book.write_many(&what, all).unwrap();
            texts.push(export(Kind::Animals, &desk.flock()));
            let again = open(&desk, "x", &bytes).preview(&choice, &desk.flock(), day(TODAY));
            prop_assert!(again.is_empty() && again.count(Fate::Same) == rows.len(), "{:#?}", again.rows);
        }
        prop_assert_eq!(&texts[0], &texts[1], "{:?}", dress);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn arbitrary_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        never_panics(&bytes);
    }

    #[test]
    fn arbitrary_text_never_panics(text in "[a-zA-Z0-9 ,;\"'/.\n\t=~|-]{0,300}") {
        never_panics(text.as_bytes());
        never_panics(format!("Tag,Sex,DOB,Weight,Mother,EID\n{text}").as_bytes());
    }

    #[test]
    fn changed_spreadsheets_never_panic(at in any::<prop::sample::Index>(), to in any::<u8>(), cut in any::<prop::sample::Index>(), is_ods in any::<bool>()) {
        let mut bytes = if is_ods { open_sheet(&words(&["Tag", "Sex"])) } else { sheet(true) };
        let place = at.index(bytes.len());
        bytes[place] = to;
        never_panics(&bytes);
        bytes.truncate(cut.index(bytes.len()));
        never_panics(&bytes);
    }

    #[test]
    fn changed_content_never_panics(at in any::<prop::sample::Index>(), to in "[<>\"/a-z0-9 =&;]{0,6}") {
        let mut rows = words(&["Tag", "Sex"]) + &words(&["1", "f"]);
        let place = at.index(rows.len());
        if rows.is_char_boundary(place) {
            rows.insert_str(place, &to);
        }
        never_panics(&open_sheet(&rows));
    }
}
