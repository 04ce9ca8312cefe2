//! Fonts: the embedded faces and the names by which the window asks for them.

use std::sync::Arc;

use egui::{Context, FontData, FontDefinitions, FontFamily};

/// Hirsel Sans Regular: text, fields, tables.
pub const SANS: &[u8] = include_bytes!("../../../resources/fonts/HirselSans-Regular.ttf");
/// Hirsel Sans SemiBold: what must stand out in text.
pub const SANS_STRONG: &[u8] = include_bytes!("../../../resources/fonts/HirselSans-SemiBold.ttf");
/// Hirsel Sans Italic: names of things quoted, notes of the keeper.
pub const SANS_ITALIC: &[u8] = include_bytes!("../../../resources/fonts/HirselSans-Italic.ttf");
/// Hirsel Serif Regular.
pub const SERIF: &[u8] = include_bytes!("../../../resources/fonts/HirselSerif-Regular.ttf");
/// Hirsel Serif SemiBold: headings.
pub const SERIF_STRONG: &[u8] = include_bytes!("../../../resources/fonts/HirselSerif-SemiBold.ttf");

/// The family of a face that is not the plain sans.
pub fn family(face: Face) -> FontFamily {
    match face {
        Face::Sans => FontFamily::Proportional,
        Face::Strong => FontFamily::Name("strong".into()),
        Face::Italic => FontFamily::Name("italic".into()),
        Face::Serif => FontFamily::Name("serif".into()),
        Face::SerifStrong => FontFamily::Name("serif-strong".into()),
    }
}

/// The faces we have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// Text.
    Sans,
    /// Sans, semibold.
    Strong,
    /// Sans, italic.
    Italic,
    /// Serif.
    Serif,
    /// Serif, semibold: headings.
    SerifStrong,
}

/// Gives the faces to the window. Call once, before the first frame.
pub fn install(ctx: &Context) {
    let mut fonts = FontDefinitions::empty();
    for (name, bytes) in [
        ("sans", SANS),
        ("strong", SANS_STRONG),
        ("italic", SANS_ITALIC),
        ("serif", SERIF),
        ("serif-strong", SERIF_STRONG),
    ] {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    let mut put = |family: FontFamily, chain: &[&str]| {
        fonts.families.insert(family, chain.iter().map(|s| (*s).into()).collect());
    };
    put(FontFamily::Proportional, &["sans"]);
    // Figures of the sans are tabular, so columns line up without a typewriter face.
    put(FontFamily::Monospace, &["sans"]);
    put(family(Face::Strong), &["strong", "sans"]);
    put(family(Face::Italic), &["italic", "sans"]);
    put(family(Face::Serif), &["serif", "sans"]);
    put(family(Face::SerifStrong), &["serif-strong", "serif", "strong"]);
    ctx.set_fonts(fonts);
}
