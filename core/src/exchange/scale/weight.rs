//! Weights as a scale head writes them.

use super::Unit;
use crate::terms::{Misread, Units, Weight};

/// A weight; none where nothing was on the scale. `bare` is the unit of a figure without one.
///
/// # Errors
/// Says what was read.
pub(super) fn read(text: &str, bare: Unit) -> Result<Option<Weight>, Misread> {
    let low = text.trim().trim_end_matches('.').to_lowercase();
    let low = low.trim_end_matches("kgs").trim_end_matches("kg");
    let had_kg = low.len() < text.trim().trim_end_matches('.').len();
    let low = low.trim();
    let plain = low.replace(',', ".");
    if matches!(plain.as_str(), "" | "-" | "--" | "n/a" | "na")
        || plain.parse::<f64>().is_ok_and(|v| v == 0.0)
    {
        return Ok(None);
    }
    if plain.starts_with('-') {
        return Err(Misread::new(format!(
            "'{}' is less than nothing: set the scale to nought and weigh again",
            text.trim()
        )));
    }
    let plain = plain.trim_start_matches('+');
    let units = match (had_kg, bare) {
        (false, Unit::Lb) => Units::Imperial,
        _ => Units::Metric,
    };
    // Thousands stand in no sheep's weight: a second point or comma is a slip.
    Weight::parse(plain, units).map(Some).map_err(|_| {
        Misread::new(format!(
            "'{}' is not a weight: it must be a figure such as 38.5 or 84.9 lb",
            text.trim()
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_as_scales_write_them() {
        let read = |t: &str, u| read(t, u).map(|w| w.map(|w| w.grams()));
        for text in ["38.5", "38,5", "38.50 kg", "38.5KG", "38,5 kgs", "+38.5", "038.5"] {
            assert_eq!(read(text, Unit::Kg), Ok(Some(38_500)), "{text}");
        }
        assert_eq!(read("38.5 kg", Unit::Lb), Ok(Some(38_500)));
        for text in ["84.9", "84,9 lb", "84.9lbs"] {
            assert_eq!(read(text, Unit::Lb), Ok(Some(38_510)), "{text}");
        }
        assert_eq!(read("84.9 lb", Unit::Kg), Ok(Some(38_510)));
        assert_eq!(read("9 lb 4 oz", Unit::Kg), Ok(Some(4_196)));
        for text in ["", "0", "0.0", "0,0 kg", "-"] {
            assert_eq!(read(text, Unit::Kg), Ok(None), "{text}");
        }
        for text in ["-0.4", "1.234.5", "heavy", "999", "3 8", "38.5 x"] {
            assert!(read(text, Unit::Kg).is_err(), "{text}");
        }
    }
}
