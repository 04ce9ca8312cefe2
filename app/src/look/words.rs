//! Words: headings, captions, chips, banners and house buttons. State always has a word and a mark.

use egui::{
    Button, Color32, CornerRadius, Frame, InnerResponse, Label, Margin, Response, RichText, Role, Sense,
    Stroke, Ui, Vec2, WidgetInfo,
};

use hirsel_core::terms::Text;

use super::fonts::{Face, family};
use super::icons::{self, Icon};
use super::speech::words;
use super::style::{figure_style, subheading_style};
use super::tokens::{Tokens, space, tokens};

/// What a chip or banner says about the matter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A plain fact.
    Plain,
    /// The thing in hand.
    Accent,
    /// Take care: under withdrawal, overdue, odd.
    Caution,
    /// Refused, dead, wrong.
    Refuse,
    /// Done, clear, well.
    Good,
}

impl Kind {
    /// The mark before the word, so that colour never speaks alone.
    pub fn mark(self) -> &'static str {
        match self {
            Self::Plain => "",
            Self::Accent => "● ",
            Self::Caution => "⚠ ",
            Self::Refuse => "✗ ",
            Self::Good => "✓ ",
        }
    }

    /// Ink and ground of this kind.
    pub fn colours(self, t: &Tokens) -> (Color32, Color32) {
        match self {
            Self::Plain => (t.faint, t.plain_ground),
            Self::Accent => (t.accent, t.accent_ground),
            Self::Caution => (t.caution, t.caution_ground),
            Self::Refuse => (t.refuse, t.refuse_ground),
            Self::Good => (t.good, t.good_ground),
        }
    }
}

/// The head of a page. Screen readers hear it as a heading.
pub fn heading(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    as_heading(ui, text, RichText::heading)
}

/// The head of a group.
pub fn subheading(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    as_heading(ui, text, |t| t.text_style(subheading_style()))
}

fn as_heading(ui: &mut Ui, text: String, shape: impl FnOnce(RichText) -> RichText) -> Response {
    let response = ui.add(Label::new(shape(RichText::new(&text))).selectable(false));
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_role(Role::Heading);
        node.set_label(text);
    });
    response
}

/// A caption, hint or unit.
pub fn faint(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let ink = tokens(ui).faint;
    let text = words(text);
    ui.label(RichText::new(text).small().color(ink))
}

/// Words that stand out.
pub fn strong(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    ui.label(RichText::new(text).family(family(Face::Strong)))
}

/// Words of the keeper, or a name quoted.
pub fn italic(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    ui.label(RichText::new(text).family(family(Face::Italic)))
}

/// One tag or figure, large.
pub fn figure(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    ui.label(RichText::new(text).text_style(figure_style()))
}

/// Running text that wraps at a width good for reading.
pub fn paragraph(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    ui.scope(|ui| {
        ui.set_max_width(ui.available_width().min(640.0));
        ui.add(Label::new(RichText::new(text)).wrap())
    })
    .inner
}

/// A word in the ink of its kind, with its mark, without a ground. For tables.
pub fn word(ui: &mut Ui, kind: Kind, text: impl Into<Text>) -> Response {
    let ink = kind.colours(tokens(ui)).0;
    let text = words(text);
    ui.label(RichText::new(format!("{}{text}", kind.mark())).color(ink))
}

/// The same for more than a few words: it wraps.
pub fn sentence(ui: &mut Ui, kind: Kind, text: impl Into<Text>) -> Response {
    let ink = kind.colours(tokens(ui)).0;
    let text = words(text);
    ui.add(Label::new(RichText::new(format!("{}{text}", kind.mark())).color(ink)).wrap())
}

/// What is wrong, in the ink of refusals and with its mark. It stands beside its field.
pub fn refusal(ui: &mut Ui, text: impl Into<Text>) -> Response {
    sentence(ui, Kind::Refuse, text)
}

/// A small word on its own ground: `chip(ui, Kind::Caution, "under withdrawal")`.
pub fn chip(ui: &mut Ui, kind: Kind, text: impl Into<Text>) -> Response {
    chip_with(ui, kind, None, text)
}

/// A chip whose mark is one of our icons.
pub fn chip_icon(ui: &mut Ui, kind: Kind, icon: Icon, text: impl Into<Text>) -> Response {
    chip_with(ui, kind, Some(icon), text)
}

