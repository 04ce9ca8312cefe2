//! Tokens: every colour and size of the window, named by what it is for. Nobody else makes a colour.
//! The coloured inks are named after the dyer's plants they resemble: woad, weld, madder, lichen.

use egui::{Color32, Ui, Visuals};

/// The colours of one form: light or dark, plain or of high contrast.
#[derive(Clone, Debug, PartialEq)]
pub struct Tokens {
    /// The dark form.
    pub dark: bool,
    /// Of high contrast: text 7:1, marks 4.5:1.
    pub high: bool,
    /// The paper everything lies on.
    pub ground: Color32,
    /// Cards, menus and dialogs: a little above the ground.
    pub raised: Color32,
    /// The inside of a field one types into.
    pub field: Color32,
    /// Every other row of a table.
    pub stripe: Color32,
    /// A row or thing under the pointer.
    pub hover: Color32,
    /// Plain text.
    pub ink: Color32,
    /// Text that may be overlooked: hints, units, captions. Still readable.
    pub faint: Color32,
    /// The accent (woad): what one can act on, links, the page one is on.
    pub accent: Color32,
    /// A deeper accent for a filled button under the pointer.
    pub accent_hover: Color32,
    /// Text on the accent.
    pub on_accent: Color32,
    /// Ink of a caution (weld).
    pub caution: Color32,
    /// Ink of a refusal or error (madder).
    pub refuse: Color32,
    /// Ink of what is well or done (lichen).
    pub good: Color32,
    /// Ground of a chip in the accent.
    pub accent_ground: Color32,
    /// Ground of a caution chip or banner.
    pub caution_ground: Color32,
    /// Ground of a refusal chip or banner.
    pub refuse_ground: Color32,
    /// Ground of a chip that says all is well.
    pub good_ground: Color32,
    /// Ground of a plain chip.
    pub plain_ground: Color32,
    /// Ground of selected rows and selected text.
    pub selection: Color32,
    /// A button at rest.
    pub button: Color32,
    /// A button under the pointer.
    pub button_hover: Color32,
    /// A button held down.
    pub button_down: Color32,
    /// Edges of fields and buttons (3:1 against what they lie on).
    pub edge: Color32,
    /// Rules between things: decoration, may be pale.
    pub rule: Color32,
    /// The ring round what has the keyboard (3:1 against what it lies on).
    pub focus: Color32,
    /// The shade under dialogs and menus.
    pub shade: Color32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// By daylight: dark ink on warm paper.
pub static LIGHT: Tokens = Tokens {
    dark: false,
    high: false,
    ground: rgb(0xF5F0E6),
    raised: rgb(0xFBF8F2),
    field: rgb(0xFFFDF9),
    stripe: rgb(0xEFE9DC),
    hover: rgb(0xE8E0D0),
    ink: rgb(0x2A251F),
    faint: rgb(0x5E564B),
    accent: rgb(0x235A6E),
    accent_hover: rgb(0x1A4757),
    on_accent: rgb(0xFFFDF9),
    caution: rgb(0x764C00),
    refuse: rgb(0x97271D),
    good: rgb(0x37602B),
    accent_ground: rgb(0xDCE9EC),
    caution_ground: rgb(0xF6E6BF),
    refuse_ground: rgb(0xF8DCD5),
    good_ground: rgb(0xDFEAD3),
    plain_ground: rgb(0xE7DFCF),
    selection: rgb(0xCDE0E5),
    button: rgb(0xECE4D5),
    button_hover: rgb(0xE2D8C5),
    button_down: rgb(0xD3C6AE),
    edge: rgb(0x857A69),
    rule: rgb(0xD9CFBD),
    focus: rgb(0x235A6E),
    shade: Color32::from_black_alpha(40),
};

/// By lamplight: pale ink on dark brown.
pub static DARK: Tokens = Tokens {
    dark: true,
    high: false,
    ground: rgb(0x211E1A),
    raised: rgb(0x2A2621),
    field: rgb(0x191713),
    stripe: rgb(0x27231E),
    hover: rgb(0x35302A),
    ink: rgb(0xEDE5D8),
    faint: rgb(0xB9AE9E),
    accent: rgb(0x8FC4D8),
    accent_hover: rgb(0xABD6E6),
    on_accent: rgb(0x16242A),
    caution: rgb(0xE8BC66),
    refuse: rgb(0xF2A096),
    good: rgb(0xA9CF97),
    accent_ground: rgb(0x243A43),
    caution_ground: rgb(0x40331A),
    refuse_ground: rgb(0x472825),
    good_ground: rgb(0x29381F),
    plain_ground: rgb(0x3A342C),
    selection: rgb(0x2C4650),
    button: rgb(0x37312A),
    button_hover: rgb(0x443D34),
    button_down: rgb(0x544B40),
    edge: rgb(0x887E70),
    rule: rgb(0x3D372F),
    focus: rgb(0x8FC4D8),
    shade: Color32::from_black_alpha(110),
};

/// By daylight, of high contrast: the same plants, steeped longer, on white.
pub static LIGHT_HIGH: Tokens = Tokens {
    dark: false,
    high: true,
    ground: rgb(0xFFFFFF),
    raised: rgb(0xFFFFFF),
    field: rgb(0xFFFFFF),
    stripe: rgb(0xF6F2EA),
    hover: rgb(0xF0EADD),
    ink: rgb(0x000000),
    faint: rgb(0x332E26),
    accent: rgb(0x0B3A4A),
    accent_hover: rgb(0x06252F),
    on_accent: rgb(0xFFFFFF),
    caution: rgb(0x4D3000),
    refuse: rgb(0x6B0F08),
    good: rgb(0x173D10),
    accent_ground: rgb(0xE4F1F5),
    caution_ground: rgb(0xFFF0CC),
    refuse_ground: rgb(0xFFE6E0),
    good_ground: rgb(0xE6F3DC),
    plain_ground: rgb(0xF0EADD),
    selection: rgb(0xD5EAF1),
    button: rgb(0xF4EFE5),
    button_hover: rgb(0xEAE2D2),
    button_down: rgb(0xDCD1BC),
    edge: rgb(0x3A342B),
    rule: rgb(0x6E6557),
    focus: rgb(0x0B3A4A),
    shade: Color32::from_black_alpha(60),
};

/// By lamplight, of high contrast.
pub static DARK_HIGH: Tokens = Tokens {
    dark: true,
    high: true,
    ground: rgb(0x000000),
    raised: rgb(0x0B0A08),
    field: rgb(0x000000),
    stripe: rgb(0x12110E),
    hover: rgb(0x1E1B17),
    ink: rgb(0xFFFFFF),
    faint: rgb(0xE2DACD),
    accent: rgb(0xA9DFF2),
    accent_hover: rgb(0xCBEDF9),
    on_accent: rgb(0x000000),
    caution: rgb(0xFFD37A),
    refuse: rgb(0xFFBDB4),
    good: rgb(0xC2EBAF),
    accent_ground: rgb(0x0C2530),
    caution_ground: rgb(0x2C2208),
    refuse_ground: rgb(0x350F0B),
    good_ground: rgb(0x12260B),
    plain_ground: rgb(0x1E1B17),
    selection: rgb(0x103544),
    button: rgb(0x191713),
    button_hover: rgb(0x2A2620),
    button_down: rgb(0x3A342C),
    edge: rgb(0xBDB2A1),
    rule: rgb(0xA89C8B),
    focus: rgb(0xA9DFF2),
    shade: Color32::from_black_alpha(150),
};

/// All forms.
pub const ALL: [&Tokens; 4] = [&LIGHT, &DARK, &LIGHT_HIGH, &DARK_HIGH];

/// The colours in force for this part of the window.
pub fn tokens(ui: &Ui) -> &'static Tokens {
    of(ui.visuals())
}

