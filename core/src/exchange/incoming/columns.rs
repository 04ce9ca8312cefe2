//! Which column is what, and which kind of table it is: by heads, by what stands in the columns, by whose tags are in the
//! book. Each guess tells why; the keeper may say otherwise.

use super::days;
use super::form::{Form, form};
use super::grid::{Cell, GridLine};
use super::words::{DICTIONARY, MassUnit, tidy};
use crate::exchange::Kind;
use crate::exchange::names::Names;
use crate::exchange::scale::number;
use crate::flock::Flock;
use crate::terms::{Day, Sex};

/// What a column is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Meaning {
    /// A column of ours.
    Column(&'static str),
    /// Kept as words in the note.
    Remark,
    /// Left out.
    Out,
}

impl Meaning {
    /// `born`, `kept as a remark`, `left out`.
    pub fn words(self) -> String {
        match self {
            Self::Column(name) => name.replace('_', " "),
            Self::Remark => "kept as a remark".into(),
            Self::Out => "left out".into(),
        }
    }

    /// As it is typed and remembered: `born`, `remark`, `-`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Column(name) => name,
            Self::Remark => "remark",
            Self::Out => "-",
        }
    }

    /// From the word, for a kind of table.
    pub fn parse(kind: Kind, word: &str) -> Option<Self> {
        let low = word.trim().to_lowercase().replace([' ', '-'], "_");
        match low.as_str() {
            "" | "_" | "out" | "left_out" => Some(Self::Out),
            "remark" => Some(Self::Remark),
            name => kind.columns().iter().find(|c| c.name == name).map(|c| Self::Column(c.name)),
        }
    }
}

/// What is seen of a column, whatever the kind.
#[derive(Debug, Clone, Default)]
pub(super) struct Seen {
    pub head: String,
    /// Its first values, each once.
    pub sample: Vec<String>,
    filled: usize,
    electronic: usize,
    days: usize,
    times: usize,
    sexes: usize,
    tags: usize,
    numbers: usize,
    /// Values with letters and blanks.
    prose: usize,
    pub unit: Option<MassUnit>,
}

/// Lines looked at to see what stands in a column.
const LOOKED_AT: usize = 400;

impl Seen {
    pub(super) fn of(head: &str, at: usize, lines: &[GridLine], names: &Names, today: Day) -> Self {
        let mut s = Self { head: head.into(), unit: MassUnit::of_head(head), ..Self::default() };
        for cell in lines.iter().take(LOOKED_AT).map(|l| l.cell(at)).filter(|c| !c.is_empty()) {
            let text = cell.text();
            if s.sample.len() < 4 && !s.sample.contains(&text) {
                s.sample.push(text.chars().take(40).collect());
            }
            s.filled += 1;
            let is_day = matches!(cell, Cell::Day(..)) || days::read(&text, today).is_some();
            s.days += usize::from(is_day);
            s.times += usize::from(matches!(cell, Cell::Time(_)));
            s.electronic += usize::from(number::electronic(&text).is_some());
            s.sexes += usize::from(Sex::parse(&text).is_ok() || DICTIONARY.value("sex", &text).is_some());
            s.tags += usize::from(!is_day && number::find(names, &text).is_ok());
            s.numbers += usize::from(text.replace(',', ".").parse::<f64>().is_ok());
            s.prose += usize::from(text.contains(' ') && text.contains(char::is_alphabetic) && !is_day);
        }
        s
    }

    pub(super) fn is_empty(&self) -> bool {
        self.filled == 0
    }

    fn most(&self, n: usize) -> bool {
        self.filled > 0 && n * 10 >= self.filled * 8
    }

    /// What stands in it cannot be of this form.
    fn speaks_against(&self, form: Form) -> bool {
        if self.filled == 0 {
            return false;
        }
        match form {
            // Years alone and counted days are numbers.
            Form::Day | Form::Born => !self.most(self.days + self.numbers) && self.days * 2 < self.filled,
            Form::Kilograms => {
                self.numbers == 0 && self.prose < self.filled && self.most(self.days + self.sexes)
            }
            Form::Electronic => self.electronic * 2 < self.filled,
            Form::Time => self.most(self.days) && self.times == 0,
            Form::Animal | Form::Animals | Form::Tag => self.most(self.days) && self.tags * 2 < self.filled,
            _ => false,
        }
    }
}

/// A guess of one column for one kind.
#[derive(Debug, Clone)]
pub(super) struct Guess {
    pub meaning: Meaning,
    pub why: String,
    /// How sure, 0 to 100.
    pub sure: u32,
}

