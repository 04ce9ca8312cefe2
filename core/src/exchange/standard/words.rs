//! The standard's words and ours, both ways.

use crate::terms::{Dose, Ease, Fate, Scanned, Sex, Status, Weight};

/// Sex, as the standard has it.
pub(super) fn gender(sex: Sex) -> &'static str {
    match sex {
        Sex::Ewe => "Female",
        Sex::Ram => "Male",
        Sex::Wether => "MaleNeuter",
    }
}

/// A sex; none where it is not known or no word of the standard.
pub(super) fn sex(gender: &str) -> Option<Sex> {
    match gender {
        "Female" | "FemaleNeuter" => Some(Sex::Ewe),
        "Male" | "MaleCryptorchid" => Some(Sex::Ram),
        "MaleNeuter" => Some(Sex::Wether),
        _ => None,
    }
}

/// Standing. An ancestor that was never here is off the farm, with no departure beside it.
pub(super) fn standing(status: Status) -> &'static str {
    match status {
        Status::Present => "Alive",
        Status::Dead | Status::Culled => "Dead",
        Status::Lent | Status::Sold | Status::Outside => "OffFarm",
        Status::Missing => "Unknown",
    }
}

/// Standing of an animal of which nothing else is told.
pub(super) fn status(word: Option<&str>) -> Status {
    match word {
        Some("Dead") => Status::Dead,
        Some("OffFarm") => Status::Outside,
        _ => Status::Present,
    }
}

/// Ease of lambing: the five classes are ours too.
pub(super) fn ease_word(ease: Ease) -> &'static str {
    match ease {
        Ease::Unassisted => "EasyUnassisted",
        Ease::Slight => "EasyAssisted",
        Ease::Hard => "DifficultExtraAssistance",
        Ease::Vet => "DifficultVeterinaryCare",
        Ease::Surgery => "CaesareanOrSurgery",
    }
}

/// As [`ease_word`] writes it.
pub(super) fn ease(word: &str) -> Option<Ease> {
    Ease::ALL.iter().copied().find(|e| ease_word(*e) == word)
}

/// What became of a lamb. A lamb that died since has its tag in the book, so it died after tagging.
pub(super) fn fate_word(fate: Fate) -> &'static str {
    match fate {
        Fate::Alive => "Alive",
        Fate::BornDead => "Stillborn",
        Fate::Died => "DiedAfterTaggingDate",
    }
}

/// As the standard has it.
pub(super) fn fate(word: &str) -> Option<Fate> {
    match word {
        "Alive" => Some(Fate::Alive),
        "Stillborn" | "Aborted" => Some(Fate::BornDead),
        "DiedBeforeTaggingDate" | "DiedAfterTaggingDate" | "SlaughteredAtBirth" | "EuthanisedAtBirth" => {
            Some(Fate::Died)
        }
        _ => None,
    }
}

/// What a scan found: its result and the count.
pub(super) fn scan_words(found: Scanned) -> (&'static str, Option<u64>) {
    match found {
        Scanned::Empty => ("Empty", Some(0)),
        Scanned::One => ("Pregnant", Some(1)),
        Scanned::Two => ("Multiple", Some(2)),
        Scanned::Three => ("Multiple", Some(3)),
        Scanned::InLamb => ("Pregnant", None),
    }
}

/// What a check found; none where it is not told.
pub(super) fn scan(result: Option<&str>, count: Option<u64>) -> Option<Scanned> {
    match (result, count) {
        (Some("Empty"), _) => Some(Scanned::Empty),
        (_, Some(1)) => Some(Scanned::One),
        (_, Some(2)) => Some(Scanned::Two),
        (_, Some(n)) if n > 2 => Some(Scanned::Three),
        (Some("Pregnant" | "Multiple"), _) => Some(Scanned::InLamb),
        _ => None,
    }
}

/// How ewe and ram came together.
pub(super) fn service(method: Option<&str>) -> &'static str {
    let low = method.unwrap_or_default().to_lowercase();
    if low.contains("artificial") || low.contains("insemination") || low.trim() == "ai" {
        "Insemination"
    } else if low.contains("embryo") || low.contains("implant") {
        "Implantation"
    } else if low.contains("hand") {
        "NaturalService"
    } else {
        "RunWithBull"
    }
}

