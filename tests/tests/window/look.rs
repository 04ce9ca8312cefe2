//! The look: a sample page with every house word, icon and button, in both forms.

use std::fs;
use std::path::{Path, PathBuf};

use egui::{TextEdit, Theme, Ui};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::look::{self, Kind, icons};
use hirsel_tests::shot;

fn sample(ui: &mut Ui, note: &mut String) {
    look::heading(ui, "Tonight");
    look::faint(ui, "Tuesday 4 March 2025 · 62 ewes, 3 rams, 41 lambs");
    look::subheading(ui, "Under withdrawal");
    look::card(ui, |ui| {
        ui.horizontal(|ui| {
            look::strong(ui, "0412");
            ui.label("Åsa of Siân’s line ♀ 62.5 kg → pen 3");
            look::chip(ui, Kind::Caution, "under withdrawal");
            look::chip(ui, Kind::Refuse, "dead");
            look::chip(ui, Kind::Good, "clear");
            look::chip(ui, Kind::Accent, "in hand");
            look::chip(ui, Kind::Plain, "lent");
            look::chip_icon(ui, Kind::Plain, look::Icon::Lamb, "twins");
        });
        look::italic(ui, "Slow to take to her lambs last year.");
        look::refusal(ui, "The day lies ahead: 5 March is tomorrow.");
        look::word(ui, Kind::Caution, "meat clear 9 April");
    });
    let label = ui.label("Note");
    ui.add(TextEdit::singleline(note).hint_text("0412 twins")).labelled_by(label.id);
    ui.horizontal(|ui| {
        look::primary(ui, "Write up");
        let _ = ui.button("Print cards");
        ui.add_enabled_ui(false, |ui| ui.button("Undo"));
        let _ = ui.selectable_label(true, "All");
        let _ = ui.selectable_label(false, "Ewes");
        look::icon_button(ui, look::Icon::Search, "Find");
    });
    ui.horizontal(|ui| {
        for icon in icons::ALL {
            let ink = look::tokens(ui).ink;
            look::icon(ui, icon, ink);
        }
    });
    ui.horizontal(|ui| {
        for icon in icons::ALL {
            let (rect, _) = ui.allocate_exact_size(egui::Vec2::splat(44.0), egui::Sense::hover());
            icons::paint(icon, ui.painter(), rect, look::tokens(ui).accent);
        }
    });
    look::banner(
        ui,
        Kind::Caution,
        "0412 is under withdrawal until 9 April: ivermectin drench, given 1 March.",
        |ui| {
            let _ = ui.button("Sell all the same");
        },
    );
    look::figure(ui, "0412");
    let _ = look::paragraph(
        ui,
        "A ewe that lambed within the last three days is listed here until her lambs are tagged.",
    );
}

fn page(theme: Theme) -> egui_kittest::Harness<'static, String> {
    let mut page = shot::themed(theme, [900.0, 640.0], sample, String::new());
    page.get_by_label("Write up").focus();
    page.run();
    page
}

#[test]
fn sample_page_light() {
    shot::check(&mut page(Theme::Light), "look_light");
}

#[test]
fn sample_page_dark() {
    shot::check(&mut page(Theme::Dark), "look_dark");
}

/// The painter is exact: two pages painted apart are equal to the byte.
#[test]
fn the_same_page_gives_the_same_picture() {
    assert_eq!(page(Theme::Light).render().unwrap(), page(Theme::Light).render().unwrap());
}

/// The ring changes the picture: what has the keyboard is seen.
#[test]
fn focus_is_seen() {
    let mut page = page(Theme::Light);
    let before = page.render().unwrap();
    page.get_by_label("Print cards").focus();
    page.run();
    assert_ne!(before, page.render().unwrap());
}

/// Nothing moves by itself: a page with a focused field settles and asks for no further frame.
#[test]
fn a_focused_field_is_still() {
    let mut page = page(Theme::Light);
    page.get_by_role_and_label(egui::Role::TextInput, "Note").focus();
    page.run();
    let out = page.output();
    let delay = out.viewport_output.values().map(|v| v.repaint_delay).min();
    assert_eq!(delay, Some(std::time::Duration::MAX));
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            sources(&path, found)?;
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    Ok(())
}

/// House rule: a colour is named in `look` and used from there.
#[test]
fn colours_come_from_look() {
    let app = Path::new(env!("CARGO_MANIFEST_DIR")).join("../app/src");
    let mut found = Vec::new();
    sources(&app, &mut found).unwrap();
    assert!(found.len() > 10, "the sources of the app were not found");
    let look = app.join("look");
    for path in found.iter().filter(|path| !path.starts_with(&look)) {
        let text = fs::read_to_string(path).unwrap();
        for made in [
            "Color32::from_",
            "Color32::RED",
            "Color32::WHITE",
            "Color32::BLACK",
            "Color32::GRAY",
            "hex_color!",
        ] {
            assert!(
                !text.contains(made),
                "{}: name the colour in look/tokens.rs, not {made}",
                path.display()
            );
        }
    }
}

/// The sizes a desktop asks for; the window and the package take them from `resources/icon`.
const ICONS: [u32; 7] = [16, 24, 32, 48, 64, 128, 256];

/// `UPDATE=1` paints them anew.
#[test]
fn the_icon_is_painted_from_its_drawing() {
    use resvg::tiny_skia::{Pixmap, Transform};
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../resources/icon");
    let drawing = fs::read(folder.join("hirsel.svg")).unwrap();
    let tree = resvg::usvg::Tree::from_data(&drawing, &resvg::usvg::Options::default()).unwrap();
    for side in ICONS {
        let mut painted = Pixmap::new(side, side).unwrap();
        let scale = side as f32 / tree.size().width();
        resvg::render(&tree, Transform::from_scale(scale, scale), &mut painted.as_mut());
        let rgba: Vec<u8> = painted
            .pixels()
            .iter()
            .map(|p| p.demultiply())
            .flat_map(|c| [c.red(), c.green(), c.blue(), c.alpha()])
            .collect();
        let path = folder.join(format!("hirsel-{side}.png"));
        let image = image::RgbaImage::from_raw(side, side, rgba).unwrap();
        if std::env::var_os("UPDATE").is_some() {
            image.save(&path).unwrap();
        }
        let kept = image::open(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display())).to_rgba8();
        assert!(kept == image, "{} is not as the drawing is: UPDATE=1", path.display());
        let middle = *image.get_pixel(side / 2, side / 2);
        assert!(
            middle.0[3] == 255 && image.pixels().any(|p| *p != middle),
            "{side}: a tile with a picture on it"
        );
    }
}
