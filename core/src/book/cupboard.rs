//! The cupboard's records to rows and back: products, batches, stock, vets, prescriptions, egg counts,
//! and the keeper's rules.

use super::put::{amount, put, run, struck as struck_columns, text};
use super::rows::{animal_opt, day, day_opt, dose, id, odd, read_opt, struck};
use crate::flock::{
    Batch, Cupboard, EggCount, Prescription, Product, ProductMore, RoutePeriods, StockChange, StockMove, Vet,
};
use crate::rules::RuleChange;
use crate::terms::{
    BatchId, DoseRule, EggCountId, Misread, PrescriptionId, Price, ProductClass, ProductId, Route,
    RuleChangeId, StockMoveId, Strength, VetId, Withdrawal,
};
use rusqlite::{Connection, Row, params};

type Result<T> = rusqlite::Result<T>;

fn all<T>(
    db: &Connection,
    table: &str,
    columns: &str,
    row: impl Fn(&Row<'_>) -> Result<T>,
) -> Result<Vec<T>> {
    db.prepare_cached(&format!("select {columns} from {table} order by id"))?.query_map([], row)?.collect()
}

/// Everything of the cupboard but its products.
pub(super) fn read(db: &Connection) -> Result<Cupboard> {
    Ok(Cupboard {
        batches: all(db, "batch", BATCH, batch)?,
        moves: all(db, "stock_move", STOCK_MOVE, stock_move)?,
        vets: all(db, "vet", VET, vet)?,
        prescriptions: all(db, "prescription", PRESCRIPTION, prescription)?,
        egg_counts: all(db, "egg_count", EGG_COUNT, egg_count)?,
    })
}

/// The cupboard's products.
pub(super) fn products(db: &Connection) -> Result<Vec<Product>> {
    all(db, "product", PRODUCT, product)
}

/// What the keeper changed of the rule sets.
pub(super) fn rule_changes(db: &Connection) -> Result<Vec<RuleChange>> {
    all(db, "rule_change", "id, rule_set, row_key, toml", |r| {
        Ok(RuleChange {
            id: RuleChangeId::from_bytes(id(r, 0)?),
            set: r.get(1)?,
            row: r.get(2)?,
            toml: r.get(3)?,
        })
    })
}

const PRODUCT: &str = "id, name, substance, form, ug_per_ml, rule, rule_ul, route, meat, milk, licensed_for, export, routes, opened_days, storage, prescription_only, class, most_kind, most, site_most_kind, site_most";

fn product(r: &Row<'_>) -> Result<Product> {
    let ul: Option<u32> = r.get(6)?;
    let routes = |text: &str| {
        serde_json::from_str::<Vec<RoutePeriods>>(text)
            .map_err(|e| Misread::new(format!("routes of a product: {e}")))
    };
    Ok(Product {
        id: ProductId::from_bytes(id(r, 0)?),
        name: r.get(1)?,
        substance: r.get(2)?,
        form: r.get(3)?,
        strength: r.get::<_, Option<u32>>(4)?.map(Strength),
        rule: match (r.get_ref(5)?.as_str()?, ul) {
            ("per kg", Some(ul)) => DoseRule::PerKg(ul),
            ("per head", Some(ul)) => DoseRule::PerHead(ul),
            _ => DoseRule::Typed,
        },
        route: read_opt(r, 7, Route::parse)?,
        meat: read_at(r, 8)?,
        milk: read_at(r, 9)?,
        licensed_for: r.get(10)?,
        more: ProductMore {
            export: read_at(r, 11)?,
            routes: super::rows::read(r, 12, routes)?,
            opened_days: r.get(13)?,
            storage: r.get(14)?,
            prescription_only: r.get(15)?,
            class: super::rows::read(r, 16, ProductClass::parse)?,
            most: dose(r, 17)?,
            site_most: dose(r, 19)?,
        },
    })
}

fn read_at(r: &Row<'_>, i: usize) -> Result<Withdrawal> {
    super::rows::read(r, i, Withdrawal::parse)
}

pub(super) fn put_product(db: &Connection, p: &Product) -> Result<()> {
    let (rule, ul) = match p.rule {
        DoseRule::PerKg(ul) => ("per kg", Some(ul)),
        DoseRule::PerHead(ul) => ("per head", Some(ul)),
        DoseRule::Typed => ("typed", None),
    };
    let ((most_kind, most), (site_kind, site)) = (amount(p.more.most), amount(p.more.site_most));
    let routes = serde_json::to_string(&p.more.routes)
        .map_err(|e| rusqlite::Error::ToSqlConversionFailure(e.into()))?;
    put(
        db,
        "product",
        &columns(PRODUCT),
        !known(db, "product", p.id.bytes())?,
        params![
            p.id.bytes(),
            p.name,
            p.substance,
            p.form,
            p.strength.map(|s| s.0),
            rule,
            ul,
            p.route.map(|r| r.word()),
            p.meat.text(),
            p.milk.text(),
            p.licensed_for,
            p.more.export.text(),
            routes,
            p.more.opened_days,
            p.more.storage,
            p.more.prescription_only,
            p.more.class.word(),
            most_kind,
            most,
            site_kind,
            site,
        ],
    )
}

/// A record of this id is there: it takes new values.
fn known(db: &Connection, table: &str, id: [u8; 16]) -> Result<bool> {
    db.prepare_cached(&format!("select 1 from {table} where id = ?"))?.exists([id])
}

fn columns(list: &str) -> Vec<&str> {
    list.split(", ").collect()
}

const BATCH: &str = "id, product, number, expiry_on, bought_on, supplier, supplier_address, quantity_kind, quantity, price_cents, invoice, opened_on, note, struck, struck_on";

fn batch(r: &Row<'_>) -> Result<Batch> {
    Ok(Batch {
        id: BatchId::from_bytes(id(r, 0)?),
        product: ProductId::from_bytes(id(r, 1)?),
        number: r.get(2)?,
        expiry: day_opt(r, 3)?,
        bought_on: day_opt(r, 4)?,
        supplier: r.get(5)?,
        supplier_address: r.get(6)?,
        quantity: dose(r, 7)?,
        price: r.get::<_, Option<u32>>(9)?.map(Price::from_cents),
        invoice: r.get(10)?,
        opened_on: day_opt(r, 11)?,
        note: r.get(12)?,
        struck: struck(r, 13)?,
    })
}

pub(super) fn put_batch(db: &Connection, b: &Batch) -> Result<()> {
    let (kind, quantity) = amount(b.quantity);
    let (why, when) = struck_columns(&b.struck);
    put(
        db,
        "batch",
        &columns(BATCH),
        !known(db, "batch", b.id.bytes())?,
        params![
            b.id.bytes(),
            b.product.bytes(),
            b.number,
            text(b.expiry),
            text(b.bought_on),
            b.supplier,
            b.supplier_address,
            kind,
            quantity,
            b.price.map(Price::cents),
            b.invoice,
            text(b.opened_on),
            b.note,
            why,
            when,
        ],
    )
}

const STOCK_MOVE: &str =
    "id, product, batch, on_day, change, quantity_kind, quantity, how, place, reason, struck, struck_on";

fn stock_move(r: &Row<'_>) -> Result<StockMove> {
    let word = r.get_ref(4)?.as_str()?;
    Ok(StockMove {
        id: StockMoveId::from_bytes(id(r, 0)?),
        product: ProductId::from_bytes(id(r, 1)?),
        batch: r.get(2)?,
        on: day(r, 3)?,
        change: StockChange::ALL.into_iter().find(|c| c.word() == word).ok_or_else(|| odd(4, word))?,
        quantity: dose(r, 5)?,
        how: r.get(7)?,
        place: r.get(8)?,
        reason: r.get(9)?,
        struck: struck(r, 10)?,
    })
}

pub(super) fn put_stock_move(db: &Connection, m: &StockMove) -> Result<()> {
    let (kind, quantity) = amount(m.quantity);
    let (why, when) = struck_columns(&m.struck);
    put(
        db,
        "stock_move",
        &columns(STOCK_MOVE),
        !known(db, "stock_move", m.id.bytes())?,
        params![
            m.id.bytes(),
            m.product.bytes(),
            m.batch,
            m.on.to_string(),
            m.change.word(),
            kind,
            quantity,
            m.how,
            m.place,
            m.reason,
            why,
            when,
        ],
    )
}

const VET: &str = "id, name, practice, address, contact, number";

fn vet(r: &Row<'_>) -> Result<Vet> {
    Ok(Vet {
        id: VetId::from_bytes(id(r, 0)?),
        name: r.get(1)?,
        practice: r.get(2)?,
        address: r.get(3)?,
        contact: r.get(4)?,
        number: r.get(5)?,
    })
}

pub(super) fn put_vet(db: &Connection, v: &Vet) -> Result<()> {
    let new = !known(db, "vet", v.id.bytes())?;
    let values = params![v.id.bytes(), v.name, v.practice, v.address, v.contact, v.number];
    put(db, "vet", &columns(VET), new, values)
}

const PRESCRIPTION: &str = "id, vet, on_day, valid_to, number, product, whom, dose, reason, off_label, meat, milk, export, struck, struck_on";

fn prescription(r: &Row<'_>) -> Result<Prescription> {
    Ok(Prescription {
        id: PrescriptionId::from_bytes(id(r, 0)?),
        vet: VetId::from_bytes(id(r, 1)?),
        on: day(r, 2)?,
        valid_to: day_opt(r, 3)?,
        number: r.get(4)?,
        product: r.get(5)?,
        whom: r.get(6)?,
        dose: r.get(7)?,
        reason: r.get(8)?,
        off_label: r.get(9)?,
        meat: read_at(r, 10)?,
        milk: read_at(r, 11)?,
        export: read_at(r, 12)?,
        struck: struck(r, 13)?,
    })
}

pub(super) fn put_prescription(db: &Connection, p: &Prescription) -> Result<()> {
    let (why, when) = struck_columns(&p.struck);
    put(
        db,
        "prescription",
        &columns(PRESCRIPTION),
        !known(db, "prescription", p.id.bytes())?,
        params![
            p.id.bytes(),
            p.vet.bytes(),
            p.on.to_string(),
            text(p.valid_to),
            p.number,
            p.product,
            p.whom,
            p.dose,
            p.reason,
            p.off_label,
            p.meat.text(),
            p.milk.text(),
            p.export.text(),
            why,
            when,
        ],
    )
}

const EGG_COUNT: &str = "id, animal, herd, on_day, epg, product, treated_on, note, struck, struck_on";

fn egg_count(r: &Row<'_>) -> Result<EggCount> {
    Ok(EggCount {
        id: EggCountId::from_bytes(id(r, 0)?),
        animal: animal_opt(r, 1)?,
        group: r.get(2)?,
        on: day(r, 3)?,
        epg: r.get(4)?,
        product: r.get(5)?,
        treated_on: day_opt(r, 6)?,
        note: r.get(7)?,
        struck: struck(r, 8)?,
    })
}

pub(super) fn put_egg_count(db: &Connection, e: &EggCount) -> Result<()> {
    let (why, when) = struck_columns(&e.struck);
    put(
        db,
        "egg_count",
        &columns(EGG_COUNT),
        !known(db, "egg_count", e.id.bytes())?,
        params![
            e.id.bytes(),
            e.animal.map(|a| a.bytes()),
            e.group,
            e.on.to_string(),
            e.epg,
            e.product,
            text(e.treated_on),
            e.note,
            why,
            when,
        ],
    )
}

pub(super) fn put_rule_change(db: &Connection, c: &RuleChange) -> Result<()> {
    run(
        db,
        "insert into rule_change (id, rule_set, row_key, toml) values (?1, ?2, ?3, ?4)
         on conflict (id) do update set toml = ?4 where toml is not ?4",
        params![c.id.bytes(), c.set, c.row, c.toml],
    )
}
