//! The form of a feed: its name, which feed of the handbook it is like, its bag and price, its label's figures.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use super::figures::Figures;
use super::read;
use crate::look::{self, space};
use crate::parts::{Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, FeedDraft};
use hirsel_core::flock::Feed;
use hirsel_core::handbook::feeds::{self, Known};
use hirsel_core::phrase;
use hirsel_core::terms::Why;
use hirsel_core::terms::{Analysis, Dose, FeedId, FeedKind, MadeFor, Mass, Nutrient, Price};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    name: String,
    like: PickerState<u64>,
    /// The feed of the handbook that was proposed by the name.
    proposed: Option<u64>,
    kind: String,
    made_for: String,
    bag: String,
    price: String,
    parts: String,
    medicine: String,
    per_kg: String,
    note: String,
    figures: Figures,
    /// The feed that is changed.
    changing: Option<FeedId>,
    rows: RowsForm,
    #[serde(skip)]
    wrong: Option<Wrong>,
}

const NAME: &str = "Name";

impl Typed {
    /// A feed of the book to be changed.
    pub(super) fn of(ctx: &Ctx<'_>, feed: &Feed) -> Self {
        let draft = FeedDraft::of(feed, ctx.flock);
        let mut typed = Self {
            name: draft.name,
            kind: draft.kind.word().into(),
            made_for: draft.made_for.word().into(),
            bag: feed.bag.map(|b| b.show(ctx.units())).unwrap_or_default(),
            price: feed.price.map(|p| p.to_string()).unwrap_or_default(),
            parts: draft.parts.iter().map(part_text).collect::<Vec<_>>().join(", "),
            medicine: draft.medicine.as_ref().map(|m| m.0.clone()).unwrap_or_default(),
            per_kg: draft.medicine.map(|m| m.1.to_string()).unwrap_or_default(),
            note: draft.note.unwrap_or_default(),
            figures: Figures::of(&feed.own),
            changing: Some(feed.id),
            ..Self::default()
        };
        if let Some(n) = draft.like.and_then(|key| feeds::all().iter().position(|k| k.key == key)) {
            typed.like.choose(handbook(n));
        }
        typed.rows.aim(NAME);
        typed
    }

    /// The feed that is changed.
    pub(super) fn changing(&self) -> Option<FeedId> {
        self.changing
    }

    /// It is written: ready for the next.
    pub(super) fn next(&mut self) {
        *self = Self::default();
        self.rows.other_written(NAME);
    }

    fn known(&self) -> Option<&'static Known> {
        self.like.chosen().and_then(|n| feeds::all().get(usize::try_from(n).ok()?))
    }

    /// Takes the feed of the handbook whose name is the most like what is typed, unless another was chosen.
    fn propose(&mut self) {
        if !self.like.text.trim().is_empty() && self.like.chosen() != self.proposed {
            return;
        }
        self.proposed = nearest(&self.name);
        match self.proposed.and_then(|n| usize::try_from(n).ok()) {
            Some(n) => self.like.choose(handbook(n)),
            None => self.like.clear(),
        }
    }
}

fn part_text((name, percent): &(String, f64)) -> String {
    format!("{name} {}", super::figures::shown(*percent))
}

fn handbook(n: usize) -> Found<u64> {
    let row = feeds::all().get(n);
    Found {
        key: u64::try_from(n).unwrap_or_default(),
        label: row.map(|k| k.name.clone()).unwrap_or_default(),
        detail: row.map(|k| k.kind.words().to_string()).unwrap_or_default(),
    }
}

/// The feed of the handbook that has the most of the words of a name; the first of several.
fn nearest(name: &str) -> Option<u64> {
    let low = name.to_lowercase();
    let words: Vec<&str> = low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    // Of several with the same words the plainest: the one with the fewest others.
    let score = |k: &Known| {
        let low = k.name.to_lowercase();
        let hits = words.iter().filter(|w| w.chars().count() >= 3 && low.contains(**w)).count();
        (hits, std::cmp::Reverse(low.split_whitespace().count()))
    };
    let mut best: Option<(usize, (usize, std::cmp::Reverse<usize>))> = None;
    for (n, k) in feeds::all().iter().enumerate() {
        let s = score(k);
        if s.0 > 0 && best.is_none_or(|(_, b)| s > b) {
            best = Some((n, s));
        }
    }
    best.and_then(|(n, _)| u64::try_from(n).ok())
}

