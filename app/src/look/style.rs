//! Style: sets both forms (light and dark) of the window from the tokens.

use std::collections::BTreeMap;

use egui::style::{ScrollStyle, Selection, WidgetVisuals, Widgets};
use egui::{
    Color32, Context, CornerRadius, FontId, Margin, Shadow, Stroke, Style, TextStyle, Theme, Vec2, Visuals,
};

use super::fonts::{Face, family, install};
use super::ring::FocusRing;
use super::tokens::{DARK, DARK_HIGH, LIGHT, LIGHT_HIGH, Tokens, size, space};

/// Text style of the head of a group.
pub fn subheading_style() -> TextStyle {
    TextStyle::Name("subheading".into())
}

/// Text style of one large tag or figure.
pub fn figure_style() -> TextStyle {
    TextStyle::Name("figure".into())
}

/// Text style of words that stand out within text.
pub fn strong_style() -> TextStyle {
    TextStyle::Name("strong".into())
}

/// Gives the window its fonts, both its forms and its focus ring. Call once, before the first frame.
/// The form follows the system until [`egui::Context::set_theme`] says otherwise.
pub fn apply(ctx: &Context) {
    install(ctx);
    set_contrast(ctx, false);
    ctx.add_plugin(FocusRing::default());
}

/// Gives both forms, light and dark, high contrast or takes it back.
pub fn set_contrast(ctx: &Context, high: bool) {
    let (light, dark) = if high { (&LIGHT_HIGH, &DARK_HIGH) } else { (&LIGHT, &DARK) };
    ctx.set_style_of(Theme::Light, style_of(light));
    ctx.set_style_of(Theme::Dark, style_of(dark));
}

/// Whether the forms are of high contrast.
pub fn is_high(ctx: &Context) -> bool {
    ctx.style_of(Theme::Light).visuals.panel_fill == LIGHT_HIGH.ground
}

fn text_styles() -> BTreeMap<TextStyle, FontId> {
    let font = |size, face| FontId::new(size, family(face));
    [
        (TextStyle::Small, font(size::SMALL, Face::Sans)),
        (TextStyle::Body, font(size::BODY, Face::Sans)),
        (TextStyle::Button, font(size::BODY, Face::Sans)),
        (TextStyle::Monospace, font(size::BODY, Face::Sans)),
        (TextStyle::Heading, font(size::HEADING, Face::SerifStrong)),
        (subheading_style(), font(size::SUBHEADING, Face::SerifStrong)),
        (figure_style(), font(size::FIGURE, Face::SerifStrong)),
        (strong_style(), font(size::BODY, Face::Strong)),
    ]
    .into()
}

fn style_of(t: &Tokens) -> Style {
    let mut style = Style { text_styles: text_styles(), visuals: visuals_of(t), ..Style::default() };
    style.animation_time = 0.0; // nothing moves: calm, and no frames are drawn for it
    style.scroll_animation = egui::style::ScrollAnimation::none();
    style.explanation_tooltips = false;
    let s = &mut style.spacing;
    s.item_spacing = Vec2::new(space::S, space::S);
    s.button_padding = Vec2::new(space::M, 4.0);
    s.interact_size = Vec2::new(space::TARGET, space::TARGET);
    s.menu_margin = Margin::same(6);
    s.window_margin = Margin::same(16);
    s.indent = space::L;
    s.icon_width = 20.0;
    s.icon_width_inner = 12.0;
    s.icon_spacing = 6.0;
    s.combo_width = 120.0;
    s.text_edit_width = 220.0;
    s.tooltip_width = 420.0;
    // Handles in the colour of edges, so that they are seen and do not shout; no fading of what one reads.
    s.scroll = ScrollStyle { bar_width: 9.0, foreground_color: false, ..ScrollStyle::solid() };
    s.scroll.fade.strength = 0.0;
    style
}

fn visuals_of(t: &Tokens) -> Visuals {
    let round = CornerRadius::same(space::ROUND);
    let widget = |fill: Color32, edge: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: round,
        fg_stroke: Stroke::new(1.5, t.ink),
        expansion: 0.0, // nothing grows under the pointer
    };
    let base = if t.dark { Visuals::dark() } else { Visuals::light() };
    let mut v = Visuals {
        dark_mode: t.dark,
        widgets: Widgets {
            noninteractive: widget(t.ground, t.rule),
            inactive: WidgetVisuals { bg_fill: t.edge, ..widget(t.button, t.edge) }, // the fill of scroll handles
            hovered: WidgetVisuals { bg_fill: t.faint, ..widget(t.button_hover, t.ink) },
            // egui shows 'focused' and 'pressed' alike; the ring (look::ring) tells them apart.
            active: widget(t.button_down, t.ink),
            open: widget(t.button_hover, t.edge),
        },
        selection: Selection { bg_fill: t.selection, stroke: Stroke::new(1.5, t.accent) },
        hyperlink_color: t.accent,
        faint_bg_color: t.stripe,
        extreme_bg_color: t.field,
        text_edit_bg_color: Some(t.field),
        code_bg_color: t.plain_ground,
        warn_fg_color: t.caution,
        error_fg_color: t.refuse,
        weak_text_color: Some(t.faint),
        window_fill: t.raised,
        window_stroke: Stroke::new(1.0, t.rule),
        window_corner_radius: CornerRadius::same(8),
        menu_corner_radius: round,
        window_shadow: Shadow { offset: [0, 4], blur: 16, spread: 0, color: t.shade },
        popup_shadow: Shadow { offset: [0, 2], blur: 8, spread: 0, color: t.shade },
        panel_fill: t.ground,
        striped: false,
        indent_has_left_vline: false,
        // Readable even where it is out of use.
        disabled_alpha: 0.6,
        ..base
    };
    v.text_cursor.stroke = Stroke::new(2.0, t.accent);
    v.text_cursor.blink = false; // a still caret: no frames drawn while nothing happens
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_are_still_and_large_enough() {
        let ctx = Context::default();
        apply(&ctx);
        still_and_large_enough(&ctx);
        set_contrast(&ctx, true);
        assert!(is_high(&ctx));
        assert!(super::super::of(&ctx.style_of(Theme::Dark).visuals).high);
        still_and_large_enough(&ctx);
        set_contrast(&ctx, false);
        assert!(!is_high(&ctx) && !super::super::of(&ctx.style_of(Theme::Light).visuals).high);
    }

    fn still_and_large_enough(ctx: &Context) {
        for theme in [Theme::Light, Theme::Dark] {
            let style = ctx.style_of(theme);
            assert!(!style.visuals.text_cursor.blink);
            // Nothing slides, grows or fades: whoever asks for less motion is given none.
            assert_eq!(style.animation_time, 0.0);
            assert_eq!(style.scroll_animation, egui::style::ScrollAnimation::none());
            assert_eq!(style.visuals.widgets.hovered.expansion, 0.0);
            assert_eq!(style.visuals.widgets.active.expansion, 0.0);
            assert_eq!(style.visuals.dark_mode, theme == Theme::Dark);
            assert!(style.text_styles[&TextStyle::Body].size >= 16.0);
            // WCAG 2.2, 2.5.8 (AA): 24 by 24 points.
            assert!(style.spacing.interact_size.min_elem() >= 24.0);
        }
    }
}
