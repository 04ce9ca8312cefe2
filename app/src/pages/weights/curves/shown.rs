//! What is drawn, made once for a version of the flock, and its figures in words.

use super::super::super::Ctx;
use crate::look::{self, Kind};
use crate::parts::{Form, Found, Picker, PickerState};
use hirsel_core::papers::{Drawn, drawn_for, drawn_of, reach_words};
use hirsel_core::reckon::curves::{Model, Sort, bands};
use hirsel_core::terms::{AnimalId, Day, Units, Weight, counted};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

/// Whose weights are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Whose {
    Animal(AnimalId),
    Sort(Sort),
}

type MadeFor = (u64, Day, Whose, Vec<Model>, Units);

/// The drawing.
#[derive(Debug, Default)]
pub(super) struct Shown {
    made_for: Option<MadeFor>,
    drawn: Option<Drawn>,
}

impl Shown {
    /// Makes it where it is another; tells whether it was made for someone else before.
    pub(super) fn make(&mut self, ctx: &Ctx<'_>, whose: Whose, models: &[Model]) -> bool {
        let wanted: MadeFor = (ctx.flock.version(), ctx.today, whose, models.to_vec(), ctx.units());
        if self.made_for.as_ref() == Some(&wanted) {
            return false;
        }
        self.drawn = match whose {
            Whose::Animal(id) => ctx.flock.file(id).map(|f| drawn_for(ctx.flock, f, ctx.today, models)),
            Whose::Sort(sort) => drawn_of(ctx.flock, &bands(ctx.flock), sort),
        };
        let other = self.made_for.as_ref().is_none_or(|m| m.2 != whose);
        self.made_for = Some(wanted);
        other
    }

    pub(super) fn drawn(&self) -> Option<&Drawn> {
        self.drawn.as_ref()
    }

    pub(super) fn name(&self, ctx: &Ctx<'_>) -> String {
        match self.made_for.as_ref().map(|m| m.2) {
            Some(Whose::Animal(id)) => format!("Growth of {}", ctx.flock.tag(id)),
            Some(Whose::Sort(sort)) => format!("Growth of {}", sort.words()),
            None => "Growth".into(),
        }
    }
}

/// The figures in words, and the day of a weight.
pub(super) fn facts(ui: &mut egui::Ui, drawn: &Drawn, weight: Option<Weight>, units: Units) {
    if let Some(missing) = &drawn.missing {
        look::sentence(ui, Kind::Caution, missing);
    }
    if let Some(weight) = weight.filter(|_| drawn.curve.is_some()) {
        look::strong(ui, reach_words(drawn, weight, units));
    }
    for (label, words) in &drawn.facts {
        ui.horizontal_top(|ui| {
            let line = ui.text_style_height(&egui::TextStyle::Body);
            ui.allocate_ui(egui::vec2(LABELS, line), |ui| {
                ui.set_min_width(LABELS);
                look::faint(ui, *label);
            });
            ui.add(egui::Label::new(words).wrap());
        });
    }
}

/// Room for the labels of the figures.
const LABELS: f32 = 124.0;

/// The number a sort goes by in the picker.
fn key(sort: Sort) -> u64 {
    let mut hash = DefaultHasher::new();
    sort.hash(&mut hash);
    hash.finish()
}

/// Which sort; only those whose weights suffice are offered.
pub(super) fn pick_sort(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    state: &mut PickerState<u64>,
) -> Option<Sort> {
    let find = |text: &str| -> Vec<Found<u64>> {
        let wanted: Vec<String> = text.to_lowercase().split_whitespace().map(str::to_string).collect();
        let fits = |s: &Sort| wanted.iter().all(|w| s.words().contains(w));
        let found = |(sort, weights, animals): (Sort, usize, usize)| Found {
            key: key(sort),
            label: sort.words(),
            detail: format!("{} of {}", counted(weights, "weight"), counted(animals, "animal")),
        };
        bands(ctx.flock).sorts().filter(|(s, ..)| fits(s)).map(found).collect()
    };
    form.picker(ui, &Picker::new("Sort", ctx.flock.version()), state, find);
    let chosen = state.chosen()?;
    let bands = bands(ctx.flock);
    let mut sorts = bands.sorts().map(|(s, ..)| s);
    sorts.find(|s| key(*s) == chosen)
}
