//! A help file read: Markdown into blocks of pieces, as many forms of it as our files use.

use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};

/// How a piece of text stands out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Style {
    /// Plain text.
    #[default]
    Plain,
    /// Strong.
    Strong,
    /// A word quoted, or the keeper's.
    Italic,
    /// A key, or what is typed.
    Key,
}

/// A piece of a line in one style.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The words.
    pub text: String,
    /// How they stand out.
    pub style: Style,
    /// The page of the help they lead to.
    pub link: Option<String>,
}

/// A block of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// A head: 1 the page's, 2 a part's, 3 below.
    Head(u8, String),
    /// A paragraph.
    Text(Vec<Piece>),
    /// An entry of a list: how deep, its mark (`•`, `2.`), its words.
    Item(usize, String, Vec<Piece>),
    /// A row of a table of two columns.
    Row(Vec<Piece>, Vec<Piece>),
}

impl Block {
    /// Its pieces; a head has none.
    pub fn pieces(&self) -> impl Iterator<Item = &Piece> {
        let (a, b): (&[Piece], &[Piece]) = match self {
            Self::Head(..) => (&[], &[]),
            Self::Text(p) | Self::Item(_, _, p) => (p, &[]),
            Self::Row(a, b) => (a, b),
        };
        a.iter().chain(b)
    }

    /// Its pieces, to be changed.
    pub fn pieces_mut(&mut self) -> impl Iterator<Item = &mut Piece> {
        let (a, b): (&mut [Piece], &mut [Piece]) = match self {
            Self::Head(..) => (&mut [], &mut []),
            Self::Text(p) | Self::Item(_, _, p) => (p, &mut []),
            Self::Row(a, b) => (a, b),
        };
        a.iter_mut().chain(b)
    }

    /// Its words without dress.
    pub fn plain(&self) -> String {
        match self {
            Self::Head(_, text) => text.clone(),
            Self::Text(p) | Self::Item(_, _, p) => joined(p),
            Self::Row(a, b) => format!("{}: {}", joined(a), joined(b)),
        }
    }
}

/// Words of pieces in a row.
pub fn joined(pieces: &[Piece]) -> String {
    pieces.iter().map(|p| p.text.as_str()).collect()
}

/// Reads a file. `key` is its own name, from which its links are counted.
pub fn read(key: &str, markdown: &str) -> Vec<Block> {
    let mut made = Reading { key, ..Reading::default() };
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        made.take(event);
    }
    made.blocks
}

#[derive(Default)]
struct Reading<'a> {
    key: &'a str,
    blocks: Vec<Block>,
    pieces: Vec<Piece>,
    first_cell: Vec<Piece>,
    cells: usize,
    head: Option<u8>,
    /// Lists that are open; a numbered one knows its next number.
    lists: Vec<Option<u64>>,
    strong: usize,
    italic: usize,
    link: Option<String>,
}

impl Reading<'_> {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Text(text) => {
                let style = match (self.strong > 0, self.italic > 0) {
                    (true, _) => Style::Strong,
                    (_, true) => Style::Italic,
                    _ => Style::Plain,
                };
                self.push(&text, style);
            }
            Event::Code(text) => self.push(&text, Style::Key),
            Event::SoftBreak | Event::HardBreak => self.push(" ", Style::Plain),
            _ => {}
        }
    }

    fn push(&mut self, text: &str, style: Style) {
        let link = self.link.clone();
        match self.pieces.last_mut() {
            Some(last) if last.style == style && last.link == link && style != Style::Key => {
                last.text.push_str(text);
            }
            _ => self.pieces.push(Piece { text: text.into(), style, link }),
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Heading { level, .. } => {
                self.head = Some(match level {
                    HeadingLevel::H1 => 1,
                    HeadingLevel::H2 => 2,
                    _ => 3,
                });
            }
            Tag::List(first) => {
                self.flush();
                self.lists.push(first);
            }
            Tag::Strong => self.strong += 1,
            Tag::Emphasis => self.italic += 1,
            Tag::Link { dest_url, .. } => self.link = Some(target(self.key, &dest_url)),
            Tag::TableHead | Tag::TableRow => self.cells = 0,
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(_) => {
                let text = joined(&std::mem::take(&mut self.pieces));
                self.blocks.push(Block::Head(self.head.take().unwrap_or(1), text));
            }
            TagEnd::Paragraph | TagEnd::Item => self.flush(),
            TagEnd::List(_) => {
                self.flush();
                self.lists.pop();
            }
            TagEnd::Strong => self.strong = self.strong.saturating_sub(1),
            TagEnd::Emphasis => self.italic = self.italic.saturating_sub(1),
            TagEnd::Link => self.link = None,
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.pieces);
                self.cells += 1;
                if self.cells == 1 {
                    self.first_cell = cell;
                } else {
                    self.pieces = cell;
                }
            }
            TagEnd::TableHead | TagEnd::TableRow => {
                let mut first = std::mem::take(&mut self.first_cell);
                let mut second = std::mem::take(&mut self.pieces);
                if tag == TagEnd::TableHead {
                    first.iter_mut().chain(&mut second).for_each(|p| p.style = Style::Strong);
                }
                self.blocks.push(Block::Row(first, second));
            }
            _ => {}
        }
    }

    /// Ends a paragraph, or the words of an entry of a list.
    fn flush(&mut self) {
        if self.pieces.is_empty() {
            return;
        }
        let pieces = std::mem::take(&mut self.pieces);
        let depth = self.lists.len();
        let block = match self.lists.last_mut() {
            None => Block::Text(pieces),
            Some(None) => Block::Item(depth, "•".into(), pieces),
            Some(Some(n)) => {
                let mark = format!("{n}.");
                *n += 1;
                Block::Item(depth, mark, pieces)
            }
        };
        self.blocks.push(block);
    }
}

/// The name of the file a link leads to, counted from the file it stands in: `../words.md` in `why/copper` is `words`.
fn target(from: &str, link: &str) -> String {
    let mut path: Vec<&str> = from.split('/').collect();
    path.pop();
    for part in link.trim_end_matches(".md").split('/') {
        match part {
            ".." => {
                path.pop();
            }
            "." | "" => {}
            part => path.push(part),
        }
    }
    path.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_our_files_use() {
        let text = "# Head\n\nPress `Ctrl+5`, **now**.\nSee [copper](../words.md).\n\n1. one\n2. two\n\n- *a*\n\n\
                    | sign | means |\n| --- | --- |\n| `✓` | done |\n";
        let blocks = read("why/copper", text);
        let said: Vec<String> = blocks.iter().map(Block::plain).collect();
        assert_eq!(
            said,
            ["Head", "Press Ctrl+5, now. See copper.", "one", "two", "a", "sign: means", "✓: done"]
        );
        assert!(matches!(&blocks[3], Block::Item(1, mark, _) if mark == "2."));
        let links: Vec<_> = blocks.iter().flat_map(Block::pieces).filter_map(|p| p.link.as_deref()).collect();
        assert_eq!(links, ["words"]);
        let styles: Vec<Style> = blocks[1].pieces().map(|p| p.style).collect();
        assert_eq!(styles[..4], [Style::Plain, Style::Key, Style::Plain, Style::Strong]);
    }
}
