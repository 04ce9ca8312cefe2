//! What the words of a note can mean: the grammar's own words, and those of the flock: tags, names, pens, products.

pub(super) use super::grammar::GRAMMAR;
pub use super::grammar::{Example, Form};
use super::jobs;
use super::lex::{Kind, Token};
use crate::flock::{Flock, Product};
use crate::reckon::due::{Ground, Job};
use crate::terms::{AnimalId, CheckKind, Day, Ease, ElectronicId, Route, Sex, Status, norm};
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

/// What a word or a few words of the grammar say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Sense {
    Litter(u8),
    Lambed,
    Sex(Sex),
    BornDead,
    Died,
    Alive,
    Sucked,
    NotSucked,
    Dipped,
    NotDipped,
    Takes,
    NoSire,
    Or,
    Tube,
    Bottle,
    Foster,
    All,
    One,
    Ease(Ease),
    By,
    To,
    Out,
    Weighed,
    Gave,
    Batch,
    For,
    Meat,
    Milk,
    Prescribed,
    Site,
    Route(Route),
    Left(Status),
    Back,
    LostTag,
    NewTag,
    Tag,
    Joined,
    RamOut,
    Pen,
    Lambs,
    GrownEwes,
    But,
    And,
    Note,
    Help,
    Colour,
    On,
    At,
    Filler,
    Number,
    Called,
    ThisOne,
    OnDam,
    Done,
    LeftOut,
    PutOff,
    How,
    Job,
    NoGiver,
    NoDose,
    Marked,
    Served,
    Returned,
    Crayon,
    CrayonOff,
    Scanned,
    Empty,
    InLamb,
    Group,
    Creep,
    Check(CheckKind),
    InOrder,
    Filled,
}

impl Sense {
    fn of(word: &str) -> Option<Self> {
        let n = |text: &str| text.trim().parse::<u8>().ok();
        Some(match word.split_once(' ').unwrap_or((word, "")) {
            ("litter", k) => Self::Litter(n(k)?),
            ("sex", s) => Self::Sex(Sex::parse(s).ok()?),
            ("ease", e) => Self::Ease(Ease::parse(e).ok()?),
            ("route", r) => Self::Route(Route::parse(r).ok()?),
            ("check", c) => Self::Check(CheckKind::parse(c).ok()?),
            _ => match word {
                "lambed" => Self::Lambed,
                "born dead" => Self::BornDead,
                "died" => Self::Died,
                "alive" => Self::Alive,
                "sucked" => Self::Sucked,
                "not sucked" => Self::NotSucked,
                "dipped" => Self::Dipped,
                "not dipped" => Self::NotDipped,
                "takes" => Self::Takes,
                "no sire" => Self::NoSire,
                "or" => Self::Or,
                "tube" => Self::Tube,
                "bottle" => Self::Bottle,
                "foster" => Self::Foster,
                "all" => Self::All,
                "one" => Self::One,
                "by" => Self::By,
                "to" => Self::To,
                "out" => Self::Out,
                "weighed" => Self::Weighed,
                "gave" => Self::Gave,
                "batch" => Self::Batch,
                "for" => Self::For,
                "meat" => Self::Meat,
                "milk" => Self::Milk,
                "prescribed" => Self::Prescribed,
                "site" => Self::Site,
                "sold" => Self::Left(Status::Sold),
                "culled" => Self::Left(Status::Culled),
                "missing" => Self::Left(Status::Missing),
                "lent" => Self::Left(Status::Lent),
                "back" => Self::Back,
                "lost tag" => Self::LostTag,
                "new tag" => Self::NewTag,
                "tag" => Self::Tag,
                "joined" => Self::Joined,
                "ram out" => Self::RamOut,
                "pen" => Self::Pen,
                "lambs" => Self::Lambs,
                "grown ewes" => Self::GrownEwes,
                "but" => Self::But,
                "and" => Self::And,
                "note" => Self::Note,
                "help" => Self::Help,
                "colour" => Self::Colour,
                "on" => Self::On,
                "at" => Self::At,
                "filler" => Self::Filler,
                "number" => Self::Number,
                "called" => Self::Called,
                "this one" => Self::ThisOne,
                "on dam" => Self::OnDam,
                "done" => Self::Done,
                "left out" => Self::LeftOut,
                "put off" => Self::PutOff,
                "how" => Self::How,
                "job" => Self::Job,
                "no giver" => Self::NoGiver,
                "no dose" => Self::NoDose,
                "marked" => Self::Marked,
                "served" => Self::Served,
                "returned" => Self::Returned,
                "crayon" => Self::Crayon,
                "crayon off" => Self::CrayonOff,
                "scanned" => Self::Scanned,
                "empty" => Self::Empty,
                "in lamb" => Self::InLamb,
                "group" => Self::Group,
                "creep" => Self::Creep,
                "in order" => Self::InOrder,
                "filled" => Self::Filled,
                _ => return None,
            },
        })
    }
}

