//! Fields of the trade: days, times, weights, doses and animals, each typed as people write them.

use super::Ctx;
use crate::parts::{Choice, Field, FieldOutput, Form, Picker, PickerState};
use egui::{Response, Ui};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, Dose, MeantFor, Minute, Text, Weight, Withdrawal};

/// Trimmed text, or nothing.
pub fn some(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_string())
}

/// A day as typed; nothing means today.
///
/// # Errors
/// What is wrong with the text.
pub fn day_or_today(ctx: &Ctx<'_>, text: &str) -> Result<Day, String> {
    match some(text) {
        Some(text) => Day::parse_typed(&text, ctx.today).map_err(|e| e.0),
        None => Ok(ctx.today),
    }
}

/// A form kept since an earlier day: what is half typed keeps the day it meant then, an empty form begins on today.
/// `sitting` is the day on which the form was last seen.
pub fn carry_day(ctx: &Ctx<'_>, sitting: &mut String, half_typed: bool, on: &mut String, time: &mut String) {
    let today = ctx.today.to_string();
    if *sitting == today {
        return;
    }
    if let Ok(then) = Day::parse_iso(sitting) {
        if half_typed {
            let meant = if on.trim().is_empty() { Ok(then) } else { Day::parse_typed(on, then) };
            if let Ok(day) = meant {
                *on = day.to_string();
            }
        } else {
            on.clear();
            time.clear();
        }
    }
    *sitting = today;
}

/// A time as typed, if any.
///
/// # Errors
/// What is wrong with the text.
pub fn time_of(text: &str) -> Result<Option<Minute>, String> {
    some(text).map(|t| Minute::parse(&t)).transpose().map_err(|e| e.0)
}

/// A weight as typed, if any.
///
/// # Errors
/// What is wrong with the text.
pub fn weight_of(ctx: &Ctx<'_>, text: &str) -> Result<Option<Weight>, String> {
    some(text).map(|t| Weight::parse(&t, ctx.units())).transpose().map_err(|e| e.0)
}

/// A dose as typed, if any.
///
/// # Errors
/// What is wrong with the text.
pub fn dose_of(text: &str) -> Result<Option<Dose>, String> {
    some(text).map(|t| Dose::parse(&t)).transpose().map_err(|e| e.0)
}

/// What an animal can be meant for, in the order of the choice.
const MEANT: [(MeantFor, &str); 3] = [
    (MeantFor::Undecided, "not decided"),
    (MeantFor::Breeding, "breeding"),
    (MeantFor::Market, "the market"),
];

/// What was chosen of an animal's use; nothing chosen is not decided.
pub fn meant_for(place: Option<u8>) -> MeantFor {
    place.and_then(|n| MEANT.get(usize::from(n))).map(|(m, _)| *m).unwrap_or_default()
}

/// The place of a use in the choice.
pub fn meant_place(meant: MeantFor) -> Option<u8> {
    MEANT.iter().position(|(m, _)| *m == meant).and_then(|n| u8::try_from(n).ok())
}

/// Several weights in one short text: `4.2, 3.9 kg`.
pub fn weights_short(units: hirsel_core::terms::Units, all: impl Iterator<Item = Weight>) -> String {
    let words: Vec<String> = all.map(|w| w.show(units)).collect();
    match (words.len(), units) {
        (0, _) => String::new(),
        (1, _) | (_, hirsel_core::terms::Units::Imperial) => words.join(", "),
        _ => phrase!("{} kg", words.iter().map(|w| w.trim_end_matches(" kg")).collect::<Vec<_>>().join(", ")),
    }
}

impl Form {
    /// A day: typed in any way people write one, up and down a day; empty means today.
    pub fn day(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        self.day_with(ui, ctx, label, text, (refusal, None))
    }

    /// A day with a refusal and a caution beside it.
    pub fn day_with(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        (refusal, caution): (Option<&str>, Option<&str>),
    ) -> FieldOutput {
        let today = ctx.today;
        let read = |t: &str| Day::parse_typed(t, today).map(Day::long).map_err(|e| e.0);
        let nudge = |t: &str, n: i32| {
            let from = if t.trim().is_empty() { Ok(today) } else { Day::parse_typed(t, today) };
            from.ok().map(|d| d.plus(n.into()).to_string())
        };
        let field =
            Field::new(label).width(120.0).example("today").understand(&read).nudge(&nudge).refusal(refusal);
        self.field(ui, &field.caution(caution), text)
    }

    /// A time of day; may be left empty.
    pub fn time(&mut self, ui: &mut Ui, label: &'static str, text: &mut String) -> FieldOutput {
        let read = |t: &str| Minute::parse(t).map(|m| m.to_string()).map_err(|e| e.0);
        self.field(ui, &Field::new(label).width(90.0).example("06:40").understand(&read), text)
    }

    /// A weight in the book's units or with its unit written.
    pub fn weight(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        self.weight_with(ui, ctx, label, text, (refusal, None))
    }

    /// A weight with a refusal and a caution beside it.
    pub fn weight_with(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        (refusal, caution): (Option<&str>, Option<&str>),
    ) -> FieldOutput {
        let units = ctx.units();
        let read = |t: &str| Weight::parse(t, units).map(|w| w.show(units)).map_err(|e| e.0);
        let example = match units {
            hirsel_core::terms::Units::Metric => "4.2",
            hirsel_core::terms::Units::Imperial => "9 lb 4 oz",
        };
        let field = Field::new(label).width(110.0).example(example).understand(&read).refusal(refusal);
        self.field(ui, &field.caution(caution), text)
    }

