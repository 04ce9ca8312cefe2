//! An analysis sheet, and measures weighed out.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use super::figures::{BASE, Figures};
use super::read;
use crate::look::{self, space};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, FeedSheetDraft, MeasureDraft};
use hirsel_core::flock::Feed;
use hirsel_core::phrase;
use hirsel_core::reckon::feedstore::source_short;
use hirsel_core::reckon::ration::analysis;
use hirsel_core::terms::{FeedId, Mass};
use serde::{Deserialize, Serialize};

/// An analysis sheet as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Analysed {
    feed: PickerState<FeedId>,
    on: String,
    lab: String,
    number: String,
    batch: String,
    note: String,
    figures: Figures,
    rows: RowsForm,
    #[serde(skip)]
    wrong: Option<Wrong>,
}

impl Analysed {
    /// Of this feed.
    pub(super) fn of(ctx: &Ctx<'_>, feed: &Feed) -> Self {
        let mut typed = Self::default();
        typed.feed.choose(read::found(ctx, feed));
        typed.rows.aim("Day of the sample");
        typed
    }

    /// The feed it is of.
    pub(super) fn feed(&self, ctx: &Ctx<'_>) -> Option<FeedId> {
        read::feed(ctx, &self.feed).map(|f| f.id)
    }

    /// It is written.
    pub(super) fn next(&mut self) {
        *self = Self::default();
        self.rows.other_written("Feed");
    }
}

/// Draws the form of a sheet; tells when it is closed.
pub(super) fn analysed(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Analysed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        t.rows.aim_if_none("Feed");
    }
    let hint = "It holds from the day of the sample on, over the label and the handbook.";
    let (go, closed) = read::sheet(ui, "An analysis sheet", "Write the sheet", hint, |ui| {
        let mut form = Form::new(ui, "sheet").label_width(138.0);
        ui.columns(2, |c| {
            let [left, right] = c else { return };
            let refusal = t.rows.wrong("feed");
            read::feed_field(&mut form, left, ctx, &mut t.feed, refusal.as_deref(), |_| true);
            let refusal = t.rows.wrong("on");
            form.day(left, ctx, "Day of the sample", &mut t.on, refusal.as_deref());
            form.field(left, &Field::new("Analysed by").width(220.0), &mut t.lab);
            form.field(left, &Field::new("Sheet number").width(150.0), &mut t.number);
            form.field(left, &Field::new("Batch or cut").width(150.0), &mut t.batch);
            form.field(left, &Field::new("Note").width(220.0), &mut t.note);
            if let Some(no) = t.rows.wrong("figures") {
                look::refusal(right, &no);
            }
            let feed = read::feed(ctx, &t.feed);
            let room = ctx.flock.feedroom();
            let known = feed.map(|f| analysis(room, f, ctx.today)).unwrap_or_default();
            let from = |what| feed.and_then(|f| source_short(room, f, ctx.today, what));
            t.figures.view(right, &mut form, &known, &from, t.wrong.as_ref());
        });
        t.rows.drawn(ui, &form, &["Analysed by", "Sheet number"]);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        let made = sheet(ctx, t);
        t.wrong = made.as_ref().err().cloned();
        t.rows.send(made, out);
    }
    closed
}

fn sheet(ctx: &Ctx<'_>, t: &mut Analysed) -> Result<Intent, Wrong> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day of the sample", e))?;
    let feed = read::feed(ctx, &t.feed);
    let known = feed.map(|f| analysis(ctx.flock.feedroom(), f, ctx.today)).unwrap_or_default();
    let draft = FeedSheetDraft {
        feed: feed.map_or_else(|| t.feed.text.clone(), |f| f.name.clone()),
        on,
        lab: fields::some(&t.lab),
        number: fields::some(&t.number),
        batch: fields::some(&t.batch),
        analysis: t.figures.read(&known)?,
        note: fields::some(&t.note),
    };
    let labels = [("on", "Day of the sample"), ("figures", BASE)];
    t.rows.checked(entry::feed_sheets(vec![draft], ctx.flock, ctx.today), Then::FeedDone, &labels, "Feed")
}

/// A measure as it is weighed out.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Weighed {
    feed: PickerState<FeedId>,
    name: String,
    on: String,
    weighed: Vec<String>,
    rows: RowsForm,
    #[serde(skip)]
    wrong: Option<Wrong>,
}

impl Weighed {
    /// Of this feed.
    pub(super) fn of(ctx: &Ctx<'_>, feed: &Feed) -> Self {
        let mut typed = Self::default();
        typed.feed.choose(read::found(ctx, feed));
        typed.rows.aim(MEASURE);
        typed
    }

    /// It is written.
    pub(super) fn next(&mut self) {
        *self = Self::default();
        self.rows.other_written("Feed");
    }
}

const MEASURE: &str = "Measure";
/// So many are weighed, at the least.
const FIVE: usize = 5;
const NTH: [&str; 12] = [
    "Weight 1",
    "Weight 2",
    "Weight 3",
    "Weight 4",
    "Weight 5",
    "Weight 6",
    "Weight 7",
    "Weight 8",
    "Weight 9",
    "Weight 10",
    "Weight 11",
    "Weight 12",
];

