//! Animals, their births here, the pens of today, breeding values.

use super::super::kept::Kept;
use super::super::schemes::{self, BREED, Ident, TRAIT, of_mark};
use super::super::time::noon;
use super::super::words;
use super::{Made, Scene, called};
use crate::flock::{Animal, AnimalFile};
use crate::terms::{Born, Breed, MeantFor, Moment, Rearing};
use serde_json::{Value as Json, json};

pub(super) fn animals(scene: &Scene<'_>) -> Vec<Json> {
    scene.files().map(|f| animal(scene, f)).collect()
}

fn animal(scene: &Scene<'_>, f: &AnimalFile) -> Json {
    let a = &f.animal;
    let mut made = scene.resource("icarAnimalCoreResource", a.id.bytes(), false);
    let ident = schemes::of_animal(a);
    // What is worn before what is not, kind by kind: the order a file brings them back in.
    let mut marks: Vec<_> = a.identities.iter().collect();
    marks.sort_by_key(|i| (i.kind, i.ended.is_some()));
    let others: Vec<Json> =
        marks.into_iter().map(of_mark).filter(|i| *i != ident).map(|i| i.json()).collect();
    made.put("identifier", ident.json());
    if !others.is_empty() {
        made.put("alternativeIdentifiers", Json::Array(others));
    }
    made.text("specie", Some("Sheep"));
    made.text("gender", Some(words::gender(a.sex)));
    made.text("birthDate", a.born.exact().map(noon));
    if let Some(breed) = &a.breed {
        breed_of(&mut made, breed);
    }
    made.text("coatColor", a.colour.clone());
    made.text("managementTag", Some(called(a)));
    made.text("name", a.name.clone());
    let official = a.prefix.as_ref().map(|p| match &a.name {
        Some(name) => format!("{p} {name}"),
        None => p.to_string(),
    });
    made.text("officialName", official);
    made.text("status", Some(words::standing(a.status)));
    let parents = parents(scene, a);
    if !parents.is_empty() {
        made.put("parentage", Json::Array(parents));
    }
    made.json()
}

/// A breed by name; shares over one denominator.
fn breed_of(made: &mut Made, breed: &Breed) {
    let name = |name: &str| Ident { scheme: BREED.into(), id: name.into() }.json();
    let parts = breed.parts();
    let Some(most) = parts.iter().max_by(|a, b| (a.num * b.den).cmp(&(b.num * a.den))) else { return };
    made.put("primaryBreed", name(&most.name));
    if parts.len() > 1 {
        let gcd = |mut a: u64, mut b: u64| {
            while b != 0 {
                (a, b) = (b, a % b);
            }
            a
        };
        // At most 120 characters of parts of at most 1024: no more than a dozen denominators.
        let all = parts.iter().fold(1u64, |d, p| (d / gcd(d, p.den.into())).saturating_mul(p.den.into()));
        if all > 1 << 40 {
            made.put("primaryBreed", name(&breed.to_string()));
            return;
        }
        let share = |p: &crate::terms::BreedPart| json!({ "breed": name(&p.name), "fraction": u64::from(p.num) * (all / u64::from(p.den)) });
        made.put(
            "breedFractions",
            json!({ "denominator": all, "fractions": parts.iter().map(share).collect::<Vec<_>>() }),
        );
    }
}

