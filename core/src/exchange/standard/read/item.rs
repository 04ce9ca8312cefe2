//! Resources as plain values: what of them concerns us, before anything is looked up.

use super::super::kept::Kept;
use super::super::schemes::{self, BREED, Ident};
use super::super::time::{Zone, short};
use super::super::words;
use super::field::{BadRecord, Obj, Place};
use crate::terms::{Born, Breed, Dose, Ease, Fate, Moment, Scanned, Score, Sex, Status, Weight};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use uuid::Uuid;

/// What every event has.
#[derive(Debug)]
pub(super) struct Event {
    pub place: Place,
    pub record: Option<Uuid>,
    pub ours: bool,
    pub animal: Ident,
    /// When; none where it is not told.
    pub at: Option<Moment>,
    /// The remark without what we kept in it.
    pub note: Option<String>,
    pub kept: Kept,
}

/// An animal.
#[derive(Debug)]
pub(super) struct AnimalItem {
    pub place: Place,
    pub record: Option<Uuid>,
    pub ours: bool,
    /// The identifier first, then all others.
    pub marks: Vec<Ident>,
    pub tag: Option<String>,
    pub sex: Sex,
    pub born: Born,
    pub breed: Option<Breed>,
    pub colour: Option<String>,
    pub name: Option<String>,
    pub official: Option<String>,
    pub status: Option<String>,
    pub parents: Vec<Parent>,
}

#[derive(Debug)]
pub(super) struct Parent {
    pub male: bool,
    pub relation: String,
    pub who: Ident,
}

/// A lamb of a lambing.
#[derive(Debug)]
pub(super) struct LambItem {
    pub who: Option<Ident>,
    pub tag: Option<String>,
    pub sex: Option<Sex>,
    pub name: Option<String>,
    pub fate: Option<Fate>,
    pub weight: Option<Weight>,
}

#[derive(Debug)]
pub(super) struct TreatmentItem {
    pub event: Event,
    pub product: Option<String>,
    pub procedure: Option<String>,
    pub batch: Option<String>,
    pub dose: Option<Dose>,
    pub site: Option<String>,
    pub reason: Option<String>,
    pub given_by: Option<String>,
    /// The last day of meat and milk.
    pub ends: [Option<Moment>; 2],
}

#[derive(Debug)]
pub(super) struct MoveItem {
    pub event: Event,
    pub to: Status,
    pub number: Option<String>,
    pub address: Option<String>,
    pub carrier: Option<String>,
    pub vehicle: Option<String>,
    pub document: Option<String>,
    pub cause: Option<String>,
    pub receipt: Option<String>,
}

/// All of a file, by kind.
#[derive(Debug, Default)]
pub(super) struct Items {
    pub zone: Zone,
    pub animals: Vec<AnimalItem>,
    pub births: Vec<Event>,
    pub joinings: Vec<(Event, Option<Ident>, Option<Moment>, String)>,
    pub scans: Vec<(Event, Scanned, Option<u16>)>,
    pub lambings: Vec<(Event, Option<Ease>, Vec<LambItem>)>,
    pub weighings: Vec<(Event, Weight)>,
    pub scores: Vec<(Event, Score)>,
    pub treatments: Vec<TreatmentItem>,
    pub moves: Vec<MoveItem>,
    /// Pens with the animals in them.
    pub pens: Vec<(String, Vec<Ident>)>,
    /// Animals of other species: what concerns them is left out.
    pub strangers: Vec<Ident>,
    pub bad: Vec<BadRecord>,
    /// What is left out or taken otherwise, and how often.
    pub told: BTreeMap<String, usize>,
    count: BTreeMap<String, usize>,
    pub seen: usize,
}

impl Items {
    pub(super) fn of(zone: Zone) -> Self {
        Self { zone, ..Self::default() }
    }

    /// It is left out.
    pub(super) fn leave(&mut self, what: impl std::fmt::Display) {
        self.tell(format!("left out: {what}"));
    }

