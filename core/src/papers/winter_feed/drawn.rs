//! The curve of what is left, day by day, and the same as rows.

use crate::papers::chart::axes::Axis;
use crate::papers::chart::{Chart, Dot, Line};
use crate::phrase;
use crate::reckon::spring::{DayAhead, Winter};
use crate::terms::{Day, Eaters, POUND_G, Units};

/// A chart shorter than this has a tick each week: the firsts of months alone would leave it with one or two.
const SHORT: usize = 63;
/// A chart longer than this has a tick every second month.
const LONG: usize = 200;

fn scaled(kg: f64, units: Units) -> f64 {
    match units {
        Units::Metric => kg,
        Units::Imperial => kg * 1000.0 / POUND_G,
    }
}

fn line(w: &Winter, last: usize) -> Line {
    let days = w.outlook.days.iter().take(last + 1).enumerate();
    days.map(|(i, d)| {
        let [low, middle, high] = d.left.map(|kg| scaled(kg, w.units));
        [i as f64, low, middle, high]
    })
    .collect()
}

/// Firsts of months between two days, or weeks where those are few, as places with their words.
fn months(first: Day, days: usize) -> Vec<(f64, String)> {
    if days < SHORT {
        return (0..=days).step_by(7).map(|n| (n as f64, first.plus(n as i64).short())).collect();
    }
    let mut out = Vec::new();
    for place in 0..=days {
        let day = first.plus(place as i64);
        if day.day() == 1 && (days <= LONG || day.month() % 2 == 1) {
            out.push((place as f64, day.short()));
        }
    }
    out
}

/// The curve of what is left, with the band of eight winters in ten; behind it that of another winter, such as the one
/// without what is asked.
pub fn winter_chart(w: &Winter, behind: Option<&Winter>) -> Chart {
    let units = w.units;
    let last = w.outlook.days.len().saturating_sub(1);
    let unit = match units {
        Units::Metric => "kg",
        Units::Imperial => "lb",
    };
    let own = line(w, last);
    let other = behind.map(|b| line(b, last));
    let top = own.iter().chain(other.iter().flatten()).map(|p| p[3]).fold(10.0, f64::max);
    let dot = |place: usize, what: &'static str| {
        let left = w.outlook.days.get(place)?.left[1];
        let day = w.day(place);
        Some(Dot {
            x: place as f64,
            y: scaled(left, units),
            said: phrase!("{what}, {}: {} left", day.words(), w.mass(left)),
        })
    };
    let grass = usize::try_from(w.ask.grass.since(w.today)).unwrap_or(0);
    let dots: Vec<Dot> = dot(grass, "first day of grass").into_iter().collect();
    Chart {
        along: Axis::words("day", 0.0, (last.max(1)) as f64, months(w.today, last)),
        up: Axis::figures(phrase!("{} left in the evening, {unit} as fed", w.feed.name), 0.0, top, 5),
        behind: other.map(|o| (o, phrase!("as it stands, without what is asked"))),
        line: Some((own, phrase!("what is left; eight winters of ten between the dashes"))),
        ahead_from: f64::INFINITY,
        dots,
        dots_word: phrase!("first day of grass, {}", w.ask.grass.short()),
        many: false,
        days_from: Some(w.today),
        band_word: "eight of ten",
        x_unit: phrase!("days"),
        y_unit: unit.into(),
        said: phrase!("{} left from day to day. {}", w.feed.name, w.said()),
    }
}

/// One row of the table: day, heads that eat, needed a day, and left: low, middle, high; all as fed.
#[derive(Debug, Clone, PartialEq)]
pub struct WinterRow {
    /// The evening.
    pub on: Day,
    /// Ewes, and lambs born, on the mean.
    pub heads: String,
    /// Needed that day.
    pub need: String,
    /// Left: low, middle, high.
    pub left: [String; 3],
}

/// The winter at about so many evenings, a whole number of weeks apart.
pub fn winter_rows(w: &Winter, about: usize) -> Vec<WinterRow> {
    let last = w.outlook.days.len().saturating_sub(1);
    let weeks = (last as f64 / (7.0 * about.max(1) as f64)).round().max(1.0) as usize;
    let step = 7 * weeks;
    let row = |place: usize, d: &DayAhead| WinterRow {
        on: w.day(place),
        // Of the first evening: those who eat from the next day on.
        heads: heads(w.outlook.days.get(place.max(1)).unwrap_or(d)),
        need: if place == 0 { String::new() } else { w.mass(d.need[1]) },
        left: d.left.map(|kg| w.mass(kg)),
    };
    let places = (0..=last).step_by(step).chain((!last.is_multiple_of(step)).then_some(last));
    places.filter_map(|p| Some(row(p, w.outlook.days.get(p)?))).collect()
}

/// `24 ewes, 2 rams, 31 lambs`.
fn heads(d: &DayAhead) -> String {
    let of = |all: &[Eaters]| all.iter().map(|e| d.heads[*e as usize]).sum::<f64>().round() as u32;
    let lambs = of(&[Eaters::CreepLambs, Eaters::MilkLambs, Eaters::WeanedLambs]);
    let rams = of(&[Eaters::Rams]);
    let ewes = Eaters::ALL.iter().copied().filter(|e| {
        !matches!(e, Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs | Eaters::Rams)
    });
    let ewes = of(&ewes.collect::<Vec<_>>());
    let parts = [(ewes, "ewe"), (rams, "ram"), (lambs, "lamb")];
    let said: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, w)| crate::terms::counted(*n as usize, w)).collect();
    if said.is_empty() { phrase!("nobody") } else { said.join(", ") }
}