/// Draws it; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        t.rows.aim_if_none(NAME);
    }
    let title = if t.changing.is_some() { "A feed, changed" } else { "A new feed" };
    let hint = "What a sheet says holds over the label, the label over the handbook.";
    let (go, closed) = read::sheet(ui, title, "Write the feed", hint, |ui| {
        let mut form = Form::new(ui, "feed").label_width(138.0);
        ui.columns(2, |c| {
            if let [left, right] = c {
                what_it_is(left, ctx, t, &mut form);
                look::strong(right, "Figures on its label");
                let known = t.known().map(|k| k.analysis.clone()).unwrap_or_default();
                let from = |_: Nutrient| Some("handbook".to_string());
                t.figures.view(right, &mut form, &known, &from, t.wrong.as_ref());
            }
        });
        t.rows.drawn(ui, &form, &[NAME, "Bag or bale", "Price", "Note"]);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        let made = draft(ctx, t).and_then(|d| {
            let labels = [("made_for", "Made for"), ("parts", "Mixed of"), ("medicine", "Medicine in it")];
            t.rows.checked(entry::feeds(vec![d], ctx.flock), Then::FeedDone, &labels, NAME)
        });
        t.wrong = made.as_ref().err().cloned();
        t.rows.send(made, out);
    }
    closed
}

fn what_it_is(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let held = |name: &str| ctx.flock.feedroom().by_name(name).filter(|f| Some(f.id) != t.changing);
    let there = held(&t.name).map(|_| "is in the store: this changes it");
    let (wrong_name, wrong) = (t.rows.wrong("name"), t.wrong.clone());
    let wrong = |label: &str| wrong.as_ref().filter(|w| w.0 == label).map(|w| w.1.clone());
    let field = Field::new(NAME).width(210.0).example("Barley, second-cut hay");
    let field = field.refusal(wrong_name.as_deref()).caution(there);
    if form.field(ui, &field, &mut t.name).response.changed() {
        t.propose();
    }
    let picker = Picker::new("Is like", 0).width(250.0).example("barley, hay …").quiet(true);
    form.picker(ui, &picker, &mut t.like, |text| {
        let low = text.trim().to_lowercase();
        let rows = feeds::all().iter().enumerate();
        rows.filter(|(_, k)| k.name.to_lowercase().contains(&low)).map(|(n, _)| handbook(n)).collect()
    });
    let known = t.known();
    if let Some(k) = known {
        ui.horizontal(|ui| {
            ui.add_space(146.0);
            ui.add(egui::Label::new(egui::RichText::new(figures_words(k)).small()).wrap());
        });
    }
    let read = |x: &str| FeedKind::parse(x).map(|k| k.words().to_string()).map_err(|e| e.0);
    let kind = known.map_or("hay, grain, compound …", |k| k.kind.words());
    let refusal = wrong("Kind");
    let field = Field::new("Kind").width(210.0).example(kind).understand(&read).refusal(refusal.as_deref());
    form.field(ui, &field, &mut t.kind);
    let read = |x: &str| MadeFor::parse(x).map(|k| k.words().to_string()).map_err(|e| e.0);
    let made_for = known.map_or("sheep, plain, cattle …", |k| k.made_for.words());
    let caution = MadeFor::parse(&t.made_for).ok().and_then(|m| {
        let other = matches!(m, MadeFor::Cattle | MadeFor::Pigs | MadeFor::Poultry | MadeFor::Horses);
        other.then_some("it may hold more copper than a sheep can bear: read its label")
    });
    if caution.is_some() {
        crate::parts::caution::remember(ui, Why::Copper);
    }
    let field = Field::new("Made for").width(210.0).example(made_for).understand(&read);
    form.field(ui, &field.refusal(wrong("Made for").as_deref()).caution(caution), &mut t.made_for);
    let read = |x: &str| Mass::parse(x, ctx.units()).map(|m| m.show(ctx.units())).map_err(|e| e.0);
    let refusal = wrong("Bag or bale");
    let field = Field::new("Bag or bale").width(100.0).example("25").understand(&read);
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.bag);
    let read = |x: &str| Price::parse(x).map(|_| String::new()).map_err(|e| e.0);
    let unit = if t.bag.trim().is_empty() { "for a tonne" } else { "for a bag" };
    let refusal = wrong("Price");
    let field = Field::new("Price").width(100.0).example("7.25").unit(unit).understand(&read);
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.price);
    let read = |x: &str| parts(x).map(|_| String::new()).map_err(|e| e.1);
    let refusal = wrong("Mixed of").or_else(|| t.rows.wrong("parts"));
    let field = Field::new("Mixed of").width(250.0).example("barley 80, beans 20 (% as fed)");
    form.field(ui, &field.understand(&read).refusal(refusal.as_deref()), &mut t.parts);
    let refusal = t.rows.wrong("medicine");
    let field = Field::new("Medicine in it").width(200.0).example("none").refusal(refusal.as_deref());
    form.field(ui, &field, &mut t.medicine);
    if !t.medicine.trim().is_empty() {
        form.dose(ui, "Of it in a kg", &mut t.per_kg, wrong("Of it in a kg").as_deref());
    }
    form.field(ui, &Field::new("Note").width(250.0), &mut t.note);
    ui.add_space(space::XS);
}

