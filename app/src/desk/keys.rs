//! The page of keys, made from the list of commands and from what the parts answer to. It is a page of the help.

use super::command::Command;
use super::help::key_row;
use crate::help::{self, Block, Page, Piece, Style};
use crate::parts::record_table;
use std::borrow::Cow;

/// Keys within a form.
const FORM: [(&str, &str); 7] = [
    ("Enter", "next field"),
    ("Shift+Enter", "field before"),
    ("Ctrl+Enter", "write the form"),
    ("↑ ↓", "a day later or earlier, in a day"),
    ("← → or a letter", "pick one of a few words"),
    ("Esc", "leave; what is typed stays"),
    ("Ctrl+Page up, Page down", "the part of a page before or after"),
];

/// Keys of the note line.
const NOTES: [(&str, &str); 4] = [
    ("Enter", "write what is shown"),
    ("Shift+Enter", "another line"),
    ("Alt and a figure", "choose one of several readings"),
    ("Tab", "make a pen, a product, a name whole"),
];

/// Keys of the help.
const HELP: [(&str, &str); 6] = [
    ("F1", "the help of the page; once more: these keys"),
    ("letters", "search all of the help"),
    ("↑ ↓ Enter", "open a place that was found; without a search, scroll"),
    ("Tab, Enter", "the next link, follow it"),
    ("Alt+←", "the page before"),
    ("Esc", "close it; the keyboard is where it was"),
];

/// The page.
pub(super) fn page(ctx: &egui::Context) -> Page {
    let mut all = vec![Block::Head(1, "Keys".into())];
    let said = |c: &Command| (c.key_words(ctx), crate::look::said(c.words()));
    let commands: Vec<(String, Cow<'_, str>)> = Command::ALL.iter().map(said).collect();
    let commands: Vec<(&str, &str)> = commands.iter().map(|(k, w)| (k.as_str(), w.as_ref())).collect();
    let groups: [(&str, &[(&str, &str)]); 12] = [
        ("Anywhere", &commands),
        ("In a form", &FORM),
        ("In a table", record_table::KEYS),
        ("In the note line", &NOTES),
        ("At the scale", &crate::pages::weights::KEYS),
        ("On an animal's leaf", crate::pages::leaf::KEYS),
        ("On the timeline", crate::pages::timeline::KEYS),
        ("On the pen map", crate::pages::lambing::pens::KEYS),
        ("On the pedigree", crate::parts::pedigree_chart::KEYS),
        ("On a growth chart", crate::parts::chart::KEYS),
        ("Finding what to do", &super::finder::KEYS),
        ("In the help", &HELP),
    ];
    for (title, keys) in groups {
        all.push(Block::Head(2, title.into()));
        all.extend(keys.iter().map(|(keys, words)| key_row(keys, words)));
    }
    notes(&mut all);
    Page::of(help::KEYS, all)
}

/// What can be written in the note line, from its grammar.
fn notes(all: &mut Vec<Block>) {
    all.push(Block::Head(2, "Barn notes".into()));
    let plain = |text: &str, style| Piece { text: text.into(), style, link: None };
    for form in hirsel_core::entry::notes::forms() {
        let mut how = vec![plain(&form.how, Style::Plain)];
        for example in &form.example {
            how.push(plain(" · ", Style::Plain));
            how.push(plain(&example.note, Style::Italic));
        }
        all.push(Block::Row(vec![plain(&form.name, Style::Strong)], how));
    }
}
