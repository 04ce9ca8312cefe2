//! Files written by a generator in any dress are read back as they were meant.

use super::super::common::{Desk, TODAY, day};
use super::tests::desk;
use super::*;
use crate::terms::{Minute, Moment, Weight};
use proptest::prelude::*;
use std::sync::{Mutex, OnceLock};

/// How a file is dressed.
#[derive(Debug, Clone)]
struct Dress {
    sign: &'static str,
    has_head: bool,
    head_words: usize,
    comma: bool,
    tags: u8,
    number: u8,
    unit: u8,
    days: u8,
    time: bool,
    count: bool,
    extra: bool,
    comments: bool,
    end: &'static str,
    mark: bool,
    latin: bool,
    sign_at_end: bool,
}

#[derive(Debug, Clone)]
struct Meant {
    animal: usize,
    tenths: i64,
    back: i64,
    minute: u32,
}

fn dress() -> impl Strategy<Value = Dress> {
    let a = (0usize..5, any::<bool>(), 0usize..3, any::<bool>(), 0u8..3, 0u8..6, 0u8..4, 0u8..9);
    let b = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        0usize..3,
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    (a, b).prop_map(
        |(
            (sign, head, words, comma, tags, number, unit, days),
            (time, count, extra, comments, end, mark, latin, last),
        )| {
            let sign = [",", ";", "\t", " ", "   "][sign];
            Dress {
                sign,
                has_head: head,
                head_words: words,
                comma,
                tags,
                number,
                unit,
                days,
                time,
                count,
                extra: extra && head,
                comments,
                end: ["\n", "\r\n", "\r"][end],
                mark,
                latin: latin && !mark,
                sign_at_end: last && sign == ";",
            }
        },
    )
}

fn meant() -> impl Strategy<Value = Vec<Meant>> {
    let row = (0usize..10, 30i64..600, 0i64..300, 0u32..1440)
        .prop_map(|(animal, tenths, back, minute)| Meant { animal, tenths, back, minute });
    proptest::collection::vec(row, 3..12)
}

impl Dress {
    fn number(&self, animal: usize) -> String {
        let n = animal + 1;
        match self.number {
            0 => format!("8260123456004{n:02}"),
            1 => format!("826 0123456004{n:02}"),
            2 => format!("08260123456004{n:02}"),
            3 => format!("UK0123456 004{n:02}"),
            4 => format!("A00000008260123456004{n:02}"),
            _ => format!("826-0123456004{n:02}"),
        }
    }

    fn weight(&self, tenths: i64) -> String {
        let text = format!("{}.{}", tenths / 10, tenths % 10);
        let text = if self.comma { text.replace('.', ",") } else { text };
        match self.unit {
            1 => format!("{text} kg"),
            2 => format!("{text}kg"),
            _ => text,
        }
    }

    fn day(&self, on: Day) -> String {
        let (y, m, d) = (on.year(), on.month(), on.day());
        let name = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
            [m as usize - 1];
        match self.days {
            0 => String::new(),
            1 => on.to_string(),
            2 => format!("{d:02}/{m:02}/{y}"),
            3 => format!("{m}/{d}/{y}"),
            4 => format!("{d:02}.{m:02}.{y}"),
            5 => format!("{d:02}-{name}-{y}"),
            6 => format!("{y}{m:02}{d:02}"),
            7 => format!("{y}/{m:02}/{d:02}"),
            _ => format!("{d}/{m}/{:02}", y % 100),
        }
    }

