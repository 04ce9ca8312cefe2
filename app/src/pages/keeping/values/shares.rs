//! How much is inherited: the shares to reckon with, with the handbook's range and its source beside each.

use super::typed::Typed;
use crate::look::{self, space};
use crate::parts::{Field, Form};
use hirsel_core::handbook::heritability::{Measured, Share, published, range, start};
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::Model;

pub(super) fn view(ui: &mut egui::Ui, t: &mut Typed, form: &mut Form) {
    look::subheading(ui, "How much is inherited");
    look::faint(
        ui,
        "Shares of all differences between animals, from 0 to 1. They differ from breed to breed and farm to farm; left \
         blank, the start shown in the field is taken.",
    );
    let Some(of) = t.measured() else { return };
    let model = t.model();
    let read = |x: &str| share(x, 0.0);
    let both = |x: &str| share(x, -1.0);
    let begin = |s: Share| start(of, s).map(|v| v.to_string()).unwrap_or_default();
    let example = begin(Share::Heritability);
    let field = Field::new("Heritability").width(70.0).example(&example).understand(&read);
    form.field(ui, &field, &mut t.shares.h2);
    ranges(ui, of, Share::Heritability);
    match model {
        Model::Animal => {}
        Model::Repeatability => {
            let stays = start(of, Share::Repeatability).zip(start(of, Share::Heritability));
            let example = stays.map_or_else(|| "0.1".into(), |(r, h)| format!("{:.2}", (r - h).max(0.05)));
            let field = Field::new("Stays with it").width(70.0).example(&example).understand(&read);
            form.field(ui, &field, &mut t.shares.pe2);
            look::faint(
                ui,
                "What returns with the same animal beside its genes: repeatability less heritability.",
            );
            ranges(ui, of, Share::Repeatability);
        }
        Model::Maternal => {
            let example = begin(Share::Maternal);
            let field = Field::new("Mothering").width(70.0).example(&example).understand(&read);
            form.field(ui, &field, &mut t.shares.m2);
            ranges(ui, of, Share::Maternal);
            let field = Field::new("Go together").width(70.0).example("0").understand(&both);
            form.field(ui, &field, &mut t.shares.rdm);
            look::faint(
                ui,
                "Correlation of growth with mothering, from -1 to 1. Small flocks cannot tell it: 0 is safe.",
            );
            let example = begin(Share::Common);
            let field = Field::new("Same ewe").width(70.0).example(&example).understand(&read);
            form.field(ui, &field, &mut t.shares.c2);
            look::faint(
                ui,
                "What lambs of one ewe share beside blood, such as her pasture and her udder’s health.",
            );
        }
    }
}

/// What is published of a share, each with its source.
fn ranges(ui: &mut egui::Ui, of: Measured, share: Share) {
    let Some((from, to)) = range(of, share) else { return };
    let all: Vec<String> = published(of, share).map(|p| p.told()).collect();
    let span = if from == to { format!("{from}") } else { phrase!("{from} to {to}") };
    look::faint(ui, phrase!("Published for {}, {}: {span}.", of.words(), share.words()));
    ui.indent(("published", share.words()), |ui| {
        for one in all {
            look::faint(ui, one);
        }
    });
    ui.add_space(space::XS);
}

/// A share as typed, in words.
fn share(text: &str, least: f64) -> Result<String, String> {
    match text.trim().replace(',', ".").replace('−', "-") {
        t if t.is_empty() => Ok("as the handbook starts".into()),
        t => {
            t.parse::<f64>()
                .ok()
                .filter(|v| (least..=1.0).contains(v))
                .map(|v| {
                    if least < 0.0 {
                        format!("{v}")
                    } else {
                        phrase!("{:.0} % of all differences", v * 100.0)
                    }
                })
                .ok_or_else(|| phrase!("‘{t}’ is no share: type a number from {least} to 1"))
        }
    }
}
