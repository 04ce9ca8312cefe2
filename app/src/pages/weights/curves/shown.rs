//! What is drawn, made once for a version of the flock, and its figures in words.

use super::super::super::Ctx;
use super::super::super::asking::SMALL;
use super::super::made::{Asked, Made};
use crate::look::{self, Kind};
use crate::parts::{Form, Found, Picker, PickerState};
use hirsel_core::papers::{Drawn, drawn_for, drawn_of, reach_words};
use hirsel_core::phrase;
use hirsel_core::reckon::curves::{Model, Sort, bands};
use hirsel_core::terms::{AnimalId, Day, Units, Weight, counted};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::sync::Arc;

/// Whose weights are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Whose {
    Animal(AnimalId),
    Sort(Sort),
}

type MadeFor = (u64, Day, Whose, Vec<Model>, Units);
/// A sort with how many weights of how many animals there are.
type Sorts = Vec<(Sort, usize, usize)>;

/// The drawing and the sorts there are, made on a thread for a large flock; what was drawn stays till then.
#[derive(Debug, Default)]
pub(super) struct Shown {
    made: Made<MadeFor, Option<Drawn>>,
    drawn: Option<(Whose, Arc<Option<Drawn>>)>,
    sorting: Made<u64, Sorts>,
    sorts: Option<(u64, Arc<Sorts>)>,
}

impl Shown {
    /// Makes it where it is another; tells as well whether it is of someone else than before.
    pub(super) fn make(
        &mut self,
        ui: &egui::Ui,
        ctx: &Ctx<'_>,
        whose: Whose,
        models: &[Model],
    ) -> (Asked<Option<Drawn>>, bool) {
        let wanted: MadeFor = (ctx.flock.version(), ctx.today, whose, models.to_vec(), ctx.units());
        let (flock, today, models) = (Arc::clone(ctx.flock), ctx.today, models.to_vec());
        let work = move || match whose {
            Whose::Animal(id) => flock.file(id).map(|f| drawn_for(&flock, f, today, &models)),
            Whose::Sort(sort) => drawn_of(&flock, &bands(&flock), sort),
        };
        let asked = self.made.ask(ui, &wanted, ctx.flock.len() <= SMALL, work);
        match (&asked, &self.drawn) {
            (Asked::Ready(drawn), before) => {
                let other = before.as_ref().is_none_or(|b| b.0 != whose);
                self.drawn = Some((whose, Arc::clone(drawn)));
                (asked, other)
            }
            (Asked::Working, Some((of, drawn))) if *of == whose => (Asked::Ready(Arc::clone(drawn)), false),
            _ => (asked, false),
        }
    }

    pub(super) fn name(&self, ctx: &Ctx<'_>) -> String {
        match self.drawn.as_ref().map(|d| d.0) {
            Some(Whose::Animal(id)) => phrase!("Growth of {}", &ctx.flock.tag(id)),
            Some(Whose::Sort(sort)) => phrase!("Growth of {}", sort.words()),
            None => phrase!("Growth"),
        }
    }

    /// The sorts whose weights suffice; those of the flock before while they are counted anew.
    fn sorts(&mut self, ui: &egui::Ui, ctx: &Ctx<'_>) -> (u64, Arc<Sorts>) {
        let (flock, version) = (Arc::clone(ctx.flock), ctx.flock.version());
        let small = ctx.flock.len() <= SMALL;
        if let Asked::Ready(sorts) =
            self.sorting.ask(ui, &version, small, move || bands(&flock).sorts().collect())
        {
            self.sorts = Some((version, sorts));
        }
        self.sorts.clone().unwrap_or_default()
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
    shown: &mut Shown,
    state: &mut PickerState<u64>,
) -> Option<Sort> {
    let (version, sorts) = shown.sorts(ui, ctx);
    let find = |text: &str| -> Vec<Found<u64>> {
        let wanted: Vec<String> = text.to_lowercase().split_whitespace().map(str::to_string).collect();
        let fits = |s: &Sort| wanted.iter().all(|w| s.words().contains(w));
        let found = |(sort, weights, animals): &(Sort, usize, usize)| Found {
            key: key(*sort),
            label: sort.words(),
            detail: phrase!("{} of {}", counted(*weights, "weight"), counted(*animals, "animal")),
        };
        sorts.iter().filter(|(s, ..)| fits(s)).map(found).collect()
    };
    form.picker(ui, &Picker::new("Sort", version).example("twin ewe lambs"), state, find);
    let chosen = state.chosen()?;
    sorts.iter().map(|(s, ..)| *s).find(|s| key(*s) == chosen)
}