/// The colours that belong to these visuals.
pub fn of(visuals: &Visuals) -> &'static Tokens {
    // The paper tells the forms apart: no page changes it.
    let plain = if visuals.dark_mode { &DARK } else { &LIGHT };
    ALL.into_iter().find(|t| t.dark == visuals.dark_mode && t.ground == visuals.panel_fill).unwrap_or(plain)
}

/// Distances, in points. Use these and no others.
pub mod space {
    /// Between a mark and its word.
    pub const XS: f32 = 4.0;
    /// Between things that belong together.
    pub const S: f32 = 8.0;
    /// Between a field and the next.
    pub const M: f32 = 12.0;
    /// The margin of a page or card.
    pub const L: f32 = 16.0;
    /// Between groups.
    pub const XL: f32 = 24.0;
    /// Between parts of a page.
    pub const XXL: f32 = 40.0;
    /// Height of one row of a table.
    pub const ROW: f32 = 30.0;
    /// Height of one row of a form: a field and its edge.
    pub const FIELD: f32 = 32.0;
    /// The least side of anything one can press.
    pub const TARGET: f32 = 28.0;
    /// Width of the ring round what has the keyboard.
    pub const RING: f32 = 2.0;
    /// Rounding of corners.
    pub const ROUND: u8 = 5;
}

