//! A treatment beside its label: on or off it, the least withdrawal then, substances that are banned, organic flocks.

use super::fault::{TreatmentRefused, TreatmentUnusual};
use super::minutes;
use crate::entry::{Faults, Field, Refused, Unusual};
use crate::flock::{AnimalFile, Flock, Product, Treatment};
use crate::phrase;
use crate::rules::{Commodity, OffLabelUse, species};
use crate::terms::{Dose, ProductClass, Route, Sex, Withdrawal};

/// What of a use is not as the label says, in words; nothing when all is, as far as the book knows the label.
pub fn off_label_of(p: &Product, route: Option<Route>, dose: Option<Dose>) -> Vec<String> {
    let mut what = Vec::new();
    if let Some(route) = route.filter(|r| p.allows_route(*r) == Some(false)) {
        what.push(phrase!("the label of {} does not name the route '{}'", p.name, route.words()));
    }
    if p.licensed_for.as_deref().is_some_and(|text| names_sheep(text) == Some(false)) {
        let whom = p.licensed_for.as_deref().unwrap_or_default();
        what.push(phrase!("{} is labelled for {whom}, not for sheep", p.name, whom = &whom));
    }
    if let (Some(dose), Some(most)) = (dose, p.more.most)
        && above(dose, most)
    {
        what.push(phrase!("{dose} is more than the label's most, {most}"));
    }
    what
}

fn above(dose: Dose, most: Dose) -> bool {
    match (dose, most) {
        (Dose::Volume(a), Dose::Volume(b)) | (Dose::Pieces(a), Dose::Pieces(b)) => a > b,
        (Dose::Mass(a), Dose::Mass(b)) => a > b,
        _ => false,
    }
}

/// Whether a label's animals are sheep, of any age and sex; nothing where its words do not settle it.
fn names_sheep(text: &str) -> Option<bool> {
    let low = text.to_lowercase();
    let sheep = ["sheep", "ewe", "ram", "lamb", "hogget", "ovine", "ruminant"];
    if low.split(|c: char| !c.is_alphabetic()).any(|w| sheep.iter().any(|s| w == *s || w == format!("{s}s")))
    {
        return Some(true);
    }
    // Words that name other animals, and nothing that is not understood.
    (species::is_food(text).is_some() && species::is_bovid(text).is_some()).then_some(false)
}

/// Meat, milk and export withdrawal a treatment takes when nothing else is written: the label's for the route, longer in
/// an organic flock.
pub fn usual_periods(
    flock: &Flock,
    p: &Product,
    route: Option<Route>,
) -> (Withdrawal, Withdrawal, Withdrawal) {
    let (meat, milk, export) = p.periods(route);
    let kept = |w| organic(flock, Some(p), w);
    (kept(meat), kept(milk), kept(export))
}

/// The label's period as an organic flock must keep it; as it is elsewhere.
pub(super) fn organic(flock: &Flock, p: Option<&Product>, label: Withdrawal) -> Withdrawal {
    let vaccine = p.is_some_and(|p| p.more.class == ProductClass::Vaccine);
    let rule = flock.rules().filter(|_| flock.holding().organic).and_then(crate::rules::RuleSet::organic);
    rule.map_or(label, |o| o.at_least(label, vaccine))
}

/// Looks at a treatment beside its label, its prescription and the rules of the place.
pub(super) fn look(
    faults: &mut Faults,
    row: usize,
    t: &Treatment,
    f: &AnimalFile,
    product: Option<&Product>,
    flock: &Flock,
) {
    let (meat, milk) = (Field::row("meat_days", row), Field::row("milk_days", row));
    let script = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
    if t.more.prescription.is_some() && script.is_none() {
        faults.refuse(Field::row("prescription", row), Refused::Gone);
    }
    if let Some(s) = script {
        if !s.product.trim().eq_ignore_ascii_case(&t.product) {
            let why = TreatmentRefused::PrescriptionOfOther {
                product: t.product.to_string(),
                other: s.product.clone(),
            };
            faults.refuse(Field::row("prescription", row), why.into());
        }
        if let Some(until) = s.valid_to.filter(|last| t.at.day > *last) {
            let what = TreatmentUnusual::PrescriptionOver { until };
            faults.question(Field::row("prescription", row), what.into());
        }
        shorter(faults, meat, "meat", &t.product, t.meat, s.meat);
        shorter(faults, milk, "milk", &t.product, t.milk, s.milk);
    }
    if let Some(p) = product {
        let (label_meat, label_milk, _) = p.periods(t.route);
        shorter(faults, meat, "meat", &p.name, t.meat, label_meat);
        shorter(faults, milk, "milk", &p.name, t.milk, label_milk);
        hours_as_days(faults, milk, t.milk, Some(label_milk));
    } else {
        hours_as_days(faults, milk, t.milk, None);
    }
    let found = product.map(|p| off_label_of(p, t.route, t.dose)).unwrap_or_default();
    let off = !found.is_empty() || t.more.off_label.is_some();
    if off {
        off_label(faults, row, t, f, product, flock, &found);
    }
    let vaccine = product.is_some_and(|p| p.more.class == ProductClass::Vaccine);
    if let Some((set, rule)) =
        flock.rules().filter(|_| flock.holding().organic).and_then(|s| Some((s, s.organic()?)))
    {
        let label = product.map(|p| p.periods(t.route)).unwrap_or_default();
        let [of_meat, of_milk] = known(product);
        for (field, what, written, label, commodity, of) in [
            (meat, "meat", t.meat, label.0, Commodity::Meat, of_meat),
            (milk, "milk", t.milk, label.1, Commodity::Milk, of_milk),
        ] {
            // Of an off-label use the least period is doubled, not the label's.
            let from = match (off, set.floor(commodity, &of)) {
                (true, crate::rules::Floor::Days { days, .. }) => Withdrawal::Days(days),
                _ => label,
            };
            let least = rule.at_least(from, vaccine);
            if let (Some(w), Some(l)) = (minutes(written), minutes(least))
                && w < l
            {
                let (written, least, rule) =
                    (written.to_string(), least.to_string(), rule.ground.to_string());
                faults.refuse(field, TreatmentRefused::BelowOrganic { what, written, least, rule }.into());
            }
        }
    }
}