/// Draws the form of a measure; tells when it is closed.
pub(super) fn weighed(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Weighed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        t.rows.aim_if_none("Feed");
    }
    let hint = "A scoop or flake has no fixed weight: weigh five, and their mean counts.";
    let (go, closed) = read::sheet(ui, "A measure weighed out", "Write the measure", hint, |ui| {
        let mut form = Form::new(ui, "measure").label_width(138.0);
        let units = ctx.units();
        let refusal = t.rows.wrong("feed");
        read::feed_field(&mut form, ui, ctx, &mut t.feed, refusal.as_deref(), |_| true);
        let last = read::feed(ctx, &t.feed)
            .and_then(|f| ctx.flock.feedroom().measure_called(f.id, &t.name, ctx.today))
            .map(|m| phrase!("the last weighed {} on {}", m.mean().show(units), m.on.words()));
        let refusal = t.rows.wrong("name");
        let field =
            Field::new(MEASURE).width(150.0).example("scoop, flake, bucket").refusal(refusal.as_deref());
        form.field(ui, &field.unit(last.as_deref().unwrap_or("")), &mut t.name);
        let refusal = t.rows.wrong("on");
        form.day(ui, ctx, "Day", &mut t.on, refusal.as_deref());
        let filled = t.weighed.iter().rposition(|x| !x.trim().is_empty()).map_or(0, |n| n + 1);
        t.weighed.resize((filled + 1).clamp(FIVE, NTH.len()), String::new());
        let refusal = t.rows.wrong("weighed");
        let wrong = t.wrong.clone();
        for (n, (text, label)) in t.weighed.iter_mut().zip(NTH).enumerate() {
            let understood = |x: &str| Mass::parse(x, units).map(|m| m.show(units)).map_err(|e| e.0);
            let mine = wrong.as_ref().filter(|w| w.0 == label).map(|w| w.1.as_str());
            let mine = mine.or(refusal.as_deref().filter(|_| n == 0));
            let field = Field::new(label).width(100.0).example("0.85, 850 g").understand(&understood);
            form.field(ui, &field.refusal(mine), text);
        }
        ui.add_space(space::XS);
        let all: Vec<Mass> = t.weighed.iter().filter_map(|x| Mass::parse(x, units).ok()).collect();
        look::strong(ui, spread(&all, units));
        let labels: Vec<&str> = NTH.iter().copied().chain([MEASURE]).collect();
        t.rows.drawn(ui, &form, &labels);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        let made = measure(ctx, t);
        t.wrong = made.as_ref().err().cloned();
        t.rows.send(made, out);
    }
    closed
}

/// The mean of what was weighed, and how far it spreads.
fn spread(all: &[Mass], units: hirsel_core::terms::Units) -> String {
    let (Some(least), Some(most)) = (all.iter().min(), all.iter().max()) else {
        return phrase!("Nothing is weighed yet.");
    };
    let mean = all.iter().map(|m| m.kg()).sum::<f64>() / all.len() as f64;
    let show = |kg: f64| Mass::from_kg(kg).unwrap_or_default().show(units);
    let n = all.len();
    let weighed = if n == 1 { phrase!("1 weighed") } else { phrase!("{n} weighed") };
    let more = if n < FIVE { " Five are better." } else { "" };
    let off = if mean > 0.0 { (most.kg() - least.kg()) / 2.0 / mean * 100.0 } else { 0.0 };
    phrase!(
        "{weighed}: {} on the mean, from {} to {} (±{off:.0} %).{more}",
        show(mean),
        least.show(units),
        most.show(units)
    )
}

fn measure(ctx: &Ctx<'_>, t: &mut Weighed) -> Result<Intent, Wrong> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let mut all = Vec::new();
    for (text, label) in t.weighed.iter().zip(NTH) {
        if let Some(text) = fields::some(text) {
            all.push(Mass::parse(&text, ctx.units()).map_err(|e| (label, e.0))?);
        }
    }
    let feed = read::feed(ctx, &t.feed).map_or_else(|| t.feed.text.clone(), |f| f.name.clone());
    let draft = MeasureDraft { feed, name: t.name.clone(), on, weighed: all };
    let labels = [("name", MEASURE), ("on", "Day"), ("weighed", NTH[0])];
    t.rows.checked(entry::measures(vec![draft], ctx.flock, ctx.today), Then::FeedDone, &labels, "Feed")
}

#[cfg(test)]
mod tests {
    use super::*;
    use hirsel_core::terms::Units;

    #[test]
    fn the_mean_and_how_far_it_spreads() {
        let g = |all: &[u64]| all.iter().filter_map(|g| Mass::from_grams(*g)).collect::<Vec<_>>();
        let said = spread(&g(&[800, 850, 900, 850, 850]), Units::Metric);
        assert_eq!(said, "5 weighed: 850 g on the mean, from 800 g to 900 g (±6 %).");
        let said = spread(&g(&[800]), Units::Metric);
        assert_eq!(said, "1 weighed: 800 g on the mean, from 800 g to 800 g (±0 %). Five are better.");
        assert_eq!(spread(&[], Units::Metric), "Nothing is weighed yet.");
    }
}
