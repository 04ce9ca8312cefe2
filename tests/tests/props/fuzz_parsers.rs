//! Every parser of what comes from outside, fed with anything: whatever the bytes are, it answers, in time, and never stops
//! the program. Inputs are arbitrary bytes and, mostly, good files with something done to them.
//!
//! A new parser gets a line in [`parsers`], with some good inputs; files in `tests/fuzz/seeds/NAME` are added to them.

use hirsel_core::book::Book;
use hirsel_core::entry::notes::{self, Words};
use hirsel_core::exchange::scale::ScaleFile;
use hirsel_core::exchange::{self, Kind};
use hirsel_core::flock::Flock;
use hirsel_core::language::Catalogue;
use hirsel_core::plan::{Step, shipped_steps};
use hirsel_core::rules::{row_faults, rule_set};
use hirsel_core::terms::speech::Language as _;
use hirsel_core::terms::{
    BirthType, Born, Breed, Day, Dose, Ease, ElectronicId, Minute, MonthDay, Price, Score, ScoreKind, Tag,
    Units, Weight, Withdrawal,
};
use hirsel_tests::book::{room, today};
use hirsel_tests::cli::workspace;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// One way in: its name, good inputs, how many times less often it is tried (reading a book takes long), and the reading.
struct Parser {
    name: &'static str,
    seeds: Vec<Vec<u8>>,
    rarer: u32,
    read: fn(&[u8]),
}

fn parsers() -> Vec<Parser> {
    let made_up = flock();
    let one = |name, seeds: Vec<String>, read| Parser {
        name,
        seeds: seeds.into_iter().map(String::into_bytes).collect(),
        rarer: 1,
        read,
    };
    let mut all = vec![
        one("notes", NOTES.map(String::from).into(), |b| {
            let line = String::from_utf8_lossy(b);
            let understood = notes::read(&line, flock(), words(), today());
            let _ = format!("{understood:?}");
        }),
        one("scale", SCALE.map(String::from).into(), |b| {
            let _ = ScaleFile::read("any.csv", b, flock()).map(|f| format!("{f:?}"));
        }),
        one("typed", TYPED.map(String::from).into(), typed),
        one("rules", rules(), |b| {
            let text = String::from_utf8_lossy(b);
            for key in ["", "meat floor"] {
                let _ = row_faults("gb", key, &text);
            }
        }),
        one("plan", shipped_steps().iter().map(|s| s.to_toml()).collect(), |b| {
            let _ = Step::from_toml(&String::from_utf8_lossy(b)).map(|s| s.to_toml());
        }),
        one("language", vec![LANGUAGE.into()], |b| {
            if let Ok(read) = Catalogue::read(b) {
                let all = [0, 1, 2, 7, usize::MAX].map(|n| read.counted(n, "lamb").map(str::len));
                let _ = format!("{all:?} {:?} {:?}", read.text("Sheep"), read.faulty());
            }
        }),
        Parser { name: "book", seeds: vec![book().clone()], rarer: 4, read: read_book },
    ];
    // Each kind with the tables of the made-up flock.
    macro_rules! kinds {
        ($($n:literal),+) => {$(
            all.push(one(concat!("table ", $n), vec![exchange::export(Kind::ALL[$n], made_up)], |b| {
                let _ = exchange::read(Kind::ALL[$n], "any.csv", b, flock(), today()).map(|r| r.csv());
            }));
        )+};
    }
    kinds!(
        0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25, 26, 27
    );
    for p in &mut all {
        let folder = workspace().join("tests/fuzz/seeds").join(p.name);
        let files = std::fs::read_dir(folder).into_iter().flatten().flatten();
        p.seeds.extend(files.filter_map(|f| std::fs::read(f.path()).ok()));
    }
    all
}

const LANGUAGE: &str = r#"msgid ""
msgstr ""
"Language: xx\n"
"Plural-Forms: nplurals=3; plural=n==1 ? 0 : n>=2 && n<=4 ? 1 : 2;\n"

#: a/file.rs
#, fuzzy
msgctxt "head"
msgid "Sheep"
msgstr ""
"Sh"
"eep \"\t\\"

msgid "{} lamb"
msgid_plural "{} lambs"
msgstr[0] "{} a"
msgstr[1] "{} b"
msgstr[2] "{} c"

