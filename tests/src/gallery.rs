//! The gallery: every page, part and paper of the window in one form, small, on one sheet; and large as files for those
//! who look.
//!
//! `HIRSEL_GALLERY=FOLDER cargo test -p hirsel_tests --test gallery` leaves each page as a picture of its own in that
//! folder; `UPDATE_SNAPSHOTS=1` writes the sheets anew.

use std::path::{Path, PathBuf};

use egui::{Color32, ColorImage, Pos2, Rect, TextureOptions, Theme, Vec2};
use egui_kittest::Harness;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::look;
use hirsel_core::book::Book;
use hirsel_core::terms::Day;
use image::RgbaImage;
use image::imageops::{FilterType, crop_imm, resize};

use crate::flocks::Folder;
use crate::shot;
use crate::walk::Page;

/// How the window is shown.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// The name of its sheet.
    pub name: &'static str,
    /// The window in pixels.
    pub window: [f32; 2],
    /// Size of type: 1 as it comes, 2 for 200 %.
    pub scale: f32,
    /// By day or by lamp.
    pub theme: Theme,
    /// High contrast.
    pub high: bool,
}

impl Form {
    /// The desk in this form.
    pub fn desk(&self, folder: &Folder, book: Book, today: Day) -> Page {
        let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, today);
        let points = [self.window[0] / self.scale, self.window[1] / self.scale];
        let mut h = shot::scaled(self.theme, points, self.scale, |ui, desk: &mut Desk| desk.view(ui), desk);
        look::set_contrast(&h.ctx, self.high);
        h.run();
        h
    }
}

/// Width of a page on the sheet in pixels.
const TILE: u32 = 320;
/// Pages side by side.
const ACROSS: usize = 8;
/// Room for the name over a page.
const NAME: u32 = 20;
/// Room between pages.
const GAP: u32 = 8;

/// Pages as they were seen, one after another.
pub struct Gallery {
    form: Form,
    large: Option<PathBuf>,
    tiles: Vec<(String, RgbaImage)>,
}

impl Gallery {
    /// An empty one.
    ///
    /// # Panics
    /// When the folder for the large pictures cannot be made.
    pub fn new(form: Form) -> Self {
        let large = std::env::var_os("HIRSEL_GALLERY").map(|f| Path::new(&f).join(form.name));
        if let Some(folder) = &large {
            std::fs::create_dir_all(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        }
        Self { form, large, tiles: Vec::new() }
    }

    /// Takes the window as it is.
    ///
    /// # Panics
    /// When it cannot be painted, when nothing is on it, or when the large picture cannot be written.
    pub fn take(&mut self, h: &mut Page, name: &str) {
        let whole = h.render().unwrap_or_else(|e| panic!("{name}: {e}"));
        if let Some(folder) = &self.large {
            let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
            let path = folder.join(format!("{:02}_{plain}.png", self.tiles.len()));
            whole.save(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        }
        let high = TILE * whole.height() / whole.width();
        let tile = resize(&whole, TILE, high, FilterType::Triangle);
        let shades: std::collections::BTreeSet<_> = tile.pixels().map(|p| p.0).collect();
        assert!(shades.len() > 20, "{name} is empty: {} shades", shades.len());
        self.tiles.push((name.to_string(), tile));
    }

    /// Compares the sheet with `tests/gallery/FORM.png`, page by page: a page is another when more than one pixel in
    /// twenty is (times and days of the clock stand on some).
    ///
    /// # Panics
    /// When a page is another, one is missing, or the sheet cannot be read or written.
    pub fn compare(self) {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/gallery/{}.png", self.form.name));
        let sheet = self.sheet();
        if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
            sheet.save(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            return;
        }
        let kept = image::open(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display())).into_rgba8();
        assert_eq!(kept.dimensions(), sheet.dimensions(), "{}: more or fewer pages", path.display());
        let mut others = Vec::new();
        for (n, (name, tile)) in self.tiles.iter().enumerate() {
            let at = self.place(n);
            let (x, y) = (at.min.x as u32, at.min.y as u32);
            let before = crop_imm(&kept, x, y, tile.width(), tile.height()).to_image();
            let now = crop_imm(&sheet, x, y, tile.width(), tile.height()).to_image();
            let share = unlike(&before, &now);
            if share > 0.05 {
                others.push(format!("{name}: {:.0} of 100 pixels", share * 100.0));
            }
        }
        if !others.is_empty() {
            let new = path.with_extension("new.png");
            sheet.save(&new).unwrap_or_else(|e| panic!("{}: {e}", new.display()));
            panic!("other than in {}, see {}:\n{}", path.display(), new.display(), others.join("\n"));
        }
    }

    fn place(&self, n: usize) -> Rect {
        let high = self.tiles.first().map_or(0, |(_, t)| t.height());
        let (column, row) = ((n % ACROSS) as u32, (n / ACROSS) as u32);
        let at = Pos2::new((GAP + column * (TILE + GAP)) as f32, (NAME + row * (high + NAME + GAP)) as f32);
        Rect::from_min_size(at, Vec2::new(TILE as f32, high as f32))
    }

    /// All pages on one sheet, each under its name.
    fn sheet(&self) -> RgbaImage {
        let last = self.place(self.tiles.len().saturating_sub(1));
        let wide = GAP + ACROSS as u32 * (TILE + GAP);
        let size = [wide as f32, last.max.y + GAP as f32];
        let mut h = Harness::builder()
            .with_size(size)
            .with_theme(Theme::Light)
            .with_context_setup(look::apply)
            .renderer(crate::painter::Painter::default())
            .build_ui(|ui| {
                for (n, (name, tile)) in self.tiles.iter().enumerate() {
                    let at = self.place(n);
                    let pixels = [tile.width() as usize, tile.height() as usize];
                    let image = ColorImage::from_rgba_unmultiplied(pixels, tile.as_raw());
                    let texture = ui.ctx().load_texture(name, image, TextureOptions::NEAREST);
                    let name_at = at.left_top() - Vec2::new(0.0, NAME as f32 - 2.0);
                    let ink = ui.visuals().text_color();
                    ui.painter().text(
                        name_at,
                        egui::Align2::LEFT_TOP,
                        name,
                        egui::FontId::proportional(12.0),
                        ink,
                    );
                    let all = Rect::from_min_max(Pos2::ZERO, Pos2::new(1.0, 1.0));
                    ui.painter().image(texture.id(), at, all, Color32::WHITE);
                    // Kept until it is painted.
                    ui.data_mut(|d| d.insert_temp(egui::Id::unique(("tile", n)), texture));
                }
            });
        h.render().unwrap_or_else(|e| panic!("the sheet: {e}"))
    }
}

/// The share of pixels that are clearly of another colour.
fn unlike(a: &RgbaImage, b: &RgbaImage) -> f64 {
    let other =
        a.pixels().zip(b.pixels()).filter(|(a, b)| a.0.iter().zip(b.0).any(|(a, b)| a.abs_diff(b) > 40));
    other.count() as f64 / f64::from(a.width() * a.height()).max(1.0)
}