/// Type sizes, in points.
pub mod size {
    /// Captions and hints.
    pub const SMALL: f32 = 14.0;
    /// Text, fields, buttons, tables.
    pub const BODY: f32 = 16.0;
    /// Head of a group.
    pub const SUBHEADING: f32 = 19.0;
    /// Head of a page.
    pub const HEADING: f32 = 26.0;
    /// One tag or figure that must be seen from afar.
    pub const FIGURE: f32 = 36.0;
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance. Source: W3C, WCAG 2.2, "relative luminance",
    /// <https://www.w3.org/TR/WCAG22/#dfn-relative-luminance>.
    fn luminance(c: Color32) -> f64 {
        let part = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(c.r()) + 0.7152 * part(c.g()) + 0.0722 * part(c.b())
    }

    /// Contrast ratio. Source: the same, <https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio>.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_of_known_pairs() {
        assert!((contrast(Color32::WHITE, Color32::BLACK) - 21.0).abs() < 1e-9);
        // #767676 on white is the well-known lightest grey that passes 4.5:1 (from memory).
        assert!(contrast(rgb(0x767676), Color32::WHITE) >= 4.5);
        assert!(contrast(rgb(0x777777), Color32::WHITE) < 4.5);
    }

    /// WCAG 2.2, 1.4.3 (AA): text 4.5:1; 1.4.6 (AAA): 7:1 in the forms of high contrast.
    #[test]
    fn every_text_is_readable() {
        let mut poor = Vec::new();
        for t in ALL {
            let grounds = [
                ("ground", t.ground),
                ("raised", t.raised),
                ("field", t.field),
                ("stripe", t.stripe),
                ("hover", t.hover),
                ("selection", t.selection),
            ];
            let inks = [
                ("ink", t.ink),
                ("faint", t.faint),
                ("accent", t.accent),
                ("caution", t.caution),
                ("refuse", t.refuse),
                ("good", t.good),
            ];
            let mut pairs = Vec::new();
            for (on, ground) in grounds {
                pairs.extend(inks.map(|(name, ink)| (name, ink, on, ground)));
            }
            for (on, ground, own) in [
                ("accent_ground", t.accent_ground, t.accent),
                ("caution_ground", t.caution_ground, t.caution),
                ("refuse_ground", t.refuse_ground, t.refuse),
                ("good_ground", t.good_ground, t.good),
                ("plain_ground", t.plain_ground, t.faint),
            ] {
                pairs.push(("its own ink", own, on, ground));
                pairs.push(("ink", t.ink, on, ground));
            }
            for (on, ground) in
                [("button", t.button), ("button_hover", t.button_hover), ("button_down", t.button_down)]
            {
                pairs.push(("ink", t.ink, on, ground));
            }
            pairs.push(("on_accent", t.on_accent, "accent", t.accent));
            pairs.push(("on_accent", t.on_accent, "accent_hover", t.accent_hover));
            for (name, ink, on, ground) in pairs {
                let c = contrast(ink, ground);
                if c < if t.high { 7.0 } else { 4.5 } {
                    poor.push(format!("dark {} high {}: {name} on {on} {c:.2}", t.dark, t.high));
                }
            }
        }
        assert!(poor.is_empty(), "{poor:#?}");
    }

    /// WCAG 2.2, 1.4.11 (AA): edges of controls and the mark of focus 3:1; 4.5:1 in the forms of high contrast.
    #[test]
    fn edges_and_focus_are_seen() {
        let mut poor = Vec::new();
        for t in ALL {
            let least = if t.high { 4.5 } else { 3.0 };
            for (on, ground) in [("ground", t.ground), ("raised", t.raised), ("field", t.field)] {
                for (name, mark) in [("edge", t.edge), ("focus", t.focus)] {
                    let c = contrast(mark, ground);
                    if c < least {
                        poor.push(format!("dark {} high {}: {name} on {on} {c:.2}", t.dark, t.high));
                    }
                }
            }
            for (on, ground) in
                [("stripe", t.stripe), ("hover", t.hover), ("selection", t.selection), ("button", t.button)]
            {
                let c = contrast(t.focus, ground);
                if c < least {
                    poor.push(format!("dark {} high {}: focus on {on} {c:.2}", t.dark, t.high));
                }
            }
        }
        assert!(poor.is_empty(), "{poor:#?}");
    }
}
