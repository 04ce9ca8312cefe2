//! Searching the help: all words must be met in one part of a page, in its title, its head or its lines.

use super::{Block, Page};

/// A place that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// The page.
    pub key: String,
    /// Its title.
    pub title: String,
    /// The head it stands under; empty under the title.
    pub head: String,
    /// The line, cut round the words.
    pub line: String,
}

/// Places shown at most.
const MOST: usize = 40;
/// Letters of a line that are shown.
const LINE: usize = 110;

/// Finds all parts in which each word of `query` stands, the best first: title before head before line; the line that
/// holds most of the words is shown.
pub fn search<'a>(pages: impl Iterator<Item = &'a Page>, query: &str) -> Vec<Found> {
    let words: Vec<String> = query.split_whitespace().map(low).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let mut all: Vec<(usize, Found)> = Vec::new();
    for page in pages {
        let title = low(&page.title);
        let mut blocks = page.blocks.as_slice();
        while let Some((head, lines, rest)) = part(blocks) {
            blocks = rest;
            let low_head = low(head);
            let lines: Vec<(String, String)> = lines.iter().map(Block::plain).map(|l| (low(&l), l)).collect();
            let worth = |line: &str, w: &String| match line.contains(w.as_str()) {
                true => 2 + usize::from(starts(line, w)),
                false => 0,
            };
            let of_line = |line: &str| words.iter().map(|w| worth(line, w)).sum::<usize>();
            let best = lines.iter().rev().max_by_key(|(low, _)| of_line(low));
            let above = |w: &String| {
                let of = |text: &str, worth| if text.contains(w.as_str()) { worth } else { 0 };
                of(&title, 9) + of(&low_head, 4)
            };
            let met = |w: &String| above(w) > 0 || lines.iter().any(|(low, _)| low.contains(w.as_str()));
            let Some((low_line, line)) = best.filter(|_| words.iter().all(met)) else { continue };
            let score = words.iter().map(above).sum::<usize>() + of_line(low_line);
            let (key, title) = (page.key.clone(), page.title.clone());
            all.push((score, Found { key, title, head: head.to_string(), line: cut(line, &words) }));
        }
    }
    all.sort_by_key(|(score, _)| std::cmp::Reverse(*score));
    all.into_iter().take(MOST).map(|(_, f)| f).collect()
}

/// The first part of a page: its head (empty for the page's own), its lines, and what follows.
fn part(blocks: &[Block]) -> Option<(&str, &[Block], &[Block])> {
    let (head, lines) = match blocks {
        [] => return None,
        [Block::Head(1, _), rest @ ..] => ("", rest),
        [Block::Head(_, text), rest @ ..] => (text.as_str(), rest),
        all => ("", all),
    };
    let end = lines.iter().position(|b| matches!(b, Block::Head(..))).unwrap_or(lines.len());
    Some((head, &lines[..end], &lines[end..]))
}

fn low(text: &str) -> String {
    text.to_lowercase().replace('’', "'")
}

/// A word of the text begins so.
fn starts(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(i, _)| text[..i].chars().next_back().is_none_or(|c| !c.is_alphanumeric()))
}

/// Cuts a long line so that the first word that was met is seen.
fn cut(line: &str, words: &[String]) -> String {
    let letters: Vec<char> = line.chars().collect();
    if letters.len() <= LINE {
        return line.to_string();
    }
    let text = low(line);
    let met = words.iter().filter_map(|w| text.find(w.as_str())).min().unwrap_or(0);
    let met = text[..met].chars().count();
    let mut from = met.saturating_sub(LINE / 3).min(letters.len() - LINE);
    while from > 0 && from < met && letters.get(from - 1).is_some_and(|c| !c.is_whitespace()) {
        from += 1;
    }
    let until = (from + LINE).min(letters.len());
    let cut: String = letters[from..until].iter().collect();
    let (before, after) = (if from > 0 { "… " } else { "" }, if until < letters.len() { " …" } else { "" });
    format!("{before}{}{after}", cut.trim())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::help::Page;

    fn pages() -> Vec<Page> {
        let read = |key: &str, text: &str| Page::read(key, text);
        vec![
            read("a", "# Feeding\n\n## Grain\n\nCopper harms sheep.\n\nGrain sours.\n"),
            read("b", "# Copper\n\nSheep bear little.\n"),
        ]
    }

    #[test]
    fn the_title_comes_before_the_line_and_every_word_must_be_met() {
        let pages = pages();
        let keys = |q: &str| -> Vec<String> { search(pages.iter(), q).into_iter().map(|f| f.key).collect() };
        assert_eq!(keys("copper"), ["b", "a"]);
        assert_eq!(keys("COPPER harms"), ["a"]);
        assert!(keys("copper lamb").is_empty() && keys("  ").is_empty());
        assert_eq!(keys("sours harms"), ["a"], "in two lines of one part");
        let found = search(pages.iter(), "sours");
        assert_eq!((found[0].head.as_str(), found[0].line.as_str()), ("Grain", "Grain sours."));
    }

    #[test]
    fn a_long_line_is_cut_round_the_word() {
        let long = format!("{} needle {}", "word ".repeat(40), "more ".repeat(40));
        let pages = [Page::read("a", &format!("# A\n\n{long}\n"))];
        let line = &search(pages.iter(), "needle")[0].line;
        assert!(line.contains("needle") && line.starts_with('…') && line.chars().count() < 130, "{line}");
    }
}