    /// It is taken otherwise than it stands there.
    pub(super) fn tell(&mut self, what: String) {
        *self.told.entry(what).or_default() += 1;
    }

    /// Takes one resource.
    pub(super) fn take(&mut self, resource: &Map<String, Value>) {
        let o = Obj(resource);
        self.seen += 1;
        let kind = o.text("resourceType").unwrap_or_default();
        // Some write the type as an address: its last part is meant.
        let kind = kind.rsplit(['/', '#']).next().unwrap_or_default().trim_end_matches(".json");
        let kind: String = kind.chars().filter(|c| c.is_ascii_alphanumeric()).take(60).collect();
        let n = self.count.entry(kind.clone()).or_default();
        *n += 1;
        let whose = o.ident("animal").or_else(|| o.ident("identifier")).map(|i| short(&i.id));
        let place = Place { kind: kind.clone(), n: *n, whose: whose.unwrap_or_default() };
        if o.is_deleted() {
            return self.leave("records that were deleted where they come from");
        }
        match kind.as_str() {
            "icarAnimalCoreResource" => self.animal(place, o),
            "icarAnimalSetResource" => self.set(o),
            "icarMovementBirthEventResource" => self.birth(place, o),
            "icarReproInseminationEventResource" => self.joining(place, o),
            "icarReproPregnancyCheckEventResource" => self.scan(place, o),
            "icarReproParturitionEventResource" => self.lambing(place, o),
            "icarWeightEventResource" => self.weighing(place, o),
            "icarConformationScoreEventResource" => self.score(place, o),
            "icarTreatmentEventResource" => self.treatment(place, o, None),
            "icarTreatmentProgramEventResource" => self.program(&place, o),
            "icarMovementArrivalEventResource" => self.moved(place, o, Status::Present),
            "icarMovementDepartureEventResource" => {
                let to = match o.text("departureKind").or_else(|| o.text("departureReason")) {
                    Some("Slaughter") => Status::Culled,
                    Some("StudService" | "Agistment" | "Show") => Status::Lent,
                    _ => Status::Sold,
                };
                self.moved(place, o, to);
            }
            "icarMovementDeathEventResource" => {
                let missing =
                    o.text("deathReason") == Some("Missing") || o.text("deathMethod") == Some("Lost");
                self.moved(place, o, if missing { Status::Missing } else { Status::Dead });
            }
            "icarBreedingValueResource" => self.leave("breeding values: Hirsel reckons its own"),
            "" => self.leave("resources without a type"),
            other => self.leave(format!("resources of the type {other}: Hirsel keeps none")),
        }
    }

    pub(super) fn event(&mut self, place: Place, o: Obj<'_>) -> Option<Event> {
        let Some(animal) = o.ident("animal") else {
            self.bad.push(BadRecord::new(
                &place,
                "animal",
                "it is needed: write the identifier of an animal with its scheme",
            ));
            return None;
        };
        let at = match o.text("eventDateTime").map(|t| self.zone.moment(t)).transpose() {
            Ok(at) => at,
            Err(why) => {
                self.bad.push(BadRecord::new(&place, "eventDateTime", why));
                return None;
            }
        };
        let (note, kept) = Kept::read(o.text("remark"));
        Some(Event { place, record: o.record(), ours: o.is_ours(), animal, at, note, kept })
    }

    /// An event that is nothing without its day.
    pub(super) fn dated(&mut self, place: Place, o: Obj<'_>) -> Option<Event> {
        let event = self.event(place, o)?;
        if event.at.is_none() {
            self.bad.push(BadRecord::new(&event.place, "eventDateTime", "it is needed: write when it was"));
            return None;
        }
        Some(event)
    }

