//! Decisions with one key: the keys of a list, the buttons that do the same, the entry that is written.

use super::super::list::List;
use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind};
use crate::parts::caution;
use crate::parts::record_table::{Cell, TableState};
use egui::{Key, Modifiers};
use hirsel_core::entry::{self, DecisionDraft};
use hirsel_core::phrase;
use hirsel_core::terms::Why;
use hirsel_core::terms::{AnimalId, Decided};

/// A key, what it decides, and the word of its button.
pub(super) type DecideKey = (Key, Decided, &'static str);

/// Of ram lambs.
pub(super) const RAMS: [DecideKey; 6] = [
    (Key::K, Decided::Entire, "Keep entire"),
    (Key::C, Decided::Castrate, "Castrate"),
    (Key::S, Decided::Show, "Show"),
    (Key::V, Decided::Sell, "Sell to breed"),
    (Key::M, Decided::Market, "Market"),
    (Key::L, Decided::Later, "Later"),
];

/// Of ewe lambs.
pub(super) const EWES: [DecideKey; 5] = [
    (Key::B, Decided::Breed, "Breed"),
    (Key::S, Decided::Sell, "Sell to breed"),
    (Key::W, Decided::Show, "Show"),
    (Key::M, Decided::Market, "Market"),
    (Key::L, Decided::Later, "Later"),
];

/// Of ewes.
pub(super) const CULLS: [DecideKey; 3] =
    [(Key::S, Decided::Stay, "Stays"), (Key::C, Decided::Cull, "Cull"), (Key::L, Decided::Later, "Later")];

/// The decision whose key was pressed while the table has the keyboard.
pub(super) fn pressed(ui: &egui::Ui, table: egui::Id, keys: &[DecideKey]) -> Option<Decided> {
    if !ui.memory(|m| m.has_focus(table)) {
        return None;
    }
    let hit =
        |i: &mut egui::InputState| keys.iter().find(|k| i.consume_key(Modifiers::NONE, k.0)).map(|k| k.1);
    let hit = ui.input_mut(hit);
    if hit.is_some() {
        // The letter is a key here and does not look for a row.
        ui.input_mut(|i| i.events.retain(|e| !matches!(e, egui::Event::Text(_))));
    }
    hit
}

/// Buttons that do the same; `n` animals would be decided.
pub(super) fn buttons(ui: &mut egui::Ui, keys: &[DecideKey], n: usize) -> Option<Decided> {
    let mut chosen = None;
    for (key, what, word) in keys {
        let b = ui.add_enabled(n > 0, egui::Button::new(phrase!("{} · {}", look::said(word), key.name())));
        let whom = if n > 1 { phrase!(" ({n} animals)") } else { String::new() };
        if b.on_hover_text(phrase!("{}{whom}: key {} in the list", look::said(what.words()), key.name()))
            .clicked()
        {
            chosen = Some(*what);
        }
    }
    chosen
}

/// Writes a decision on these.
pub(super) fn write(ctx: &Ctx<'_>, what: Decided, animals: &[AnimalId], out: &mut Vec<Intent>) {
    let draft = |animal: &AnimalId| DecisionDraft { animal: *animal, on: ctx.today, what, reason: None };
    match entry::decisions(animals.iter().map(draft).collect(), ctx.flock, ctx.today) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::KeepingDone }),
        Err(refusals) => {
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, first));
        }
    }
}

/// The cursor goes on to the next row, so that one decides down the list.
pub(super) fn next(table: &mut TableState<AnimalId>, list: &List<AnimalId>) {
    let rows: Vec<u32> = table.order(list).to_vec();
    let keys: Vec<AnimalId> = rows.iter().filter_map(|i| list.rows.get(*i as usize)).map(|r| r.key).collect();
    let at = table.cursor().and_then(|c| keys.iter().position(|key| *key == c));
    if let Some(key) = at.and_then(|at| keys.get(at + 1)) {
        table.set_cursor(*key);
    }
}

/// What a decision looks like: a word with its mark.
pub(super) fn kind(what: Decided) -> Kind {
    match what {
        Decided::Entire | Decided::Breed | Decided::Stay => Kind::Good,
        Decided::Show | Decided::Sell => Kind::Accent,
        Decided::Cull => Kind::Caution,
        Decided::Castrate | Decided::Market | Decided::Later => Kind::Plain,
    }
}

/// The cell of a decision.
pub(super) fn cell(what: Option<Decided>) -> Cell {
    what.map_or_else(Cell::empty, |w| Cell::chip(kind(w), w.words()))
}

/// The keeper's settings, written with the rest of the holding as it is.
pub(super) fn keep_settings(
    ctx: &Ctx<'_>,
    settings: &hirsel_core::reckon::keeping::Settings,
    out: &mut Vec<Intent>,
) {
    let mut holding = ctx.flock.holding().clone();
    holding.keeping = settings.to_text();
    match entry::holding(holding, ctx.flock) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::KeepingDone }),
        Err(refusals) => {
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, first));
        }
    }
}

/// What is said while there is nothing to show yet; true where the page may go on.
pub(super) fn waits(ui: &mut egui::Ui, ctx: &Ctx<'_>) -> bool {
    let Some(made) = ctx.keeping else {
        look::faint(ui, "Looking the flock over…");
        return true;
    };
    if let Some(amiss) = &made.amiss {
        let words =
            phrase!("The settings of keeping in this book cannot be read ({amiss}): those shipped hold.");
        look::sentence(ui, Kind::Caution, &words);
    }
    if made.circle {
        caution::sentence(
            ui,
            Kind::Caution,
            &[Why::Pedigree],
            "The pedigree runs in a circle: kinship is not known until a parent is mended, under Blood, Doubts.",
        );
    }
    if made.version() != ctx.flock.version() {
        look::faint(ui, "Being reckoned anew after the last entry…");
    }
    false
}
