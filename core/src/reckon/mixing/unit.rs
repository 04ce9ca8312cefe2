//! What a feed goes into a mix by: whole bags, scoops, buckets.

use crate::flock::Flock;
use crate::phrase;
use crate::terms::{Day, Mass, Misread};

/// Whole bags or scoops of a feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unit {
    /// bag, scoop, bucket.
    pub word: String,
    /// What one weighs.
    pub each: Mass,
}

impl Unit {
    /// As typed: `bag`, the name of a measure of the feed (`scoop`), `25 kg` (a bag of that), `scoop 1.2 kg`. Nothing
    /// typed is none: it goes in by weight.
    ///
    /// # Errors
    /// What it weighs is not known; says what to write.
    pub fn read(flock: &Flock, feed: &str, text: &str, on: Day) -> Result<Option<Self>, Misread> {
        let units = flock.holding().units;
        let text = text.trim().to_lowercase();
        if text.is_empty() {
            return Ok(None);
        }
        let some = |word: &str, each: Mass| {
            if each.is_none() {
                return Err(Misread::new("a bag or scoop of nothing cannot be: write what it weighs"));
            }
            Ok(Some(Self { word: word.into(), each }))
        };
        if let Ok(each) = Mass::parse(&text, units) {
            return some("bag", each);
        }
        let split = text.find(|c: char| c.is_ascii_digit());
        if let Some(at) = split.filter(|at| *at > 0)
            && let Ok(each) = Mass::parse(&text[at..], units)
        {
            return some(text[..at].trim().trim_end_matches("of").trim(), each);
        }
        let room = flock.feedroom();
        let known = room.by_name(feed);
        if let Some(m) = known.and_then(|f| room.measure_called(f.id, &text, on)) {
            return some(&m.name, m.mean());
        }
        if matches!(text.as_str(), "bag" | "bags" | "bale" | "bales") {
            let word = text.trim_end_matches('s');
            if let Some(bag) = known.and_then(|f| f.bag) {
                return some(word, bag);
            }
        }
        let name = if feed.trim().is_empty() { "it" } else { feed.trim() };
        Err(Misread::new(phrase!(
            "what a {text} of {name} weighs is not known: write it, as {text} 1.2 kg, or weigh one out under Store",
            text = &text,
            name = &name
        )))
    }

    /// `1 bag`, `3 scoops`.
    pub fn say(&self, n: u32) -> String {
        let s = match (n, self.word.as_str()) {
            (1, _) => "",
            (_, w) if w.ends_with('s') || w.ends_with('x') || w.ends_with("ch") => "es",
            _ => "s",
        };
        format!("{n} {}{s}", self.word)
    }
}