    /// Head, values of a row; the tag may be a number, a tag, or both.
    fn cells(&self, n: usize, m: &Meant, today: Day) -> Vec<(&'static str, String)> {
        let head = |all: [&'static str; 3]| all[self.head_words];
        let mut cells = Vec::new();
        if self.count {
            cells.push((head(["No", "Count", "Row"]), (n + 1).to_string()));
        }
        if self.tags != 1 {
            cells.push((head(["EID", "Electronic ID", "RFID"]), self.number(m.animal)));
        }
        if self.tags != 0 {
            cells.push((head(["VID", "Tag", "Animal"]), format!("04{:02}", m.animal + 1)));
        }
        let day = self.day(today.plus(-m.back));
        let time = Minute::new(m.minute / 60, m.minute % 60).unwrap().to_string();
        if self.days == 1 && self.time {
            cells.push((head(["Date Time", "Timestamp", "Date/Time"]), format!("{day}T{time}:30")));
        } else {
            if self.days > 0 {
                cells.push((head(["Date", "Day", "Date"]), day));
            }
            if self.time {
                cells.push((head(["Time", "Hour", "Time"]), format!("{time}:12")));
            }
        }
        let weight = self.weight(m.tenths);
        cells.push((head(["Weight", "Wt", "Live weight"]), weight));
        if self.extra {
            cells.push((head(["Sex", "Draft", "Gain"]), "1".into()));
        }
        cells
    }

    /// Nothing in the file tells the count from a tag, or a comma from a comma: no reader could.
    fn is_readable(&self) -> bool {
        let blanks = self.sign.trim().is_empty() && self.sign != "\t";
        let heads_of_two = self.sign == " " && self.has_head;
        !(self.sign == "," && self.comma || blanks && heads_of_two)
    }

    fn write(&self, rows: &[Meant], today: Day) -> Vec<u8> {
        let mut text = String::new();
        let mut line = |cells: Vec<String>| {
            text.push_str(&cells.join(self.sign));
            if self.sign_at_end {
                text.push_str(self.sign);
            }
            text.push_str(self.end);
        };
        if self.comments {
            line(vec!["# weighed in the yard".into()]);
        }
        for (n, m) in rows.iter().enumerate() {
            let cells = self.cells(n, m, today);
            if n == 0 && self.has_head {
                line(cells.iter().map(|(h, _)| (*h).to_string()).collect());
            }
            line(cells.into_iter().map(|(_, v)| v).collect());
        }
        if self.comments {
            line(vec!["// Bréa's lambs".into()]);
        }
        let mut bytes: Vec<u8> = if self.mark { b"\xef\xbb\xbf".to_vec() } else { Vec::new() };
        if self.latin {
            bytes.extend(text.chars().map(|c| c as u8));
        } else {
            bytes.extend(text.bytes());
        }
        bytes
    }

    fn order(&self) -> Option<DateOrder> {
        match self.days {
            2 | 4 | 8 => Some(DateOrder::DayFirst),
            3 => Some(DateOrder::MonthFirst),
            _ => None,
        }
    }
}

/// One flock for all cases.
fn flock() -> std::sync::Arc<Flock> {
    static DESK: OnceLock<Mutex<Desk>> = OnceLock::new();
    DESK.get_or_init(|| Mutex::new(desk())).lock().unwrap().flock()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]
    #[test]
    fn any_dress_is_read_back(dress in dress(), rows in meant()) {
        prop_assume!(dress.is_readable());
        let (flock, today) = (flock(), day(TODAY));
        let bytes = dress.write(&rows, today);
        let shown = String::from_utf8_lossy(&bytes).into_owned();
        let file = ScaleFile::read("x", &bytes, &flock).unwrap();
        let plain = file.preview(&Choice::default(), &flock, today);
        let choice = Choice { order: dress.order(), ..Choice::default() };
        let p = file.preview(&choice, &flock, today);
        prop_assert_eq!(&p.bad, &[], "{}", shown);
        let got: Vec<(String, i64, Option<Moment>)> = p.rows.iter().map(|r| {
            let tag = r.animal().map_or_else(|| r.tag.clone(), |id| flock.tag(id).to_string());
            (tag, r.weight.map_or(0, Weight::grams), r.at)
        }).collect();
        let want: Vec<(String, i64, Option<Moment>)> = rows.iter().map(|m| {
            let time = Minute::new(m.minute / 60, m.minute % 60).filter(|_| dress.time);
            let day = if dress.days == 0 { today } else { today.plus(-m.back) };
            (format!("04{:02}", m.animal + 1), m.tenths * 100, Some(Moment { day, time }))
        }).collect();
        prop_assert_eq!(&got, &want, "{}\n{:?}", shown, p.columns);
        // Without a word of the keeper a day is the right one or asked for, never another.
        for (r, w) in plain.rows.iter().zip(&want) {
            prop_assert!(plain.ask.is_some() || r.at == w.2, "{}", shown);
            prop_assert!(r.at.is_none() || r.at == w.2, "{}", shown);
        }
    }

    #[test]
    fn no_bytes_bring_it_down(bytes in proptest::collection::vec(any::<u8>(), 0..300), text in "[0-9a-z,;\\t \\n./:\"-]{0,200}") {
        let (flock, today) = (flock(), day(TODAY));
        for b in [bytes, text.into_bytes()] {
            if let Ok(file) = ScaleFile::read("x", &b, &flock) {
                let p = file.preview(&Choice::default(), &flock, today);
                prop_assert!(!p.sentence().is_empty());
                p.checks(&Default::default(), &flock, today);
            }
        }
    }
}