/// Guesses every column for a kind.
pub(super) fn guess(kind: Kind, seen: &[Seen]) -> Vec<Guess> {
    let mut all: Vec<(u32, usize, &'static str, String)> = Vec::new();
    for (at, s) in seen.iter().enumerate() {
        candidates(kind, s, at, &mut all);
    }
    // The surest first; of equals the one more to the left.
    all.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut out: Vec<Option<Guess>> = vec![None; seen.len()];
    let mut given: Vec<&'static str> = Vec::new();
    for (sure, at, column, why) in all {
        if out[at].is_none() && !given.contains(&column) {
            given.push(column);
            out[at] = Some(Guess { meaning: Meaning::Column(column), why, sure });
        }
    }
    let left = |s: &Seen| {
        let why = if s.is_empty() {
            "nothing stands in it".to_string()
        } else if DICTIONARY.is_idle(&s.head) {
            "the book reckons that itself".into()
        } else {
            format!("no column of the {} is known by it", kind.word())
        };
        Guess { meaning: Meaning::Out, why, sure: 0 }
    };
    out.into_iter().zip(seen).map(|(g, s)| g.unwrap_or_else(|| left(s))).collect()
}

fn candidates(kind: Kind, s: &Seen, at: usize, all: &mut Vec<(u32, usize, &'static str, String)>) {
    let own = s.head.trim().to_lowercase().replace([' ', '-'], "_");
    // A dose in figures alone is in millilitres.
    let figures = own == "dose" && s.most(s.numbers) && kind.columns().iter().any(|c| c.name == "dose_ml");
    if let Some(c) = kind.columns().iter().find(|c| c.name == own && !figures) {
        all.push((100, at, c.name, "it has our own name".into()));
        return;
    }
    if DICTIONARY.is_idle(&s.head) {
        return;
    }
    let head = tidy(&s.head);
    for (rank, column) in DICTIONARY.columns(kind, &s.head).iter().enumerate() {
        let against = s.speaks_against(form(kind, column));
        let sure = (90 - 5 * rank.min(4) as u32) - if against { 70 } else { 0 };
        all.push((sure, at, column, format!("'{}' is a word for it", s.head.trim())));
    }
    // Part of a longer head: `Lamb birth weight`, `EID of dam` is more than one and left alone.
    let words: Vec<&str> = head.split(' ').filter(|w| !w.is_empty()).collect();
    if words.len() > 1 && all.iter().all(|c| c.1 != at) {
        for len in (1..words.len()).rev() {
            for start in 0..=words.len() - len {
                let part = words[start..start + len].join(" ");
                for column in DICTIONARY.columns(kind, &part) {
                    if !s.speaks_against(form(kind, column)) && len * 2 >= words.len() {
                        all.push((40 + 5 * len as u32, at, column, format!("its head holds '{part}'")));
                    }
                }
            }
        }
    }
    if s.is_empty() {
        return;
    }
    let of_form = |want: Form| {
        kind.columns().iter().filter(move |c| form(kind, c.name) == want).map(|c| c.name).collect::<Vec<_>>()
    };
    if s.most(s.electronic) {
        let columns = of_form(Form::Electronic);
        let whose = if columns.is_empty() { of_form(Form::Animal) } else { columns };
        for c in whose.iter().take(1) {
            all.push((55, at, c, "electronic numbers of 15 figures stand in it".into()));
        }
    }
    if s.most(s.sexes) && kind.columns().iter().any(|c| c.name == "sex") {
        all.push((50, at, "sex", "ewes and rams stand in it".into()));
    }
    // A head that means nothing at all says less than what stands below it.
    let is_headless = head.is_empty();
    if s.most(s.tags) && s.prose * 2 < s.filled && (is_headless || s.tags > 3) {
        for c in
            kind.columns().iter().filter(|c| matches!(form(kind, c.name), Form::Animal | Form::Tag)).take(1)
        {
            all.push((35, at, c.name, "tags of the book stand in it".into()));
        }
    }
    if s.most(s.days) {
        let days: Vec<_> =
            kind.columns().iter().filter(|c| matches!(form(kind, c.name), Form::Day | Form::Born)).collect();
        let first = days.iter().find(|c| c.needed).or(days.iter().find(|c| c.name == "born"));
        if let Some(c) = first.filter(|_| is_headless || days.len() == 1 || days.iter().any(|d| d.needed)) {
            all.push((30, at, c.name, "days stand in it".into()));
        }
    }
    if is_headless && s.most(s.numbers) && s.electronic == 0 && s.tags * 2 < s.filled {
        for c in kind.columns().iter().filter(|c| c.needed && form(kind, c.name) == Form::Kilograms) {
            all.push((25, at, c.name, "numbers stand in it".into()));
        }
    }
}

/// The kinds a table may be of, the likeliest first, each with why. A word of the file's or sheet's name counts.
pub(super) fn kinds(seen: &[Seen], called: &str) -> Vec<(Kind, String)> {
    let called = tidy(called);
    let filled = seen.iter().filter(|s| !s.is_empty()).count().max(1);
    let mut all: Vec<(i64, Kind, String)> = Vec::new();
    for kind in Kind::ALL {
        let guesses = guess(kind, seen);
        let known: Vec<&Guess> = guesses.iter().filter(|g| matches!(g.meaning, Meaning::Column(_))).collect();
        let has = |name: &'static str| known.iter().any(|g| g.meaning == Meaning::Column(name));
        let missing: Vec<&str> =
            kind.columns().iter().filter(|c| c.needed && !has(c.name)).map(|c| c.name).collect();
        // A tag may be made of another mark of the animal.
        let bearable = kind == Kind::Animals
            && missing
                .iter()
                .all(|m| *m == "tag" && (has("electronic") || has("official") || has("registry")));
        let sure: u32 = known.iter().map(|g| g.sure).sum();
        let mut points = i64::from(sure) * 10 / filled as i64;
        points += if missing.is_empty() || bearable { 400 } else { -150 * missing.len() as i64 };
        let named = tidy(kind.word());
        if called.contains(named.trim_end_matches('s')) {
            points += 120;
        }
        if known.is_empty() {
            continue;
        }
        let heads: Vec<String> = known.iter().take(4).map(|g| g.meaning.words()).collect();
        let why = match missing.as_slice() {
            [] => format!("it has {}", heads.join(", ")),
            missing => {
                format!("it has {}, but no {}", heads.join(", "), missing.join(", ").replace('_', " "))
            }
        };
        all.push((points, kind, why));
    }
    // Of equals the one that comes first in the order of importing.
    all.sort_by_key(|(points, ..)| -points);
    all.into_iter().map(|(_, kind, why)| (kind, why)).collect()
}

/// The head line: the one whose cells are most of them words that are known as heads, if there is one near the top.
/// Answers its place among the lines, and the place of a line above it that belongs to it.
pub(super) fn head_line(lines: &[GridLine], flock: &Flock) -> Option<(usize, Option<usize>)> {
    let names = Names::of(flock);
    let known = |c: &Cell| {
        let Cell::Text(t) = c else { return false };
        Kind::ALL.iter().any(|k| {
            let own = t.trim().to_lowercase().replace([' ', '-'], "_");
            k.columns().iter().any(|c| c.name == own) || !DICTIONARY.columns(*k, t).is_empty()
        }) || DICTIONARY.is_idle(t)
    };
    let points = |l: &GridLine| {
        let heads = l.cells.iter().filter(|c| known(c)).count();
        let figures = l.cells.iter().filter(|c| !matches!(c, Cell::Text(_) | Cell::Empty)).count();
        heads as i64 * 10 - figures as i64 * 10
    };
    let best = lines
        .iter()
        .take(30)
        .enumerate()
        .filter(|(_, l)| l.filled() > 1 || lines.iter().take(30).all(|l| l.filled() < 2))
        .map(|(i, l)| (points(l), i))
        .max_by_key(|(p, i)| (*p, std::cmp::Reverse(*i)))?;
    if best.0 > 0 {
        let at = best.1;
        // Words over several columns: the line before it, if it is words alone and leaves gaps.
        let over = at.checked_sub(1).filter(|i| {
            let (a, b) = (&lines[*i], &lines[at]);
            let words = a.cells.iter().all(|c| matches!(c, Cell::Text(_) | Cell::Empty));
            a.number + 1 == b.number && a.filled() > 1 && words && a.filled() < b.filled().max(3)
        });
        return Some((at, over));
    }
    // No word is known: the first line is a head if it holds words alone, and none of them is a tag or a value.
    let first = lines.first()?;
    let words = first.cells.iter().filter(|c| !c.is_empty()).all(|c| match c {
        Cell::Text(t) => {
            !t.bytes().any(|b| b.is_ascii_digit()) && names.find(t).is_err() && Sex::parse(t).is_err()
        }
        _ => false,
    });
    (words && lines.len() > 1 && first.filled() > 1).then_some((0, None))
}

/// The heads of a head line, with the words of the line over it where its own say too little.
pub(super) fn heads(lines: &[GridLine], at: usize, over: Option<usize>, width: usize) -> Vec<String> {
    let own = |i: usize| lines[at].cell(i).text().split_whitespace().collect::<Vec<_>>().join(" ");
    let Some(over) = over else { return (0..width).map(own).collect() };
    let mut upper = String::new();
    (0..width)
        .map(|i| {
            let above = lines[over].cell(i).text();
            if !above.is_empty() {
                upper = above;
            }
            let own = own(i);
            let both = format!("{upper} {own}");
            let is_known = |t: &str| Kind::ALL.iter().any(|k| !DICTIONARY.columns(*k, t).is_empty());
            match own.is_empty() {
                true if lines[over].cell(i).is_empty() => String::new(),
                true => upper.clone(),
                false if is_known(&both) => both,
                false => own,
            }
        })
        .collect()
}