/// The least periods of a use of this product that is not on its label, by the rules of the book: `meat: at least 32
/// days: …`. Nothing without a rule set.
pub fn least_off_label(flock: &Flock, p: &Product) -> Vec<String> {
    let Some(set) = flock.rules() else { return Vec::new() };
    let [meat, milk] = known(Some(p));
    [(Commodity::Meat, meat), (Commodity::Milk, milk)]
        .map(|(what, known)| format!("{}: {}", what.word(), set.floor(what, &known).words()))
        .into()
}

/// What is known of a product for the least period of an off-label use.
fn known(product: Option<&Product>) -> [OffLabelUse; 2] {
    let text = product.and_then(|p| p.licensed_for.as_deref()).unwrap_or_default();
    let label = |pick: fn((Withdrawal, Withdrawal, Withdrawal)) -> Withdrawal| -> Vec<Withdrawal> {
        let Some(p) = product else { return Vec::new() };
        let own = std::iter::once((p.meat, p.milk, p.more.export));
        own.chain(p.more.routes.iter().map(|r| (r.meat, r.milk, r.export))).map(pick).collect()
    };
    let of = |label| OffLabelUse {
        label,
        for_food_animals: species::is_food(text),
        for_milk_animals: species::is_milk(text),
        other_family: species::is_bovid(text).map(|b| !b),
    };
    [of(label(|p| p.0)), of(label(|p| p.1))]
}

fn off_label(
    faults: &mut Faults,
    row: usize,
    t: &Treatment,
    f: &AnimalFile,
    product: Option<&Product>,
    flock: &Flock,
    found: &[String],
) {
    let what = if found.is_empty() {
        phrase!("{} off-label ({})", t.product, &t.more.off_label.as_deref().unwrap_or_default())
    } else {
        found.join("; ")
    };
    if t.more.off_label.is_none() {
        faults
            .question(Field::row("off_label", row), TreatmentUnusual::OffLabel { what: what.clone() }.into());
    }
    let named = t.prescribed_by.as_deref().is_some_and(|v| !v.trim().is_empty());
    let script = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
    if !named && script.and_then(|s| flock.cupboard().vet(s.vet)).is_none() {
        faults.refuse(Field::row("prescribed_by", row), TreatmentRefused::OffLabelNeedsVet { what }.into());
    }
    let Some(set) = flock.rules() else { return };
    let substances = product.and_then(|p| p.substance.as_deref()).unwrap_or(&t.product);
    if let Some(ban) = set.banned(substances) {
        let why = TreatmentRefused::Banned { substance: ban.substance, rule: ban.ground.to_string() };
        faults.refuse(Field::row("product", row), why.into());
    }
    let [meat, milk] = known(product);
    // A ram's milk is nobody's.
    let sides = [
        ("meat", "meat_days", Commodity::Meat, meat, t.meat, true),
        ("milk", "milk_days", Commodity::Milk, milk, t.milk, f.animal.sex == Sex::Ewe),
    ];
    for (what, name, commodity, known, written, counts) in sides {
        let floor = set.floor(commodity, &known);
        let field = Field::row(name, row);
        if counts && floor.refuses(written) {
            let why =
                TreatmentRefused::BelowFloor { what, written: written.to_string(), floor: floor.words() };
            faults.refuse(field, why.into());
        } else if counts && written == Withdrawal::Unknown {
            let words = phrase!(
                "off-label: the vet sets the {what} withdrawal ({}); until it is written the animal is not clear",
                floor.words()
            );
            faults.caution(field, words);
        }
    }
}

fn shorter(
    faults: &mut Faults,
    field: Field,
    what: &'static str,
    product: &str,
    written: Withdrawal,
    label: Withdrawal,
) {
    if let (Some(w), Some(l)) = (minutes(written), minutes(label))
        && w < l
    {
        let (product, written, label) = (product.to_string(), written.to_string(), label.to_string());
        faults.question(field, Unusual::ShorterThanLabel { what, product, written, label });
    }
}

/// Hours of milk on the label that were written as days.
fn hours_as_days(faults: &mut Faults, field: Field, written: Withdrawal, label: Option<Withdrawal>) {
    let Withdrawal::Days(days) = written else { return };
    let odd = match label {
        Some(Withdrawal::Hours(hours)) => hours == days || (days >= 36 && days.is_multiple_of(12)),
        // Of a product the book does not know: periods that labels give in hours.
        None => matches!(days, 36 | 48 | 60 | 72 | 84 | 96 | 108 | 120 | 132 | 144),
        Some(_) => false,
    };
    if odd {
        faults.question(field, TreatmentUnusual::HoursAsDays { days }.into());
    }
}
