//! What a growth chart shows, and what it says in words: of one animal, or of the animals of a sort.

use crate::flock::{AnimalFile, Flock};
use crate::papers::chart::axes::{Axis, figure, round_steps};
use crate::papers::chart::{Chart, Dot, Line};
use crate::phrase;
use crate::reckon::curves::{
    Bands, Curve, Like, Model, NoMature, NotTold, Sort, bands, of_animal_as, points_of,
};
use crate::terms::{Day, Gain, POUND_G, Units, Weight, counted};

/// A chart with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The chart.
    pub chart: Chart,
    /// Label and words, in the order they are read.
    pub facts: Vec<(&'static str, String)>,
    /// Why there is no curve.
    pub missing: Option<String>,
    /// The curve, if there is one.
    pub curve: Option<Curve>,
    /// The day from which ages count; none for a sort.
    pub born: Option<Day>,
}

/// Steps along a line.
const STEPS: usize = 120;
/// A chart longer than this is in months.
const DAYS: f64 = 420.0;
/// Days of a month.
const MONTH: f64 = 365.25 / 12.0;

/// Units along and up.
#[derive(Clone, Copy)]
struct Scale {
    units: Units,
    months: bool,
}

impl Scale {
    fn of(units: Units, longest: f64) -> Self {
        Self { units, months: longest > DAYS }
    }

    fn x(self, age: f64) -> f64 {
        if self.months { age / MONTH } else { age }
    }

    fn y(self, kg: f64) -> f64 {
        match self.units {
            Units::Metric => kg,
            Units::Imperial => kg * 1000.0 / POUND_G,
        }
    }

    fn x_unit(self) -> &'static str {
        if self.months { "months" } else { "days" }
    }

    fn y_unit(self) -> &'static str {
        match self.units {
            Units::Metric => "kg",
            Units::Imperial => "lb",
        }
    }

    fn line(self, curve: &Curve, to: f64) -> Line {
        let from = curve.first;
        let age = |i: usize| from + (to - from) * i as f64 / STEPS as f64;
        // The end of the known is a place of its own, so that the line changes there and nowhere else.
        let mut ages: Vec<f64> = (0..=STEPS).map(age).collect();
        if (from..to).contains(&curve.last()) {
            ages.push(curve.last());
            ages.sort_by(f64::total_cmp);
        }
        let place = |age: f64| {
            let (low, high) = curve.band(age);
            [self.x(age), self.y(low), self.y(curve.expected(age).max(0.0)), self.y(high)]
        };
        ages.into_iter().map(place).collect()
    }
}

fn kg(value: f64, units: Units) -> String {
    Weight::from_grams((value * 1000.0).round() as i64).map_or_else(|| phrase!("nothing"), |w| w.show(units))
}

fn gain(kg_a_day: f64, units: Units) -> String {
    Gain((kg_a_day * 1000.0).round() as i64).show(units)
}

/// The chart of one animal in the best of these shapes, with the band of its like behind it.
pub fn drawn_for(flock: &Flock, file: &AnimalFile, today: Day, models: &[Model]) -> Drawn {
    let units = flock.holding().units;
    let points = points_of(file).unwrap_or_default();
    let curve = of_animal_as(file, models);
    let last = points.last().copied();
    let like = bands(flock).like(flock, file, last.map_or(0, |(age, _)| age as i64));
    let to = curve.as_ref().map_or_else(|_| last.map_or(60.0, |l| l.0.max(30.0)), Curve::read_to);
    let scale = Scale::of(units, to);
    let line = curve.as_ref().ok().map(|c| scale.line(c, to));
    let behind = like.as_ref().ok().map(|l| {
        let words = phrase!("{} of this flock, nine of ten", l.sort.words());
        (scale.line(&l.curve, to.min(l.curve.last())), words)
    });
    let tag = file.animal.tag();
    let dots: Vec<Dot> = points
        .iter()
        .map(|(age, w)| Dot {
            x: scale.x(*age),
            y: scale.y(*w),
            said: if *age == 0.0 {
                phrase!("{} at birth", kg(*w, units))
            } else {
                let day = file.animal.born.day().map(|b| b.plus(*age as i64).words()).unwrap_or_default();
                phrase!("{} at {age} days, {day}", kg(*w, units))
            },
        })
        .collect();
    let words =
        curve.as_ref().ok().map(|c| phrase!("{}, nine of ten weights between the dashes", capital(c.model)));
    let facts = facts(file, &curve, &like, last, today, units);
    let missing = curve.as_ref().err().map(|e| phrase!("No curve: {e}"));
    let mut said = match (dots.first(), dots.last()) {
        (Some(first), Some(last)) if dots.len() > 1 => {
            phrase!(
                "{} of {tag} by age, from {} to {}.",
                counted(dots.len(), "weight"),
                first.said,
                last.said,
                tag = &tag
            )
        }
        (Some(one), _) => phrase!("One weight of {tag}: {}.", one.said, tag = &tag),
        _ => phrase!("No weight of {tag} is written down with an age.", tag = &tag),
    };
    for (label, words) in &facts {
        said += &format!(" {label}: {words}.");
    }
    said.extend(missing.iter().map(|m| format!(" {m}.")));
    let chart = put(
        scale,
        to,
        dots,
        line.zip(words),
        behind,
        &phrase!("weights of {tag}", tag = &tag),
        said,
        false,
        curve.as_ref().ok(),
    );
    Drawn { chart, facts, missing, curve: curve.ok(), born: file.animal.born.day() }
}

