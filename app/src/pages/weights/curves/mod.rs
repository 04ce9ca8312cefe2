//! Growth curves: of one animal, of the animals of a sort, and who falls behind.

mod behind;
mod shown;

use super::super::picture::save_picture;
use super::super::{Ctx, Intent, fields};
use super::made::{Asked, waiting};
use crate::look::{self, space};
use crate::parts::chart::{ChartState, drawing, growth_chart};
use crate::parts::picture::Sitter;
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::phrase;
use hirsel_core::reckon::curves::{MODELS, Model};
use hirsel_core::terms::{AnimalId, Weight};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    look: Look,
    animal: PickerState<AnimalId>,
    sort: PickerState<u64>,
    shape: Shape,
    weight: String,
    #[serde(skip)]
    shown: shown::Shown,
    #[serde(skip)]
    chart: ChartState,
    #[serde(skip)]
    behind: behind::List,
    #[serde(skip)]
    into_table: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Look {
    #[default]
    Animal,
    Sort,
    Behind,
}

const LOOKS: [(Look, &str); 3] =
    [(Look::Animal, "one animal"), (Look::Sort, "animals of a sort"), (Look::Behind, "who falls behind")];

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Shape {
    #[default]
    Best,
    Gompertz,
    Brody,
}

const SHAPES: [(Shape, &str); 3] =
    [(Shape::Best, "the one that fits best"), (Shape::Gompertz, "Gompertz"), (Shape::Brody, "Brody")];

impl Shape {
    fn models(self) -> &'static [Model] {
        match self {
            Self::Best => &MODELS,
            Self::Gompertz => &[Model::Gompertz],
            Self::Brody => &[Model::Brody],
        }
    }
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}

    /// Shows one animal.
    pub fn show(&mut self, ctx: &Ctx<'_>, id: AnimalId) {
        self.look = Look::Animal;
        if let Some(f) = ctx.flock.file(id) {
            let (label, detail) = (f.animal.title(), ctx.detail(f));
            self.animal.choose(crate::parts::Found { key: id, label, detail });
        }
    }
}

const LABELS: f32 = 76.0;

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "curves").label_width(LABELS);
    form.focus_once(ui, into, "Look at");
    let mut look = Some(state.look);
    form.choice(ui, &Choice::new("Look at", &LOOKS), &mut look);
    state.look = look.unwrap_or_default();
    if state.look == Look::Behind {
        state.into_table |= form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::S);
        if let Some(id) = behind::view(ui, ctx, &mut state.behind, &mut state.into_table, out) {
            state.show(ctx, id);
            // The list is gone with the next frame: the keyboard goes to what was asked for.
            state.chart.focus = true;
            ui.ctx().request_repaint();
        }
        return;
    }
    let chosen = if state.look == Look::Animal {
        form.animal(ui, ctx, "Animal", &mut state.animal, None, |f| !f.weighings.is_empty());
        let mut shape = Some(state.shape);
        form.choice(ui, &Choice::new("Curve", &SHAPES), &mut shape);
        state.shape = shape.unwrap_or_default();
        state.animal.chosen().map(shown::Whose::Animal)
    } else {
        shown::pick_sort(ui, ctx, &mut form, &mut state.shown, &mut state.sort).map(shown::Whose::Sort)
    };
    let units = ctx.units();
    let wrong = fields::weight_of(ctx, &state.weight).err();
    let read = |t: &str| Weight::parse(t, units).map(|w| w.show(units)).map_err(|e| e.0);
    let field = Field::new("Weight").width(110.0).example("40").understand(&read).refusal(wrong.as_deref());
    form.field(ui, &field, &mut state.weight);
    state.chart.focus |= form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    let models = state.shape.models();
    let weight = fields::weight_of(ctx, &state.weight).ok().flatten();
    let Some(whose) = chosen else {
        let words = match state.look {
            Look::Animal => {
                "Choose an animal: its weights, the curve through them, and what its like in this flock weigh. A weight \
                 tells the day on which it is reached."
            }
            _ => "Choose a sort of animals: all their weights and the band in which nine of ten lie.",
        };
        look::paragraph(ui, words);
        return;
    };
    let (asked, other) = state.shown.make(ui, ctx, whose, models);
    if other {
        state.chart.anew();
    }
    let Asked::Ready(made) = asked else {
        waiting(ui, &asked);
        return;
    };
    let Some(drawn) = made.as_ref() else {
        look::paragraph(
            ui,
            match whose {
                shown::Whose::Animal(_) => "The animal is not in the book any more: choose another.",
                shown::Whose::Sort(_) => {
                    "The weights of this sort do not suffice for a curve any more: choose another."
                }
            },
        );
        return;
    };
    if let shown::Whose::Animal(id) = whose {
        ui.horizontal(|ui| {
            if ui.button(phrase!("Open its leaf")).clicked() {
                out.push(Intent::Open(id));
            }
            if ui.button(phrase!("Print this chart")).clicked() {
                out.push(Intent::Print(super::super::papers::PaperKind::Growth, vec![id]));
            }
        });
    }
    egui::ScrollArea::vertical().id_salt("curves").auto_shrink(false).show(ui, |ui| {
        let height = (ui.available_height() * 0.74).clamp(240.0, 460.0);
        let name = state.shown.name(ctx);
        growth_chart(ui, &name, &drawn.chart, height, &mut state.chart);
        let of = Sitter { title: &name, said: &drawn.chart.said, width: 900.0, height: None };
        save_picture(ui, &of, out, |ui| drawing(ui, &drawn.chart, 480.0));
        ui.add_space(space::XS);
        shown::facts(ui, drawn, weight, units);
    });
}