    fn animal(&mut self, place: Place, o: Obj<'_>) {
        let marks: Vec<Ident> = o
            .ident("identifier")
            .into_iter()
            .chain(o.objects("alternativeIdentifiers").filter_map(Obj::as_ident))
            .collect();
        if let Some(other) = o.text("specie").filter(|s| *s != "Sheep") {
            self.strangers.extend(marks);
            return self.leave(format!("animals of the species {}", short(other)));
        }
        let Some(sex) = o.text("gender").and_then(words::sex) else {
            let found = o.text("gender").unwrap_or("nothing");
            self.bad.push(BadRecord::value(&place, "gender", found, "Female, Male or MaleNeuter"));
            return;
        };
        let born = match o.text("birthDate").map(|t| self.zone.moment(t)).transpose() {
            Ok(at) => at.map_or(Born::Unknown, |at| Born::On(at.day)),
            Err(why) => {
                self.bad.push(BadRecord::new(&place, "birthDate", why));
                return;
            }
        };
        for i in marks.iter().filter(|i| !schemes::is_known(&i.scheme)) {
            self.tell(format!("taken as registry numbers: identifiers of the scheme {}", short(&i.scheme)));
        }
        let own = marks.clone();
        let parent = |p: Obj<'_>| {
            let who = p.ident("identifier")?;
            // A pedigree of several generations may stand here: ours is that of the animal itself.
            if p.ident("parentOf").is_some_and(|of| !own.contains(&of)) {
                return None;
            }
            let male = p.text("gender").is_some_and(|g| g.starts_with("Male"));
            Some(Parent { male, relation: p.text("relation").unwrap_or("Genetic").to_string(), who })
        };
        let item = AnimalItem {
            record: o.record(),
            ours: o.is_ours(),
            tag: o.words("managementTag"),
            sex,
            born,
            breed: self.breed(o),
            colour: o.words("coatColor"),
            name: o.words("name"),
            official: o.words("officialName"),
            status: o.words("status"),
            parents: o.objects("parentage").filter_map(parent).collect(),
            marks,
            place,
        };
        self.animals.push(item);
    }

    fn breed(&mut self, o: Obj<'_>) -> Option<Breed> {
        let name = |i: &Ident| {
            if i.scheme == BREED || i.scheme.is_empty() {
                i.id.clone()
            } else {
                format!("{} ({})", i.id, i.scheme)
            }
        };
        let shares = o.object("breedFractions").and_then(|f| {
            let den = f.whole("denominator").filter(|d| *d > 0)?;
            let gcd = |mut a: u64, mut b: u64| {
                while b != 0 {
                    (a, b) = (b, a % b);
                }
                a
            };
            let part = |p: Obj<'_>| {
                let num = p.whole("fraction").filter(|n| *n > 0)?;
                let by = gcd(num, den);
                Some(format!("{} {}/{}", name(&p.ident("breed")?), num / by, den / by))
            };
            let parts: Vec<String> = f.objects("fractions").filter_map(part).collect();
            (!parts.is_empty()).then(|| parts.join(" + "))
        });
        if let Some(text) = shares {
            if let Ok(breed) = Breed::parse(&text) {
                return breed;
            }
            self.leave("breed fractions that do not add up to one whole");
        }
        let text = o.ident("primaryBreed").map(|i| name(&i))?;
        let breed = Breed::parse(&text).ok().flatten();
        if breed.is_none() {
            self.leave("names of breeds that are too long");
        }
        breed
    }

    fn set(&mut self, o: Obj<'_>) {
        let Some(name) = o.words("name").filter(|_| o.text("purpose") == Some("Enclosure")) else {
            return self.leave("sets of animals that are no pens");
        };
        self.pens.push((name, o.objects("member").filter_map(Obj::as_ident).collect()));
    }

    fn birth(&mut self, place: Place, o: Obj<'_>) {
        self.detail(&place, o);
        if let Some(event) = self.event(place, o) {
            self.births.push(event);
        }
    }

    /// The animal itself, where an event brings it along.
    pub(super) fn detail(&mut self, place: &Place, o: Obj<'_>) {
        if let Some(animal) = o.object("animalDetail").filter(|a| a.ident("identifier").is_some()) {
            self.animal(place.clone(), animal);
        }
    }
}