fn capital(model: Model) -> String {
    let words = model.words();
    let mut letters = words.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

fn facts(
    file: &AnimalFile,
    curve: &Result<Curve, crate::reckon::curves::NoCurve>,
    like: &Result<Like, crate::reckon::curves::NotEnough>,
    last: Option<(f64, f64)>,
    today: Day,
    units: Units,
) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    if let Ok(c) = curve {
        let now = file.animal.born.day().map(|b| today.since(b) as f64);
        if let Some(age) = now.filter(|a| (c.first..=c.read_to()).contains(a)) {
            out.push(("Expected today", expected(c, age, units)));
        }
        out.push(("Gain", phrase!("{} at {} days", gain(c.gain(c.last()), units), c.last())));
        out.push(("Mature weight", mature(c, units)));
        out.push(("The curve", figures(c, units)));
    }
    if let Some((age, weight)) = last.filter(|(age, _)| *age > 0.0) {
        let words = match like {
            Ok(l) => phrase!(
                "heavier than {:.0} in 100 {} of this flock at {age} days ({} of {})",
                l.curve.percentile(weight, age).clamp(1.0, 99.0),
                l.sort.words(),
                counted(l.weights, "weight"),
                counted(l.animals, "animal"),
            ),
            Err(e) => e.to_string(),
        };
        out.push(("Among its like", words));
    }
    out
}

/// `26.4 kg, nine of ten times 24.1 kg to 28.7 kg`.
fn expected(curve: &Curve, age: f64, units: Units) -> String {
    let (low, high) = curve.band(age);
    let (low, high) = (kg(low, units), kg(high, units));
    phrase!("{}, nine of ten times {low} to {high}", kg(curve.expected(age), units))
}

fn mature(curve: &Curve, units: Units) -> String {
    let with = |end: f64, error: Option<f64>| match error {
        Some(error) => phrase!("{}, give or take {}", kg(end, units), kg(error, units)),
        None => kg(end, units),
    };
    match curve.mature() {
        Ok(m) => phrase!("{} (standard error)", with(m.weight, Some(m.error))),
        Err(e @ NoMature::NoEnd) => phrase!("not told: {e}"),
        Err(e @ (NoMature::Far { end, error, .. } | NoMature::Unsure { end, error })) => {
            // Beyond any sheep the figure itself would only mislead.
            if end > 250.0 {
                phrase!("not told: {e}")
            } else {
                phrase!("not told: {e} ({})", with(end, error))
            }
        }
    }
}

/// `Gompertz curve through 7 weights, which lie 4 % off it; A 62.0 ± 1.9, b 2.69 ± 0.05, k 0.0135 ± 0.0004`.
fn figures(curve: &Curve, units: Units) -> String {
    let (base, rise) = curve.spread;
    let spread = if base > 0.0 {
        phrase!("{} and {:.0} % of the weight", kg(base, units), 100.0 * rise)
    } else {
        phrase!("{:.1} % of the weight", 100.0 * rise)
    };
    let mut words = phrase!(
        "{} through {}, which lie {spread} off it (standard deviation)",
        capital(curve.model),
        counted(curve.weights, "weight")
    );
    if curve.left_out > 0 {
        words += &phrase!("; {} far off left out", counted(curve.left_out, "weight"));
    }
    let f = curve.figures();
    if let (true, Some([a, b, k])) = (f.a.is_finite() && f.a < 1000.0, f.errors) {
        let up = |kg: f64| match units {
            Units::Metric => kg,
            Units::Imperial => kg * 1000.0 / POUND_G,
        };
        words += &phrase!(
            "; A {:.1} ± {:.1}, b {:.3} ± {:.3}, k {:.4} ± {:.4} a day (standard errors)",
            up(f.a),
            up(a),
            f.b,
            b,
            f.k,
            k
        );
    }
    words
}