/// What a pen is called before its name, in any region.
const PEN_WORDS: [&str; 4] = ["pen", "jug", "lambing pen", "mothering pen"];

type Phrases = RapidHashMap<&'static str, Vec<(Vec<&'static str>, Sense)>>;

/// Phrases of each first word, longest first.
static PHRASES: LazyLock<Phrases> = LazyLock::new(|| {
    let mut all = Phrases::default();
    for row in &GRAMMAR.word {
        let Some(sense) = Sense::of(&row.sense) else { continue };
        for phrase in &row.words {
            let words: Vec<&str> = phrase.split(' ').collect();
            if let Some(first) = words.first() {
                all.entry(first).or_default().push((words, sense));
            }
        }
    }
    all.values_mut().for_each(|list| list.sort_by_key(|(words, _)| std::cmp::Reverse(words.len())));
    all
});

/// The forms a note can have, with examples.
pub fn forms() -> &'static [Form] {
    &GRAMMAR.form
}

/// Senses named in the grammar that the reader does not know: none, as the tests see.
#[cfg(test)]
pub(super) fn unknown_senses() -> Vec<&'static str> {
    GRAMMAR.word.iter().map(|w| w.sense.as_str()).filter(|s| Sense::of(s).is_none()).collect()
}

/// Every sense the tokens can begin with, longest phrase first, each with how many tokens it takes.
pub(super) fn senses(tokens: &[Token]) -> impl Iterator<Item = (Sense, usize)> {
    let list = tokens.first().filter(|t| t.is_word()).and_then(|t| PHRASES.get(t.low.as_str()));
    list.into_iter()
        .flatten()
        .filter(|(words, _)| starts_with(tokens, words))
        .map(|(words, s)| (*s, words.len()))
}

/// Whether a word begins nothing of the grammar.
pub(super) fn means_nothing(word: &str) -> bool {
    !PHRASES.contains_key(word)
}

fn starts_with(tokens: &[Token], words: &[&str]) -> bool {
    tokens.len() >= words.len() && words.iter().zip(tokens).all(|(w, t)| t.kind == Kind::Word && t.low == *w)
}

/// The words of a flock: made once for each version of it.
#[derive(Debug, Clone, Default)]
pub struct Words {
    version: u64,
    names: RapidHashMap<String, Option<AnimalId>>,
    pens: RapidHashMap<String, String>,
    products: Vec<(Vec<String>, Vec<String>, String)>,
    ticks: BTreeMap<String, String>,
    keys: Vec<String>,
    ground: Option<Ground>,
    jobs: Arc<Mutex<Jobs>>,
}

/// Jobs of animals on a day, reckoned once.
type Jobs = RapidHashMap<(AnimalId, Day), Arc<[Job]>>;

/// Longest pen name, product name and animal name that is looked for, in words.
const LONGEST: usize = 6;

impl Words {
    /// Looks through the flock for names, pens, products and the plan's own words.
    pub fn of(flock: &Flock, today: Day) -> Self {
        let mut names: RapidHashMap<String, Option<AnimalId>> = RapidHashMap::default();
        let mut pens: RapidHashMap<String, String> = RapidHashMap::default();
        for f in flock.present() {
            if let Some(name) = &f.animal.name {
                // A name two animals bear names neither.
                names.entry(name.to_lowercase()).and_modify(|id| *id = None).or_insert(Some(f.animal.id));
            }
            let moved = f.pen_moves.iter().filter_map(|p| p.pen.as_ref());
            for pen in f.animal.pen.iter().chain(moved) {
                if !pens.contains_key(pen.as_str()) {
                    pens.insert(pen.to_lowercase(), pen.to_string());
                }
            }
        }
        // A creep may stand in a pen from which all have just gone.
        for c in flock.feedroom().creeps.iter().filter(|c| c.struck.is_none()) {
            pens.entry(c.pen.to_lowercase()).or_insert_with(|| c.pen.clone());
        }
        let cut = |text: &str| -> Vec<String> {
            text.to_lowercase()
                .split(|c: char| c.is_whitespace() || c == ',')
                .filter(|w| !w.is_empty())
                .map(String::from)
                .collect()
        };
        let product =
            |p: &Product| (cut(&p.name), cut(p.substance.as_deref().unwrap_or_default()), p.name.clone());
        Self {
            version: flock.version(),
            names,
            pens,
            products: flock.products().iter().map(product).collect(),
            ticks: jobs::words(flock.plan()),
            keys: flock.plan().all().map(|s| s.key.clone()).collect(),
            ground: Some(Ground::of(flock, today)),
            jobs: Arc::default(),
        }
    }

