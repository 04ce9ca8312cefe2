//! Where a laid-out paper goes: a file, the viewer, the printer.

use super::super::{Ctx, Intent};
use super::choose::indented;
use super::{Delivery, PaperKind, State, whom};
use crate::desk::printing::LaidState;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form};
use hirsel_core::papers::picture::Form as Picture;
use hirsel_core::phrase;
use std::path::{Path, PathBuf};

/// The field for the file's name: a bare name lies in the folder of the book.
pub(super) fn name(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    if !state.path_typed {
        state.path = phrase!("{} {}.pdf", state.kind.words(), whom::paper_day(ctx, state));
    }
    let width = (ui.available_width() - super::LABELS - 40.0).clamp(160.0, 300.0);
    if form.field(ui, &Field::new("Save as").width(width), &mut state.path).response.changed() {
        state.path_typed = true;
    }
    let file = crate::desk::files::absolute(&state.path, ctx.path);
    let book = crate::desk::files::absolute("", ctx.path);
    let Some(folder) = file.parent().filter(|_| !state.path.trim().is_empty()) else { return };
    let beside = folder == book;
    let words = if beside { phrase!("beside the book") } else { phrase!("in {}", folder.display()) };
    indented(ui, |ui| {
        let words = egui::RichText::new(words).small().color(look::tokens(ui).faint);
        ui.add(egui::Label::new(words).truncate()).on_hover_text(folder.display().to_string());
    });
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &State, submitted: bool, out: &mut Vec<Intent>) {
    let ready = ready(ctx, state);
    let mut to = submitted.then(|| Delivery::File(Some(PathBuf::from(state.path.trim()))));
    ui.add_enabled_ui(ready.is_ok(), |ui| {
        indented(ui, |ui| {
            let word = match Picture::of(Path::new(state.path.trim())) {
                Some(Picture::Png) => "Save as PNG",
                Some(Picture::Svg) => "Save as SVG",
                None => "Save as PDF",
            };
            if look::primary(ui, word)
                .on_hover_text("The ending of the name decides: .pdf, .png or .svg")
                .clicked()
            {
                to = Some(Delivery::File(Some(PathBuf::from(state.path.trim()))));
            }
            for (word, hover, delivery) in [
                ("Choose where…", "Choose folder and name", Delivery::File(None)),
                ("Show", "Open it in the system’s viewer", Delivery::Viewer),
                ("Print", "Hand it to the system’s printer", Delivery::Printer),
            ] {
                if ui.button(crate::look::spoken(word)).on_hover_text(crate::look::spoken(hover)).clicked() {
                    to = Some(delivery);
                }
            }
        });
    });
    if state.kind == PaperKind::DueList {
        indented(ui, |ui| {
            if ui
                .button(phrase!("Into a calendar…"))
                .on_hover_text(phrase!("A file for a phone’s calendar"))
                .clicked()
            {
                out.push(Intent::AskCalendar(vec![hirsel_core::exchange::calendar::Kind::Lambings]));
            }
        });
    }
    if let Some(percent) = ctx.laid.and_then(|l| l.delivering) {
        indented(ui, |ui| {
            look::faint(ui, phrase!("Writing it, {percent} %"));
            if ui.button(phrase!("Stop writing")).clicked() {
                out.push(Intent::StopLayOut);
            }
        });
    }
    match (to, ready) {
        (Some(to), Ok(())) => out.push(Intent::Deliver(to)),
        (Some(_), Err(why)) => out.push(Intent::Say(Kind::Refuse, why)),
        _ => {}
    }
    ui.add_space(space::M);
    look::faint(ui, words(state.kind));
}

/// Whether the pages shown are the ones asked for, or what stands in the way.
fn ready(ctx: &Ctx<'_>, state: &State) -> Result<(), String> {
    if let Some(wrong) = whom::wrong(ctx, state) {
        return Err(wrong);
    }
    if whom::is_open(ctx, state) {
        return Err(super::preview::nothing(state).into());
    }
    let Some(laid) = ctx.laid.filter(|_| whom::is_settled(ctx, state)) else {
        return Err(phrase!("the pages are still being laid out: a moment"));
    };
    match &laid.state {
        LaidState::Working(_) => Err(phrase!("the pages are still being laid out: a moment")),
        LaidState::Nothing => Err(super::preview::nothing(state).into()),
        LaidState::Failed(why) => Err(why.clone()),
        LaidState::Done(_) if laid.delivering.is_some() => {
            Err(phrase!("the paper is being written: a moment"))
        }
        LaidState::Done(_) => Ok(()),
    }
}

