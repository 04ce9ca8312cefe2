//! The flock's own shares: estimated on request, offered by name, never mixed in silently.

use super::super::super::{Ctx, Intent};
use super::typed::{Typed, TypedShares};
use super::{sentence, working};
use crate::look::{self, Kind, space};
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{Own, Shares};

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "This flock’s own shares");
    if let Some(percent) = ctx.values.estimating {
        working(ui, percent, "Estimating from the flock’s own records", out);
        return;
    }
    let ask = t.one(ctx);
    ui.horizontal_wrapped(|ui| {
        if ui.button(phrase!("Estimate them from its records")).clicked() {
            match &ask {
                Ok(ask) => out.push(Intent::OwnShares(Box::new(ask.clone()))),
                Err((label, why)) => {
                    t.focus = Some(label);
                    out.push(Intent::Say(Kind::Refuse, why.clone()));
                }
            }
        }
        look::faint(ui, "Takes many records of many families; with too few it says so.");
    });
    let Some((of, answer)) = &ctx.values.own else { return };
    let Ok(ask) = ask else { return };
    if of.of != ask.of || of.model != ask.model || of.fixed != ask.fixed {
        look::faint(ui, "An estimate made before was for another question.");
        return;
    }
    match answer {
        Ok(own) => told(ui, t, own),
        Err(why) => {
            look::sentence(ui, Kind::Caution, sentence(&why.to_string()));
        }
    }
}

fn told(ui: &mut egui::Ui, t: &mut Typed, own: &Own) {
    ui.add_space(space::XS);
    for one in &own.told {
        look::paragraph(ui, one);
    }
    let Some(shares) = &own.shares else { return };
    let typed = typed(shares);
    if t.shares == typed {
        ui.horizontal(|ui| look::word(ui, Kind::Good, "These are in the fields"));
    } else if ui.horizontal(|ui| ui.button(phrase!("Reckon with these"))).inner.clicked() {
        (t.shares, t.own) = (typed.clone(), Some(typed));
        t.focus = Some("Heritability");
    }
}

fn typed(shares: &Shares) -> TypedShares {
    let text = |s: Option<f64>| s.map(|v| v.to_string()).unwrap_or_default();
    TypedShares {
        h2: text(shares.h2),
        m2: text(shares.m2),
        rdm: text(shares.rdm),
        c2: text(shares.c2),
        pe2: text(shares.pe2),
    }
}