    /// They were made for this flock and day.
    pub fn fits(&self, flock: &Flock, today: Day) -> bool {
        self.version == flock.version() && self.ground.as_ref().is_some_and(|g| g.day() == today)
    }

    /// The jobs of an animal of the flock these words were made for, on a day. A long line may ask for the same ones
    /// a hundred times over.
    pub(super) fn jobs(&self, flock: &Flock, animal: AnimalId, day: Day) -> Arc<[Job]> {
        let mut known = self.jobs.lock().unwrap_or_else(PoisonError::into_inner);
        let reckon = || match &self.ground {
            Some(g) if g.day() == day => g.all_of(flock, animal),
            Some(g) => g.on(day).all_of(flock, animal),
            None => Ground::of(flock, day).all_of(flock, animal),
        };
        Arc::clone(known.entry((animal, day)).or_insert_with(|| reckon().into()))
    }

    /// A pen of the flock at the start of the tokens: its name, or 'pen' and its name.
    pub(super) fn pen(&self, tokens: &[Token]) -> Option<(String, usize)> {
        let find = |text: &str| self.pens.get(text).cloned();
        for n in (1..=LONGEST.min(tokens.len())).rev() {
            let Some(text) = joined(&tokens[..n]) else { continue };
            if let Some(pen) = find(&text) {
                return Some((pen, n));
            }
            // 'pen 3' and 'jug 3' may be called '3', or each by the other's word, and '3' may be called 'Pen 3'.
            let shorts = || PEN_WORDS.iter().filter_map(|w| text.strip_prefix(*w)?.strip_prefix(' '));
            let called =
                |short| find(short).or_else(|| PEN_WORDS.iter().find_map(|w| find(&format!("{w} {short}"))));
            if let Some(pen) = shorts().find_map(called) {
                return Some((pen, n));
            }
            if n == 1
                && let Some(pen) = find(&format!("pen {text}"))
            {
                return Some((pen, n));
            }
        }
        None
    }

    /// Pens are called by a figure alone.
    pub(super) fn pens_are_bare(&self) -> bool {
        self.pens.keys().any(|p| p.bytes().all(|b| b.is_ascii_digit()))
            && !self.pens.keys().any(|p| p.starts_with("pen "))
    }

    /// A name borne by one animal of the flock.
    pub(super) fn name(&self, tokens: &[Token]) -> Option<(AnimalId, usize)> {
        (1..=LONGEST.min(tokens.len())).rev().find_map(|n| {
            let text = joined(&tokens[..n])?;
            Some((self.names.get(&text).copied().flatten()?, n))
        })
    }

    /// Products of the cupboard that the tokens may mean, those with most words in common; and how many tokens.
    pub(super) fn products(&self, tokens: &[Token]) -> (Vec<String>, usize) {
        if let Some(t) = tokens.first().filter(|t| t.kind == Kind::Quoted) {
            let exact = self.products.iter().find(|(_, _, name)| name.to_lowercase() == t.low);
            return exact.map_or((Vec::new(), 0), |(_, _, name)| (vec![name.clone()], 1));
        }
        let mut best: (Vec<String>, usize) = (Vec::new(), 0);
        for (name, substance, whole) in &self.products {
            let n = in_common(tokens, name).max(in_common(tokens, substance));
            match n.cmp(&best.1) {
                std::cmp::Ordering::Greater => best = (vec![whole.clone()], n),
                std::cmp::Ordering::Equal if n > 0 => best.0.push(whole.clone()),
                _ => {}
            }
        }
        best
    }