/// The same in our words; nothing for a ram that runs with his ewes.
pub(super) fn method(service: &str) -> Option<String> {
    match service {
        "Insemination" => Some("artificial insemination".into()),
        "Implantation" => Some("embryo transfer".into()),
        "NaturalService" => Some("hand service".into()),
        _ => None,
    }
}

/// The reason of a death by the keeper's words for its cause (our choice of words).
pub(super) fn death_reason(to: Status, cause: Option<&str>) -> &'static str {
    let low = cause.unwrap_or_default().to_lowercase();
    let named = [
        ("mastitis", "Mastitis"),
        ("lambing", "Parturition"),
        ("prolapse", "Parturition"),
        ("born dead", "Parturition"),
        ("accident", "Accident"),
        ("drowned", "Accident"),
        ("old age", "Age"),
        ("foot rot", "LegOrClaw"),
    ];
    match to {
        Status::Missing => "Missing",
        _ if low.is_empty() => "Unknown",
        _ => named.iter().find(|(word, _)| low.contains(word)).map_or("Other", |(_, reason)| reason),
    }
}

/// A weight in its unit, as the standard's codes have it; kilograms where none is written.
pub(super) fn weight(measurement: f64, units: Option<&str>) -> Option<Weight> {
    // Pound and ounce exactly, by definition.
    let grams = match units.unwrap_or("KGM") {
        "KGM" => measurement * 1000.0,
        "GRM" => measurement,
        "LBR" => measurement * 453.592_37,
        "ONZ" => measurement * 28.349_523_125,
        "TNE" => measurement * 1e6,
        "MGM" => measurement / 1e3,
        _ => return None,
    };
    (grams.is_finite() && grams.abs() < 1e9).then(|| Weight::from_grams(grams.round() as i64)).flatten()
}

/// A dose with its unit; pieces have none.
pub(super) fn dose_units(dose: Dose) -> Option<(f64, &'static str)> {
    match dose {
        Dose::Volume(ul) => Some((f64::from(ul) / 1000.0, "MLT")),
        Dose::Mass(ug) => Some((ug as f64 / 1000.0, "MGM")),
        Dose::Pieces(_) => None,
    }
}

/// The same in; none where the unit is not known to us or the amount cannot be.
pub(super) fn dose(quantity: f64, units: Option<&str>) -> Option<Dose> {
    match units.unwrap_or("MLT") {
        "MLT" => Dose::from_ml(quantity),
        "LTR" => Dose::from_ml(quantity * 1000.0),
        "MGM" => Dose::parse(&format!("{quantity} mg")).ok(),
        "GRM" => Dose::parse(&format!("{quantity} g")).ok(),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_come_back() {
        for s in Sex::ALL {
            assert_eq!(sex(gender(*s)), Some(*s));
        }
        for e in Ease::ALL {
            assert_eq!(ease(ease_word(*e)), Some(*e));
        }
        for f in Fate::ALL {
            assert_eq!(fate(fate_word(*f)), Some(*f));
        }
        for s in Scanned::ALL {
            let (result, count) = scan_words(*s);
            assert_eq!(scan(Some(result), count), Some(*s));
        }
        for d in
            [Dose::Volume(2500), Dose::Volume(1), Dose::Mass(500_000), Dose::Mass(1), Dose::Mass(1_234_567)]
        {
            let (quantity, units) = dose_units(d).unwrap();
            assert_eq!(dose(quantity, Some(units)), Some(d));
        }
        // A pound is 453.59237 g exactly (international yard and pound agreement of 1959).
        assert_eq!(weight(100.0, Some("LBR")).map(Weight::grams), Some(45_359));
        assert_eq!(weight(42.5, None).map(Weight::grams), Some(42_500));
        assert_eq!(weight(1.0, Some("XXX")), None);
        assert_eq!(weight(f64::NAN, None), None);
    }
}
