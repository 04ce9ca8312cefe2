//! Joinings, scans, lambings, weighings, condition scores.

use super::super::kept::Kept;
use super::super::schemes;
use super::super::time::noon;
use super::super::words;
use super::{Scene, called};
use crate::flock::{Lambing, Sire};
use crate::terms::{Fate, Moment, ScoreKind, Status, Weight};
use serde_json::{Value as Json, json};

pub(super) fn joinings(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    for j in scene.files().flat_map(|f| &f.joinings).filter(|j| scene.goes(&j.struck)) {
        let made = scene.event("icarReproInseminationEventResource", j.id.bytes(), j.ewe, &j.struck);
        let (Some(mut made), Some(ram)) = (made, scene.ident(j.ram)) else { continue };
        made.text("eventDateTime", Some(noon(j.from)));
        made.text("eventEndDateTime", j.to.map(noon));
        made.text("inseminationType", Some(words::service(j.method.as_deref())));
        made.put("sireIdentifiers", json!([ram]));
        let name = scene.flock.animal(j.ram).and_then(|a| a.prefix.as_ref().zip(a.name.as_ref()));
        made.text("sireOfficialName", name.map(|(p, n)| format!("{p} {n}")));
        let mut kept = Kept::default();
        kept.put("method", j.method.clone());
        kept.put("group", j.group.clone());
        made.text("remark", kept.remark(None));
        all.push(made.json());
    }
    all
}

pub(super) fn scans(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    for s in scene.files().flat_map(|f| &f.scans).filter(|s| scene.goes(&s.struck)) {
        let made = scene.event("icarReproPregnancyCheckEventResource", s.id.bytes(), s.ewe, &s.struck);
        let Some(mut made) = made else { continue };
        made.text("eventDateTime", Some(noon(s.on)));
        made.text("method", Some("Echography"));
        let (result, count) = words::scan_words(s.found);
        made.text("result", Some(result));
        if let Some(count) = count {
            made.put("foetusCount", json!(count));
        }
        if let Some(age) = s.age_days {
            made.put("foetalAge", json!(age));
        }
        made.text("remark", Kept::default().remark(s.note.as_deref()));
        all.push(made.json());
    }
    all
}

pub(super) fn lambings(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    for f in scene.files() {
        let mut standing: Vec<&Lambing> = f.lambings_standing().collect();
        standing.sort_by_key(|l| (l.at, l.id));
        for l in f.lambings.iter().filter(|l| scene.goes(&l.struck)) {
            let parity = standing.iter().position(|s| s.id == l.id).map(|n| n + 1);
            all.extend(lambing(scene, l, parity));
        }
    }
    all
}

fn lambing(scene: &Scene<'_>, l: &Lambing, parity: Option<usize>) -> Option<Json> {
    let mut made = scene.event("icarReproParturitionEventResource", l.id.bytes(), l.ewe, &l.struck)?;
    made.text("eventDateTime", Some(scene.at(l.at)));
    if let Some(parity) = parity {
        made.put("damParity", json!(parity));
    }
    made.text("calvingEase", l.ease.map(words::ease_word));
    let (mut details, mut live) = (Vec::new(), 0);
    for id in &l.lambs {
        let Some(f) = scene.flock.file(*id) else { continue };
        let (a, Some(birth)) = (&f.animal, &f.birth) else { continue };
        let mut lamb = scene.resource("icarProgenyDetailsResource", a.id.bytes(), l.struck.is_some());
        lamb.put("identifier", schemes::of_animal(a).json());
        lamb.text("managementTag", Some(called(a)));
        lamb.text("specie", Some("Sheep"));
        lamb.text("gender", Some(words::gender(a.sex)));
        lamb.text("name", a.name.clone());
        // A fate that the standing contradicts is not carried, as in tables.
        let fate = if a.status == Status::Dead { birth.fate } else { Fate::Alive };
        lamb.text("birthStatus", Some(words::fate_word(fate)));
        if let Some(weight) = a.birth_weight {
            lamb.put("birthWeight", mass(weight));
        }
        live += usize::from(fate != Fate::BornDead);
        details.push(lamb.json());
    }
    made.put("totalProgeny", json!(details.len()));
    made.put("liveProgeny", json!(live));
    if !details.is_empty() {
        made.put("progenyDetails", Json::Array(details));
    }
    let mut kept = Kept::default();
    kept.put("help", l.help.clone());
    kept.put("ram", l.ram.map(|r| r.0.to_string()));
    if l.ram.is_none() {
        // Rams in doubt, where all lambs have the same in common.
        let mut sires = l.lambs.iter().filter_map(|id| scene.flock.animal(*id)).map(|a| &a.sire);
        if let Some(Sire::OneOf(rams)) = sires.next().filter(|first| sires.all(|s| s == *first)) {
            let rams: Vec<String> = rams.iter().map(|r| r.0.to_string()).collect();
            kept.put("sires", Some(rams.join(" ")));
        }
    }
    made.text("remark", kept.remark(l.note.as_deref()));
    Some(made.json())
}

/// A weight in kilograms.
fn mass(weight: Weight) -> Json {
    // Whole grams over a thousand: the shortest decimal that reads back the same.
    json!({ "measurement": weight.grams() as f64 / 1000.0, "units": "KGM" })
}

pub(super) fn weighings(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    for w in scene.files().flat_map(|f| &f.weighings).filter(|w| scene.goes(&w.struck)) {
        let made = scene.event("icarWeightEventResource", w.id.bytes(), w.animal, &w.struck);
        let Some(mut made) = made else { continue };
        made.text("eventDateTime", Some(scene.at(w.at)));
        made.put("weight", mass(w.weight));
        made.text("remark", Kept::default().remark(w.note.as_deref()));
        all.push(made.json());
    }
    all
}

/// Scores of condition: of the scales we have it is the one that the standard has too.
pub(super) fn scores(scene: &Scene<'_>) -> Vec<Json> {
    let mut all = Vec::new();
    let condition = |s: &&crate::flock::Scoring| s.score.kind() == ScoreKind::Condition;
    for s in scene.files().flat_map(|f| &f.scores).filter(condition).filter(|s| scene.goes(&s.struck)) {
        let made = scene.event("icarConformationScoreEventResource", s.id.bytes(), s.animal, &s.struck);
        let Some(mut made) = made else { continue };
        made.text("eventDateTime", Some(scene.at(Moment { day: s.at.day, time: s.at.time })));
        made.text("traitScored", Some("BodyConditionScore"));
        made.put("score", json!(s.score.points()));
        made.text("method", Some("Manual"));
        made.text("remark", Kept::default().remark(s.note.as_deref()));
        all.push(made.json());
    }
    all
}
