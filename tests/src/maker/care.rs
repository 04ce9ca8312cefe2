//! Joinings, weighings, treatments, products, pens, standings, notes, the flock's own facts.

use super::Maker;
use hirsel_core::entry::{
    Check, DoseDraft, JoiningDraft, PenMoveDraft, ProductDraft, RemarkDraft, StandingDraft, TreatmentDraft,
    WeighingDraft, holding, joinings, pen_move, pen_renamed, pens_laid, products, remark, standing,
    treatments, weighings,
};
use hirsel_core::flock::{Flock, Holding, PenPlace, PenSort};
use hirsel_core::terms::{
    AnimalId, Day, DayOrder, Dose, DoseRule, Place, Route, Sex, Status, Strength, Units, Weight, Withdrawal,
};

const PRODUCTS: [&str; 5] = ["Fellmectin", "Clostridial vaccine", "Löw-dose 5 %", "FELLMECTIN", "Iodine 7 %"];

impl Maker {
    pub(super) fn period(&mut self) -> Withdrawal {
        match self.rng.u32(..6) {
            0 => Withdrawal::Unknown,
            1 => Withdrawal::Never,
            2 => Withdrawal::Hours(self.rng.u16(..200)),
            3 => Withdrawal::Days(0),
            _ => Withdrawal::Days(self.rng.u16(..70)),
        }
    }

    pub(super) fn dose(&mut self) -> Dose {
        match self.rng.u32(..4) {
            0 => Dose::Mass(self.rng.u64(1..5_000_000)),
            1 => Dose::Pieces(self.rng.u32(1..4)),
            _ => Dose::Volume(self.rng.u32(1..60_000)),
        }
    }