    /// A text whose last word or words begin the name of a pen, an animal, a product or a job: with that name whole. None
    /// where it is whole already or can go on in several ways.
    pub(crate) fn completed(&self, text: &str) -> Option<String> {
        let low = text.to_lowercase();
        if low.len() != text.len() {
            return None; // places in the one are not those in the other
        }
        let names = self.names.keys().map(|n| (n.as_str(), n.as_str()));
        let pens = self.pens.iter().map(|(low, pen)| (low.as_str(), pen.as_str()));
        let ticks = self.ticks.keys().map(|t| (t.as_str(), t.as_str()));
        let products: Vec<(String, &str)> =
            self.products.iter().map(|(.., name)| (name.to_lowercase(), name.as_str())).collect();
        let products = products.iter().map(|(low, name)| (low.as_str(), *name));
        let all: Vec<(&str, &str)> = names.chain(pens).chain(products).chain(ticks).collect();
        // Starts of words, the earliest first: 'pen 3 lambs clostridial va' goes on from 'clostridial'.
        let starts = (0..low.len())
            .filter(|i| low.is_char_boundary(*i) && (*i == 0 || low[..*i].ends_with([' ', ',', ':', '\n'])));
        starts.filter(|i| low.len() - i >= 2).find_map(|i| {
            let begun = &low[i..];
            let mut fits: Vec<&str> = all
                .iter()
                .filter(|(l, _)| l.starts_with(begun) && l.len() > begun.len())
                .map(|(_, n)| *n)
                .collect();
            fits.sort_unstable();
            fits.dedup();
            let [one] = fits.as_slice() else { return None };
            let plain = !one.contains([',', ':', ';', '"']);
            let name = if plain { (*one).to_string() } else { format!("\"{one}\"") };
            Some(format!("{}{name}", &text[..i]))
        })
    }

    /// A step of the plan that the tokens tick: by its words, or by its key behind 'job'.
    pub(super) fn tick(&self, tokens: &[Token]) -> Option<(String, usize)> {
        if let Some((Sense::Job, k)) = senses(tokens).find(|(s, _)| *s == Sense::Job)
            && let Some(t) = tokens.get(k).filter(|t| self.keys.contains(&t.low))
        {
            return Some((t.low.clone(), k + 1));
        }
        (1..=LONGEST.min(tokens.len())).rev().find_map(|n| {
            let text = joined(&tokens[..n])?;
            Some((self.ticks.get(&text)?.clone(), n))
        })
    }
}

fn joined(tokens: &[Token]) -> Option<String> {
    if tokens.iter().any(|t| !matches!(t.kind, Kind::Word)) {
        return (tokens.len() == 1 && tokens[0].kind == Kind::Quoted).then(|| tokens[0].low.clone());
    }
    Some(tokens.iter().map(|t| t.low.as_str()).collect::<Vec<_>>().join(" "))
}

/// How many tokens from the first name a product whose words these are: each is a word of it, or the beginning of one
/// by four letters or more. The first must not be a number or a word of the grammar.
fn in_common(tokens: &[Token], words: &[String]) -> usize {
    let fits = |t: &Token| {
        t.is_word()
            && words
                .iter()
                .any(|w| w == &t.low || (t.low.chars().count() >= 4 && w.starts_with(t.low.as_str())))
    };
    match tokens.first() {
        Some(t) if fits(t) && t.number().is_none() && senses(tokens).next().is_none() && t.low.len() > 2 => {
            // '2 ml' after the name is the dose, not a strength, unless the name goes on with it.
            let run = tokens.iter().take_while(|t| fits(t)).count();
            let trail = tokens[..run].iter().rev().take_while(|t| t.number().is_some()).count();
            run - trail
        }
        _ => 0,
    }
}

/// An animal that wears the tag of the first tokens: one token, or up to three as of `UK 0123456 00412`.
pub(super) fn tagged(flock: &Flock, tokens: &[Token]) -> Option<(AnimalId, usize)> {
    if let Some((number, n)) = numbered(tokens)
        && let Some(id) = flock.numbered(number)
    {
        return Some((id, n));
    }
    for n in (1..=3.min(tokens.len())).rev() {
        if tokens[..n].iter().any(|t| !(t.is_word() || n == 1 && t.kind == Kind::Quoted)) {
            continue;
        }
        let text: String = tokens[..n].iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
        if norm(&text).is_empty() {
            continue;
        }
        // Tags are compared without stops: '12.4' is a weight, not the animal 124.
        let decimal = text.contains('.') && tokens[0].number().is_some();
        if let Some(id) = flock.by_tag(&text)
            && (!decimal || flock.tag(id).contains('.'))
        {
            return Some((id, n));
        }
    }
    None
}

/// An electronic number at the start of the tokens, in any dress of a reader: `826 012345600412` is two of them.
pub(super) fn numbered(tokens: &[Token]) -> Option<(ElectronicId, usize)> {
    let words = tokens.iter().take_while(|t| t.is_word()).take(8);
    ElectronicId::among(&words.map(|t| t.text.as_str()).collect::<Vec<_>>())
}
