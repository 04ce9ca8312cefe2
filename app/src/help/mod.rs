//! The help: Markdown of `resources/help`, a part of the program, read once; searched; drawn in our type.
//! Knows pages by name and no flock. Invariant (tested): every page, every caution has a file, no link leads nowhere.

mod files;
mod said;
mod search;
pub mod text;
mod view;

pub use said::said;
pub use search::{Found, search};
pub use text::{Block, Piece, Style};
pub use view::{draw, follow};

use crate::pages::PageId;
use hirsel_core::terms::Why;
use hirsel_core::terms::speech::Language;
use std::sync::LazyLock;

/// The page that lists all others.
pub const INDEX: &str = "index";
/// The page of keys, which is made from the commands.
pub const KEYS: &str = "keys";
/// The page of an animal's leaf.
pub const LEAF: &str = "leaf";
/// The first page of the program.
pub const START: &str = "start";

/// A page of the help.
#[derive(Debug, Clone)]
pub struct Page {
    /// Its name: `lambing`, `why/copper`.
    pub key: String,
    /// Its head.
    pub title: String,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

impl Page {
    /// Reads a file of this name.
    pub fn read(key: &str, markdown: &str) -> Self {
        Self::of(key, text::read(key, markdown))
    }

    /// A page of these blocks; the first head is its title.
    pub fn of(key: &str, blocks: Vec<Block>) -> Self {
        let title = blocks.iter().find_map(|b| match b {
            Block::Head(1, text) => Some(text.clone()),
            _ => None,
        });
        Self { key: key.into(), title: title.unwrap_or_else(|| key.into()), blocks }
    }

    /// Where its links lead.
    pub fn links(&self) -> impl Iterator<Item = &str> {
        self.blocks.iter().flat_map(Block::pieces).filter_map(|p| p.link.as_deref())
    }
}

static PAGES: LazyLock<Vec<Page>> = LazyLock::new(|| {
    let mut all: Vec<Page> = files::ALL.iter().map(|(key, text)| Page::read(key, text)).collect();
    all.push(index(&all, str::to_owned));
    all
});

/// Every page, those that are given by name and Markdown in the place of ours; what lists them is said by the language.
/// Left out is a page without a head, and a link that leads nowhere is plain text.
pub fn translated(given: &[(String, String)], language: &dyn Language) -> Vec<Page> {
    let known = |link: &String| link == KEYS || link.contains("://") || page(link).is_some();
    let mut all: Vec<Page> = Vec::new();
    for ours in pages().iter().filter(|p| p.key != INDEX) {
        let given = given.iter().find(|(key, _)| *key == ours.key);
        let given = given.map(|(key, markdown)| Page::read(key, markdown));
        let mut page = given.filter(|p| p.title != p.key).unwrap_or_else(|| ours.clone());
        for piece in page.blocks.iter_mut().flat_map(Block::pieces_mut) {
            piece.link = piece.link.take().filter(known);
        }
        all.push(page);
    }
    all.push(index(&all, |plain| language.text(plain).unwrap_or(plain).to_owned()));
    all
}

/// Every page but that of keys.
pub fn pages() -> &'static [Page] {
    &PAGES
}

/// A page by its name.
pub fn page(key: &str) -> Option<&'static Page> {
    PAGES.iter().find(|p| p.key == key)
}

/// The name of a program page's help.
pub fn of_page(page: PageId) -> &'static str {
    match page {
        PageId::Tonight => "tonight",
        PageId::Barn => "barn_sheet",
        PageId::Flock => "flock",
        PageId::Timeline => "timeline",
        PageId::Joining => "joinings",
        PageId::Blood => "blood",
        PageId::Lambing => "lambing",
        PageId::Treatments => "treatments",
        PageId::Weights => "weights",
        PageId::Keeping => "keeping",
        PageId::Figures => "figures",
        PageId::Feed => "feed",
        PageId::Papers => "papers",
        PageId::Plan => "care_plan",
        PageId::Inspect => "inspection",
        PageId::Book => "the_book",
    }
}

/// The name of the page that explains a caution.
pub fn of_why(why: Why) -> String {
    format!("why/{}", why.key())
}

/// The list of all pages: those of the program in the order of the rail, then the rest by title.
fn index(all: &[Page], say: impl Fn(&str) -> String) -> Page {
    let title = |key: &str| all.iter().find(|p| p.key == key).map(|p| p.title.clone()).unwrap_or_default();
    let link = |key: &str| {
        let pieces = vec![Piece { text: title(key), style: Style::Plain, link: Some(key.into()) }];
        Block::Item(1, "•".into(), pieces)
    };
    let head = |n, text: &'static str| Block::Head(n, say(text));
    let mut blocks = vec![head(1, "All of the help"), head(2, "Pages of the program")];
    let of_program: Vec<&str> = PageId::ALL.into_iter().map(of_page).collect();
    blocks.extend(of_program.iter().map(|key| link(key)));
    blocks.push(head(2, "Keys, words and marks"));
    let keys = Piece { text: say("Keys"), style: Style::Plain, link: Some(KEYS.into()) };
    blocks.push(Block::Item(1, "•".into(), vec![keys]));
    let by_title = |keep: &dyn Fn(&str) -> bool| {
        let mut some: Vec<&Page> = all.iter().filter(|p| keep(&p.key)).collect();
        some.sort_by_key(|p| p.title.to_lowercase());
        some.into_iter().map(|p| link(&p.key)).collect::<Vec<_>>()
    };
    blocks.extend(by_title(&|key| !key.starts_with("why/") && !of_program.contains(&key)));
    blocks.push(head(2, "Why the program cautions"));
    blocks.extend(by_title(&|key| key.starts_with("why/")));
    Page::of(INDEX, blocks)
}
