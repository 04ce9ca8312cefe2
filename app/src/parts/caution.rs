//! Cautions with their reason: each has a link `Why?` to its page of the help. A caution that has no room for a link
//! (beside a field) is remembered, so that the help of the page names it first.

use crate::look::{self, Kind};
use egui::{Context, Id, Label, RichText, Role, Ui};
use hirsel_core::phrase;
use hirsel_core::terms::{Text, Why};

/// A caution as a sentence, with its link.
pub fn sentence(ui: &mut Ui, kind: Kind, whys: &[Why], text: impl Into<Text>) -> egui::Response {
    ui.scope(|ui| {
        as_text(ui);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = look::space::XS;
            let said = look::sentence(ui, kind, text);
            links(ui, whys);
            said
        })
        .inner
    })
    .inner
}

/// A caution over the full width, with its link.
pub fn banner(ui: &mut Ui, kind: Kind, whys: &[Why], text: impl Into<Text>) {
    let t = look::tokens(ui);
    let (ink, ground) = kind.colours(t);
    let text = look::speech::shown(&text.into()).into_owned();
    egui::Frame::new()
        .fill(ground)
        .stroke(egui::Stroke::new(1.0, ink))
        .corner_radius(egui::CornerRadius::same(look::space::ROUND))
        .inner_margin(egui::Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            as_text(ui);
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing.x = look::space::XS;
                ui.add(Label::new(RichText::new(format!("{}{text}", kind.mark())).color(t.ink)).wrap());
                links(ui, whys);
            });
        });
}

/// Rows as high as text, so that the link stands on its line.
fn as_text(ui: &mut Ui) {
    ui.spacing_mut().interact_size.y = ui.text_style_height(&egui::TextStyle::Body);
}

/// A caution that stands where no link fits: the help of the page names it.
pub fn remember(ui: &Ui, why: Why) {
    note(ui.ctx(), why);
}

/// A link for each reason: a single one needs no name beside its caution.
fn links(ui: &mut Ui, whys: &[Why]) {
    match whys {
        [] => {}
        [one] => link(ui, *one),
        many => {
            look::faint(ui, "Why:");
            for (n, why) in many.iter().enumerate() {
                if n > 0 {
                    look::faint(ui, "·");
                }
                named(ui, *why, why.words());
            }
        }
    }
}

/// The link alone, behind a caution that is drawn otherwise.
pub fn link(ui: &mut Ui, why: Why) {
    named(ui, why, "Why?");
}

fn named(ui: &mut Ui, why: Why, words: &'static str) {
    note(ui.ctx(), why);
    let words = look::said(words);
    let words = RichText::new(words).small().underline().color(look::tokens(ui).ink);
    // Never broken over two lines: the second would be a thing without a name.
    let wraps = ui.style_mut().wrap_mode.replace(egui::TextWrapMode::Extend);
    let link = ui.add(egui::Link::new(words));
    ui.style_mut().wrap_mode = wraps;
    let reason = look::said(why.words());
    ui.ctx().accesskit_node_builder(link.id, |node| {
        node.set_role(Role::Link);
        node.set_label(phrase!("Why: {reason}"));
    });
    if link.gained_focus() {
        link.scroll_to_me(None);
    }
    if link.clicked() {
        ui.data_mut(|d| d.insert_temp(wanted_id(), Some(why)));
        ui.ctx().request_repaint();
    }
}

/// The reason that was asked for, once.
pub fn wanted(ctx: &Context) -> Option<Why> {
    ctx.data_mut(|d| d.remove_temp::<Option<Why>>(wanted_id())).flatten()
}

/// The reasons of the cautions that were drawn in the last frame, in their order, each once.
pub fn shown(ctx: &Context) -> Vec<Why> {
    let now = ctx.cumulative_frame_nr();
    ctx.data(|d| d.get_temp::<Shown>(shown_id()))
        .filter(|s| s.frame + 1 >= now)
        .map(|s| s.all)
        .unwrap_or_default()
}

#[derive(Clone, Default)]
struct Shown {
    frame: u64,
    all: Vec<Why>,
}

fn note(ctx: &Context, why: Why) {
    let now = ctx.cumulative_frame_nr();
    ctx.data_mut(|d| {
        let shown = d.get_temp_mut_or_default::<Shown>(shown_id());
        if shown.frame != now {
            *shown = Shown { frame: now, all: Vec::new() };
        }
        if !shown.all.contains(&why) {
            shown.all.push(why);
        }
    });
}

fn wanted_id() -> Id {
    Id::unique("why wanted")
}

fn shown_id() -> Id {
    Id::unique("whys shown")
}
