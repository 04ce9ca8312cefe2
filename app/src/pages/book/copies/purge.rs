//! Taking out for good what need no longer be kept.

use super::super::super::{Ctx, Intent};
use super::Typed;
use crate::look::{self, Kind};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::purge::{bound, going};
use hirsel_core::terms::Day;

/// What is typed before anything is taken out for good.
const WORD: &str = "take out";

/// Taking out for good what need no longer be kept: a day, then a word typed in full.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "Take out what need no longer be kept");
    let least = bound(ctx.flock, ctx.today);
    look::paragraph(
        ui,
        phrase!(
            "Treatments, batches, stock entries, prescriptions and papers of moves, of animals that died or left, from before a day you choose: at most from before {} ({}). Nothing of an animal in the flock goes, and the pedigree stays. A copy of the whole book is made first and kept under a name of its own. It cannot be undone.",
            least.day.words(),
            least.why
        ),
    );
    let today = ctx.today;
    let day = |text: &str| Day::parse_typed(text, today).map(Day::long).map_err(|e| e.0);
    let mut form = Form::new(ui, "purge").label_width(80.0);
    form.field(ui, &Field::new("Before").width(150.0).example("a day").understand(&day), &mut t.before);
    let before = Day::parse_typed(&t.before, today).ok().filter(|_| !t.before.trim().is_empty());
    let mut ready = false;
    if let Some(before) = before {
        if t.would.as_ref().is_none_or(|(v, d, _)| (*v, *d) != (ctx.flock.version(), before)) {
            let said = if before > least.day {
                Err(phrase!("records from {} on must stay: {}", least.day.words(), least.why))
            } else {
                let going = going(ctx.flock, before);
                if going.is_empty() {
                    Err(phrase!("nothing from before that day can go"))
                } else {
                    Ok(going.words())
                }
            };
            t.would = Some((ctx.flock.version(), before, said));
        }
        match &t.would {
            Some((_, _, Ok(what))) => {
                look::sentence(ui, Kind::Caution, phrase!("Would go: {what}."));
                let example = phrase!("type: {WORD}");
                form.field(ui, &Field::new("Sure?").width(150.0).example(&example), &mut t.word);
                ready = t.word.trim().eq_ignore_ascii_case(WORD);
            }
            Some((_, _, Err(why))) => {
                look::refusal(ui, why);
            }
            None => {}
        }
    }
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(88.0);
        let clicked = ui.add_enabled(ready, egui::Button::new(phrase!("Take them out for good"))).clicked();
        if let Some(before) = before.filter(|_| ready && (clicked || submitted)) {
            out.push(Intent::Purge(before));
        }
    });
}
