//! Why the chosen lamb stands where it stands.

use super::super::super::Ctx;
use super::super::decide;
use super::State;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use egui::{CornerRadius, Rect, Sense, Stroke, pos2, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::due::castration;
use hirsel_core::reckon::keeping::{Criterion, Keeping, Placed};
use hirsel_core::terms::Sex;
use hirsel_core::terms::Why;

/// Draws it.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, sex: Sex, state: &mut State) {
    // The places are of this one, while those of another are on their way.
    let Some(k) = state.made.with.keeping.clone() else { return };
    let k: &Keeping = &k;
    let cursor = state.table.as_ref().and_then(|t| t.cursor());
    let placed = cursor.and_then(|id| {
        state
            .made
            .with
            .placed
            .iter()
            .find(|p| k.lambs(sex).get(p.at).is_some_and(|c| c.animal == id))
            .cloned()
    });
    let (Some(id), Some(placed)) = (cursor, placed) else {
        look::faint(ui, "Choose a lamb to see why it stands where it stands.");
        return;
    };
    let Some(c) = k.lambs(sex).get(placed.at) else { return };
    if state.told.as_ref().is_none_or(|t| (t.0, t.1) != (state.change, id)) {
        let told = k.told(sex, &placed, k.lambs(sex).len(), ctx.units());
        state.told = Some((state.change, id, told));
    }
    let sire = c.sire.as_ref().map(|s| phrase!(", by {s}")).unwrap_or_default();
    look::subheading(ui, phrase!("{}{sire}", c.title()));
    if let Some(d) = &c.decided {
        let words = phrase!("{} on {}", d.what.words(), d.on.words());
        look::chip(ui, decide::kind(d.what), &words);
    }
    ui.add_space(space::XS);
    let told = state.told.as_ref().map(|t| t.2.clone()).unwrap_or_default();
    let mut lines = told.into_iter();
    if let Some(first) = lines.next() {
        look::strong(ui, first);
    }
    // Before the key is pressed, not after: what the rules leave at this age.
    let ram = ctx.flock.animal(id).filter(|a| a.sex == Sex::Ram);
    let born = ram.and_then(|a| a.born.day());
    let said = born.map(|b| castration(ctx.flock.rules(), b, ctx.today));
    if let Some((method, before)) = &said {
        let text = phrase!("Castration: {method}. Label, vet and local law decide.");
        caution::sentence(ui, Kind::Caution, &[Why::Castration, Why::Rings], &text)
            .on_hover_text(crate::look::spoken(before));
    }
    ui.add_space(space::XS);
    shares(ui, &placed, &state.weights(k, sex));
    for line in lines {
        ui.add(egui::Label::new(line).wrap());
        ui.add_space(space::XS);
    }
    let value = match &k.values {
        Ok(of) => phrase!("Breeding value of {of}: {}.", c.value_words(true)),
        Err(why) => phrase!("Breeding values are not reckoned: {why}."),
    };
    ui.add(egui::Label::new(value).wrap());
    if let Some((_, caution)) = &said {
        ui.add_space(space::S);
        look::faint(ui, phrase!("Before you castrate: {caution}"));
    }
}

/// Each criterion with its weight and what it adds, as a bar from the middle and a number.
fn shares(ui: &mut egui::Ui, placed: &Placed, weights: &[u8]) {
    let t = look::tokens(ui);
    let most = placed.shares.iter().flatten().fold(0.05_f64, |m, s| m.max(s.abs()));
    egui::Grid::new("shares").num_columns(3).spacing([space::S, 2.0]).show(ui, |ui| {
        for c in Criterion::ALL {
            let weight = weights.get(c.at()).copied().unwrap_or_default();
            if weight == 0 {
                continue;
            }
            ui.label(c.words());
            let share = placed.shares.get(c.at()).copied().flatten();
            let (rect, _) = ui.allocate_exact_size(vec2(84.0, 14.0), Sense::hover());
            let middle = rect.center().x;
            ui.painter().vline(middle, rect.y_range(), Stroke::new(1.0, t.edge));
            if let Some(s) = share.filter(|s| s.abs() >= 0.005) {
                let far = (s / most) as f32 * (rect.width() / 2.0 - 2.0);
                let (a, b) = (middle.min(middle + far), middle.max(middle + far));
                let bar = Rect::from_min_max(pos2(a, rect.top() + 2.0), pos2(b, rect.bottom() - 2.0));
                let ink = if s > 0.0 { t.good } else { t.caution };
                ui.painter().rect_filled(bar, CornerRadius::same(1), ink);
            }
            match share {
                Some(s) => ui.label(signed(s)),
                None => look::faint(ui, "not known"),
            };
            ui.end_row();
        }
    });
    ui.add_space(space::XS);
    look::faint(ui, phrase!("Together {}; 0 is the mean of those compared.", signed(placed.total)));
    ui.add_space(space::S);
}

/// With its sign, to two places; nought has none.
pub(super) fn signed(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0 + 0.0;
    if rounded == 0.0 { "0.00".into() } else { format!("{rounded:+.2}").replace('-', "−") }
}
