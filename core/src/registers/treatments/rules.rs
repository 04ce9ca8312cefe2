//! What the rule set says below the log: what is to be written, what is blank, what the book does not keep.

use crate::flock::{Batch, Flock, Treatment};
use crate::registers::prescriber;
use crate::rules::{RuleSet, TreatmentField, day_count};
use crate::terms::{Withdrawal, Words, counted};

/// How the clear days of the log are counted, and by what.
pub(super) fn counting() -> String {
    let count = day_count();
    format!("{} Counted by: {}.", count.text, count.ground)
}

/// How long the log is to be kept: `To be kept for 5 years: SOURCE.`
pub(super) fn keeping(rules: &RuleSet) -> String {
    match rules.retention() {
        Some(kept) => format!("To be {}.", kept.words()),
        None => format!(
            "How long the log is to be kept in {} is not in this program: ask your authority.",
            &rules.name()
        ),
    }
}

/// What is to be written under these rules, and what of it the lines that stand leave open; empty where it is not known.
pub(super) fn asked(rules: &RuleSet, flock: &Flock, standing: &[&Treatment]) -> String {
    let Some(fields) = rules.fields() else { return String::new() };
    let list = |all: &[TreatmentField]| all.iter().map(|f| f.words()).collect::<Vec<_>>().join(", ");
    let mut said = format!("{}: to be written are {}", rules.name(), list(&fields.required));
    for (when, all) in [
        ("if it was prescribed", &fields.if_prescribed),
        ("if a vet gave it", &fields.if_vet_gave_it),
        ("better too", &fields.advised),
    ] {
        if !all.is_empty() {
            said.push_str(&format!("; {when}: {}", list(all)));
        }
    }
    said.push_str(&format!(". Source: {}.", fields.ground));
    let open: Vec<String> = fields
        .required
        .iter()
        .map(|f| (f, standing.iter().filter(|t| state(*f, flock, t) == State::Blank).count()))
        .filter(|(_, n)| *n > 0)
        .map(|(f, n)| format!("{} in {}", f.words(), counted(n, "line")))
        .collect();
    if !open.is_empty() {
        said.push_str(&format!(" Left open above: {}.", open.join(", ")));
    }
    let mut elsewhere: Vec<&str> = Vec::new();
    for f in [&fields.required, &fields.if_prescribed, &fields.if_vet_gave_it, &fields.advised]
        .into_iter()
        .flatten()
    {
        if !is_kept(*f) && !elsewhere.contains(&f.words()) {
            elsewhere.push(f.words());
        }
    }
    if !elsewhere.is_empty() {
        said.push_str(&format!(" Not in this log, to be kept beside it: {}.", elsewhere.join(", ")));
    }
    said
}

/// How a thing stands in one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Written,
    Blank,
    /// The book has no place for it.
    NotKept,
}

/// Whether the book has a place for it.
fn is_kept(field: TreatmentField) -> bool {
    use TreatmentField as F;
    !matches!(
        field,
        F::Duration | F::AcquisitionProof | F::PrescriberContact | F::PrescriptionCopy | F::VetOrder
    )
}

fn state(field: TreatmentField, flock: &Flock, t: &Treatment) -> State {
    use TreatmentField as F;
    // Of the batch, as it was bought.
    let bought = |has: fn(&Batch) -> bool| {
        let product = flock.product(&t.product).zip(t.batch.as_deref());
        product.is_some_and(|(p, number)| flock.cupboard().numbered(p.id, number).any(has))
    };
    let blank = |words: &Option<Words>| words.as_ref().is_none_or(|w| w.trim().is_empty());
    let open = match field {
        _ if !is_kept(field) => return State::NotKept,
        F::Product => t.product.trim().is_empty(),
        F::Quantity | F::Dosage => t.dose.is_none(),
        F::Route => t.route.is_none(),
        F::Reason => blank(&t.reason),
        F::GivenBy => blank(&t.given_by),
        F::Batch => blank(&t.batch),
        F::WithdrawalMeat => t.meat == Withdrawal::Unknown,
        F::WithdrawalMilk => t.milk == Withdrawal::Unknown,
        F::WithdrawalEnds => t.meat == Withdrawal::Unknown || t.milk == Withdrawal::Unknown,
        F::PrescriberName | F::VetName => prescriber(flock, t).name.is_none(),
        F::Expiry => !bought(|b| b.expiry.is_some()),
        F::SupplierName => !bought(|b| b.supplier.is_some()),
        F::SupplierAddress => !bought(|b| b.supplier_address.is_some()),
        F::LastGivenAt => t.at.time.is_none(),
        _ => false,
    };
    if open { State::Blank } else { State::Written }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::fixture::{animal, day, treatment};
    use crate::rules::{rule_set, rule_sets};
    use crate::terms::{Moment, Sex};

    fn set(id: &str) -> &'static RuleSet {
        rule_set(id).unwrap()
    }

    fn line(meat: Withdrawal) -> Treatment {
        let file = animal("7", "", Sex::Ewe);
        treatment(file.animal.id, "Drench", Moment::day(day("2026-05-01")), meat, Withdrawal::Days(0))
    }

    /// Regulation (EU) 2019/6 art 108(2): withdrawal even if zero; an unknown one is left open.
    #[test]
    fn unknown_is_open_and_zero_is_written() {
        let zero = line(Withdrawal::Days(0));
        assert!(!asked(set("gb"), &Flock::default(), &[&zero]).contains("meat withdrawal in"));
        let mut unknown = line(Withdrawal::Unknown);
        unknown.dose = None;
        let said = asked(set("gb"), &Flock::default(), &[&zero, &unknown]);
        assert!(said.contains("Left open above: quantity in 1 line, meat withdrawal in 1 line."), "{said}");
    }

    #[test]
    fn what_the_book_cannot_hold_is_said() {
        let said = asked(set("eu"), &Flock::default(), &[]);
        let beside = said.split("kept beside it: ").nth(1).unwrap();
        for thing in ["proof of purchase", "duration", "copy of the prescription"] {
            assert!(beside.contains(thing), "{thing} in {said}");
        }
        assert!(!beside.contains("batch") && !said.contains("Left open"), "{said}");
        assert!(said.contains("Regulation (EU) 2019/6 art 108(1)-(3)"));
        assert_eq!(asked(set("nz"), &Flock::default(), &[]), "", "nothing known, nothing said");
    }

    #[test]
    fn how_long_the_log_is_kept() {
        assert_eq!(
            keeping(set("gb")),
            "To be kept for 5 years after use or disposal: VMR 2013 via Lancashire and other trading standards sheets."
        );
        assert!(keeping(set("us")).starts_with("To be kept for 2 years: 21 CFR 530.5"));
        for set in rule_sets().iter().filter(|s| s.retention().is_none()) {
            assert!(keeping(set).contains("ask your authority"), "{}", set.name());
        }
    }

    #[test]
    fn counting_from_memory_says_so() {
        assert!(
            counting().contains("Regulation (EU) 2019/6 art 4(34)") && counting().contains("(from memory)")
        );
    }
}