#~ msgid "old {n:.1}"
#~ msgstr "{n:.1}"
"#;

const NOTES: [&str; 6] = [
    "0412 twins, ewe 4.2 ram 4.5, jug 3, easy",
    "0412 0413 dosed 2.5 ml fellmectin, batch A12, meat 28 days",
    "all of jug 3 to top field yesterday",
    "R7 weighed 92.5 kg; 0412 condition 2.75",
    "3 Apr: scanned 0412 twins, 0413 empty",
    "0412 lame near fore – “look again” Tuesday",
];

const SCALE: [&str; 4] = [
    "EID,VID,Date,Weight\n826000123456789,0412,03/04/2026,61.5\n826000123456790,0413,03/04/2026,58\n",
    "# session 4\ntag;day;kg\n0412;2026-04-03;61,5\n0413;2026-04-03;58,25\n",
    "0412\t61.5\n0413\t58.0\n0414\t\n",
    "\u{feff}Tag,Time,Live weight (lb)\n0412,08:15,135\n",
];

const TYPED: [&str; 12] = [
    "2026-04-03",
    "3 Apr 2024",
    "03/04/26",
    "61.5 kg",
    "135 lb",
    "2.5 ml",
    "28 days",
    "826 0001 2345 6789",
    "0412",
    "08:15",
    "Fellside 1/2 + Hillgrey 1/2",
    "~2024",
];

/// What is typed into a field, by every field.
fn typed(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let text = text.as_ref();
    let _ = (Day::parse_iso(text), Day::parse_typed(text, today()), Day::parse_expiry(text, today()));
    let _ = (Minute::parse(text), MonthDay::parse(text), MonthDay::parse_typed(text));
    let _ = (Weight::parse(text, Units::Metric), Weight::parse(text, Units::Imperial), Born::parse(text));
    let _ = (Dose::parse(text), Dose::parse_stock(text), Withdrawal::parse(text), Price::parse(text));
    let _ = (
        Tag::parse(text),
        ElectronicId::parse(text),
        Breed::parse(text),
        Ease::parse(text),
        BirthType::parse(text),
    );
    for kind in ScoreKind::ALL {
        let _ = Score::parse(kind, text);
    }
}

/// The rows of a rule set as they are shipped, and the whole of it.
fn rules() -> Vec<String> {
    let set = rule_set("gb").expect("shipped");
    set.rows().into_iter().map(|r| r.toml).collect()
}

fn read_book(bytes: &[u8]) {
    let folder = room();
    let path = folder.path().join("a.hirsel");
    std::fs::write(&path, bytes).expect("written");
    if let Ok(book) = Book::open_plain(&path) {
        let _ = book.check(&|_| {});
        let flock = book.flock();
        Kind::ALL.iter().for_each(|k| drop(exchange::export(*k, &flock)));
        let _ = book.history(50);
        let _ = book.close();
    }
}

struct Made {
    flock: std::sync::Arc<Flock>,
    words: Words,
    bytes: Vec<u8>,
}

fn made() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| {
        let folder = room();
        let path = folder.path().join("a.hirsel");
        let mut book = Book::create(&path, hirsel_demo::holding()).expect("made");
        let spec = hirsel_demo::Spec { ewes: 6, seasons: 2, seed: 3 };
        hirsel_demo::make(&mut book, &spec, today(), &mut |_| {}).expect("a flock");
        let flock = book.flock();
        book.close().expect("closed");
        let words = Words::of(&flock, today());
        Made { flock, words, bytes: std::fs::read(&path).expect("read") }
    })
}

fn flock() -> &'static Flock {
    &made().flock
}

fn words() -> &'static Words {
    &made().words
}

fn book() -> &'static Vec<u8> {
    &made().bytes
}

/// One thing done to a good input; places are shares of its length.
#[derive(Debug, Clone)]
enum Edit {
    Bit(f64, u8),
    Byte(f64, u8),
    Cut(f64, usize),
    End(f64),
    Twice(f64, usize),
    Insert(f64, Vec<u8>),
    Swap(f64, f64),
}