/// The chart of the animals of a sort, with all the weights its curve stands on; none where they do not suffice.
pub fn drawn_of(flock: &Flock, bands: &Bands, sort: Sort) -> Option<Drawn> {
    let units = flock.holding().units;
    let like = bands.of_sort(sort)?;
    let curve = &*like.curve;
    let to = curve.last();
    let scale = Scale::of(units, to);
    let dots: Vec<Dot> = bands
        .weights(sort)
        .map(|(id, age, w)| Dot {
            x: scale.x(age),
            y: scale.y(w),
            said: phrase!("{}: {} at {age} days", &flock.tag(id), kg(w, units)),
        })
        .collect();
    let whom = sort.words();
    let mut facts = Vec::new();
    for (label, age) in
        [("At 30 days", 30.0), ("At 60 days", 60.0), ("At 90 days", 90.0), ("At 120 days", 120.0)]
    {
        if curve.covers(age) {
            facts.push((
                label,
                phrase!("{}; gain {}", expected(curve, age, units), gain(curve.gain(age), units)),
            ));
        }
    }
    facts.push(("The curve", figures(curve, units)));
    facts.push((
        "It stands on",
        phrase!(
            "{} of {}, the newest. Weights of one animal are not free of each other: the errors are a little too small",
            counted(like.weights, "weight"),
            counted(like.animals, "animal")
        ),
    ));
    let mut said = phrase!("{} of {} {whom} by age.", counted(dots.len(), "weight"), like.animals);
    for (label, words) in &facts {
        said += &format!(" {label}: {words}.");
    }
    let line = Some((
        scale.line(curve, to),
        phrase!("{}, nine of ten weights between the dashes", capital(curve.model)),
    ));
    let word = phrase!("weights of {whom}");
    let chart = put(scale, to, dots, line, None, &word, said, true, Some(curve));
    Some(Drawn { chart, facts, missing: None, curve: Some(curve.clone()), born: None })
}

#[allow(clippy::too_many_arguments, reason = "the parts of one chart, put together in one place")]
fn put(
    scale: Scale,
    to: f64,
    dots: Vec<Dot>,
    line: Option<(Line, String)>,
    behind: Option<(Line, String)>,
    dots_word: &str,
    said: String,
    many: bool,
    curve: Option<&Curve>,
) -> Chart {
    let heights = dots.iter().map(|d| d.y);
    let lines = line.iter().chain(&behind).flat_map(|(l, _)| l.iter());
    // A band that opens far above the weights would press them flat.
    let dots_top = dots.iter().map(|d| d.y).fold(scale.y(8.0), f64::max);
    let middle = lines.clone().map(|p| p[2]).fold(dots_top, f64::max);
    let band = lines.map(|p| p[3]).fold(0.0, f64::max);
    let top = heights.fold(band.min(middle * 1.35), f64::max);
    Chart {
        // Weights end where they end: only the side runs on to a round figure.
        along: Axis {
            to: scale.x(to),
            ticks: round_steps(0.0, scale.x(to), 8).into_iter().map(|v| (v, figure(v))).collect(),
            from: 0.0,
            name: phrase!("age, {}", scale.x_unit()),
        },
        up: Axis::figures(phrase!("weight, {}", scale.y_unit()), 0.0, top, 6),
        behind,
        line,
        ahead_from: curve.map_or(f64::INFINITY, |c| scale.x(c.last()) + 1e-9),
        dots,
        dots_word: dots_word.into(),
        many,
        days_from: None,
        band_word: "nine of ten",
        x_unit: scale.x_unit().into(),
        y_unit: scale.y_unit().into(),
        said,
    }
}

/// The day on which a weight is reached: `40.0 kg: expected 12 Aug 2026, 3 Aug to 25 Aug`; for a sort the age.
pub fn reach_words(drawn: &Drawn, weight: Weight, units: Units) -> String {
    let shown = weight.show(units);
    let Some(curve) = &drawn.curve else { return phrase!("{shown}: there is no curve to tell it") };
    let reach = match curve.reach(weight.kg()) {
        Ok(reach) => reach,
        Err(e @ NotTold::Before) => return format!("{shown}: {e}"),
        Err(e @ NotTold::TooFar { .. }) => return format!("{shown}: {e}"),
    };
    let day = |age: f64| drawn.born.map(|b| b.plus(age.round() as i64));
    let (at, early, late) = match (day(reach.age), day(reach.early)) {
        (Some(at), Some(early)) => (at.words(), early.short(), reach.late.and_then(day).map(Day::short)),
        _ => {
            let days = |age: f64| phrase!("{} days", figure(age.round()));
            (phrase!("at {}", days(reach.age)), days(reach.early), reach.late.map(days))
        }
    };
    match late {
        Some(late) => phrase!("{shown}: expected {at}, {early} to {late}"),
        None => phrase!(
            "{shown}: expected {at}, from {early} on; the last day is farther ahead than the curve is read"
        ),
    }
}
