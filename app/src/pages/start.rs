//! The first page: start a flock, look round with a made-up one, or open a book.

use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::rules::{RuleSet, rule_sets};
use hirsel_core::terms::Units;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// What the keeper wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// A new book.
    New {
        /// Where.
        path: PathBuf,
        /// Name of the flock.
        flock: String,
        /// Keeper.
        keeper: String,
        /// Holding number.
        number: String,
        /// Units.
        units: Units,
        /// Rule set.
        rules: String,
        /// Kept by the rules for organic flocks.
        organic: bool,
    },
    /// A made-up flock.
    Demo,
    /// This book.
    Open(PathBuf),
    /// A book chosen from a dialog.
    Choose,
    /// Save what can be read of a damaged book into a new one.
    Salvage {
        /// The damaged book.
        from: PathBuf,
        /// The new one.
        to: PathBuf,
    },
}

/// State.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    new: bool,
    flock: String,
    keeper: String,
    number: String,
    path: String,
    path_typed: bool,
    units: Option<bool>,
    rules: Option<usize>,
    organic: Option<bool>,
    open: String,
    #[serde(skip)]
    focus: bool,
    /// What went wrong.
    #[serde(skip)]
    pub trouble: Option<String>,
    /// What is being done.
    #[serde(skip)]
    pub busy: Option<String>,
    /// A book that was refused as damaged.
    #[serde(skip)]
    pub damaged: Option<PathBuf>,
    /// What was saved of one, and where.
    #[serde(skip)]
    pub saved: Option<(PathBuf, Vec<String>)>,
    #[serde(skip)]
    save_to: Option<(PathBuf, String)>,
}

/// Draws the page.
pub fn view(
    ui: &mut egui::Ui,
    recent: &[PathBuf],
    folder: &std::path::Path,
    state: &mut State,
) -> Option<Wish> {
    let mut wish = None;
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let width = ui.available_width().min(860.0);
        let side = ((ui.available_width() - width) / 2.0).max(0.0);
        ui.horizontal_top(|ui| {
            ui.add_space(side);
            ui.vertical(|ui| {
                ui.set_max_width(width);
                ui.add_space(space::XXL);
                look::figure(ui, "Hirsel");
                look::paragraph(
                    ui,
                    "The flock under one keeper’s care: one book, one file, on this machine alone.",
                );
                ui.add_space(space::L);
                if let Some(trouble) = &state.trouble {
                    look::banner(ui, Kind::Refuse, trouble, |_| {});
                    ui.add_space(space::S);
                }
                if let Some(busy) = &state.busy {
                    look::banner(ui, Kind::Accent, busy, |_| {});
                    return;
                }
                let offered = salvage(ui, state);
                if offered.is_some() {
                    wish = offered;
                    return;
                }
                wish = if state.new { new_flock(ui, folder, state) } else { choices(ui, recent, state) };
            });
        });
    });
    wish
}

/// A damaged book is offered to be saved; what was saved is told.
fn salvage(ui: &mut egui::Ui, state: &mut State) -> Option<Wish> {
    let mut wish = None;
    if let Some((path, lines)) = &state.saved {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        look::banner(ui, Kind::Accent, phrase!("What could be read is in {name}"), |ui| {
            egui::ScrollArea::vertical().max_height(180.0).show(ui, |ui| {
                for line in lines {
                    ui.add(egui::Label::new(line).wrap());
                }
            });
            if look::primary(ui, "Open the new book").clicked() {
                wish = Some(Wish::Open(path.clone()));
            }
        });
        ui.add_space(space::S);
    }
    let Some(from) = state.damaged.clone() else { return wish };
    let to = match &mut state.save_to {
        Some((of, to)) if *of == from => to,
        other => {
            let stem = from.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            let to = from.with_file_name(format!("{stem} saved.hirsel")).display().to_string();
            &mut other.insert((from.clone(), to)).1
        }
    };
    look::subheading(ui, "Save what can be read into a new book");
    look::paragraph(
        ui,
        "A kept copy that is whole is the better way where nothing was written since. Of the damaged book every page that can be read is read; rows and journal mend one another; what is lost is told line by line. The damaged file is not changed.",
    );
    let mut form = Form::new(ui, "save damaged").label_width(80.0);
    form.field(ui, &Field::new("New book").width(460.0), to);
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(88.0);
        if look::primary(ui, "Save what can be read").clicked() || submitted {
            wish = Some(Wish::Salvage { from: from.clone(), to: PathBuf::from(to.trim()) });
        }
    });
    ui.add_space(space::L);
    wish
}