    /// A dose: millilitres unless another unit is written.
    pub fn dose(
        &mut self,
        ui: &mut Ui,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        let read = |t: &str| Dose::parse(t).map(|d| d.to_string()).map_err(|e| e.0);
        self.field(
            ui,
            &Field::new(label).width(110.0).example("2.5 ml").understand(&read).refusal(refusal),
            text,
        )
    }

    /// A withdrawal period: days, hours, never; empty is unknown and said to be so.
    pub fn withdrawal(
        &mut self,
        ui: &mut Ui,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        self.withdrawal_with(ui, label, text, refusal, None)
    }

    /// A withdrawal period with a caution beside it.
    pub fn withdrawal_with(
        &mut self,
        ui: &mut Ui,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
        caution: Option<&str>,
    ) -> FieldOutput {
        let read = |t: &str| Withdrawal::parse(t).map(|w| w.to_string()).map_err(|e| e.0);
        let field = Field::new(label).width(110.0).example("28 or 60 h").understand(&read).refusal(refusal);
        self.field(ui, &field.caution(caution), text)
    }

    /// What an animal is meant for; nothing chosen means that it is not decided.
    pub fn meant_for(&mut self, ui: &mut Ui, place: &mut Option<u8>) -> Response {
        let options: Vec<(u8, &str)> = (0u8..).zip(MEANT.iter().map(|(_, word)| *word)).collect();
        place.get_or_insert(0);
        self.choice(ui, &Choice::new("Meant for", &options), place)
    }

    /// An animal by any part of any tag or name.
    pub fn animal(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: impl Into<Text>,
        state: &mut PickerState<AnimalId>,
        refusal: Option<&str>,
        keep: impl Fn(&AnimalFile) -> bool,
    ) -> Response {
        let nobody = |t: &str| ctx.nobody(t);
        let picker = Picker::new(label, ctx.flock.version()).nobody(&nobody).refusal(refusal);
        self.picker(ui, &picker, state, |t| ctx.find(t, &keep))
    }

    /// The same where there is little room: what tells the animal from others is shown in the list only.
    pub fn animal_quiet(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: impl Into<Text>,
        state: &mut PickerState<AnimalId>,
        (refusal, caution): (Option<&str>, Option<&str>),
        wanted: impl Fn(&AnimalFile) -> bool,
    ) -> Response {
        let nobody = |t: &str| ctx.nobody(t);
        let picker = Picker::new(label, ctx.flock.version()).nobody(&nobody);
        let picker = picker.quiet(true).refusal(refusal).caution(caution);
        self.picker(ui, &picker, state, |t| find_of(ctx, t, &wanted))
    }

    /// An animal of a kind. One of another kind is found as well when its tag is typed in full or nothing else fits,
    /// so that it can be refused by name.
    pub fn animal_of(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: impl Into<Text>,
        state: &mut PickerState<AnimalId>,
        (refusal, caution): (Option<&str>, Option<&str>),
        wanted: impl Fn(&AnimalFile) -> bool,
    ) -> Response {
        let nobody = |t: &str| ctx.nobody(t);
        let picker = Picker::new(label, ctx.flock.version()).nobody(&nobody);
        let picker = picker.refusal(refusal).caution(caution);
        self.picker(ui, &picker, state, |t| find_of(ctx, t, &wanted))
    }
}

/// What a picker holds: nothing, an animal, or a text that is not settled.
///
/// # Errors
/// A text without an animal behind it.
pub fn picked(
    ctx: &Ctx<'_>,
    state: &PickerState<AnimalId>,
    what: &'static str,
) -> Result<Option<AnimalId>, String> {
    match state.chosen().filter(|id| ctx.flock.animal(*id).is_some()) {
        Some(id) => Ok(Some(id)),
        None if state.text.trim().is_empty() => Ok(None),
        None => Err(phrase!(
            "{} '{}' is not settled: choose one from the list",
            crate::look::said(what),
            state.text.trim()
        )),
    }
}

/// Animals of a kind by any part of a tag or name; before them one of another kind that wears just this tag, and
/// those of any kind if there are none.
fn find_of(
    ctx: &Ctx<'_>,
    text: &str,
    wanted: impl Fn(&AnimalFile) -> bool,
) -> Vec<crate::parts::Found<AnimalId>> {
    let mut found = ctx.find(text, &wanted);
    if found.is_empty() {
        return ctx.find(text, |_| true);
    }
    let exact = ctx.flock.by_tag(text).and_then(|id| ctx.flock.file(id));
    if let Some(other) = exact.filter(|f| !wanted(f)) {
        found.splice(0..0, self::found(ctx, other.animal.id));
    }
    found
}

/// The picker's entry for a known animal.
pub fn found(ctx: &Ctx<'_>, id: AnimalId) -> Option<crate::parts::Found<AnimalId>> {
    let f = ctx.flock.file(id)?;
    Some(crate::parts::Found { key: id, label: f.animal.title(), detail: ctx.detail(f) })
}
