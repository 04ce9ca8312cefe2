//! Which season is looked at, and what is said where there is none.

use super::super::Ctx;
use crate::look;
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::reckon::flock_figures::Years;
use std::sync::Arc;

/// So many seasons are offered.
const OFFERED: usize = 8;

/// The figures and the season that is looked at; what is said instead where there is none. `true` in the end where Enter
/// leads on.
pub(super) fn choose<'a>(
    ui: &mut egui::Ui,
    ctx: &Ctx<'a>,
    season: &mut Option<i32>,
    into: &mut bool,
) -> Option<(&'a Arc<Years>, i32, bool)> {
    let Some(years) = ctx.years else {
        look::faint(ui, "Reckoning the seasons…");
        return None;
    };
    let Some(last) = years.last() else {
        look::paragraph(
            ui,
            "No season yet. Once ewes are joined and lambings are written, this tells how each season went: how many ewes \
             were in lamb, how many lambs were born, lost and weaned, and what they weighed.",
        );
        return None;
    };
    let all = years.years();
    let offered: Vec<i32> = all.iter().rev().take(OFFERED).rev().copied().collect();
    let at = season.filter(|s| offered.contains(s)).unwrap_or(last);
    let names: Vec<(i32, String)> = offered.iter().map(|y| (*y, y.to_string())).collect();
    let options: Vec<(i32, &str)> = names.iter().map(|(y, n)| (*y, n.as_str())).collect();
    let mut form = Form::new(ui, "season").label_width(60.0);
    form.focus_once(ui, into, "Season");
    let mut chosen = Some(at);
    form.choice(ui, &Choice::names("Season", &options), &mut chosen);
    let on = form.finish(ui) == FormEvent::Submitted;
    let at = chosen.unwrap_or(at);
    *season = (at != last).then_some(at);
    if years.version() != ctx.flock.version() || years.day() != ctx.today {
        look::faint(ui, "Being reckoned anew after the last entry…");
    }
    Some((years, at, on))
}
