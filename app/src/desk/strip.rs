//! The strip of keys at the foot: what works now. What has the keyboard says it first, then the page, then the commands;
//! what finds no room is left out, the least needed first.

use super::command::Command;
use crate::parts::live::Reported;
use egui::{FontId, Ui};
use hirsel_core::phrase;

/// So many keys of the page at most: the finder and the page of keys have them all.
const OF_PAGE: usize = 4;

/// The strip, no longer than `room` points.
pub(super) fn words(ui: &Ui, live: &Reported, started: bool, room: f32) -> String {
    let font = FontId::new(crate::look::size::SMALL, crate::look::fonts::family(crate::look::Face::Sans));
    let ink = crate::look::tokens(ui).faint;
    let wide = |text: &str| ui.painter().layout_no_wrap(text.to_owned(), font.clone(), ink).size().x;
    let said = |&(keys, word): &(&'static str, &'static str)| phrase!("{keys} {word}");
    let here: Vec<String> = live.here.into_iter().flatten().map(said).collect();
    let page: Vec<String> = live.page.into_iter().flatten().take(OF_PAGE).map(said).collect();
    let mut commands: Vec<String> = Vec::new();
    for (command, word) in Command::STRIP {
        if started || matches!(command, Command::Finder | Command::Help) {
            commands.push(phrase!("{} {word}", command.key_words(ui.ctx())));
        }
    }
    // The finder and the page of keys always find room: they lead to all the rest.
    let (first, rest) = commands.split_at(commands.len().min(2));
    let mut wanted: Vec<(usize, &String)> = first.iter().map(|w| (2, w)).collect();
    wanted.extend(here.iter().map(|w| (0, w)));
    wanted.extend(page.iter().map(|w| (1, w)));
    wanted.extend(rest.iter().map(|w| (3, w)));
    let gap = wide(" · ");
    let mut left = room;
    wanted.retain(|(_, text)| {
        let needs = wide(text) + gap;
        let fits = needs <= left;
        if fits {
            left -= needs;
        }
        fits
    });
    wanted.sort_by_key(|(group, _)| *group);
    wanted.into_iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>().join(" · ")
}