fn parents(scene: &Scene<'_>, a: &Animal) -> Vec<Json> {
    let own = scene.ident(a.id);
    let one = |id, gender: &str, relation: &str| {
        let parent = scene.flock.animal(id)?;
        let mut made = Made::default();
        made.put("parentOf", own.clone()?);
        made.text("gender", Some(gender));
        made.text("relation", Some(relation));
        made.put("identifier", scene.ident(id)?);
        made.text(
            "officialName",
            parent.prefix.as_ref().zip(parent.name.as_ref()).map(|(p, n)| format!("{p} {n}")),
        );
        Some(made.json())
    };
    let foster = match a.rearing {
        // Put on its own dam is reared by its dam.
        Rearing::Foster(ewe) if Some(ewe) != a.dam.or(a.genetic_dam) => Some(ewe),
        _ => None,
    };
    let bore = if a.genetic_dam.is_some() { "Recipient" } else { "Genetic" };
    [
        a.sire.known().and_then(|s| one(s, "Male", "Genetic")),
        a.dam.and_then(|d| one(d, "Female", bore)),
        a.genetic_dam.and_then(|d| one(d, "Female", "Genetic")),
        foster.and_then(|e| one(e, "Female", "Adoptive")),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What an animal's own resource has no field for.
pub(super) fn extras(a: &Animal) -> Kept {
    let mut kept = Kept::default();
    kept.put(
        "born",
        Some(a.born).filter(|b| matches!(b, Born::About(_) | Born::Year(_))).map(|b| b.to_string()),
    );
    kept.put("birth_type", a.birth_type.map(|b| b.count().to_string()));
    kept.put("rear_type", a.rear_type.map(|r| r.count().to_string()));
    kept.put("birth_weight_kg", a.birth_weight.map(|w| w.kg_text()));
    kept.put("section", a.section.clone());
    kept.put("marks", a.marks.clone());
    kept.put("about", a.note.clone());
    kept.put("meant_for", Some(a.meant_for).filter(|m| *m != MeantFor::Undecided).map(|m| m.word()));
    kept.put("reared_by", (a.rearing == Rearing::Bottle).then_some("bottle"));
    if a.sire.known().is_none() && !a.sire.possible().is_empty() {
        let all: Vec<String> = a.sire.possible().iter().map(|s| s.0.to_string()).collect();
        kept.put("sires", Some(all.join(" ")));
    }
    kept
}

/// Births here, for the register: one a lamb whose lambing is in the book.
pub(super) fn births(scene: &Scene<'_>) -> Vec<Json> {
    let one = |f: &AnimalFile| {
        let (a, birth) = (&f.animal, f.birth.as_ref()?);
        let lambing = scene.born_here(f)?;
        let mut made = scene.event("icarMovementBirthEventResource", a.id.bytes(), a.id, &lambing.struck)?;
        let at = a.born.exact().map_or(lambing.at, |day| Moment { day, time: lambing.at.time });
        made.text("eventDateTime", Some(scene.at(at)));
        made.put("location", scene.location());
        made.text("registrationReason", Some("Born"));
        let mut kept = extras(a);
        let yes_no = |v: bool| if v { "yes" } else { "no" };
        kept.put("ease", birth.ease.map(|e| e.word()));
        kept.put("sucked", birth.sucked.map(yes_no));
        kept.put("navel_dipped", birth.navel_dipped.map(yes_no));
        kept.put("colostrum", birth.colostrum.map(|d| d.to_string()));
        made.text("remark", kept.remark(None));
        Some(made.json())
    };
    scene.files().filter_map(one).collect()
}

/// The pens of today with the animals in them.
pub(super) fn pens(scene: &Scene<'_>) -> Vec<Json> {
    let one = |(pen, animals): (String, Vec<_>)| {
        // A pen has no record of its own: it is as old as the last animal's facts in it.
        let newest = animals
            .iter()
            .max_by_key(|a: &&crate::terms::AnimalId| scene.stamps.get(a.bytes()).map(|s| s.changed.clone()));
        let mut made = scene.resource("icarAnimalSetResource", newest.copied()?.bytes(), false);
        if let Some(meta) = made.0.get_mut("meta").and_then(Json::as_object_mut) {
            meta.insert("sourceId".into(), json!(format!("pen {pen}")));
            meta.remove("created");
            meta.remove("creator");
        }
        made.text("id", Some(format!("pen {pen}")));
        made.text("name", Some(pen));
        made.text("purpose", Some("Enclosure"));
        made.put("member", animals.into_iter().filter_map(|a| scene.ident(a)).collect());
        Some(made.json())
    };
    scene.flock.pens().into_iter().filter_map(one).collect()
}

/// Breeding values that were reckoned for this file.
pub(super) fn values(scene: &Scene<'_>) -> Vec<Json> {
    let one = |v: &super::Value| {
        let mut made = scene.resource("icarBreedingValueResource", v.animal.bytes(), false);
        if let Some(meta) = made.0.get_mut("meta").and_then(Json::as_object_mut) {
            for key in ["sourceId", "created", "creator"] {
                meta.remove(key);
            }
            meta.insert("modified".into(), json!(noon(scene.how.today)));
        }
        made.text("id", Some(format!("{} {}", v.animal.0, v.of)));
        made.put("animal", scene.ident(v.animal)?);
        made.text("version", Some(scene.how.today.to_string()));
        let mut value = Made::default();
        value.put("traitLabel", Ident { scheme: TRAIT.into(), id: v.of.clone() }.json());
        value.text("calculationType", Some("BreedingValue"));
        value.put("value", json!(v.value));
        // Reliability is the square of accuracy.
        if let Some(accuracy) = v.accuracy {
            value.put("reliability", json!(accuracy * accuracy));
        }
        made.put("breedingValues", json!([value.json()]));
        Some(made.json())
    };
    scene.how.values.iter().filter_map(one).collect()
}
