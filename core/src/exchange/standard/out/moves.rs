//! Comings, goings and deaths.
//!
//! A standing that came into the book without a line of its own is written as an event too, without its day where none is
//! known: the standard allows that, and else a reader could not tell an ancestor from an animal that was sold.

use super::super::kept::Kept;
use super::super::schemes;
use super::super::time::noon;
use super::super::words;
use super::animals::extras;
use super::{Made, Scene};
use crate::flock::{AnimalFile, Movement, Seldom};
use crate::terms::{Day, MovementId, Status};
use serde_json::{Value as Json, json};

/// The three kinds of event.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    Came,
    Left,
    Died,
}

fn way(to: Status) -> Way {
    match to {
        Status::Present => Way::Came,
        Status::Lent | Status::Sold | Status::Culled | Status::Outside => Way::Left,
        Status::Dead | Status::Missing => Way::Died,
    }
}

pub(super) fn arrivals(scene: &Scene<'_>) -> Vec<Json> {
    events(scene, Way::Came)
}

pub(super) fn departures(scene: &Scene<'_>) -> Vec<Json> {
    events(scene, Way::Left)
}

pub(super) fn deaths(scene: &Scene<'_>) -> Vec<Json> {
    events(scene, Way::Died)
}

fn events(scene: &Scene<'_>, wanted: Way) -> Vec<Json> {
    let mut all = Vec::new();
    for f in scene.files() {
        // An animal that was not born here tells the rest of itself with its first coming.
        let first = f.movements.iter().find(|m| m.struck.is_none() && way(m.to) == Way::Came).map(|m| m.id);
        for m in f.movements.iter().filter(|m| way(m.to) == wanted && scene.goes(&m.struck)) {
            all.extend(event(scene, f, m, first == Some(m.id), true));
        }
        if let Some(m) = standing(f, scene.how.today).filter(|m| way(m.to) == wanted) {
            let dated = f.animal.status_on.is_some();
            all.extend(event(scene, f, &m, wanted == Way::Came && first.is_none(), dated));
        }
    }
    all
}

/// The standing of an animal that no line of its own tells.
fn standing(f: &AnimalFile, today: Day) -> Option<Movement> {
    let a = &f.animal;
    let told =
        f.movements.iter().any(|m| m.struck.is_none() && m.to == a.status && Some(m.on) == a.status_on);
    let plain = a.status == Status::Outside || (a.status == Status::Present && a.status_on.is_none());
    if told || plain {
        return None;
    }
    Some(Movement {
        id: MovementId::from_bytes(a.id.bytes()),
        animal: a.id,
        // Where no day is known this one is not written.
        on: a.status_on.or(a.born.day()).unwrap_or(today),
        to: a.status,
        other: None,
        reason: a.status_reason.clone(),
        details: Seldom::default(),
        struck: None,
    })
}

fn event(scene: &Scene<'_>, f: &AnimalFile, m: &Movement, with_extras: bool, dated: bool) -> Option<Json> {
    let kind = match way(m.to) {
        Way::Came => "icarMovementArrivalEventResource",
        Way::Left => "icarMovementDepartureEventResource",
        Way::Died => "icarMovementDeathEventResource",
    };
    let mut made = scene.event(kind, m.id.bytes(), m.animal, &m.struck)?;
    if dated {
        made.text("eventDateTime", Some(noon(m.on)));
    }
    let d = &m.details;
    let mut kept =
        if with_extras && scene.born_here(f).is_none() { extras(&f.animal) } else { Kept::default() };
    kept.put("other", m.other.clone());
    match way(m.to) {
        Way::Came => {}
        Way::Left => {
            let (kind, reason) = match m.to {
                Status::Sold => ("Sale", "Sale"),
                Status::Culled => ("Slaughter", "Slaughter"),
                _ => ("Other", "Other"),
            };
            made.text("departureKind", Some(kind));
            made.text("departureReason", Some(reason));
            if matches!(m.to, Status::Lent | Status::Outside) {
                kept.put("to", Some(m.to.word()));
            }
        }
        Way::Died => {
            let cause = d.cause.as_deref().or(m.reason.as_deref());
            made.text("deathReason", Some(words::death_reason(m.to, cause)));
            made.text("deathMethod", (m.to == Status::Missing).then_some("Lost"));
            made.text("explanation", d.cause.clone());
            made.text("disposalReference", d.receipt.clone());
            kept.put("disposal", d.disposal.clone());
        }
    }
    if way(m.to) != Way::Died {
        kept.put("cause", d.cause.clone());
        kept.put("disposal", d.disposal.clone());
        kept.put("receipt", d.receipt.clone());
    }
    let consignment = consignment(scene, m);
    if !consignment.is_empty() {
        made.put("consignment", consignment.json());
    }
    made.text("remark", kept.remark(m.reason.as_deref()));
    Some(made.json())
}

/// Between which places, and who carried them.
fn consignment(scene: &Scene<'_>, m: &Movement) -> Made {
    let d = &m.details;
    let mut made = Made::default();
    let (there, here) = match way(m.to) {
        Way::Came => ("origin", "destination"),
        Way::Left | Way::Died => ("destination", "origin"),
    };
    if let Some(number) = &d.number {
        made.put(&format!("{there}Location"), schemes::of_place(number).json());
    }
    if let Some(address) = &d.address {
        made.put(&format!("{there}PostalAddress"), json!({ "streetAddress": address }));
    }
    made.text("transportOperator", d.carrier.clone());
    made.text("vehicle", d.vehicle.clone());
    made.text("transportReference", d.document.clone());
    if !made.is_empty() {
        made.put(&format!("{here}Location"), scene.location());
    }
    made
}
