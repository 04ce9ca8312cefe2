//! Schemes of identifiers: those the standard lists as well known, and our own under `net.hirsel`.

use crate::flock::{Animal, Ended, Identity};
use crate::terms::IdentityKind;
use serde_json::{Value, json};

/// The system a resource comes from; with its `sourceId` it names a record of ours for good.
pub(super) const SOURCE: &str = "net.hirsel.book";
/// An animal by its record's id: where it wears no mark.
pub(super) const RECORD: &str = "net.hirsel.animal";
/// A breed by its name.
pub(super) const BREED: &str = "net.hirsel.breed";
/// A holding by the number its authority gave it.
pub(super) const HOLDING: &str = "net.hirsel.holding";
/// The flock by its name, where the holding has no number.
pub(super) const FLOCK: &str = "net.hirsel.flock";
/// Meat for export, which some places count apart.
pub(super) const EXPORT: &str = "net.hirsel.export";
/// A trait of breeding values.
pub(super) const TRAIT: &str = "net.hirsel.trait";

/// An electronic number as readers read it (listed as well known by the standard).
const ISO: &str = "std.iso.11785";
/// Official numbers that begin with the three digits of a country (likewise).
const EU: &str = "eu.animalId";
/// A British holding number, 12/345/6789 (likewise).
const CPH: &str = "uk.cph";
/// Other official schemes that the standard lists; what they hold is an official mark.
const OFFICIAL: [&str; 7] =
    ["usa.ain", "us.bovine", "eu.bovine", "uk.cts.eartag", "au.nlis", "nz.nait.visualid", "nz.digad.birthid"];

/// A scheme with an id.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Ident {
    pub scheme: String,
    pub id: String,
}

impl Ident {
    pub(super) fn json(&self) -> Value {
        json!({ "scheme": self.scheme, "id": self.id })
    }
}

/// A mark of an animal.
pub(super) fn of_mark(i: &Identity) -> Ident {
    let id = i.tag.to_string();
    let scheme = match (i.ended, i.kind) {
        (None, IdentityKind::Electronic) if id.len() == 15 && id.bytes().all(|b| b.is_ascii_digit()) => {
            ISO.into()
        }
        (None, IdentityKind::Official) if is_numeric(&id) => EU.into(),
        (ended, kind) => format!("net.hirsel.{}{}", own(kind), end(ended)),
    };
    Ident { scheme, id }
}

/// What an animal is named by: its electronic number, else an official one, else the first mark it wears, else its record.
pub(super) fn of_animal(a: &Animal) -> Ident {
    let first = |k| a.worn(k);
    let mark =
        [IdentityKind::Electronic, IdentityKind::Official, IdentityKind::Registry, IdentityKind::Flock];
    mark.into_iter().find_map(first).map_or_else(|| record(a), of_mark)
}

fn record(a: &Animal) -> Ident {
    Ident { scheme: RECORD.into(), id: a.id.0.to_string() }
}

/// Three digits of a country and twelve more.
fn is_numeric(id: &str) -> bool {
    id.len() == 15 && id.bytes().all(|b| b.is_ascii_digit())
}

fn own(kind: IdentityKind) -> &'static str {
    match kind {
        IdentityKind::Flock => "tag",
        other => other.word(),
    }
}

fn end(ended: Option<Ended>) -> &'static str {
    match ended {
        None => "",
        Some(Ended::Lost) => ".lost",
        Some(Ended::Replaced) => ".replaced",
    }
}

/// The kind of mark a scheme stands for, and whether the mark is worn; none for a record's own id. A scheme that is not
/// known is taken for a registry's.
pub(super) fn kind(scheme: &str) -> Option<(IdentityKind, Option<Ended>)> {
    if scheme == RECORD {
        return None;
    }
    if let Some(rest) = scheme.strip_prefix("net.hirsel.") {
        let (word, ended) = match rest.rsplit_once('.') {
            Some((word, "lost")) => (word, Some(Ended::Lost)),
            Some((word, "replaced")) => (word, Some(Ended::Replaced)),
            _ => (rest, None),
        };
        let kind = IdentityKind::ALL.into_iter().find(|k| own(*k) == word);
        return Some((kind.unwrap_or(IdentityKind::Registry), ended));
    }
    let kind = match scheme {
        ISO => IdentityKind::Electronic,
        EU => IdentityKind::Official,
        s if OFFICIAL.contains(&s) => IdentityKind::Official,
        _ => IdentityKind::Registry,
    };
    Some((kind, None))
}

/// Whether the program knows what a scheme means.
pub(super) fn is_known(scheme: &str) -> bool {
    scheme.starts_with("net.hirsel.") || scheme == ISO || scheme == EU || OFFICIAL.contains(&scheme)
}

/// A place by its number.
pub(super) fn of_place(number: &str) -> Ident {
    let parts: Vec<&str> = number.split('/').collect();
    let digits = |p: &&str, n: usize| p.len() == n && p.bytes().all(|b| b.is_ascii_digit());
    let british = matches!(parts.as_slice(), [a, b, c] if digits(a, 2) && digits(b, 3) && digits(c, 4));
    Ident { scheme: if british { CPH } else { HOLDING }.into(), id: number.into() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{IdentityId, Tag};

    #[test]
    fn every_mark_comes_back_as_what_it_is() {
        for kind in IdentityKind::ALL {
            for ended in [None, Some(Ended::Lost), Some(Ended::Replaced)] {
                for text in ["0412", "826012345600123", "UK 0123456 00123"] {
                    let tag = Tag::parse(text).unwrap();
                    let i = Identity { id: IdentityId::new(), kind, tag, from: None, to: None, ended };
                    let ident = of_mark(&i);
                    assert_eq!(super::kind(&ident.scheme), Some((kind, ended)), "{ident:?}");
                    assert_eq!(ident.id, text);
                }
            }
        }
        assert_eq!(kind(RECORD), None);
        assert_eq!(kind("org.example.herdbook"), Some((IdentityKind::Registry, None)));
        // The example of the standard's list of places, and a number that is none of those.
        assert_eq!(of_place("34/123/1234").scheme, "uk.cph");
        assert_eq!(of_place("34/123/123").scheme, HOLDING);
    }
}
