//! The journal's rows in words: which record they belong to, what a column is called, what a value says.

use crate::flock::RecordRef;
use crate::terms::{
    AnimalId, BatchId, CrayonId, Day, DecisionId, DocumentId, Dose, Ease, EggCountId, GeneTestId, JoiningId,
    LambingId, MarkId, MoneyId, MovementId, PenMoveId, PrescriptionId, Price, ProductId, RemarkId, ScanId,
    ScoringId, SessionId, StockMoveId, Strength, TickId, TreatmentId, VetId, WeighingId, Weight, Withdrawal,
};
use rusqlite::{Connection, OptionalExtension as _};
use serde_json::Value;

/// Which record a journal change belongs to.
pub(super) fn record(table: &str, key: &str) -> Option<RecordRef> {
    let bytes = u128::from_str_radix(key, 16).ok().filter(|_| key.len() == 32)?.to_be_bytes();
    Some(match table {
        "animal" | "birth" => RecordRef::Animal(AnimalId::from_bytes(bytes)),
        "lambing" => RecordRef::Lambing(LambingId::from_bytes(bytes)),
        "joining" => RecordRef::Joining(JoiningId::from_bytes(bytes)),
        "weighing" => RecordRef::Weighing(WeighingId::from_bytes(bytes)),
        "treatment" => RecordRef::Treatment(TreatmentId::from_bytes(bytes)),
        "pen_move" => RecordRef::PenMove(PenMoveId::from_bytes(bytes)),
        "movement" => RecordRef::Movement(MovementId::from_bytes(bytes)),
        "remark" => RecordRef::Remark(RemarkId::from_bytes(bytes)),
        "tick" => RecordRef::Tick(TickId::from_bytes(bytes)),
        "product" => RecordRef::Product(ProductId::from_bytes(bytes)),
        "batch" => RecordRef::Batch(BatchId::from_bytes(bytes)),
        "stock_move" => RecordRef::StockMove(StockMoveId::from_bytes(bytes)),
        "vet" => RecordRef::Vet(VetId::from_bytes(bytes)),
        "prescription" => RecordRef::Prescription(PrescriptionId::from_bytes(bytes)),
        "document" => RecordRef::Document(DocumentId::from_bytes(bytes)),
        "egg_count" => RecordRef::EggCount(EggCountId::from_bytes(bytes)),
        "mating_mark" => RecordRef::Mark(MarkId::from_bytes(bytes)),
        "crayon" => RecordRef::Crayon(CrayonId::from_bytes(bytes)),
        "scan" => RecordRef::Scan(ScanId::from_bytes(bytes)),
        "gene_test" => RecordRef::GeneTest(GeneTestId::from_bytes(bytes)),
        "scoring" => RecordRef::Scoring(ScoringId::from_bytes(bytes)),
        "session" => RecordRef::Session(SessionId::from_bytes(bytes)),
        "decision" => RecordRef::Decision(DecisionId::from_bytes(bytes)),
        "money" => RecordRef::Money(MoneyId::from_bytes(bytes)),
        _ => return None,
    })
}

/// A column in words.
pub(super) fn field_words(column: &str) -> &str {
    match column {
        "on_day" | "from_on" => "day",
        "to_on" => "last day",
        "at_time" => "time",
        "weight_g" => "weight",
        "birth_weight_g" => "birth weight",
        "dose_kind" => "kind of dose",
        "given_by" => "given by",
        "prescribed_by" => "prescribed by",
        "meat" => "meat withdrawal",
        "milk" => "milk withdrawal",
        "navel_dipped" => "navel dipped",
        "colostrum_ul" => "colostrum",
        "status_on" => "since",
        "status_reason" => "because",
        "genetic_dam" => "genetic dam",
        "birth_type" => "born as",
        "rear_type" => "reared as",
        "foster" => "foster ewe",
        "meant_for" => "meant for",
        "until_on" => "put off until",
        "expiry_on" => "expiry",
        "bought_on" => "bought on",
        "opened_on" => "opened on",
        "valid_to" => "valid to",
        "supplier_address" => "supplier's address",
        "price_cents" => "price",
        "cents" => "amount",
        "quarters" => "score",
        "quantity_kind" => "kind of quantity",
        "export" => "export withdrawal",
        "vet_gave" => "given by a vet",
        "off_label" => "off-label",
        "herd" => "group",
        "epg" => "eggs per gram",
        "treated_on" => "treated on",
        "age_days" => "age in days",
        "number" => "number",
        "licensed_for" => "licensed for",
        "opened_days" => "days once opened",
        "prescription_only" => "on prescription only",
        "ug_per_ml" => "strength",
        "rule_ul" => "dose",
        "course_nth" => "dose of the course",
        "course_of" => "doses of the course",
        "course_hours" => "hours between doses",
        other => other,
    }
}

/// A journal value in words: weights with unit, days as people read them, animals by tag.
pub(super) fn shown(db: &Connection, column: &str, value: &Value) -> String {
    let text = match value {
        Value::Null => return "nothing".into(),
        Value::String(s) => s.clone(),
        other => other.to_string(),
    };
    match column {
        "weight_g" | "birth_weight_g" => {
            text.parse().ok().and_then(Weight::from_grams).map_or(text, |w| w.to_string())
        }
        "colostrum_ul" => text.parse().ok().map(Dose::Volume).map_or(text, |d| d.to_string()),
        "dose" | "quantity" | "rule_ul" | "most" | "site_most" => {
            text.parse().ok().map(Dose::Volume).map_or(text, |d| d.to_string())
        }
        "quarters" => {
            let points = text.parse::<f64>().map(|q| format!("{:.2}", q / 4.0));
            points.map_or(text, |p| p.trim_end_matches('0').trim_end_matches('.').to_string())
        }
        "price_cents" | "cents" => text.parse().ok().map(Price::from_cents).map_or(text, |p| p.to_string()),
        "ug_per_ml" => text.parse().ok().map(Strength).map_or(text, |s| format!("{} mg per ml", s.mg_per_ml())),
        "vet" => db
            .prepare_cached("select name from vet where id = unhex(?1)")
            .and_then(|mut s| s.query_row([&text], |r| r.get(0)).optional())
            .ok()
            .flatten()
            .unwrap_or_else(|| "a vet".into()),
        "prescription" => db
            .prepare_cached("select product || ', ' || on_day from prescription where id = unhex(?1)")
            .and_then(|mut s| s.query_row([&text], |r| r.get(0)).optional())
            .ok()
            .flatten()
            .unwrap_or_else(|| "a prescription".into()),
        "course" => "a course".into(),
        "meat" | "milk" | "export" => Withdrawal::parse(&text).map_or(text, |w| w.to_string()),
        "on_day" | "from_on" | "to_on" | "status_on" | "expiry_on" | "bought_on" | "opened_on" | "valid_to"
        | "treated_on" => Day::parse_iso(&text).map_or(text, Day::words),
        "ease" => Ease::parse(&text).map_or(text, |e| e.words().to_string()),
        "sucked" | "navel_dipped" | "vet_gave" | "off_label" | "prescription_only" if matches!(text.as_str(), "0" | "1") => if text == "1" { "yes" } else { "no" }.to_string(),
        "ram" | "ewe" | "dam" | "sire" | "genetic_dam" | "foster" | "animal" | "parent" => db
            .prepare_cached(
                "select tag from identity where animal = unhex(?1) order by ended is not null, kind <> 'flock', place limit 1",
            )
            .and_then(|mut s| s.query_row([&text], |r| r.get(0)).optional())
            .ok()
            .flatten()
            .unwrap_or_else(|| "an animal".into()),
        _ => text,
    }
}
