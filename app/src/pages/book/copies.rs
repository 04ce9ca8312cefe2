//! Kept copies, a copy elsewhere, the check, and closing the book.

use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    look::subheading(ui, "To get a copy back");
    look::paragraph(
        ui,
        "Close the window, then run: hirsel restore COPY BOOK. What stood there is kept beside it. A copy is a whole book and can be opened like any other to look into it first.",
    );
    ui.add_space(space::S);
    look::subheading(ui, format!("Copies kept beside the book ({})", ctx.copies.len()));
    if ctx.copies.is_empty() {
        look::faint(ui, "None yet: one is made when the book is opened again after something was written.");
    }
    egui::Grid::new("copies").num_columns(3).spacing([space::L, space::XS]).show(ui, |ui| {
        for c in ctx.copies {
            look::strong(ui, c.on.words());
            let days = ctx.today.since(c.on);
            look::faint(
                ui,
                match days {
                    0 => "today".to_string(),
                    1 => "yesterday".to_string(),
                    n => format!("{n} days ago"),
                },
            );
            ui.label(c.path.display().to_string());
            ui.end_row();
        }
    });
    look::faint(
        ui,
        "One a day for the last 7 days the book was opened, one a week for 4 weeks, one a month for 12 months.",
    );
    ui.add_space(space::M);
    look::banner(
        ui,
        Kind::Caution,
        "A copy on the same disk is not enough: now and then put one on a stick or another machine.",
        |ui| {
            if ui.button("Copy the book to…").clicked() {
                out.push(Intent::CopyBook);
            }
        },
    );
    ui.add_space(space::L);
    look::subheading(ui, "Check");
    ui.horizontal(|ui| {
        if ui.button("Check the whole book").clicked() {
            out.push(Intent::CheckBook);
        }
        look::faint(ui, "Reads every page, follows every key, looks at every animal.");
    });
    if let Some(report) = ctx.report {
        ui.add_space(space::XS);
        let (kind, text) = match report.lines.split_last() {
            Some((last, _)) => (if report.whole { Kind::Good } else { Kind::Refuse }, last.clone()),
            None => (Kind::Plain, String::new()),
        };
        look::banner(ui, kind, &text, |ui| {
            for line in report.lines.iter().rev().skip(1).rev() {
                ui.label(line);
            }
        });
    }
    ui.add_space(space::L);
    look::subheading(ui, "Another book");
    if ui.button("Close this book").clicked() {
        out.push(Intent::CloseBook);
    }
}
