//! The help in the words of a region. Keys, what is typed and words that are quoted stay as they are, and the page of
//! words itself, which explains both.

use super::{Block, Page, Piece, Style, pages};
use hirsel_core::handbook::trade::Trade;

/// The page that explains the words of the trade.
const WORDS: &str = "words";

/// Every page in these words.
pub fn said(trade: Trade) -> Vec<Page> {
    pages().iter().map(|page| if page.key == WORDS { page.clone() } else { of(page, trade) }).collect()
}

fn of(page: &'static Page, trade: Trade) -> Page {
    let line = |pieces: &'static [Piece]| pieces.iter().map(|p| piece(p, trade)).collect::<Vec<_>>();
    let block = |block: &'static Block| match block {
        Block::Head(n, text) => Block::Head(*n, trade.said(text).into_owned()),
        Block::Text(pieces) => Block::Text(line(pieces)),
        Block::Item(depth, mark, pieces) => Block::Item(*depth, mark.clone(), line(pieces)),
        Block::Row(first, second) => Block::Row(line(first), line(second)),
    };
    Page {
        key: page.key.clone(),
        title: trade.said(&page.title).into_owned(),
        blocks: page.blocks.iter().map(block).collect(),
    }
}

fn piece(piece: &'static Piece, trade: Trade) -> Piece {
    match piece.style {
        Style::Key | Style::Italic => piece.clone(),
        Style::Plain | Style::Strong => Piece { text: trade.said(&piece.text).into_owned(), ..piece.clone() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A language that has one text.
    struct Other;

    impl hirsel_core::terms::speech::Language for Other {
        fn text(&self, plain: &str) -> Option<&str> {
            (plain == "Pages of the program").then_some("Tudalennau")
        }
        fn counted(&self, _: usize, _: &str) -> Option<&str> {
            None
        }
    }

    #[test]
    fn pages_that_are_given_stand_in_the_place_of_ours_and_no_link_leads_nowhere() {
        let given = [
            ("why/copper", "# Copr\n\nGweler [y porthiant](../feed.md) a [dim](../nothing.md).\n"),
            ("feed", "A page without a head.\n"),
        ];
        let given = given.map(|(key, text)| (key.to_owned(), text.to_owned()));
        let all = super::super::translated(&given, &Other);
        let page = |key: &str| all.iter().find(|p| p.key == key).expect("there");
        assert_eq!(all.len(), pages().len());
        assert_eq!(page("why/copper").title, "Copr");
        assert_eq!(page("why/copper").links().collect::<Vec<_>>(), ["feed"]);
        assert_eq!(page("feed").title, super::super::page("feed").expect("ours").title);
        let index: Vec<String> = page("index").blocks.iter().map(Block::plain).collect();
        assert!(index.contains(&"Tudalennau".to_owned()) && index.contains(&"Copr".to_owned()), "{index:?}");
        let found = super::super::search(all.iter(), "copr");
        assert_eq!(found.first().map(|f| f.key.as_str()), Some("why/copper"));
    }

    #[test]
    fn plain_changes_nothing_and_a_region_its_words_alone() {
        let blocks = |pages: &[Page]| pages.iter().map(|p| p.blocks.clone()).collect::<Vec<_>>();
        assert_eq!(blocks(&said(Trade::PLAIN)), blocks(pages()));
        let north = said(Trade::of("gb-north"));
        let page =
            |key: &str| north.iter().find(|p| p.key == key).map(|p| p.title.clone()).unwrap_or_default();
        assert_eq!(page("joinings"), "Tuppings");
        // Links and keys lead where they led.
        for (was, is) in pages().iter().zip(&north) {
            assert!(was.links().eq(is.links()), "{}", was.key);
        }
        let words = |pages: &[Page]| pages.iter().find(|p| p.key == WORDS).map(|p| p.blocks.clone());
        assert_eq!(words(&north), words(pages()));
    }
}