impl Edit {
    fn apply(&self, to: &mut Vec<u8>) {
        let at = |share: f64, len: usize| ((share * len as f64) as usize).min(len.saturating_sub(1));
        let len = to.len();
        if len == 0 {
            return;
        }
        match self {
            Self::Bit(p, bit) => to[at(*p, len)] ^= 1 << bit,
            Self::Byte(p, byte) => to[at(*p, len)] = *byte,
            Self::Cut(p, n) => drop(to.drain(at(*p, len)..len.min(at(*p, len) + n))),
            Self::End(p) => to.truncate(at(*p, len)),
            Self::Twice(p, n) => {
                let part = to[at(*p, len)..len.min(at(*p, len) + n)].to_vec();
                to.splice(at(*p, len)..at(*p, len), part);
            }
            Self::Insert(p, what) => drop(to.splice(at(*p, len)..at(*p, len), what.iter().copied())),
            Self::Swap(a, b) => to.swap(at(*a, len), at(*b, len)),
        }
    }
}

/// Texts on which readers stumble.
const TOKENS: [&str; 22] = [
    "\0",
    "\r\n",
    "\"",
    "'",
    ",",
    ";",
    "\t",
    "-",
    "--",
    "99999999999999999999",
    "-1",
    "0",
    "1e309",
    "NaN",
    "2026-02-30",
    "0000-00-00",
    "\u{feff}",
    "\u{202e}",
    "é",
    "=1+1",
    "[[",
    "𝟙",
];

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let share = || 0.0f64..1.0;
    let token = prop::sample::select(TOKENS.to_vec()).prop_map(|t| t.as_bytes().to_vec());
    let edit = prop_oneof![
        (share(), 0u8..8).prop_map(|(p, b)| Edit::Bit(p, b)),
        (share(), any::<u8>()).prop_map(|(p, b)| Edit::Byte(p, b)),
        (share(), 1usize..80).prop_map(|(p, n)| Edit::Cut(p, n)),
        share().prop_map(Edit::End),
        (share(), 1usize..300).prop_map(|(p, n)| Edit::Twice(p, n)),
        (share(), prop_oneof![3 => token, 1 => prop::collection::vec(any::<u8>(), 1..12)])
            .prop_map(|(p, t)| Edit::Insert(p, t)),
        (share(), share()).prop_map(|(a, b)| Edit::Swap(a, b)),
    ];
    prop::collection::vec(edit, 1..8)
}

/// Longer than any reading of such inputs takes on a busy machine.
const LONG: Duration = Duration::from_secs(30);

/// Feeds those parsers whose place is `nth` of `of`, so that the tests run beside one another.
fn feed(nth: usize, of: usize) {
    for (_, parser) in parsers().iter().enumerate().filter(|(i, _)| i % of == nth) {
        let config = ProptestConfig { failure_persistence: None, ..ProptestConfig::default() };
        let cases = (config.cases / parser.rarer).max(1);
        let mut runner = TestRunner::new(ProptestConfig { cases, ..config });
        let seeds = parser.seeds.clone();
        let spoilt = (prop::sample::select(seeds), edits()).prop_map(|(mut seed, edits)| {
            edits.iter().for_each(|e| e.apply(&mut seed));
            seed
        });
        let any_bytes = prop::collection::vec(any::<u8>(), 0..600);
        // What failed is shown by its length only: a book is long. The fixed seed draws it again.
        let input = prop_oneof![6 => spoilt, 1 => any_bytes].prop_map(Bytes);
        let done = runner.run(&input, |bytes| {
            let began = Instant::now();
            (parser.read)(&bytes.0);
            prop_assert!(began.elapsed() < LONG, "it took {:?}", began.elapsed());
            Ok(())
        });
        done.unwrap_or_else(|e| panic!("{}: {e}", parser.name));
        for seed in &parser.seeds {
            (parser.read)(seed);
        }
    }
}

#[derive(Clone)]
struct Bytes(Vec<u8>);

impl std::fmt::Debug for Bytes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} bytes: {:?}", self.0.len(), String::from_utf8_lossy(&self.0[..self.0.len().min(2_000)]))
    }
}

#[test]
fn no_input_stops_a_parser() {
    feed(0, 2);
}

#[test]
fn no_input_stops_another_parser() {
    feed(1, 2);
}