fn choices(ui: &mut egui::Ui, recent: &[PathBuf], state: &mut State) -> Option<Wish> {
    let mut wish = None;
    ui.columns(2, |columns| {
        if let [left, right] = columns {
            let new = large(
                left,
                look::Icon::Lamb,
                "Start my flock",
                "A new, empty book. Type animals in or bring them from a table.",
            );
            let first = left.memory(|m| m.focused().is_none());
            if first {
                new.request_focus();
            }
            if new.clicked() {
                state.new = true;
                state.focus = true;
            }
            let look = "Sixty ewes, five seasons, all invented: try everything, spoil nothing.";
            if large(right, look::Icon::Search, "Look round with a made-up flock", look).clicked() {
                wish = Some(Wish::Demo);
            }
        }
    });
    ui.add_space(space::XL);
    look::subheading(ui, "Open a book");
    for book in recent {
        let name = book.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        ui.horizontal(|ui| {
            if ui.button(&name).clicked() {
                wish = Some(Wish::Open(book.clone()));
            }
            look::faint(ui, book.parent().map(|p| p.display().to_string()).unwrap_or_default());
        });
    }
    ui.add_space(space::S);
    let mut form = Form::new(ui, "open").label_width(60.0);
    form.field(
        ui,
        &Field::new("File").width(420.0).example("a file whose name ends in .hirsel"),
        &mut state.open,
    );
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(68.0);
        let typed = !state.open.trim().is_empty();
        if (ui.add_enabled(typed, egui::Button::new(phrase!("Open"))).clicked() || submitted) && typed {
            wish = Some(Wish::Open(PathBuf::from(state.open.trim())));
        }
        if ui.button(phrase!("Choose a file…")).clicked() {
            wish = Some(Wish::Choose);
        }
    });
    wish
}

/// A large choice: an icon, a name, a sentence.
fn large(ui: &mut egui::Ui, icon: look::Icon, name: &str, text: &str) -> egui::Response {
    let t = look::tokens(ui);
    let size = egui::vec2(ui.available_width(), 132.0);
    let (rect, response) = ui.allocate_exact_size(size, egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name));
    let (fill, edge) = if response.hovered() { (t.button_hover, t.ink) } else { (t.raised, t.edge) };
    let painter = ui.painter();
    let stroke = egui::Stroke::new(1.0, edge);
    painter.rect(rect, egui::CornerRadius::same(8), fill, stroke, egui::StrokeKind::Inside);
    let inner = rect.shrink(space::L);
    let place = egui::Rect::from_min_size(inner.min, egui::Vec2::splat(36.0));
    look::icons::paint(icon, painter, place, t.accent);
    let mut child = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(egui::Rect::from_min_max(inner.min + egui::vec2(52.0, 0.0), inner.max))
            .layout(egui::Layout::top_down(egui::Align::Min)),
    );
    child.add(
        egui::Label::new(egui::RichText::new(name).text_style(look::style::subheading_style()))
            .selectable(false),
    );
    child.add(egui::Label::new(egui::RichText::new(text).color(t.faint)).wrap().selectable(false));
    response
}

fn new_flock(ui: &mut egui::Ui, folder: &std::path::Path, state: &mut State) -> Option<Wish> {
    look::subheading(ui, "Start my flock");
    ui.add_space(space::S);
    if !state.path_typed {
        let name = if state.flock.trim().is_empty() { "My flock" } else { state.flock.trim() };
        let name: String = name.chars().map(|c| if "/\\:*?\"<>|".contains(c) { '-' } else { c }).collect();
        state.path = folder.join(format!("{name}.hirsel")).display().to_string();
    }
    let mut form = Form::new(ui, "new flock").label_width(150.0);
    form.focus_once(ui, &mut state.focus, "Name of the flock");
    form.field(ui, &Field::new("Name of the flock").width(320.0).example("Thornley flock"), &mut state.flock);
    form.field(ui, &Field::new("Keeper").width(320.0).example("who keeps it"), &mut state.keeper);
    form.field(
        ui,
        &Field::new("Holding number").width(220.0).example("as the authority writes it"),
        &mut state.number,
    );
    form.choice(
        ui,
        &Choice::new("Weights in", &[(false, "kilograms"), (true, "pounds and ounces")]),
        &mut state.units,
    );
    form.choice(ui, &Choice::new("Rules of", &rule_choices()), &mut state.rules);
    let kept = [(false, "as usual"), (true, "by the rules for organic flocks")];
    form.choice(ui, &Choice::new("Kept", &kept), &mut state.organic);
    if form.field(ui, &Field::new("Keep the book at").width(460.0), &mut state.path).response.changed() {
        state.path_typed = true;
    }
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    let mut wish = None;
    ui.horizontal(|ui| {
        ui.add_space(158.0);
        if look::primary(ui, "Start the book").clicked() || submitted {
            if state.flock.trim().is_empty() {
                state.trouble = Some("The flock needs a name: it stands on every paper".into());
                state.focus = true;
            } else {
                wish = Some(Wish::New {
                    path: PathBuf::from(state.path.trim()),
                    flock: state.flock.trim().to_string(),
                    keeper: state.keeper.trim().to_string(),
                    number: state.number.trim().to_string(),
                    units: if state.units == Some(true) { Units::Imperial } else { Units::Metric },
                    rules: state.rules.map(rule_id).unwrap_or_default(),
                    organic: state.organic == Some(true),
                });
            }
        }
        if ui.button(phrase!("Back")).clicked() {
            state.new = false;
        }
    });
    ui.add_space(space::S);
    look::faint(
        ui,
        "All of this can be changed later on the page of the book. Label, vet and local law decide on every treatment.",
    );
    wish
}

/// The rule sets one can choose, by their place.
pub fn rule_choices() -> Vec<(usize, &'static str)> {
    rule_sets().iter().map(RuleSet::name).enumerate().collect()
}

/// The id of a rule set by its place; empty where there is none.
pub fn rule_id(place: usize) -> String {
    rule_sets().get(place).map_or("", RuleSet::id).to_string()
}
