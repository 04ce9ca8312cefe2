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