    pub(super) fn joinings(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..=2) {
            let ram = self.ram(flock)?;
            let from = self.seen(flock, ram);
            let ewes = self.few(flock, 3, |f| {
                f.animal.sex == Sex::Ewe && f.animal.born.exact().is_none_or(|b| b <= from)
            });
            let to = self.some(|m| from.plus(m.rng.i64(0..50)).min(m.today));
            drafts.push(JoiningDraft { ram, ewes, from, to, method: self.some(Self::text), group: None });
        }
        Some(joinings(drafts, flock, self.today))
    }

    pub(super) fn weighings(&mut self, flock: &Flock) -> Option<Check> {
        let animals = self.few(flock, 3, |_| true);
        let drafts = animals
            .into_iter()
            .map(|animal| {
                let day = self.seen(flock, animal);
                let at = self.moment(day);
                Some(WeighingDraft {
                    animal,
                    at,
                    weight: Weight::from_grams(self.rng.i64(1..130_000))?,
                    note: self.some(Self::text),
                })
            })
            .collect::<Option<Vec<_>>>()?;
        Some(weighings(drafts, flock, self.today))
    }

    pub(super) fn treatments(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..=2) {
            let day = self.back(400);
            let animals = self.few(flock, 4, |f| f.animal.born.exact().is_none_or(|b| b <= day));
            drafts.push(TreatmentDraft {
                animals,
                at: self.moment(day),
                product: (*self.pick(&PRODUCTS)).to_string(),
                batch: self.some(Self::text),
                dose: match self.rng.u32(..3) {
                    0 => DoseDraft::ByRule,
                    1 => DoseDraft::Typed(None),
                    _ => DoseDraft::Typed(Some(self.dose())),
                },
                route: self.some(|m| *m.pick(Route::ALL)),
                site: self.some(Self::text),
                reason: self.some(Self::text),
                given_by: self.some(Self::text),
                prescribed_by: self.some(Self::text),
                meat: self.some(Self::period),
                milk: self.some(Self::period),
                more: Default::default(),
            });
        }
        Some(treatments(drafts, flock, self.today))
    }

    pub(super) fn products(&mut self, flock: &Flock) -> Check {
        let mut names = PRODUCTS;
        self.rng.shuffle(&mut names);
        let drafts = names[..self.rng.usize(1..=2)]
            .iter()
            .map(|name| ProductDraft {
                name: (*name).to_string(),
                substance: self.some(Self::text),
                form: self.some(Self::text),
                strength: self.some(|m| Strength(m.rng.u32(1..900_000))),
                rule: match self.rng.u32(..3) {
                    0 => DoseRule::PerKg(self.rng.u32(1..900)),
                    1 => DoseRule::PerHead(self.rng.u32(1..20_000)),
                    _ => DoseRule::Typed,
                },
                route: self.some(|m| *m.pick(Route::ALL)),
                meat: self.period(),
                milk: self.period(),
                licensed_for: self.some(Self::text),
                more: Default::default(),
            })
            .collect();
        products(drafts, flock)
    }

    fn together(&mut self, flock: &Flock) -> Option<(Vec<AnimalId>, Day)> {
        let day = self.back(200);
        let animals = self.few(flock, 4, |f| f.animal.born.exact().is_none_or(|b| b <= day));
        (!animals.is_empty()).then_some((animals, day))
    }

    pub(super) fn pen_moves(&mut self, flock: &Flock) -> Option<Check> {
        let (animals, on) = self.together(flock)?;
        let pen = self.some(|m| format!("Pen {}", m.rng.u32(1..5)));
        Some(pen_move(PenMoveDraft { animals, on, pen }, flock, self.today))
    }

    /// Pens laid out, taken off the map, or called otherwise.
    pub(super) fn pen_places(&mut self, flock: &Flock) -> Option<Check> {
        let one = |m: &mut Self| PenPlace {
            pen: format!("{} {}", m.pick(&["Pen", "Jug"]), m.rng.u32(1..6)),
            at: Place::new(m.rng.u16(..90), m.rng.u16(..40), m.rng.u16(1..5), m.rng.u16(1..5)),
            sort: *m.pick(&PenSort::ALL),
        };
        let place = one(self);
        if self.rng.u8(..4) == 0 {
            let to = one(self).pen;
            return Some(pen_renamed(&place.pen, &to, &place, flock, self.today));
        }
        let drop =
            flock.pen_places().iter().filter(|_| self.rng.u8(..5) == 0).map(|p| p.pen.clone()).collect();
        Some(pens_laid(vec![place], drop, flock))
    }

    pub(super) fn movements(&mut self, flock: &Flock) -> Option<Check> {
        let (animals, on) = self.together(flock)?;
        let draft = StandingDraft {
            animals,
            to: *self.pick(Status::ALL),
            on,
            other: self.some(Self::text),
            reason: self.some(Self::text),
            details: Default::default(),
        };
        Some(standing(draft, flock, self.today))
    }

    pub(super) fn remarks(&mut self, flock: &Flock) -> Option<Check> {
        let (animals, on) = self.together(flock)?;
        Some(remark(RemarkDraft { animals, on, text: self.text() }, flock, self.today))
    }

    pub(super) fn holding(&mut self, flock: &Flock) -> Check {
        let new = Holding {
            flock: self.text(),
            keeper: self.text(),
            number: self.text(),
            address: self.text(),
            given_by: self.text(),
            vet: self.text(),
            units: if self.rng.bool() { Units::Metric } else { Units::Imperial },
            rules: self.text(),
            sheet: self.text(),
            joining_day: self
                .some(|m| format!("{:02}-{:02}", m.rng.u32(1..=12), m.rng.u32(1..=28)))
                .unwrap_or_default(),
            prefix: self.text(),
            registry: self.text(),
            grading: String::new(),
            gestation: String::new(),
            growth: String::new(),
            keeping: String::new(),
            figures: String::new(),
            feeding: String::new(),
            organic: self.rng.bool(),
            words: (*self.pick(&["", "plain", "gb-north", "us"])).into(),
            days: *self.pick(&DayOrder::ALL),
            currency: (*self.pick(&["", "£", "NZ$", "kr"])).into(),
        };
        holding(new, flock)
    }
}
