//! The journal's rows in words: which record they belong to, what a column is called, what a value says.

use crate::flock::RecordRef;
use crate::terms::{
    AnimalId, BatchId, CrayonId, CreepId, Day, DecisionId, DocumentId, Dose, Ease, EggCountId, FeedId,
    FeedMoveId, FeedSheetId, GeneTestId, JoiningId, LambingId, Level, MarkId, Mass, MeasureId, MoneyId,
    MovementId, PenCheckId, PenMoveId, PrescriptionId, Price, ProductId, RationId, RemarkId, ScanId,
    ScoringId, SessionId, StockMoveId, Strength, TickId, TreatmentId, Units, VetId, WeighingId, Weight,
    Withdrawal,
};
use rusqlite::{Connection, OptionalExtension as _};
use serde_json::Value;

/// Tables whose rows are records with an id of their own, and which kind of record they are.
macro_rules! tables {
    ($($table:literal => $kind:ident($id:ident),)+) => {
        /// The record of this table and id; none of a table that holds no records.
        pub(super) fn record_of(table: &str, id: [u8; 16]) -> Option<RecordRef> {
            Some(match table {
                $($table => RecordRef::$kind($id::from_bytes(id)),)+
                _ => return None,
            })
        }

        /// Table and id of a record.
        pub(super) fn row_of(record: RecordRef) -> (&'static str, [u8; 16]) {
            match record {
                $(RecordRef::$kind(id) => ($table, id.bytes()),)+
            }
        }
    };
}

tables! {
    "animal" => Animal(AnimalId),
    "lambing" => Lambing(LambingId),
    "joining" => Joining(JoiningId),
    "weighing" => Weighing(WeighingId),
    "treatment" => Treatment(TreatmentId),
    "pen_move" => PenMove(PenMoveId),
    "movement" => Movement(MovementId),
    "remark" => Remark(RemarkId),
    "tick" => Tick(TickId),
    "product" => Product(ProductId),
    "batch" => Batch(BatchId),
    "stock_move" => StockMove(StockMoveId),
    "vet" => Vet(VetId),
    "prescription" => Prescription(PrescriptionId),
    "document" => Document(DocumentId),
    "egg_count" => EggCount(EggCountId),
    "mating_mark" => Mark(MarkId),
    "crayon" => Crayon(CrayonId),
    "scan" => Scan(ScanId),
    "gene_test" => GeneTest(GeneTestId),
    "scoring" => Scoring(ScoringId),
    "session" => Session(SessionId),
    "decision" => Decision(DecisionId),
    "money" => Money(MoneyId),
    "feed" => Feed(FeedId),
    "feed_move" => FeedMove(FeedMoveId),
    "feed_sheet" => FeedSheet(FeedSheetId),
    "feed_measure" => Measure(MeasureId),
    "creep" => Creep(CreepId),
    "ration" => Ration(RationId),
    "pen_check" => PenCheck(PenCheckId),
}

/// Which record a journal change belongs to.
pub(super) fn record(table: &str, key: &str) -> Option<RecordRef> {
    let id = u128::from_str_radix(key, 16).ok().filter(|_| key.len() == 32)?.to_be_bytes();
    // What was seen of a lamb at its birth is of the lamb.
    record_of(if table == "birth" { "animal" } else { table }, id)
}

/// A column in words.
pub(super) fn field_words(column: &str) -> &str {
    match column {
        "on_day" | "from_on" => "day",
        "of_table" => "kept with",
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
        "likened" => "like",
        "made_for" => "made for",
        "bag_g" => "bag",
        "amount_g" => "amount",
        "holds_g" => "trough holds",
        "each_g" => "a head a day",
        "weighed_g" => "weighed",
        "best_before" => "best before",
        "per_kg" => "medicine in a kg",
        "per_kg_kind" => "kind of medicine's amount",
        "dry_matter" => "dry matter",
        "tdn" => "digestible nutrients",
        "fibre" => "crude fibre",
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
        "bag_g" | "amount_g" | "holds_g" | "each_g" => {
            text.parse().ok().and_then(Mass::from_grams).map_or(text, |m| m.show(Units::Metric))
        }
        "level" => text.parse().ok().and_then(Level::from_percent).map_or(text, |l| l.to_string()),
        "dry_matter" | "protein" | "energy" | "tdn" | "calcium" | "phosphorus" | "copper" | "molybdenum"
        | "selenium" | "fibre" => text.parse().map_or(text, |t: f64| format!("{}", t / 1000.0)),
        "feed" => db
            .prepare_cached("select name from feed where id = unhex(?1)")
            .and_then(|mut s| s.query_row([&text], |r| r.get(0)).optional())
            .ok()
            .flatten()
            .unwrap_or_else(|| "a feed".into()),
        "measure" => "a measure".into(),
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
        | "treated_on" | "best_before" => Day::parse_iso(&text).map_or(text, Day::words),
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
