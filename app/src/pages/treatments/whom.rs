//! Whom a treatment is for: animals one by one, a pen at a time, or those chosen in a list.

use super::super::Ctx;
use crate::look::{self, space};
use crate::parts::{Form, Found, Picker, PickerState};
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};
use std::collections::HashSet;

/// The animals chosen, and the fields that add to them.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Whom {
    pub(super) animals: Vec<AnimalId>,
    add: PickerState<AnimalId>,
    pen: PickerState<u64>,
    #[serde(skip)]
    show_all: bool,
    /// A list of who was read is to be shown.
    #[serde(skip)]
    pub(super) wants_list: bool,
    /// Pens with their animals, of this version of the flock.
    #[serde(skip)]
    pens: Option<(u64, Pens)>,
}

/// Pens by name with their animals.
type Pens = Vec<(String, Vec<AnimalId>)>;

/// So many tags are shown before one asks for all.
const SHOWN: usize = 12;

impl Whom {
    /// These animals, in place of those chosen before.
    pub(super) fn choose(&mut self, animals: Vec<AnimalId>) {
        *self = Self { animals, ..Self::default() };
    }

    /// Nothing chosen and nothing half typed.
    pub(super) fn is_empty(&self) -> bool {
        self.animals.is_empty() && self.add.text.trim().is_empty() && self.pen.text.trim().is_empty()
    }

    /// The text of the field that was left without an animal or pen behind it, with the field's name.
    pub(super) fn unsettled(&self) -> Option<(&'static str, &str)> {
        let left = |text: &'_ str| !text.trim().is_empty();
        if left(&self.add.text) {
            Some(("Animal", self.add.text.trim()))
        } else if left(&self.pen.text) {
            Some(("Or a whole pen", self.pen.text.trim()))
        } else {
            None
        }
    }

    fn take_in(&mut self, more: &[AnimalId]) {
        let have: HashSet<AnimalId> = self.animals.iter().copied().collect();
        self.animals.extend(more.iter().filter(|id| !have.contains(id)));
    }
}

/// Draws the fields, and the chosen tags right of labels so wide. Tells whether an animal was taken by its tag, after
/// which another may follow.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    w: &mut Whom,
    form: &mut Form,
    label_width: f32,
    refusal: Option<&str>,
) -> bool {
    let version = ctx.flock.version();
    if w.pens.as_ref().is_none_or(|(v, _)| *v != version) {
        w.animals.retain(|id| ctx.flock.animal(*id).is_some());
        w.pens = Some((version, ctx.flock.pens()));
    }
    form.animal(ui, ctx, "Animal", &mut w.add, refusal, |f| f.animal.status.is_here());
    let mut another = false;
    if let Some(id) = w.add.chosen() {
        w.take_in(&[id]);
        w.add.clear();
        another = true;
    }
    let pens = w.pens.as_ref().map_or(&[][..], |(_, pens)| pens);
    let picker = Picker::new("Or a whole pen", version).width(240.0).example("any part of the pen’s name");
    form.picker(ui, &picker, &mut w.pen, |text| {
        let text = text.to_lowercase();
        (0u64..)
            .zip(pens)
            .filter(|(_, (pen, _))| pen.to_lowercase().contains(&text))
            .map(|(key, (pen, animals))| Found { key, label: pen.clone(), detail: count(animals.len()) })
            .collect()
    });
    if let Some(n) = w.pen.chosen() {
        let animals =
            usize::try_from(n).ok().and_then(|n| pens.get(n)).map(|(_, a)| a.clone()).unwrap_or_default();
        w.take_in(&animals);
        w.pen.clear();
    }
    ui.horizontal_top(|ui| {
        ui.add_space(label_width + space::S);
        ui.vertical(|ui| tags(ui, ctx, w));
    });
    another
}

fn count(n: usize) -> String {
    if n == 1 { phrase!("1 animal") } else { phrase!("{n} animals") }
}

fn tags(ui: &mut egui::Ui, ctx: &Ctx<'_>, w: &mut Whom) {
    let n = w.animals.len();
    if n == 0 {
        ui.horizontal(|ui| {
            look::faint(ui, "No animal chosen yet");
            w.wants_list |= ui.small_button(phrase!("Read a list…")).clicked();
        });
        return;
    }
    let shown = if w.show_all { n } else { n.min(SHOWN) };
    let mut out = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(space::XS, space::XS);
        look::strong(ui, format!("{}:", count(n)));
        for id in w.animals.iter().take(shown) {
            let tag = ctx.flock.tag(*id);
            let b = ui.small_button(format!("{tag} ×"));
            b.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, phrase!("Take {tag} out", tag = &tag))
            });
            if b.clicked() {
                out = Some(*id);
            }
        }
        if n > SHOWN {
            let word =
                if w.show_all { phrase!("Show fewer") } else { phrase!("and {} more: show all", n - shown) };
            w.show_all ^= ui.small_button(crate::look::spoken(word)).clicked();
        }
        if n > 1 && ui.small_button(phrase!("Take all out")).clicked() {
            w.animals.clear();
        }
    });
    w.animals.retain(|id| Some(*id) != out);
}