fn words(kind: PaperKind) -> &'static str {
    match kind {
        PaperKind::MixSheet => {
            "What to weigh out for a batch, in large type for the barn; what it holds as fed and of dry matter, what it costs, and the cautions."
        }
        PaperKind::LambCards => {
            "Cut along the marks. Boxes known to be done are ticked. Ring only within the legal age; label, vet and local law decide."
        }
        PaperKind::PenCards => {
            "One card for each pen: the ewe, her lambs, what to look at. Label, vet and local law decide."
        }
        PaperKind::BarnSheet => {
            "Rows have the numbers they have on the page Barn sheet, where the ticks are typed back. Label, vet and local law decide."
        }
        PaperKind::FeedSheet => {
            "A line a pen: who is there, what each feed comes to by the rations under Feed, Day by day, with boxes to tick and room to write. Label, feed analyst and vet decide."
        }
        PaperKind::PenMap => {
            "The shed as it is laid out under Lambing, Pen map, with a line for each pen below. Label, vet and local law decide."
        }
        PaperKind::Timeline => {
            "The same drawing as on the page Timeline: a row for each animal, or the life of one. Label, vet and local law decide."
        }
        PaperKind::Declaration => {
            "The seller's own statement, no official form: every treatment whose period had not run out. Label, vet and local law decide."
        }
        PaperKind::Certificate => {
            "The keeper's own statement of the vaccines given, not a vet's. Vaccines are marked so in the cupboard. Label, vet and local law decide."
        }
        PaperKind::Pedigree => {
            "The flock's own record of an animal and four generations behind it, to sign; not a registry's certificate. Registry and prefix are set under The book."
        }
        PaperKind::Ancestors => {
            "Ancestors as on the page Blood: up to six generations, the sire's side above the dam's."
        }
        PaperKind::JoiningSheet => {
            "Groups that run now, or those of the days chosen, with a column for each of the next 14 days to write the crayon's mark in."
        }
        PaperKind::DueList => {
            "Every ewe that is expected, by day, with room for what happened. A scan counts lambs seen, not lambs born."
        }
        PaperKind::SaleList => {
            "Each animal with parents, inbreeding, tests and its first clear day, and room for the price. Label, vet and local law decide."
        }
        PaperKind::Progeny => {
            "Every lamb of a ram by season with weights and what became of it. Lambs that are perhaps his are marked and count in no mean."
        }
        PaperKind::Diversity => {
            "The figures of Blood with pictures: inbreeding by year, founders, ages, lines, and what to do about each."
        }
        PaperKind::KeepSheet => {
            "Every ram lamb and ewe lamb of the last season in your order with the proposed line, and boxes to tick. Set what counts under Keep or part. Label, vet and local law decide."
        }
        PaperKind::CullList => {
            "Ewes that your rules name, with the records behind it and what each would cost in blood. Rules are set under Keep or part."
        }
        PaperKind::Growth => {
            "Every weight of the animal with its curve, and the band of its like in this flock: as on the page Weights."
        }
        PaperKind::SeasonReport => {
            "The last season, or that of the days chosen: figures with their bases beside the years before, losses, weights, money."
        }
        PaperKind::CreepSheet => {
            "A card for each creep's door, two to a sheet to be cut apart: what to fill, the protein and until when, two weeks of boxes for a pencil."
        }
        PaperKind::WinterFeed => {
            "A sheet for each feed that is given: how long it lasts, drawn and week by week, and what to buy: as on the page Feed, To spring."
        }
        PaperKind::GrowthList => {
            "Lambs of the last season, or those born in the days chosen, by group with their ratios: as on the page Weights, At a fixed age."
        }
        PaperKind::TreatmentLog | PaperKind::Register(_) | PaperKind::Folder => {
            "Struck-out and amended lines are shown as such; nothing is left out. An unknown period is not clear. Label, vet and local law decide."
        }
    }
}
