//! What is typed in the question, read.

use hirsel_core::phrase;
use hirsel_core::terms::counted;

/// How many ewes a ram may have, `10`, or at least and at most, `4-10`; nothing or 0 leaves him out.
pub(super) fn numbers(text: &str) -> Result<Option<(usize, usize)>, String> {
    let text = text.trim();
    if text.is_empty() || text == "0" {
        return Ok(None);
    }
    let wrong =
        || phrase!("‘{text}’ is no number of ewes: write 10, or 4-10 for at least four", text = &text);
    let (least, most) = text.split_once(['-', '–']).unwrap_or(("0", text));
    let number = |t: &str| t.trim().parse::<usize>().ok().filter(|n| *n <= 10_000);
    match (number(least), number(most)) {
        (Some(least), Some(most)) if least <= most && most > 0 => Ok(Some((least, most))),
        _ => Err(wrong()),
    }
}

/// The same in words.
pub(super) fn numbers_words(text: &str) -> Result<String, String> {
    Ok(match numbers(text)? {
        None => phrase!("stays at home"),
        Some((0, most)) => phrase!("at most {}", counted(most, "ewe")),
        Some((least, most)) if least == most => phrase!("just {}", counted(most, "ewe")),
        Some((least, most)) => phrase!("at least {least}, at most {}", counted(most, "ewe")),
    })
}

/// A limit on inbreeding in percent, as a share.
pub(super) fn limit(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let figure = text.trim_end_matches('%').trim_end().replace(',', ".");
    match figure.parse::<f64>() {
        Ok(p) if (0.0..=100.0).contains(&p) => Ok(Some(p / 100.0)),
        _ => Err(phrase!(
            "‘{text}’ is no percentage: write 12.5 or 6.25, or nothing for no limit",
            text = &text
        )),
    }
}

/// The same in words: what kin that is.
pub(super) fn limit_words(text: &str) -> Result<String, String> {
    let Some(f) = limit(text)? else { return Ok(String::new()) };
    // Coancestry of unrelated parents' offspring (Wright 1922): full sibs ¼, half sibs ⅛, first cousins 1/16.
    Ok(match f {
        f if f >= 0.25 => "up to full sibs",
        f if f >= 0.125 => "up to half sibs",
        f if f >= 0.0625 => "up to first cousins",
        f if f > 0.0 => "not even first cousins",
        _ => "no kin at all",
    }
    .into())
}

/// A figure over nothing, or none.
pub(super) fn figure(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim().replace(',', ".");
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<f64>() {
        Ok(n) if n > 0.0 && n <= 1_000.0 => Ok(Some(n)),
        _ => Err(phrase!("‘{text}’ is no number over 0: write 1.5, or nothing for the flock’s own")),
    }
}

/// A whole number, or none.
pub(super) fn whole(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let wrong =
        |_| phrase!("‘{text}’ is no whole number: write 8, or nothing for the flock’s own", text = &text);
    text.parse::<u32>().map(Some).map_err(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_a_ram() {
        assert_eq!(numbers("10"), Ok(Some((0, 10))));
        assert_eq!(numbers(" 4 - 10 "), Ok(Some((4, 10))));
        assert_eq!(numbers("0"), Ok(None));
        assert_eq!(numbers(""), Ok(None));
        for wrong in ["ten", "10-4", "4-", "-3", "1.5", "20000"] {
            assert!(numbers(wrong).is_err(), "{wrong}");
        }
        assert_eq!(numbers_words("4-10").as_deref(), Ok("at least 4, at most 10 ewes"));
    }

    #[test]
    fn limits() {
        assert_eq!(limit("12.5"), Ok(Some(0.125)));
        assert_eq!(limit("6,25 %"), Ok(Some(0.0625)));
        assert_eq!(limit(""), Ok(None));
        assert!(limit("101").is_err() && limit("x").is_err());
    }
}
