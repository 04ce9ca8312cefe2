//! The window itself: opens it, and says in one plain line why it cannot.

use super::{Desk, kept::Kept};
use crate::crash::Rehearsal;
use hirsel_core::phrase;
use std::path::PathBuf;
use std::process::ExitCode;

struct App {
    desk: Desk,
    title: Option<String>,
    waiting: super::events::Waiting,
    rehearsal: Option<Rehearsal>,
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.desk.view(ui);
        if let Some(what) = self.rehearsal.take() {
            self.desk.rehearse(ui.ctx(), what);
        }
        let title = self.desk.title();
        if title != self.title {
            let text = title.as_ref().map_or("Hirsel".to_string(), |t| phrase!("{t} – Hirsel"));
            ui.ctx().send_viewport_cmd(egui::ViewportCommand::Title(text));
            self.title = title;
        }
    }

    fn raw_input_hook(&mut self, ctx: &egui::Context, input: &mut egui::RawInput) {
        if self.waiting.share_out(&mut input.events) {
            ctx.request_repaint();
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        if let Some(trouble) = self.desk.close_and_wait() {
            eprintln!("hirsel: {trouble}");
        }
    }
}

/// Our hurdle, for desktops that ask the window for its picture.
fn icon() -> egui::IconData {
    let bytes = include_bytes!("../../../resources/icon/hirsel-128.png");
    eframe::icon_data::from_png_bytes(bytes).unwrap_or_default() // a window without its picture is a window too
}

const NO_DISPLAY: &str =
    "there is no display for the window: run hirsel on a desktop, or use the command line (hirsel --help)";

/// Opens the window with this book or the last one; exit code 2 and one line when there is no display.
pub fn run(book: Option<PathBuf>) -> ExitCode {
    if cfg!(target_os = "linux")
        && ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"]
            .iter()
            .all(|v| std::env::var_os(v).is_none_or(|v| v.is_empty()))
    {
        eprintln!("hirsel: {NO_DISPLAY}");
        return ExitCode::from(2);
    }
    let kept = Kept::of_user();
    let settings = kept.settings();
    let begun = super::open::Begun::of(&kept, book);
    let options = eframe::NativeOptions {
        system_font_fallback: false,
        viewport: egui::ViewportBuilder::default()
            .with_app_id("hirsel")
            .with_title("Hirsel")
            .with_icon(icon())
            .with_inner_size([1240.0, 800.0])
            .with_min_inner_size([900.0, 600.0]),
        ..Default::default()
    };
    // A missing keyboard library panics deep within the window's toolkit: say it in words instead.
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let started = std::rc::Rc::new(std::cell::Cell::new(false));
    let seen = std::rc::Rc::clone(&started);
    let hook = std::rc::Rc::new(std::cell::RefCell::new(Some(hook)));
    let give_back = std::rc::Rc::clone(&hook);
    let ran = std::panic::catch_unwind(std::panic::AssertUnwindSafe(move || {
        eframe::run_native(
            "hirsel",
            options,
            Box::new(move |cc| {
                seen.set(true);
                if let Some(hook) = give_back.borrow_mut().take() {
                    std::panic::set_hook(hook);
                }
                crate::look::apply(&cc.egui_ctx);
                cc.egui_ctx.options_mut(|o| o.fallback_theme = egui::Theme::Light);
                match settings.theme.as_str() {
                    "dark" => cc.egui_ctx.set_theme(egui::Theme::Dark),
                    "light" => cc.egui_ctx.set_theme(egui::Theme::Light),
                    _ => {}
                }
                crate::look::set_contrast(&cc.egui_ctx, settings.contrast);
                if settings.zoom >= 80 {
                    cc.egui_ctx.set_zoom_factor((settings.zoom as f32 / 100.0).min(2.0));
                }
                Ok(Box::new(App {
                    desk: Desk::begin(kept, begun),
                    title: None,
                    waiting: Default::default(),
                    rehearsal: Rehearsal::asked(),
                }))
            }),
        )
    }));
    match ran {
        Ok(Ok(())) => ExitCode::SUCCESS,
        Ok(Err(_)) | Err(_) if !started.get() => {
            eprintln!("hirsel: {NO_DISPLAY}");
            ExitCode::from(2)
        }
        Ok(Err(e)) => {
            eprintln!("hirsel: the window closed unexpectedly ({e}); everything written is in the book");
            ExitCode::from(2)
        }
        Err(panic) => std::panic::resume_unwind(panic),
    }
}
