//! The curve of one animal, and weights that lie off it.

use super::curve::Curve;
use super::draw::{NoCurve, Spread, draw};
use super::shape::Model;
use crate::flock::AnimalFile;
use crate::handbook::{curves as bounds, growth};
use crate::reckon::growth::Odd;
use crate::reckon::worms::student::t_within;
use crate::terms::{Day, Weight};

/// The shapes that are tried; the one that fits better is taken.
pub const MODELS: [Model; 2] = [Model::Gompertz, Model::Brody];

/// Age in days and kilograms of the weights of an animal that stand, the birth weight as day 0; none where no day of
/// birth is known.
pub fn points_of(file: &AnimalFile) -> Option<Vec<(f64, f64)>> {
    let born = file.animal.born.day()?;
    let weights = file.weights().into_iter().filter(|(day, _)| *day >= born);
    Some(weights.map(|(day, w)| (day.since(born) as f64, w.kg())).collect())
}

/// The curve of one animal through all its weights.
///
/// # Errors
/// Says what is missing.
pub fn of_animal(file: &AnimalFile) -> Result<Curve, NoCurve> {
    of_animal_as(file, &MODELS)
}

/// The same in one of these shapes.
///
/// # Errors
/// Says what is missing.
pub fn of_animal_as(file: &AnimalFile, models: &[Model]) -> Result<Curve, NoCurve> {
    draw(&points_of(file).ok_or(NoCurve::NoBirthday)?, models, Spread::WithWeight)
}

/// Whether a weight lies off the animal's own curve, which is drawn through its other weights. Farther ahead than the
/// curve is read nothing is questioned.
///
/// Before the curve has many weights its own spread is little known: what is known of it is put together with what the
/// handbook takes for usual, as if from four more weights. Questioned is what lies out of the band of 99 in 100 and so
/// many per cent off; of a grown animal, who may be full, thin or in lamb, a fifth off.
pub(crate) fn off_curve(file: &AnimalFile, on: Day, weight: Weight) -> Option<Odd> {
    let born = file.animal.born.day()?;
    let others: Vec<(Day, Weight)> =
        file.weights().into_iter().filter(|(day, _)| *day != on && *day >= born).collect();
    let least = usize::try_from(bounds::least_weights()).unwrap_or(4);
    if on < born || others.len() < least || is_plain(&others, on, weight) {
        return None;
    }
    let points: Vec<(f64, f64)> = others.iter().map(|(day, w)| (day.since(born) as f64, w.kg())).collect();
    let curve = draw(&points, &MODELS, Spread::WithWeight).ok()?;
    let (age, kg) = (on.since(born) as f64, weight.kg());
    if age < curve.first || age > curve.read_to() {
        return None;
    }
    let expected = curve.expected(age);
    let usual = bounds::own_spread_percent() as f64 / 100.0;
    let known = curve.degrees as f64 * curve.spread.1.powi(2) + least as f64 * usual.powi(2);
    let degrees = curve.degrees + least;
    let spread = (known / degrees as f64).sqrt();
    // What is not known of the curve grows with the spread.
    let error = curve.error_at(age)? / curve.spread.1.max(f64::MIN_POSITIVE) * spread;
    let edge = t_within(0.99, degrees)? * (spread * expected).hypot(error);
    let grown = on.since(born) >= growth::growing_days();
    let percent = if grown { growth::jump_percent() } else { bounds::off_percent() };
    let off = (kg - expected).abs();
    if off <= edge || off <= expected * percent as f64 / 100.0 {
        return None;
    }
    let weight = |kg: f64| Weight::from_grams((kg * 1000.0).round() as i64);
    let low = weight((expected - edge).max(0.1))?;
    Some(Odd::OffCurve {
        expected: weight(expected)?,
        low,
        high: weight(expected + edge)?,
        weights: others.len(),
    })
}

/// Near the straight line between the weights before and after it, or on from the last two: no curve need be asked.
fn is_plain(others: &[(Day, Weight)], on: Day, weight: Weight) -> bool {
    const NEAR: f64 = 0.08;
    let after = others.partition_point(|(day, _)| *day < on);
    let two = if after == 0 || others.len() < 2 {
        return false;
    } else if after < others.len() {
        (others[after - 1], others[after])
    } else {
        (others[after - 2], others[after - 1])
    };
    let ((from, a), (to, b)) = two;
    let days = to.since(from);
    if days <= 0 {
        return false;
    }
    let line = a.kg() + (b.kg() - a.kg()) * on.since(from) as f64 / days as f64;
    (weight.kg() - line).abs() <= NEAR * line
}
