//! A text that is no table: every tag and number in it, in any order and number to a line.

use super::super::names::{Names, NotFound};
use super::super::scale::{find_tag, is_cut_short};
use super::{Called, unknown};
use crate::flock::Flock;
use crate::terms::{AnimalId, ElectronicId, norm};
use std::collections::{HashMap, HashSet};

/// One tag or number of the text.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub line: usize,
    pub text: String,
    pub number: Option<ElectronicId>,
    pub who: Called,
    /// The tag it was taken for, where noughts were dropped.
    pub taken_for: Option<String>,
}

/// What was found.
#[derive(Debug, Clone, Default)]
pub(super) struct Read {
    pub items: Vec<Item>,
    /// Lines with nothing of an animal in them.
    pub left_out: usize,
}

impl Read {
    /// How many different animals and electronic numbers it tells.
    pub fn tells(&self) -> usize {
        let (mut animals, mut numbers): (HashSet<AnimalId>, HashSet<String>) = Default::default();
        for i in &self.items {
            match (&i.who, &i.number) {
                (Called::Found(id), _) => {
                    animals.insert(*id);
                }
                (_, Some(number)) => {
                    numbers.insert(number.digits());
                }
                _ => {}
            }
        }
        animals.len() + numbers.len()
    }
}

/// Signs of the longest tag that is told as unknown.
const LONGEST: usize = 24;

struct Scene<'a> {
    names: &'a Names,
    /// Animals by the name they are called, if only one is.
    called: HashMap<String, Option<AnimalId>>,
}

pub(super) fn read(lines: &[(usize, String)], names: &Names, flock: &Flock) -> Read {
    let mut called: HashMap<String, Option<AnimalId>> = HashMap::new();
    for f in flock.present() {
        if let Some(name) = &f.animal.name {
            let one = called.entry(norm(name)).or_insert(Some(f.animal.id));
            if *one != Some(f.animal.id) {
                *one = None;
            }
        }
    }
    let scene = Scene { names, called };
    let mut read = Read::default();
    for (number, line) in lines {
        let before = read.items.len();
        for cell in line.split([',', ';', '\t', '|']) {
            let cell = cell.trim().trim_matches('"').trim();
            if !cell.is_empty() {
                cell_items(&scene, *number, cell, &mut read.items);
            }
        }
        // Beside a number what nobody wears is a count, a gate, a weight.
        if read.items[before..].iter().any(|i| i.number.is_some()) {
            let strange = |i: &Item| i.number.is_none() && matches!(i.who, Called::Unknown(_));
            let mut at = 0;
            read.items.retain(|i| {
                at += 1;
                at <= before || !strange(i)
            });
        }
        read.left_out += usize::from(read.items.len() == before);
    }
    read
}

/// The items of one value: the whole of it, else the numbers in it, else its words.
fn cell_items(scene: &Scene<'_>, line: usize, cell: &str, into: &mut Vec<Item>) {
    let item = |text: &str, who: Called| Item {
        line,
        text: text.into(),
        number: ElectronicId::typed(text).and_then(Result::ok),
        who,
        taken_for: None,
    };
    match find_tag(scene.names, cell) {
        Ok((id, taken_for)) => {
            into.push(Item { taken_for, ..item(cell, Called::Found(id)) });
            return;
        }
        Err(NotFound::Several(which)) => {
            into.push(item(cell, Called::Several(which)));
            return;
        }
        Err(NotFound::None) => {}
    }
    if is_cut_short(cell) {
        let why = "a spreadsheet cut the electronic number short: take the list out of the reader once more and do not save it in a spreadsheet";
        into.push(item(cell, Called::Wrong(why.into())));
        return;
    }
    let words: Vec<&str> = cell.split_whitespace().collect();
    let numbers = numbers(&words);
    if !numbers.is_empty() {
        into.extend(numbers.into_iter().map(|text| {
            let who = number(scene, &text);
            item(&text, who)
        }));
        return;
    }
    let figures = |w: &str| w.bytes().any(|b| b.is_ascii_digit());
    let has_figures = |w: &&str| figures(w);
    match words.as_slice() {
        [word] if figures(word) && word.len() <= LONGEST || ElectronicId::typed(cell).is_some() => {
            into.push(item(cell, unknown(cell)));
        }
        _ if words.len() > 1 && words.iter().all(has_figures) => {
            into.extend(words.iter().map(|w| {
                let who = scene.names.find(w).map_or_else(|_| unknown(w), Called::Found);
                item(w, who)
            }));
        }
        _ => match scene.called.get(&norm(cell)) {
            Some(Some(id)) => into.push(item(cell, Called::Found(*id))),
            Some(None) => into.push(item(cell, Called::Several("one of several of this name".into()))),
            // Within a sentence only a whole tag with figures is one.
            None => into.extend(words.iter().filter_map(|w| {
                let word = w.trim_matches(|c: char| !c.is_alphanumeric());
                let id = (figures(word) && word.len() > 2).then(|| scene.names.find(word).ok()).flatten()?;
                Some(item(word, Called::Found(id)))
            })),
        },
    }
}

/// The electronic numbers among words, each as it is written; words between them are passed over.
fn numbers(words: &[&str]) -> Vec<String> {
    let mut all = Vec::new();
    let mut at = 0;
    while at < words.len() {
        match ElectronicId::among(&words[at..]) {
            Some((_, n)) => {
                all.push(words[at..at + n].join(" "));
                at += n;
            }
            None => at += 1,
        }
    }
    all
}

fn number(scene: &Scene<'_>, text: &str) -> Called {
    match find_tag(scene.names, text) {
        Ok((id, _)) => Called::Found(id),
        Err(NotFound::Several(which)) => Called::Several(which),
        Err(NotFound::None) => unknown(text),
    }
}