/// The handbook's figures in a line, with their source.
fn figures_words(k: &Known) -> String {
    let all = Nutrient::ALL.iter().filter(|n| **n != Nutrient::DryMatter).filter_map(|what| {
        let figure = k.analysis.get(*what)?;
        let memory = k.ground_of(*what).is_some_and(hirsel_core::handbook::Ground::is_memory);
        let memory = if memory { " (from memory)" } else { "" };
        Some(phrase!("{} {} {}{memory}", what.words(), super::figures::shown(figure), what.short_unit()))
    });
    let all: Vec<String> = all.collect();
    let dry = k
        .analysis
        .get(Nutrient::DryMatter)
        .map(|d| phrase!("Dry matter {} % as fed. ", super::figures::shown(d)));
    phrase!("{}Of dry matter: {}. Source: {}.", dry.unwrap_or_default(), all.join(", "), k.ground)
}

/// `barley 80, beans 20`: names and percent as fed.
fn parts(text: &str) -> Result<Vec<(String, f64)>, Wrong> {
    let part = |piece: &str| {
        let piece = piece.trim().trim_end_matches('%').trim();
        let split = piece.rfind(|c: char| c.is_whitespace() || c == '=');
        let read = split.and_then(|at| {
            let (name, figure) = piece.split_at(at);
            let figure = figure.trim_start_matches(|c: char| c.is_whitespace() || c == '=').replace(',', ".");
            Some((name.trim().to_string(), figure.parse::<f64>().ok().filter(|n| *n > 0.0)?))
        });
        let how = phrase!("'{piece}' is no part of a mix: write name and percent, like barley 80");
        read.ok_or(("Mixed of", how))
    };
    text.split([',', ';']).filter(|p| !p.trim().is_empty()).map(part).collect()
}

fn draft(ctx: &Ctx<'_>, t: &Typed) -> Result<FeedDraft, Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let known = t.known();
    let parts = parts(&t.parts)?;
    let kind = match (fields::some(&t.kind), known) {
        (Some(text), _) => FeedKind::parse(&text).map_err(|e| ("Kind", e.0))?,
        (None, _) if !parts.is_empty() => FeedKind::Mix,
        (None, Some(k)) => k.kind,
        (None, None) => {
            return Err(("Kind", "which kind is it? Write hay, grain, compound, mineral …".into()));
        }
    };
    let made_for = match (fields::some(&t.made_for), known) {
        (Some(text), _) => MadeFor::parse(&text).map_err(|e| ("Made for", e.0))?,
        (None, Some(k)) => k.made_for,
        (None, None) => MadeFor::Unknown,
    };
    let bag = fields::some(&t.bag).map(|b| Mass::parse(&b, ctx.units())).transpose();
    let medicine = match fields::some(&t.medicine) {
        Some(name) => {
            let dose = Dose::parse(&t.per_kg).map_err(|e| ("Of it in a kg", e.0))?;
            Some((name, dose))
        }
        None => None,
    };
    let of_like = known.map(|k| k.analysis.clone()).unwrap_or_default();
    Ok(FeedDraft {
        id: t.changing,
        name: t.name.clone(),
        kind,
        like: known.map(|k| k.key.clone()),
        own: if t.figures.is_empty() { Analysis::default() } else { t.figures.read(&of_like)? },
        made_for,
        bag: bag.map_err(|e| ("Bag or bale", e.0))?,
        price: read::price(&t.price).map_err(at("Price"))?,
        parts,
        medicine,
        note: fields::some(&t.note),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_proposes_the_handbooks_feed() {
        let named = |name: &str| nearest(name).map(|n| feeds::all()[n as usize].name.to_lowercase());
        assert!(named("Barley").is_some_and(|n| n.starts_with("barley")));
        assert!(named("Second hay 2026").is_some_and(|n| n.contains("hay")));
        assert_eq!(named("Zzz"), None);
        assert_eq!(named(""), None);
    }

    #[test]
    fn parts_are_names_and_percent() {
        let read = parts("Rolled barley 80, beans=20 %").unwrap();
        assert_eq!(read, [("Rolled barley".to_string(), 80.0), ("beans".to_string(), 20.0)]);
        assert!(parts("barley").is_err());
        assert!(parts("").unwrap().is_empty());
    }
}
