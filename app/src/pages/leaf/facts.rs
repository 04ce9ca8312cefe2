//! Standing facts: marks now and before, birth, breed, who rears it, clear days.

use super::super::Ctx;
use crate::look::{self, space};
use hirsel_core::entry::says;
use hirsel_core::flock::{AnimalFile, Ended, Identity};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::{Clear, clearance_in};
use hirsel_core::reckon::grading::{Share, Shares, UNKNOWN};
use hirsel_core::terms::{ElectronicId, IdentityKind, MeantFor, Rearing, Sex, Status};

/// Draws them; in two halves side by side where they have the whole width.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, blood: &[Line]) {
    look::subheading(ui, "Facts");
    let rows = rows(ctx, file, blood);
    if ui.available_width() > 900.0 && rows.len() > 5 {
        let (left, right) = rows.split_at(rows.len().div_ceil(2));
        super::two(ui, true, |ui| grid(ui, left), |ui| grid(ui, right));
    } else {
        grid(ui, &rows);
    }
}

/// What and how, line by line: the words in a column of their own, level with the first line of the text.
pub(super) fn grid<W: AsRef<str>>(ui: &mut egui::Ui, rows: &[(W, String)]) {
    let font = egui::TextStyle::Small.resolve(ui.style());
    let ink = look::tokens(ui).faint;
    let width = |text: &str| ui.painter().layout_no_wrap(text.into(), font.clone(), ink).size().x;
    let widest = rows.iter().map(|(word, _)| width(word.as_ref())).fold(0.0, f32::max);
    let column = egui::vec2(widest, ui.text_style_height(&egui::TextStyle::Body));
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(space::L, 3.0);
        ui.spacing_mut().interact_size.y = column.y;
        for (word, text) in rows {
            ui.horizontal_top(|ui| {
                let level = egui::Layout::left_to_right(egui::Align::Center);
                ui.allocate_ui_with_layout(column, level, |ui| {
                    ui.set_min_size(column);
                    look::faint(ui, word.as_ref().to_string());
                });
                let width = ui.available_width().min(420.0);
                ui.vertical(|ui| {
                    ui.set_max_width(width);
                    ui.add(egui::Label::new(text).wrap());
                });
            });
        }
    });
    ui.add_space(space::XS);
}

/// A word and what stands beside it.
pub(super) type Line = (&'static str, String);

/// Registry, breed parts that follow from the parents, and tests: made once for a version of the flock.
pub(super) fn blood(ctx: &Ctx<'_>, file: &AnimalFile) -> Vec<Line> {
    let a = &file.animal;
    let mut lines = Vec::new();
    let registry: Vec<String> = a.prefix.iter().chain(&a.section).map(String::from).collect();
    if !registry.is_empty() {
        lines.push(("Registry", registry.join(", ")));
    }
    if a.breed.is_none() {
        let shares = Shares::among(ctx.flock, [a.id]);
        if shares.share(a.id, UNKNOWN) != Share::WHOLE {
            lines.push(("Breed parts", phrase!("{} (by its parents)", shares.words(a.id))));
        }
    }
    let tests: Vec<String> = file
        .tests
        .iter()
        .filter(|t| t.struck.is_none())
        .map(|t| phrase!("{}, {}", says(&t.found, ctx.flock), t.on.words()))
        .collect();
    if !tests.is_empty() {
        lines.push(("Tests", tests.join("; ")));
    }
    lines
}

fn rows(ctx: &Ctx<'_>, file: &AnimalFile, blood: &[Line]) -> Vec<Line> {
    let a = &file.animal;
    let mut rows: Vec<(&str, String)> = vec![("Born", born(ctx, file))];
    if let Some(b) = &a.breed {
        rows.push(("Breed", b.to_string()));
    }
    for i in &a.identities {
        let days = match (i.ended, i.from, i.to) {
            (None, None, _) => String::new(),
            (None, Some(from), _) => phrase!(" (since {})", from.words()),
            (Some(how), from, to) => {
                let from = from.map(|d| phrase!("worn from {}, ", d.words())).unwrap_or_default();
                let word = if how == Ended::Lost { "lost" } else { "replaced" };
                let to = to.map(|d| phrase!(" {}", d.words())).unwrap_or_default();
                phrase!(" ({from}{word}{to})")
            }
        };
        rows.push((capital(i.kind), format!("{}{days}", mark(i))));
    }
    rows.extend(blood.iter().cloned());
    match a.rearing {
        Rearing::Dam => {}
        Rearing::Foster(e) => rows.push(("Reared by", phrase!("{} (fostered)", &ctx.flock.tag(e)))),
        Rearing::Bottle => rows.push(("Reared by", phrase!("bottle"))),
    }
    if let Some(g) = a.genetic_dam {
        let bore = a.dam.map(|d| phrase!(", carried by {}", &ctx.flock.tag(d))).unwrap_or_default();
        rows.push(("Genetic dam", format!("{}{bore}", ctx.flock.tag(g))));
    }
    if a.meant_for != MeantFor::Undecided {
        rows.push(("Meant for", a.meant_for.words().into()));
    }
    for (word, text) in [("Colour", &a.colour), ("Marks", &a.marks), ("Note", &a.note)] {
        if let Some(text) = text {
            rows.push((word, text.to_string()));
        }
    }
    if a.status != Status::Present {
        rows.push(("Standing", super::standing(file)));
    }
    let c = clearance_in(ctx.flock, file, ctx.today);
    for (word, side) in [("Meat", &c.meat), ("Milk", &c.milk), ("Export", &c.export)] {
        if word == "Milk" && a.sex != Sex::Ewe {
            continue;
        }
        if word == "Export" && !c.export_apart && side.clear == Clear::Free {
            continue;
        }
        let why = side.given.map(|d| phrase!(" ({}, given {})", side.product, d.words())).unwrap_or_default();
        let milking = if word == "Milk" { side.milking(ctx.today) } else { None };
        let milking = milking.map(|m| format!("; {m}")).unwrap_or_default();
        rows.push((word, phrase!("{}{why}{milking}", side.clear.words())));
    }
    rows
}

/// A mark as it is read: an electronic number in its groups.
pub(super) fn mark(i: &Identity) -> String {
    match i.kind {
        IdentityKind::Electronic => {
            ElectronicId::parse(i.tag.as_str()).map_or_else(|_| i.tag.to_string(), |e| e.to_string())
        }
        _ => i.tag.to_string(),
    }
}

fn capital(kind: IdentityKind) -> &'static str {
    match kind {
        IdentityKind::Flock => "Flock tag",
        IdentityKind::Electronic => "Electronic no.",
        IdentityKind::Official => "Official tag",
        IdentityKind::Registry => "Registry no.",
    }
}

fn born(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut text = a.born.words();
    if let Some(w) = a.birth_weight {
        text += &format!(", {}", w.show(ctx.units()));
    }
    if let Some(t) = a.birth_type {
        text += &phrase!(", {}", t.words());
    }
    if let Some(t) = a.rear_type {
        text += &phrase!(", reared as {}", t.words());
    }
    if let Some(b) = &file.birth {
        if let Some(e) = b.ease {
            text += &phrase!(", {}", e.words());
        }
        for (seen, yes, no) in
            [(b.sucked, "sucked", "not seen to suck"), (b.navel_dipped, "navel dipped", "navel not dipped")]
        {
            if let Some(s) = seen {
                text += &format!(", {}", if s { yes } else { no });
            }
        }
        if let Some(c) = b.colostrum {
            text += &phrase!(", {c} colostrum");
        }
    }
    text
}
