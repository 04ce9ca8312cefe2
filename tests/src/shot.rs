//! Shot: one way to put a page under test and to compare its picture.
//!
//! `UPDATE_SNAPSHOTS=1 cargo test -p hirsel_tests` writes the pictures anew; look at them before committing.

use std::path::Path;

use egui::{Theme, Ui};
use egui_kittest::{Harness, SnapshotOptions};

use crate::painter::Painter;

/// A page under test, `size` points large, in the light form.
pub fn harness<'a, S>(size: [f32; 2], view: impl FnMut(&mut Ui, &mut S) + 'a, state: S) -> Harness<'a, S> {
    themed(Theme::Light, size, view, state)
}

/// The same, in the form named.
pub fn themed<'a, S>(
    theme: Theme,
    size: [f32; 2],
    view: impl FnMut(&mut Ui, &mut S) + 'a,
    state: S,
) -> Harness<'a, S> {
    scaled(theme, size, 1.0, view, state)
}

/// The same, with so many pixels to a point.
pub fn scaled<'a, S>(
    theme: Theme,
    size: [f32; 2],
    scale: f32,
    view: impl FnMut(&mut Ui, &mut S) + 'a,
    state: S,
) -> Harness<'a, S> {
    Harness::builder()
        .with_size(size)
        .with_pixels_per_point(scale)
        .with_theme(theme)
        .with_step_dt(0.02) // quick enough for two clicks to be a double click
        .with_max_steps(60) // threads wake the page while it settles; one that never settles still fails
        .with_context_setup(hirsel_app::look::apply)
        .renderer(Painter::default())
        .build_ui_state(view, state)
}

/// Compares the page with `tests/snapshots/NAME.png`. The tolerance is set here and nowhere else:
/// the painter is exact, so only a handful of pixels may differ (rounding of sines on another machine).
pub fn check<S>(harness: &mut Harness<'_, S>, name: &str) {
    harness.run();
    harness.snapshot_options(name, &SnapshotOptions::new().threshold(0.6).max_failed_pixels(16));
}

/// Writes the page as it is to a PNG file, to look at. Errors: the page could not be painted or the file not
/// written.
pub fn to_png<S>(harness: &mut Harness<'_, S>, path: impl AsRef<Path>) -> Result<(), String> {
    let path = path.as_ref();
    harness.render()?.save(path).map_err(|e| format!("{}: {e}", path.display()))
}
