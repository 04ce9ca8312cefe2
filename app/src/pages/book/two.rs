//! Two copies of one book: bringing the other in, and deciding what both changed differently.

use super::super::{Ctx, Intent};
use crate::desk::copies::{OtherCopy, Ready};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use egui::Key;
use hirsel_core::book::{Conflict, ConflictValue, Side};
use hirsel_core::exchange::Listed;
use hirsel_core::phrase;
use hirsel_core::terms::counted;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// As typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    path: String,
    reason: String,
    /// The one in hand of what is to be decided.
    #[serde(skip)]
    at: usize,
    #[serde(skip)]
    shown: bool,
}

const LABELS: f32 = 110.0;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    look::subheading(ui, "Bring another copy in");
    look::paragraph(
        ui,
        "Two people may write in a copy each, on two machines. Bring one into the other, then the other way round: a stick or a shared folder will do. Everything of both is there then; doing it twice changes nothing. Nothing is written before you have seen what it brings.",
    );
    file(ui, ctx, t, into, out);
    match ctx.other {
        None => {}
        Some(OtherCopy::Reading { name }) => {
            look::faint(ui, phrase!("Looking {name} over…"));
        }
        Some(OtherCopy::Refused { name, why }) => {
            let head = if name.is_empty() { String::new() } else { format!("{name}: ") };
            look::banner(ui, Kind::Refuse, format!("{head}{why}"), |_| {});
        }
        Some(OtherCopy::Ready(ready)) => ready_view(ui, ready, t, out),
    }
    if !matches!(ctx.other, Some(OtherCopy::Ready(_))) {
        t.shown = false;
    }
    ui.add_space(space::L);
    decide(ui, ctx, t, out);
}

fn file(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "other copy").label_width(LABELS);
    form.focus_once(ui, into, "Other copy");
    form.field(ui, &Field::new("Other copy").width(440.0).example("hers.hirsel"), &mut t.path);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        let look_at = "Look at it";
        let ready = matches!(ctx.other, Some(OtherCopy::Ready(_)));
        let pressed =
            if ready { ui.button(crate::look::spoken(look_at)) } else { look::primary(ui, look_at) };
        go |= pressed.clicked();
        if ui.button(phrase!("Choose a file…")).clicked() {
            out.push(Intent::LookAtCopy(None));
        }
        look::faint(ui, "A bare name lies beside the book.");
    });
    if go {
        match t.path.trim() {
            "" => out.push(Intent::Say(Kind::Refuse, phrase!("which copy? Type its name, or choose it"))),
            path => out.push(Intent::LookAtCopy(Some(PathBuf::from(path)))),
        }
    }
}

fn ready_view(ui: &mut egui::Ui, ready: &Ready, t: &mut Typed, out: &mut Vec<Intent>) {
    let would = &ready.would;
    ui.add_space(space::S);
    look::strong(ui, phrase!("{}: {}", ready.name, would.words()));
    for (at, what) in would.last.iter().take(12) {
        look::faint(ui, phrase!("{}  {what}", at.chars().take(16).collect::<String>()));
    }
    let more = would.lines().saturating_sub(would.last.len().min(12));
    if more > 0 {
        look::faint(ui, phrase!("and {} before them", counted(more, "line")));
    }
    for words in &would.mended {
        look::sentence(ui, Kind::Caution, words);
    }
    if would.only_here > 0 {
        let n = counted(would.only_here, "line");
        look::paragraph(
            ui,
            phrase!("{n} of this copy the other does not have: bring this one in there as well."),
        );
    }
    ui.horizontal(|ui| {
        let can = would.lines() > 0;
        let bring = ui.add_enabled_ui(can, |ui| look::primary(ui, "Bring it in")).inner;
        // Not in the frame of the Enter that looked: it would press at once.
        if can && !t.shown && !ui.input(|i| i.key_pressed(Key::Enter)) {
            t.shown = true;
            bring.request_focus();
        }
        if bring.clicked() {
            t.path.clear();
            out.push(Intent::BringCopy);
        }
        if ui.button(phrase!("Leave it")).clicked() {
            out.push(Intent::LeaveCopy);
        }
    });
}

/// What both changed differently, one after another: `O` and `T` decide, arrows go on.
fn decide(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    let open: Vec<&Conflict> = ctx.conflicts.iter().filter(|c| !c.decided).collect();
    let settled = ctx.conflicts.len() - open.len();
    ui.horizontal(|ui| {
        look::subheading(ui, phrase!("To decide ({})", open.len()));
        let some = !ctx.conflicts.is_empty();
        if ui.add_enabled(some, egui::Button::new(phrase!("Save as a table…"))).clicked() {
            out.push(Intent::SaveTable(table(ctx.conflicts)));
        }
    });
    if open.is_empty() {
        let words = match settled {
            0 => phrase!(
                "Where both copies change the same field differently, both values will stand here side by side."
            ),
            n => phrase!("Nothing is open; {} decided.", counted(n, "thing")),
        };
        look::paragraph(ui, words);
        return;
    }
    t.at = t.at.min(open.len() - 1);
    look::faint(
        ui,
        "The later holds for now. What you decide is an amendment with its reason, and can be undone.",
    );
    let mut form = Form::new(ui, "decide copies").label_width(LABELS);
    form.field(ui, &Field::new("Reason").width(300.0).example("the slip says so"), &mut t.reason);
    form.finish(ui);
    for (n, c) in open.iter().enumerate() {
        ui.add_space(space::XS);
        let field = if c.field.is_empty() { String::new() } else { format!(", {}", c.field) };
        look::strong(ui, format!("{}{field}", c.what));
        ui.horizontal(|ui| {
            for (side, name, v) in [(Side::Ours, "Here", &c.ours), (Side::Theirs, "There", &c.theirs)] {
                let button = ui.button(format!("{name}: {}", v.words));
                button.widget_info(|| {
                    let label = format!("{}{field}, {}", c.what, spoken(name, v, c.stands == side));
                    egui::WidgetInfo::labeled(egui::Role::Button, true, label)
                });
                if button.clicked() {
                    t.at = n;
                    out.push(Intent::DecideCopy(c.id, side, t.reason.clone()));
                }
                look::faint(ui, about(v, c.stands == side));
            }
        });
    }
}

/// What both changed differently, decided or not, as a table.
fn table(conflicts: &[Conflict]) -> Listed {
    let heads =
        ["what", "field", "here", "by here", "at here", "there", "by there", "at there", "holds", "decided"];
    let row = |c: &Conflict| {
        let side = |v: &ConflictValue| [v.words.clone(), v.who.clone(), v.at.clone()];
        let holds = if c.stands == Side::Ours { "here" } else { "there" };
        let decided = if c.decided { "yes" } else { "no" };
        let mut row = vec![c.what.clone(), c.field.clone()];
        row.extend(side(&c.ours).into_iter().chain(side(&c.theirs)));
        row.extend([holds.to_string(), decided.to_string()]);
        row
    };
    Listed::of("two copies", &heads, &[], conflicts.iter().map(row).collect())
}

fn about(v: &ConflictValue, holds: bool) -> String {
    let now = if holds { ", holds for now" } else { "" };
    phrase!("{} on {}{now}", v.who, v.at)
}

fn spoken(name: &str, v: &ConflictValue, holds: bool) -> String {
    format!("{}: {}, {}", name.to_lowercase(), v.words, about(v, holds))
}
