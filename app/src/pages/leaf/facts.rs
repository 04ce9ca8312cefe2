//! Standing facts: marks now and before, birth, breed, who rears it, clear days.

use super::super::Ctx;
use crate::look::{self, space};
use hirsel_core::flock::{AnimalFile, Ended};
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::terms::{ElectronicId, IdentityKind, Rearing};

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile) {
    let a = &file.animal;
    ui.add_space(space::S);
    look::subheading(ui, "Facts");
    let mut rows: Vec<(&str, String)> = Vec::new();
    rows.push(("Born", born(ctx, file)));
    if let Some(b) = &a.breed {
        rows.push(("Breed", b.to_string()));
    }
    for i in &a.identities {
        let mut text = match i.kind {
            IdentityKind::Electronic => {
                ElectronicId::parse(i.tag.as_str()).map_or_else(|_| i.tag.to_string(), |e| e.to_string())
            }
            _ => i.tag.to_string(),
        };
        match (i.ended, i.to) {
            (Some(how), to) => {
                let word = if how == Ended::Lost { "lost" } else { "replaced" };
                text += &format!(" ({word}{})", to.map(|d| format!(" {}", d.words())).unwrap_or_default());
            }
            (None, _) => {
                if let Some(from) = i.from {
                    text += &format!(" (since {})", from.words());
                }
            }
        }
        let mut words = i.kind.words();
        if words == "flock tag" {
            words = "Flock tag";
        }
        rows.push((capital(words), text));
    }
    match a.rearing {
        Rearing::Dam => {}
        Rearing::Foster(e) => rows.push(("Reared by", format!("{} (fostered)", ctx.flock.tag(e)))),
        Rearing::Bottle => rows.push(("Reared by", "bottle".into())),
    }
    if let Some(g) = a.genetic_dam {
        rows.push(("Genetic dam", ctx.flock.tag(g).to_string()));
    }
    for (word, text) in [("Colour", &a.colour), ("Marks", &a.marks), ("Note", &a.note)] {
        if let Some(text) = text {
            rows.push((word, text.clone()));
        }
    }
    let c = clearance(file, ctx.today);
    for (word, side) in [("Meat", &c.meat), ("Milk", &c.milk)] {
        let why = side.given.map(|d| format!(" ({}, given {})", side.product, d.words())).unwrap_or_default();
        rows.push((word, format!("{}{why}", side.clear.words())));
    }
    egui::Grid::new("facts").num_columns(2).spacing([space::L, space::XS]).show(ui, |ui| {
        for (word, text) in rows {
            look::faint(ui, word);
            let width = ui.available_width().max(200.0);
            ui.scope(|ui| {
                ui.set_max_width(width.min(360.0));
                ui.add(egui::Label::new(text).wrap());
            });
            ui.end_row();
        }
    });
}

fn capital(word: &'static str) -> &'static str {
    match word {
        "electronic number" => "Electronic no.",
        "official tag" => "Official tag",
        "registry number" => "Registry no.",
        other => other,
    }
}

fn born(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut text = a.born.words();
    if let Some(w) = a.birth_weight {
        text += &format!(", {}", w.show(ctx.units()));
    }
    if let Some(t) = a.birth_type {
        text += &format!(", {}", t.words());
    }
    if let Some(t) = a.rear_type {
        text += &format!(", reared as {}", t.words());
    }
    if let Some(b) = &file.birth {
        if let Some(e) = b.ease {
            text += &format!(", {}", e.words());
        }
        for (seen, yes, no) in
            [(b.sucked, "sucked", "not seen to suck"), (b.navel_dipped, "navel dipped", "navel not dipped")]
        {
            if let Some(s) = seen {
                text += &format!(", {}", if s { yes } else { no });
            }
        }
        if let Some(c) = b.colostrum {
            text += &format!(", {c} colostrum");
        }
    }
    text
}
