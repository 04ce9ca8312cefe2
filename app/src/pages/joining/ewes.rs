//! Which ewes: one by one, a pen at a time, or many tags typed or pasted at once.

use super::super::Ctx;
use crate::look::{self, space};
use crate::parts::{Field, Form, Found, Picker, PickerState};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Sex, counted};
use serde::{Deserialize, Serialize};

/// The ewes chosen, and the fields that add to them.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Ewes {
    pub(super) chosen: Vec<AnimalId>,
    add: PickerState<AnimalId>,
    pen: PickerState<u64>,
    typed: String,
    /// Tags among those typed that no ewe wears.
    #[serde(skip)]
    unknown: Option<String>,
    #[serde(skip)]
    all: bool,
    /// Pens with their ewes, of this version of the flock.
    #[serde(skip)]
    pens: Option<(u64, Pens)>,
}

/// Pens by name with their ewes.
type Pens = Vec<(String, Vec<AnimalId>)>;

/// So many tags are shown before one asks for all.
const SHOWN: usize = 14;

fn is_ewe(f: &AnimalFile) -> bool {
    f.animal.sex == Sex::Ewe && f.animal.status.is_here()
}

impl Ewes {
    /// These, in place of those chosen before.
    pub(super) fn choose(&mut self, ewes: Vec<AnimalId>) {
        *self = Self { chosen: ewes, ..Self::default() };
    }

    fn take_in(&mut self, more: impl IntoIterator<Item = AnimalId>) {
        let mut have: std::collections::HashSet<AnimalId> = self.chosen.iter().copied().collect();
        self.chosen.extend(more.into_iter().filter(|id| have.insert(*id)));
    }

    /// Takes in the typed tags; those that no ewe wears stay in the field.
    pub(super) fn take_typed(&mut self, ctx: &Ctx<'_>) {
        if self.typed.trim().is_empty() {
            self.unknown = None;
            return;
        }
        let ewe = |tag: &str| {
            let id = ctx.flock.by_tag(tag)?;
            ctx.flock.animal(id).filter(|a| a.sex == Sex::Ewe).map(|a| a.id)
        };
        let mut found = Vec::new();
        let mut left: Vec<&str> = Vec::new();
        for piece in self.typed.split([',', ';', '\n', '\t']).map(str::trim).filter(|p| !p.is_empty()) {
            // A tag may hold blanks; else they part tags.
            match ewe(piece) {
                Some(id) => found.push(id),
                None => {
                    for word in piece.split_whitespace() {
                        match ewe(word) {
                            Some(id) => found.push(id),
                            None => left.push(word),
                        }
                    }
                }
            }
        }
        self.unknown = (!left.is_empty()).then(|| {
            let wear = if left.len() == 1 { "wears" } else { "wear" };
            let what = if left.len() == 1 { "no ewe" } else { "no ewes" };
            phrase!("{what} {wear} {}: mend the tag or take it out", left.join(", "))
        });
        self.typed = left.join(" ");
        self.take_in(found);
    }

    /// What is left in a field without a ewe behind it: the field's name and what is wrong.
    pub(super) fn unsettled(&self) -> Option<(&'static str, String)> {
        if let Some(unknown) = &self.unknown {
            return Some((TAGS, unknown.clone()));
        }
        let left = |label: &'static str, text: &str| {
            (!text.trim().is_empty())
                .then(|| (label, phrase!("'{}' is not settled: choose one from the list", text.trim())))
        };
        left("Ewe", &self.add.text).or_else(|| left(PEN, &self.pen.text))
    }
}

const PEN: &str = "Or a whole pen";
pub(super) const TAGS: &str = "Or many tags";

/// Draws the fields and the chosen tags. Tells whether a ewe was taken by her tag, after which another may follow.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    w: &mut Ewes,
    form: &mut Form,
    label_width: f32,
    refusal: Option<&str>,
) -> bool {
    let version = ctx.flock.version();
    if w.pens.as_ref().is_none_or(|(v, _)| *v != version) {
        w.chosen.retain(|id| ctx.flock.animal(*id).is_some());
        let ewes = |all: Vec<AnimalId>| -> Vec<AnimalId> {
            all.into_iter().filter(|a| ctx.flock.file(*a).is_some_and(is_ewe)).collect()
        };
        let pens = ctx.flock.pens().into_iter().map(|(pen, all)| (pen, ewes(all)));
        w.pens = Some((version, pens.filter(|(_, ewes)| !ewes.is_empty()).collect()));
    }
    form.animal_quiet(ui, ctx, "Ewe", &mut w.add, (refusal, None), is_ewe);
    let mut another = false;
    if let Some(id) = w.add.chosen() {
        w.take_in([id]);
        w.add.clear();
        another = true;
    }
    let pens = w.pens.as_ref().map_or(&[][..], |(_, pens)| pens);
    let picker = Picker::new(PEN, version).width(240.0).example("any part of the pen’s name");
    form.picker(ui, &picker, &mut w.pen, |text| {
        let text = text.to_lowercase();
        (0u64..)
            .zip(pens)
            .filter(|(_, (pen, _))| pen.to_lowercase().contains(&text))
            .map(|(key, (pen, ewes))| Found { key, label: pen.clone(), detail: counted(ewes.len(), "ewe") })
            .collect()
    });
    if let Some(n) = w.pen.chosen() {
        let ewes = usize::try_from(n).ok().and_then(|n| pens.get(n)).map(|(_, e)| e.clone());
        w.take_in(ewes.unwrap_or_default());
        w.pen.clear();
    }
    let unknown = w.unknown.clone();
    let field = Field::new(TAGS).width(300.0).example("0412 0417, 0433: typed or pasted");
    let out = form.field(ui, &field.refusal(unknown.as_deref()), &mut w.typed);
    if out.response.changed() {
        w.unknown = None;
    }
    if out.left {
        w.take_typed(ctx);
    }
    ui.horizontal_top(|ui| {
        ui.add_space(label_width + space::S);
        ui.vertical(|ui| tags(ui, ctx, w));
    });
    another
}

fn tags(ui: &mut egui::Ui, ctx: &Ctx<'_>, w: &mut Ewes) {
    let n = w.chosen.len();
    if n == 0 {
        look::faint(ui, "No ewe chosen yet");
        return;
    }
    let shown = if w.all { n } else { n.min(SHOWN) };
    let mut out = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(space::XS, space::XS);
        look::strong(ui, format!("{}:", counted(n, "ewe")));
        for id in w.chosen.iter().take(shown) {
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
                if w.all { phrase!("Show fewer") } else { phrase!("and {} more: show all", n - shown) };
            w.all ^= ui.small_button(crate::look::spoken(word)).clicked();
        }
        if n > 1 && ui.small_button(phrase!("Take all out")).clicked() {
            w.chosen.clear();
        }
    });
    w.chosen.retain(|id| Some(*id) != out);
}
