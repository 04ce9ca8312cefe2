//! The flock as the standard's resources, one to a line.

mod animals;
mod care;
mod events;
mod moves;

use super::schemes::{self, Ident, SOURCE};
use super::time::{Zone, noon};
use crate::flock::{Animal, AnimalFile, Flock, Lambing, Stamps, Struck};
use crate::terms::speech::Speech;
use crate::terms::{AnimalId, Day, Moment};
use rapidhash::RapidHashMap;
use serde_json::{Map, Value as Json, json};
use std::fmt::Write as _;

/// How a flock is written.
#[derive(Debug, Clone)]
pub struct Options {
    /// Records that are struck out too, as deleted.
    pub struck: bool,
    /// The zone of the book's times.
    pub zone: Zone,
    /// Today: what is changed since the last line of the journal was.
    pub today: Day,
    /// Breeding values to go with the animals; the book keeps none.
    pub values: Vec<Value>,
}

impl Options {
    /// What stands, of today.
    pub fn of(today: Day) -> Self {
        Self { struck: false, zone: Zone::Local, today, values: Vec::new() }
    }
}

/// A breeding value of one animal.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The animal.
    pub animal: AnimalId,
    /// The trait, in the word of the command line: `weight:60`.
    pub of: String,
    /// The value, in the trait's unit.
    pub value: f64,
    /// Its accuracy, 0 to 1, where it is known.
    pub accuracy: Option<f64>,
}

/// All records of a flock that the standard has a resource for, as one document; equal books give equal documents.
pub fn export(flock: &Flock, stamps: &Stamps, how: &Options) -> String {
    let _plain = Speech::plain();
    let scene = Scene::new(flock, stamps, how);
    let mut text = String::from("{\n");
    let collections: [(&str, Vec<Json>); 14] = [
        ("icarAnimalCoreCollection", animals::animals(&scene)),
        ("icarAnimalSetCollection", animals::pens(&scene)),
        ("icarMovementBirthEventCollection", animals::births(&scene)),
        ("icarReproInseminationEventCollection", events::joinings(&scene)),
        ("icarReproPregnancyCheckEventCollection", events::scans(&scene)),
        ("icarReproParturitionEventCollection", events::lambings(&scene)),
        ("icarWeightEventCollection", events::weighings(&scene)),
        ("icarConformationScoreEventCollection", events::scores(&scene)),
        ("icarTreatmentEventCollection", care::treatments(&scene)),
        ("icarTreatmentProgramEventCollection", care::courses(&scene)),
        ("icarMovementArrivalEventCollection", moves::arrivals(&scene)),
        ("icarMovementDepartureEventCollection", moves::departures(&scene)),
        ("icarMovementDeathEventCollection", moves::deaths(&scene)),
        ("icarBreedingValueCollection", animals::values(&scene)),
    ];
    for (i, (name, all)) in collections.into_iter().enumerate() {
        let comma = if i == 0 { "" } else { ",\n" };
        let _ =
            write!(text, "{comma}\"{name}\": {{\"view\": {{\"totalItems\": {}}}, \"member\": [", all.len());
        for (n, one) in all.iter().enumerate() {
            let _ = write!(text, "{}\n{one}", if n == 0 { "" } else { "," });
        }
        text.push_str("]}");
    }
    text.push_str("\n}\n");
    text
}

/// What is looked up once.
struct Scene<'a> {
    flock: &'a Flock,
    stamps: &'a Stamps,
    how: &'a Options,
    idents: RapidHashMap<AnimalId, Json>,
    /// Every animal, by the order it came into the book.
    order: Vec<AnimalId>,
}

impl<'a> Scene<'a> {
    fn new(flock: &'a Flock, stamps: &'a Stamps, how: &'a Options) -> Self {
        let mut order: Vec<AnimalId> = flock.files().map(|f| f.animal.id).collect();
        order.sort_unstable();
        let idents = flock.files().map(|f| (f.animal.id, schemes::of_animal(&f.animal).json())).collect();
        Self { flock, stamps, how, idents, order }
    }

    /// Every animal's file, in the order they came into the book.
    fn files(&self) -> impl Iterator<Item = &'a AnimalFile> + '_ {
        self.order.iter().filter_map(|id| self.flock.file(*id))
    }

    /// The identifier of an animal.
    fn ident(&self, id: AnimalId) -> Option<Json> {
        self.idents.get(&id).cloned()
    }

    /// It is to be written: it stands, or struck records are asked for.
    fn goes(&self, struck: &Option<Box<Struck>>) -> bool {
        struck.is_none() || self.how.struck
    }

    /// The lambing an animal was born in, if it is written.
    fn born_here(&self, f: &AnimalFile) -> Option<&'a Lambing> {
        let birth = f.birth.as_ref()?;
        let mut lambings = self.flock.file(birth.ewe)?.lambings.iter();
        lambings.find(|l| l.id == birth.lambing).filter(|l| self.goes(&l.struck))
    }

    fn at(&self, at: Moment) -> String {
        self.how.zone.text(at)
    }

    /// A resource of a kind with its meta data.
    fn resource(&self, kind: &str, id: [u8; 16], deleted: bool) -> Made {
        let stamp = self.stamps.get(id);
        let journal = |at: &str| self.how.zone.journal(at);
        let mut meta = Made::default();
        meta.text("source", Some(SOURCE));
        meta.text("sourceId", Some(uuid::Uuid::from_bytes(id).to_string()));
        let changed = stamp.and_then(|s| journal(&s.changed));
        meta.text("modified", Some(changed.unwrap_or_else(|| noon(self.how.today))));
        meta.text("created", stamp.and_then(|s| journal(&s.created)));
        meta.text("creator", stamp.map(|s| s.who.as_str()).filter(|w| !w.is_empty()));
        if deleted {
            meta.put("isDeleted", json!(true));
        }
        let mut made = Made::default();
        made.text("resourceType", Some(kind));
        made.put("meta", meta.json());
        made
    }

    /// An event of one animal: its id, animal, time.
    fn event(
        &self,
        kind: &str,
        id: [u8; 16],
        animal: AnimalId,
        struck: &Option<Box<Struck>>,
    ) -> Option<Made> {
        let mut made = self.resource(kind, id, struck.is_some());
        made.text("id", Some(uuid::Uuid::from_bytes(id).to_string()));
        made.put("animal", self.ident(animal)?);
        Some(made)
    }

    /// Where the flock is: the holding's number, else the flock's name.
    fn location(&self) -> Json {
        let holding = self.flock.holding();
        match holding.number.trim() {
            "" => Ident { scheme: schemes::FLOCK.into(), id: holding.flock.clone() }.json(),
            number => schemes::of_place(number).json(),
        }
    }
}

/// A JSON object in the making: what is not there is left out, never null.
#[derive(Debug, Default)]
struct Made(Map<String, Json>);

impl Made {
    fn put(&mut self, key: &str, value: Json) {
        self.0.insert(key.into(), value);
    }

    fn text(&mut self, key: &str, value: Option<impl Into<String>>) {
        if let Some(value) = value {
            self.0.insert(key.into(), Json::String(value.into()));
        }
    }

    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    fn json(self) -> Json {
        Json::Object(self.0)
    }
}

/// What an animal is called by, where that is told beside its identifier.
fn called(a: &Animal) -> String {
    a.tag().to_string()
}
