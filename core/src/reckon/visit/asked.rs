//! What the rules of the book ask to be written, with who asks for it.

use crate::flock::{Flock, Product};
use crate::handbook::Ground;
use crate::phrase;
use crate::rules::{
    Commodity, CupboardField, CupboardFields, Floor, Kept, OffLabelUse, RegisterRules, RuleSet, Tagging,
    TreatmentField, TreatmentFields, rule_sets, species,
};
use crate::terms::Withdrawal;

/// How much something is wanted, and by whom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Demand {
    /// Asked for; else advised.
    pub asked: bool,
    /// 'Great Britain asks for it (SOURCE)'.
    pub why: String,
}

impl Demand {
    /// Asked for on a ground of its own.
    pub(super) fn always(why: &str) -> Self {
        Self { asked: true, why: why.into() }
    }

    /// Better written.
    pub(super) fn advice(why: &str) -> Self {
        Self { asked: false, why: why.into() }
    }
}

/// When something of a treatment is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum If {
    Always,
    Prescribed,
    VetGave,
}

/// The rule sets that ask: that of the book, or all of them.
pub(super) struct Asked<'a> {
    sets: Vec<&'a RuleSet>,
    chosen: bool,
}

impl<'a> Asked<'a> {
    pub(super) fn of(flock: &'a Flock) -> Self {
        match flock.rules() {
            Some(set) => Self { sets: vec![set], chosen: true },
            // A place stands for its parts.
            None => {
                Self { sets: rule_sets().iter().filter(|s| !s.id().contains('-')).collect(), chosen: false }
            }
        }
    }

    /// Whose rules, in words.
    pub(super) fn by(&self) -> String {
        match self.sets.as_slice() {
            [one] if self.chosen => phrase!("By the rules of {}", &one.name()),
            _ => phrase!(
                "No rules are chosen for this book: all that any of the rule sets asks for is asked here"
            ),
        }
    }

    /// The one rule set of the book.
    pub(super) fn set(&self) -> Option<&'a RuleSet> {
        self.sets.first().copied().filter(|_| self.chosen)
    }

    /// Years back that are looked at: as long as treatments are kept, never less than five.
    pub(super) fn years(&self) -> u32 {
        let kept = |s: &&RuleSet| s.retention_of(Kept::Treatment).map(|r| r.years);
        self.sets.iter().filter_map(kept).max().unwrap_or(5).max(5)
    }

    /// Sets that say anything of this; of a book whose own set is silent, all of them.
    fn saying<T: 'a>(&self, says: impl Fn(&'a RuleSet) -> Option<T>) -> Vec<(&'a RuleSet, T)> {
        let mine: Vec<_> = self.sets.iter().filter_map(|s| Some((*s, says(s)?))).collect();
        if !mine.is_empty() || !self.chosen {
            return mine;
        }
        rule_sets().iter().filter(|s| !s.id().contains('-')).filter_map(|s| Some((s, says(s)?))).collect()
    }

    /// Whether a field of a treatment is wanted.
    pub(super) fn treatment(&self, field: TreatmentField, when: If) -> Option<Demand> {
        let list = |f: &'a TreatmentFields| match when {
            If::Always => &f.required,
            If::Prescribed => &f.if_prescribed,
            If::VetGave => &f.if_vet_gave_it,
        };
        let all = self.saying(RuleSet::fields);
        let asks = all.iter().filter(|(_, f)| f.required.contains(&field) || list(f).contains(&field));
        said("asks for it", asks.map(|(s, f)| (*s, &f.ground)), true).or_else(|| {
            let advise = all.iter().filter(|(_, f)| f.advised.contains(&field));
            said("advises it", advise.map(|(s, f)| (*s, &f.ground)), false)
        })
    }

    /// Whether a field of a delivery is wanted.
    pub(super) fn bought(&self, field: CupboardField) -> Option<Demand> {
        let all = self.saying(RuleSet::cupboard);
        let of = |list: fn(&CupboardFields) -> (&Vec<CupboardField>, &Option<Ground>)| {
            all.iter().filter_map(move |(s, c)| {
                let (fields, ground) = list(c);
                fields.contains(&field).then_some(())?;
                Some((*s, ground.as_ref()?))
            })
        };
        said("asks for it", of(|c| (&c.acquired, &c.acquired_ground)), true)
            .or_else(|| said("advises it", of(|c| (&c.advised, &c.advised_ground)), false))
    }

    /// Whether a field of a disposal is wanted.
    pub(super) fn disposed(&self, field: CupboardField) -> Option<Demand> {
        let all = self.saying(RuleSet::cupboard);
        let asks = all.iter().filter(|(_, c)| c.disposed.contains(&field));
        said("asks for it", asks.filter_map(|(s, c)| Some((*s, c.disposed_ground.as_ref()?))), true)
    }

    /// Whether the register of a place has this.
    pub(super) fn register(&self, has: impl Fn(&RegisterRules) -> bool) -> Option<Demand> {
        let all = self.saying(RuleSet::register);
        let asks = all.iter().filter(|(_, r)| has(r));
        said("asks for it", asks.map(|(s, r)| (*s, &r.ground)), true)
    }

    /// The least an off-label use of a product may be withheld.
    pub(super) fn floor(&self, what: Commodity, p: &Product) -> Floor {
        let Some(set) = self.set() else { return Floor::NotKnown };
        let side = |w: (Withdrawal, Withdrawal)| if what == Commodity::Meat { w.0 } else { w.1 };
        let mut label = vec![side((p.meat, p.milk))];
        label.extend(p.more.routes.iter().map(|r| side((r.meat, r.milk))));
        let animals = p.licensed_for.as_deref().unwrap_or_default();
        let product = OffLabelUse {
            label,
            for_food_animals: species::is_food(animals),
            for_milk_animals: species::is_milk(animals),
            other_family: species::is_bovid(animals).map(|bovid| !bovid),
        };
        set.floor(what, &product)
    }

    /// Until when a lamb is tagged.
    pub(super) fn tagging(&self) -> Option<(&'a RuleSet, &'a Tagging)> {
        self.set().and_then(|s| Some((s, s.tagging()?)))
    }
}

/// 'Great Britain asks for it (SOURCE)'; of several places their names.
pub(super) fn said<'a>(
    verb: &'static str,
    who: impl Iterator<Item = (&'a RuleSet, &'a Ground)>,
    asked: bool,
) -> Option<Demand> {
    let who: Vec<_> = who.collect();
    let why = match who.as_slice() {
        [] => return None,
        [(set, ground)] => phrase!("{} {verb} ({ground})", &set.name()),
        [(first, ground), rest @ ..] => {
            let others: Vec<&str> = rest.iter().map(|(s, _)| s.name()).collect();
            phrase!("{} {verb} ({ground}); so do {}", &first.name(), others.join(", "), ground = &ground)
        }
    };
    Some(Demand { asked, why })
}
