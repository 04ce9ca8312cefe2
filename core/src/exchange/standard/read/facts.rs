//! Events of a document as plain values.

use super::super::schemes;
use super::super::words;
use super::field::{BadRecord, Obj, Place};
use super::item::{Items, LambItem, MoveItem, TreatmentItem};
use crate::terms::{Dose, Score, ScoreKind, Status, Weight};

impl Items {
    pub(super) fn joining(&mut self, place: Place, o: Obj<'_>) {
        let Some(event) = self.dated(place, o) else { return };
        let to = match o.text("eventEndDateTime").map(|t| self.zone.moment(t)).transpose() {
            Ok(to) => to,
            Err(why) => return self.bad.push(BadRecord::new(&event.place, "eventEndDateTime", why)),
        };
        let mut rams = o.objects("sireIdentifiers").filter_map(Obj::as_ident);
        let service = o.text("inseminationType").unwrap_or_default().to_string();
        self.joinings.push((event, rams.next(), to, service));
    }

    pub(super) fn scan(&mut self, place: Place, o: Obj<'_>) {
        let Some(event) = self.dated(place, o) else { return };
        let Some(found) = words::scan(o.text("result"), o.whole("foetusCount")) else {
            return self.leave("pregnancy checks without a result");
        };
        let age = o.whole("foetalAge").and_then(|a| u16::try_from(a).ok());
        self.scans.push((event, found, age));
    }

    pub(super) fn lambing(&mut self, place: Place, o: Obj<'_>) {
        let Some(event) = self.dated(place, o) else { return };
        let mut lambs = Vec::new();
        // `progeny` is the older name.
        let key = if o.value("progenyDetails").is_some() { "progenyDetails" } else { "progeny" };
        for lamb in o.objects(key) {
            let weight = lamb.object("birthWeight").and_then(|w| mass(&w));
            lambs.push(LambItem {
                who: lamb.ident("identifier"),
                tag: lamb.words("managementTag"),
                sex: lamb.text("gender").and_then(words::sex),
                name: lamb.words("name"),
                fate: lamb.text("birthStatus").and_then(words::fate),
                weight,
            });
        }
        if lambs.is_empty() {
            return self.leave("lambings that name no lamb");
        }
        self.lambings.push((event, o.text("calvingEase").and_then(words::ease), lambs));
    }

    pub(super) fn weighing(&mut self, place: Place, o: Obj<'_>) {
        let Some(event) = self.dated(place, o) else { return };
        match o.object("weight").and_then(|w| mass(&w)) {
            Some(weight) => self.weighings.push((event, weight)),
            None => self.bad.push(BadRecord::new(
                &event.place,
                "weight",
                "it is no weight of a sheep: write a measurement above 0 with its units, such as KGM",
            )),
        }
    }

    pub(super) fn score(&mut self, place: Place, o: Obj<'_>) {
        if o.text("traitScored") != Some("BodyConditionScore") {
            return self.leave("scores of traits other than condition");
        }
        let Some(event) = self.dated(place, o) else { return };
        let score = o.number("score").and_then(|s| Score::parse(ScoreKind::Condition, &s.to_string()).ok());
        match score {
            Some(score) => self.scores.push((event, score)),
            None => self.bad.push(BadRecord::new(
                &event.place,
                "score",
                "condition is scored 1 to 5 in quarters: mend it, or take it out",
            )),
        }
    }

    pub(super) fn treatment(&mut self, place: Place, o: Obj<'_>, reason: Option<&str>) {
        let Some(event) = self.dated(place, o) else { return };
        let mut ends = [None, None];
        for w in o.objects("withdrawals") {
            let side = match w.text("productType") {
                Some("Meat") if w.text("market") != Some(schemes::EXPORT) => 0,
                Some("Milk") => 1,
                _ => continue,
            };
            match w.text("endDate").map(|t| self.zone.moment(t)).transpose() {
                Ok(end) => ends[side] = ends[side].max(end),
                Err(why) => return self.bad.push(BadRecord::new(&event.place, "withdrawals", why)),
            }
        }
        let dose = o.object("dose");
        let amount = dose.and_then(|d| words::dose(d.number("doseQuantity")?, d.text("doseUnits")));
        if dose.is_some_and(|d| d.number("doseQuantity").is_some()) && amount.is_none() {
            self.leave("the doses of treatments, in units Hirsel does not have");
        }
        self.treatments.push(TreatmentItem {
            product: o.object("medicine").and_then(|m| m.words("name")),
            procedure: o.words("procedure"),
            batch: o.objects("batches").find_map(|b| b.words("identifier")),
            dose: amount.or_else(|| event.kept.get("dose").and_then(|d| Dose::parse(d).ok())),
            site: o.words("site"),
            reason: o.words("comment").or_else(|| reason.map(str::to_string)),
            given_by: o.words("responsible"),
            ends,
            event,
        });
    }

    /// The treatments that a programme brings along.
    pub(super) fn program(&mut self, place: &Place, o: Obj<'_>) {
        let reason = o.objects("diagnoses").find_map(|d| d.text("name"));
        let mut any = false;
        for t in o.objects("treatments") {
            any = true;
            self.treatment(place.clone(), t, reason);
        }
        if !any && !o.is_ours() {
            self.leave("courses without their treatments");
        }
    }

    pub(super) fn moved(&mut self, place: Place, o: Obj<'_>, to: Status) {
        self.detail(&place, o);
        let Some(event) = self.event(place, o) else { return };
        let to = event.kept.get("to").and_then(|t| Status::parse(t).ok()).unwrap_or(to);
        let c = o.object("consignment");
        let there = if to == Status::Present { "origin" } else { "destination" };
        let address = c.and_then(|c| {
            let postal = c.object(&format!("{there}PostalAddress"));
            let parts = ["streetAddress", "addressLocality", "addressRegion", "postalCode", "addressCountry"];
            let all: Vec<&str> =
                postal.into_iter().flat_map(|p| parts.into_iter().filter_map(move |k| p.text(k))).collect();
            let whole = (!all.is_empty()).then(|| all.join(", "));
            whole.or_else(|| c.words(&format!("{there}Address")))
        });
        let kept = |key: &str| event.kept.get(key).map(str::to_string);
        let (cause, receipt) = (kept("cause"), kept("receipt"));
        self.moves.push(MoveItem {
            to,
            number: c.and_then(|c| c.ident(&format!("{there}Location"))).map(|i| i.id),
            address,
            carrier: c.and_then(|c| c.words("transportOperator")),
            vehicle: c.and_then(|c| c.words("vehicle")),
            document: c.and_then(|c| c.words("transportReference")),
            cause: o.words("explanation").or(cause),
            receipt: o.words("disposalReference").or(receipt),
            event,
        });
    }
}

fn mass(w: &Obj<'_>) -> Option<Weight> {
    words::weight(w.number("measurement")?, w.text("units"))
}
