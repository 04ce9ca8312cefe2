//! Tags as readers write them: electronic numbers in any dress, visible tags with the noughts dropped.

use super::super::names::{Names, NotFound};
use crate::terms::{AnimalId, ElectronicId};

/// The electronic number a value can only be, in any dress.
pub(in crate::exchange) fn electronic(text: &str) -> Option<ElectronicId> {
    ElectronicId::typed(text)?.ok()
}

/// A spreadsheet wrote the number short: `8.26E+14`.
pub(in crate::exchange) fn is_cut_short(text: &str) -> bool {
    let low = text.trim().to_lowercase().replace(',', ".");
    low.split_once("e+").is_some_and(|(a, b)| {
        let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        figures(a) && figures(b)
    })
}

/// Whose tag it is, and in which words it was found if not as written.
pub(in crate::exchange) fn find(names: &Names, text: &str) -> Result<(AnimalId, Option<String>), NotFound> {
    match names.find(text) {
        Ok(id) => return Ok((id, None)),
        Err(NotFound::Several(s)) => return Err(NotFound::Several(s)),
        Err(NotFound::None) => {}
    }
    if let Some(e) = electronic(text) {
        return names.find(&e.digits()).map(|id| (id, None));
    }
    let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    let bare: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    if !figures(&bare) {
        return Err(NotFound::None);
    }
    // Noughts dropped before an electronic number, or before a short tag: only if just one animal comes of it.
    let mut found: Vec<(AnimalId, String)> = Vec::new();
    let longest = if bare.len() > 11 { 15 } else { 8 };
    let stripped = bare.trim_start_matches('0');
    for width in stripped.len().max(1)..=longest {
        let guess = format!("{stripped:0>width$}");
        if let Ok(id) = names.find(&guess)
            && !found.iter().any(|(f, _)| *f == id)
        {
            found.push((id, guess));
        }
    }
    match found.as_slice() {
        [(id, guess)] => Ok((*id, Some(guess.clone()))),
        [] => Err(NotFound::None),
        [(_, a), (_, b), ..] => Err(NotFound::Several(format!("{a} or {b}"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Born, IdentityKind};

    #[test]
    fn electronic_numbers_in_any_dress() {
        let want = "826012345600123";
        for text in [
            "826012345600123",
            "826 012345600123",
            "826 0123456 00123",
            "0826012345600123",
            "0 826 0123456 00123",
            "A0000000826012345600123",
            "UK0123456 00123",
            "UK 0123456 00123",
            "gb012345600123",
            "826-012345600123",
            &format!("{:016X}", ElectronicId::parse("826012345600123").unwrap().word()),
        ] {
            assert_eq!(electronic(text).map(|e| e.digits()).as_deref(), Some(want), "{text}");
        }
        for text in [
            "0412",
            "1826012345600123",
            "XX012345600123",
            "8260123456001",
            "",
            "826O12345600123",
            "000000000000000",
        ] {
            assert_eq!(electronic(text), None, "{text}");
        }
        assert!(is_cut_short("8.26012E+14") && is_cut_short("8,26E+14") && !is_cut_short("0412"));
    }

    #[test]
    fn noughts_that_were_dropped() {
        let mut names = Names::default();
        let (a, b, c) = (AnimalId::new(), AnimalId::new(), AnimalId::new());
        names.add(a, IdentityKind::Flock, "0412", false, Born::Unknown);
        names.add(b, IdentityKind::Flock, "007", false, Born::Unknown);
        names.add(c, IdentityKind::Flock, "07", false, Born::Unknown);
        names.add(c, IdentityKind::Electronic, "040012345600123", false, Born::Unknown);
        assert_eq!(find(&names, "0412"), Ok((a, None)));
        assert_eq!(find(&names, "412"), Ok((a, Some("0412".into()))));
        assert_eq!(find(&names, "00412"), Ok((a, Some("0412".into()))));
        assert_eq!(find(&names, "7"), Err(NotFound::Several("07 or 007".into())));
        assert_eq!(find(&names, "40012345600123"), Ok((c, Some("040012345600123".into()))));
        assert_eq!(find(&names, "40 012345600123"), Ok((c, Some("040012345600123".into()))));
        assert_eq!(find(&names, "AT012345600123"), Ok((c, None)));
        assert_eq!(find(&names, "999"), Err(NotFound::None));
        assert_eq!(find(&names, "x"), Err(NotFound::None));
    }
}