fn chip_with(ui: &mut Ui, kind: Kind, mark: Option<Icon>, text: impl Into<Text>) -> Response {
    let (ink, ground) = kind.colours(tokens(ui));
    let text = words(text);
    Frame::new()
        .fill(ground)
        .corner_radius(CornerRadius::same(9))
        .inner_margin(Margin::symmetric(8, 2))
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.x = space::XS;
            let line = ui.text_style_height(&egui::TextStyle::Small);
            ui.spacing_mut().interact_size.y = line;
            ui.horizontal(|ui| {
                let text = match mark {
                    Some(icon) => {
                        let (rect, _) = ui.allocate_exact_size(Vec2::splat(line), Sense::hover());
                        icons::paint(icon, ui.painter(), rect, ink);
                        text
                    }
                    None => format!("{}{text}", kind.mark()),
                };
                let text = RichText::new(text).small().family(family(Face::Strong)).color(ink);
                ui.add(Label::new(text).selectable(false).extend())
            })
            .inner
        })
        .inner
}

/// A card: a raised ground with a rule round it.
pub fn card<R>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> R) -> InnerResponse<R> {
    let t = tokens(ui);
    Frame::new()
        .fill(t.raised)
        .stroke(Stroke::new(1.0, t.rule))
        .corner_radius(CornerRadius::same(8))
        .inner_margin(Margin::same(16))
        .show(ui, add)
}

/// A banner over the full width: a mark, a sentence, and what can be done about it.
pub fn banner<R>(
    ui: &mut Ui,
    kind: Kind,
    text: impl Into<Text>,
    add: impl FnOnce(&mut Ui) -> R,
) -> InnerResponse<R> {
    let t = tokens(ui);
    let (ink, ground) = kind.colours(t);
    let text = words(text);
    Frame::new()
        .fill(ground)
        .stroke(Stroke::new(1.0, ink))
        .corner_radius(CornerRadius::same(space::ROUND))
        .inner_margin(Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.add(Label::new(RichText::new(format!("{}{text}", kind.mark())).color(t.ink)).wrap());
            add(ui)
        })
}

/// A box to tick with its words. Empty it is as light as a field: the fill of scroll handles would pass for a tick.
pub fn tick(ui: &mut Ui, on: &mut bool, text: impl Into<Text>) -> Response {
    let t = tokens(ui);
    let text = words(text);
    ui.scope(|ui| {
        let widgets = &mut ui.visuals_mut().widgets;
        for state in [&mut widgets.inactive, &mut widgets.hovered] {
            state.bg_fill = t.field;
        }
        ui.checkbox(on, text)
    })
    .inner
}

/// A plain button.
pub fn button(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let text = words(text);
    ui.button(text)
}

/// The one button of a form that does what the form is for.
pub fn primary(ui: &mut Ui, text: impl Into<Text>) -> Response {
    let t = tokens(ui);
    let text = words(text);
    ui.scope(|ui| {
        let widgets = &mut ui.visuals_mut().widgets;
        for (state, fill) in [
            (&mut widgets.inactive, t.accent),
            (&mut widgets.hovered, t.accent_hover),
            (&mut widgets.active, t.accent_hover),
        ] {
            state.weak_bg_fill = fill;
            state.bg_fill = fill;
            state.bg_stroke = Stroke::new(1.0, fill);
            state.fg_stroke.color = t.on_accent;
        }
        ui.add(Button::new(RichText::new(text).family(family(Face::Strong))))
    })
    .inner
}

/// An icon in the text's height, without a name of its own: a word must stand beside it.
pub fn icon(ui: &mut Ui, icon: Icon, ink: Color32) -> Response {
    let side = ui.text_style_height(&egui::TextStyle::Body);
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(side), Sense::hover());
    icons::paint(icon, ui.painter(), rect, ink);
    response
}

/// A button that shows only an icon; `name` is what it says to a screen reader and on hovering.
pub fn icon_button(ui: &mut Ui, icon: Icon, name: impl Into<Text>) -> Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(space::TARGET), Sense::click());
    let enabled = ui.is_enabled();
    let name = words(name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, &name));
    if ui.is_rect_visible(rect) {
        let visuals = ui.style().interact(&response);
        if response.hovered() || response.is_pointer_button_down_on() {
            ui.painter().rect_filled(rect, visuals.corner_radius, visuals.weak_bg_fill);
        }
        icons::paint(icon, ui.painter(), rect.shrink(4.0), visuals.fg_stroke.color);
    }
    response.on_hover_text(name)
}
