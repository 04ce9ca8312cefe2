//! Joinings, lambings, weighings, condition scores, scans.

use super::super::schemes::Ident;
use super::super::words;
use super::item::{Event, LambItem};
use super::{Place, Reader};
use crate::entry::{
    Entry, JoiningDraft, LambDraft, LambingDraft, ScanDraft, ScoringDraft, WeighingDraft, joinings, lambings,
    scans, scorings, weighings,
};
use crate::exchange::sheet::Met;
use crate::flock::Sire;
use crate::terms::{
    AnimalId, Dose, Ease, ElectronicId, Fate, IdentityKind, JoiningId, LambingId, Moment, Rearing, ScanId,
    Scanned, Score, ScoringId, Tag, WeighingId, Weight,
};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// What a birth in the register tells of a lamb.
#[derive(Debug, Default, Clone)]
struct Seen {
    ease: Option<Ease>,
    sucked: Option<bool>,
    navel_dipped: Option<bool>,
    colostrum: Option<Dose>,
}

impl Reader<'_> {
    pub(super) fn joinings(&mut self, all: Vec<(Event, Option<Ident>, Option<Moment>, String)>) {
        let (mut places, mut drafts, mut ids, mut met) =
            (Vec::new(), Vec::new(), Vec::new(), Met::<JoiningId>::default());
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.joinings).map(|j| j.id.0).collect();
        for (event, ram, to, service) in all {
            if self.is_held(&event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(ewe), Some(at)) = (self.whose(&event), event.at) else { continue };
            let Some(ram) = ram.and_then(|r| self.find(&r)) else {
                self.leave("joinings whose ram neither file nor book has");
                continue;
            };
            let kept = |key: &str| event.kept.get(key).map(str::to_string);
            let method = kept("method").or_else(|| words::method(&service).filter(|_| !event.ours));
            let draft = JoiningDraft {
                ram,
                ewes: vec![ewe],
                from: at.day,
                to: to.map(|t| t.day),
                method,
                group: kept("group"),
            };
            let same = |j: &crate::flock::Joining| {
                j.struck.is_none()
                    && (j.ram, j.from, j.to) == (draft.ram, draft.from, draft.to)
                    && (j.method.as_deref() == draft.method.as_deref()
                        && j.group.as_deref() == draft.group.as_deref()
                        || !event.ours)
            };
            if met.one(self.book.file(ewe).into_iter().flat_map(|f| &f.joinings), |j| j.id, same) {
                self.same += 1;
                continue;
            }
            places.push(event.place);
            ids.push(event.record);
            drafts.push(draft);
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.ewes[0], d.from, d.ram)).collect();
        let check = joinings(drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            if let Entry::Joinings(all) = entry {
                all.iter_mut().zip(ids).for_each(|(j, id)| j.id = id.map_or(j.id, JoiningId));
            }
        });
        for (ewe, on, ram) in told {
            let with = format!("with {}", self.flock.tag(ram));
            self.tell("joining", ewe, Some(on), with);
        }
    }

    pub(super) fn lambings(&mut self, all: Vec<(Event, Option<Ease>, Vec<LambItem>)>, births: &[Event]) {
        let seen = self.seen(births);
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.lambings).map(|l| l.id.0).collect();
        let (mut places, mut drafts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
        for (event, ease, lambs) in all {
            if self.is_held(&event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(ewe), Some(at)) = (self.whose(&event), event.at) else { continue };
            // One lambing of a ewe and day: whoever wrote it.
            if self.book.file(ewe).is_some_and(|f| f.lambings_standing().any(|l| l.at.day == at.day)) {
                self.same += 1;
                continue;
            }
            let Some(lambs) = self.lambs(lambs, &seen) else { continue };
            let sire = match self.several(event.kept.get("ram")).first() {
                Some(ram) => Sire::Known(*ram),
                None => self.in_doubt(event.kept.get("sires")),
            };
            places.extend(std::iter::repeat_n(event.place, lambs.len()));
            ids.push(event.record);
            let help = event.kept.get("help").map(str::to_string);
            drafts.push(LambingDraft {
                ewe,
                at,
                sire,
                ease,
                help,
                note: event.note,
                pen: None,
                lambs,
                foster_on: Vec::new(),
            });
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.ewe, d.at.day, d.lambs.len())).collect();
        let check = lambings(&drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            let Entry::Lambings(all) = entry else { return };
            for (l, id) in all.iter_mut().zip(ids) {
                if let Some(id) = id {
                    l.lambing.id = LambingId(id);
                    l.lambs.iter_mut().for_each(|lamb| lamb.birth.lambing = LambingId(id));
                }
            }
        });
        for (ewe, on, n) in told {
            self.tell("lambing", ewe, Some(on), crate::reckon::life::litter(n));
        }
    }

    fn seen(&self, births: &[Event]) -> HashMap<AnimalId, Seen> {
        let yes_no = |t: Option<&str>| match t {
            Some("yes") => Some(true),
            Some("no") => Some(false),
            _ => None,
        };
        let one = |e: &Event| {
            let kept = &e.kept;
            let seen = Seen {
                ease: kept.get("ease").and_then(|t| Ease::parse(t).ok()),
                sucked: yes_no(kept.get("sucked")),
                navel_dipped: yes_no(kept.get("navel_dipped")),
                colostrum: kept.get("colostrum").and_then(|t| Dose::parse(t).ok()),
            };
            Some((self.find(&e.animal)?, seen))
        };
        births.iter().filter_map(one).collect()
    }

    /// The lambs of a lambing; none where one of them cannot be written.
    fn lambs(&mut self, all: Vec<LambItem>, seen: &HashMap<AnimalId, Seen>) -> Option<Vec<LambDraft>> {
        let mut drafts = Vec::new();
        for lamb in all {
            let known = lamb.who.as_ref().and_then(|i| self.find(i));
            let sex = known.and_then(|id| self.flock.animal(id)).map(|a| a.sex).or(lamb.sex);
            let Some(sex) = sex else {
                self.leave("lambings with a lamb of no known sex");
                return None;
            };
            let mut d = LambDraft::new(sex);
            d.known = known;
            d.weight = lamb.weight;
            d.fate = lamb.fate.unwrap_or(Fate::Alive);
            let seen = known.and_then(|id| seen.get(&id)).cloned().unwrap_or_default();
            (d.ease, d.sucked, d.navel_dipped, d.colostrum) =
                (seen.ease, seen.sucked, seen.navel_dipped, seen.colostrum);
            // Who rears a lamb of the file stands with the lamb.
            d.rearing = Rearing::Dam;
            if known.is_none() {
                d.name = lamb.name;
                d.tag = lamb.tag.as_deref().and_then(|t| Tag::parse(t).ok());
                if let Some((IdentityKind::Electronic, None)) =
                    lamb.who.as_ref().and_then(|i| super::schemes::kind(&i.scheme))
                {
                    let number = lamb.who.as_ref().and_then(|i| ElectronicId::parse(&i.id).ok());
                    d.electronic = number.and_then(|n| Tag::parse(&n.digits()).ok());
                } else if d.tag.is_none() {
                    d.tag = lamb.who.as_ref().and_then(|i| Tag::parse(&i.id).ok());
                }
            }
            drafts.push(d);
        }
        Some(drafts)
    }

    pub(super) fn weighings(&mut self, all: Vec<(Event, Weight)>) {
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.weighings).map(|w| w.id.0).collect();
        let mut met = Met::<WeighingId>::default();
        let (mut places, mut drafts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
        for (event, weight) in all {
            if self.is_held(&event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(animal), Some(at)) = (self.whose(&event), event.at) else { continue };
            let same = |w: &crate::flock::Weighing| {
                w.struck.is_none()
                    && (w.at, w.weight, w.note.as_deref()) == (at, weight, event.note.as_deref())
            };
            if met.one(self.book.file(animal).into_iter().flat_map(|f| &f.weighings), |w| w.id, same) {
                self.same += 1;
                continue;
            }
            places.push(event.place);
            ids.push(event.record);
            drafts.push(WeighingDraft { animal, at, weight, note: event.note });
        }
        if drafts.is_empty() {
            return;
        }
        let units = self.book.holding().units;
        let told: Vec<_> = drafts.iter().map(|d| (d.animal, d.at.day, d.weight.show(units))).collect();
        let check = weighings(drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            if let Entry::Weighings(all) = entry {
                all.iter_mut().zip(ids).for_each(|(w, id)| w.id = id.map_or(w.id, WeighingId));
            }
        });
        for (animal, on, what) in told {
            self.tell("weighing", animal, Some(on), what);
        }
    }

    pub(super) fn scores(&mut self, all: Vec<(Event, Score)>) {
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.scores).map(|s| s.id.0).collect();
        let mut met = Met::<ScoringId>::default();
        let (mut places, mut drafts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
        for (event, score) in all {
            if self.is_held(&event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(animal), Some(at)) = (self.whose(&event), event.at) else { continue };
            let same = |s: &crate::flock::Scoring| {
                s.struck.is_none() && (s.at, s.score, s.note.as_deref()) == (at, score, event.note.as_deref())
            };
            if met.one(self.book.file(animal).into_iter().flat_map(|f| &f.scores), |s| s.id, same) {
                self.same += 1;
                continue;
            }
            places.push(event.place);
            ids.push(event.record);
            drafts.push(ScoringDraft { animal, at, score, note: event.note });
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.animal, d.at.day, d.score.words())).collect();
        let check = scorings(drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            if let Entry::Scorings(all) = entry {
                all.iter_mut().zip(ids).for_each(|(s, id)| s.id = id.map_or(s.id, ScoringId));
            }
        });
        for (animal, on, what) in told {
            self.tell("score", animal, Some(on), what);
        }
    }

    pub(super) fn scans(&mut self, all: Vec<(Event, Scanned, Option<u16>)>) {
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.scans).map(|s| s.id.0).collect();
        let mut met = Met::<ScanId>::default();
        let (mut places, mut drafts, mut ids): (Vec<Place>, _, _) = (Vec::new(), Vec::new(), Vec::new());
        for (event, found, age_days) in all {
            if self.is_held(&event, |id| known.contains(&id)) {
                continue;
            }
            let (Some(ewe), Some(at)) = (self.whose(&event), event.at) else { continue };
            let same = |s: &crate::flock::Scan| {
                s.struck.is_none()
                    && (s.on, s.found, s.age_days, s.note.as_deref())
                        == (at.day, found, age_days, event.note.as_deref())
            };
            if met.one(self.book.file(ewe).into_iter().flat_map(|f| &f.scans), |s| s.id, same) {
                self.same += 1;
                continue;
            }
            places.push(event.place);
            ids.push(event.record);
            drafts.push(ScanDraft { ewe, on: at.day, found, age_days, note: event.note });
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.ewe, d.on, d.found.words().to_string())).collect();
        let check = scans(drafts, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            if let Entry::Scans(all) = entry {
                all.iter_mut().zip(ids).for_each(|(s, id)| s.id = id.map_or(s.id, ScanId));
            }
        });
        for (ewe, on, what) in told {
            self.tell("scan", ewe, Some(on), what);
        }
    }
}
