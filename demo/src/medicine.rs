//! The cupboard's papers: vets, prescriptions, deliveries, waste, counts, courses, a footbath, egg counts; and what the
//! registers ask of a move. Some of it is left out, so that there is something to find before a visit.

use crate::cupboard::{self, Bottle, FOOTBATH, IVERMECTIN, LEVAMISOLE, MULTIVITAMIN, PENICILLIN};
use crate::maker::{Jab, Maker, WORD, mark};
use crate::names::{COLLECTOR, SECOND_VET, SUPPLIERS, VET, place};
use crate::sheep::At;
use hirsel_core::book::Failed;
use hirsel_core::entry::{
    self, BatchDraft, CourseDraft, DocumentDraft, DoseDraft, EggCountDraft, IdentityDraft, PrescriptionDraft,
    Retag, StockDraft, VetDraft,
};
use hirsel_core::flock::{Flock, MoveDetails, RecordRef, StockChange};
use hirsel_core::terms::{Day, Dose, IdentityKind, Minute, Price, Sex, Status, Withdrawal, Words};
use std::collections::BTreeMap;

/// What a bottle of one batch gave: bought in, first and last day, µl or pieces.
struct Use {
    bottle: &'static Bottle,
    number: String,
    days: Vec<(Day, u64)>,
}

impl Use {
    fn first(&self) -> Day {
        self.days.iter().map(|(d, _)| *d).min().unwrap_or_else(epoch)
    }

    fn last(&self) -> Day {
        self.days.iter().map(|(d, _)| *d).max().unwrap_or_else(epoch)
    }

    fn given(&self, to: Day) -> u64 {
        self.days.iter().filter(|(d, _)| *d <= to).map(|(_, n)| n).sum()
    }
}

/// The vet that prescribes a product.
pub(crate) fn prescriber(bottle: &Bottle) -> &'static str {
    if bottle.name.len().is_multiple_of(3) { SECOND_VET } else { VET }
}

impl Maker<'_> {
    /// Vets, and a prescription a year for whatever needs one; that of the eye ointment was forgotten this year.
    pub(crate) fn prescribed(&mut self) -> Result<(), Failed> {
        let vets = [(VET, 0, "R 4471"), (SECOND_VET, 0, "R 5206")].map(|(name, at, number)| VetDraft {
            name: name.into(),
            practice: Some(SUPPLIERS[at].0.into()),
            address: Some(SUPPLIERS[at].1.into()),
            contact: Some("01999 555 010".into()),
            number: Some(number.into()),
            ..VetDraft::default()
        });
        let flock = self.flock();
        self.push(entry::vets(vets.into(), &flock), WORD);
        self.flush("Vets")?;
        let flock = self.flock();
        let (first, last) = (self.base(0).plus(-330).year(), self.today.year());
        let mut drafts = Vec::new();
        let mut numbers = BTreeMap::new();
        for year in first..=last {
            for (n, bottle) in cupboard::all().iter().filter(|b| b.prescribed).enumerate() {
                let forgotten = bottle.size() == Dose::Pieces(5) && year == last;
                let Some(on) = Day::new(year - 1, 12, 29).filter(|_| !forgotten) else { continue };
                let Some(vet) = flock.cupboard().vet_named(prescriber(bottle)) else { continue };
                let number = format!("{:02}/{:03}", year % 100, 201 + n);
                numbers.insert(number.clone(), (bottle.name, year));
                let directed = bottle.directed();
                drafts.push(PrescriptionDraft {
                    vet: vet.id,
                    on,
                    valid_to: Day::new(year, 12, 31),
                    number: Some(number),
                    product: bottle.name.into(),
                    whom: Some("ewes, rams and lambs of the flock as needed".into()),
                    dose: Some(
                        if directed.is_some() { "1 ml for 20 kg, once" } else { "as the label says" }.into(),
                    ),
                    reason: directed
                        .map(|_| "pain after a hard lambing; nothing labelled for sheep is to be had".into()),
                    off_label: directed.is_some(),
                    meat: directed.map_or(Withdrawal::Unknown, |(meat, _)| meat),
                    milk: directed.map_or(Withdrawal::Unknown, |(_, milk)| milk),
                    export: Withdrawal::Unknown,
                });
            }
        }
        self.push(entry::prescriptions(drafts, &flock, self.today), WORD);
        self.flush("Prescriptions")?;
        for p in &self.flock().cupboard().prescriptions {
            if let Some(key) = p.number.as_ref().and_then(|n| numbers.get(n)) {
                self.scripts.insert(*key, p.id);
            }
        }
        Ok(())
    }

    /// Everything of the medicine cupboard but what was given in the last days.
    pub(crate) fn shelf(&mut self) -> Result<(), Failed> {
        self.say("The medicine cupboard");
        if !self.is_lean() {
            self.courses()?;
            self.footbath()?;
            self.egg_counts()?;
        }
        let uses = self.uses();
        self.deliveries(&uses)?;
        self.stock(&uses)?;
        self.invoice()
    }

    /// A ewe with a course behind her, another that had the last dose of hers today.
    fn courses(&mut self) -> Result<(), Failed> {
        for (back, part) in [(9, 4), (2, 5)] {
            let on = self.today.plus(-back);
            let ewes =
                self.here(self.today, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 500 && s.is_here(on));
            let Some(at) = ewes.get(ewes.len() * part / 7).copied() else { continue };
            let dose = Dose::from_ml((self.sheep[at].kg(on) / 20.0 * 2.0).round() / 2.0);
            let jab = Jab {
                bottle: &PENICILLIN,
                animals: vec![at],
                on,
                time: Minute::new(8, 0),
                dose: DoseDraft::Typed(dose),
                reason: "mastitis, one half hard and hot",
            };
            let mut draft = self.dose_draft(&jab, &[at]);
            draft.more.course = Some(CourseDraft { doses: 3, every_hours: 24 });
            let held = self.today.plus(PENICILLIN.held_days().unwrap_or(0) + 3);
            self.sheep[at].clear = Some(self.sheep[at].clear.map_or(held, |c| c.max(held)));
            let flock = self.flock();
            self.push(entry::treatments(vec![draft], &flock, self.today), WORD);
            self.flush("A course for a ewe with mastitis")?;
        }
        Ok(())
    }

    /// A pen through the footbath.
    fn footbath(&mut self) -> Result<(), Failed> {
        let on = self.today.plus(-21);
        let mut sheep = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 300);
        sheep.truncate((self.ewes / 3).max(1));
        let jab = Jab {
            bottle: &FOOTBATH,
            animals: sheep.clone(),
            on,
            time: None,
            dose: DoseDraft::Typed(None),
            reason: "foul in the foot in the pen",
        };
        let mut draft = self.dose_draft(&jab, &sheep);
        if draft.animals.is_empty() {
            return Ok(());
        }
        draft.more.shared = Some(Dose::Volume(4_000_000));
        let flock = self.flock();
        self.push(entry::treatments(vec![draft], &flock, self.today), WORD);
        self.flush("Footbath of a pen")
    }

    /// Samples of the lambs wormed at the last weaning, before and a fortnight after.
    fn egg_counts(&mut self) -> Result<(), Failed> {
        let Some(season) = self.last.checked_sub(1) else { return Ok(()) };
        let weaned = self.base(season).plus(90);
        let group = format!("Lambs weaned in {}", weaned.year());
        let (before, after) =
            ([550u32, 820, 300, 1150, 640, 480, 910, 700], [50u32, 0, 100, 0, 50, 150, 0, 50]);
        let one = |epg: u32, on: Day| EggCountDraft {
            animal: None,
            group: Some(group.clone()),
            on,
            epg,
            product: Some(IVERMECTIN.name.into()),
            treated_on: Some(weaned),
            note: None,
        };
        let all = before.map(|n| one(n, weaned.plus(-2))).into_iter();
        let all = all.chain(after.map(|n| one(n, weaned.plus(14)))).collect();
        let flock = self.flock();
        self.push(entry::egg_counts(all, &flock, self.today), WORD);
        self.flush("Egg counts before and after worming")
    }

    /// What was given so far of each batch.
    fn uses(&self) -> Vec<Use> {
        let bottles: BTreeMap<&str, &'static Bottle> = cupboard::all().iter().map(|b| (b.name, *b)).collect();
        let mut all: BTreeMap<(String, String), Use> = BTreeMap::new();
        for t in self.flock().files().flat_map(|f| f.treatments_standing()) {
            let (Some(bottle), Some(number)) = (bottles.get(t.product.as_str()), &t.batch) else { continue };
            let amount = match t.dose {
                Some(Dose::Volume(n) | Dose::Pieces(n)) => u64::from(n),
                _ => 0,
            };
            let key = (t.product.to_string(), number.to_string());
            let used = all.entry(key).or_insert_with(|| Use {
                bottle,
                number: number.to_string(),
                days: Vec::new(),
            });
            // One line a day is enough.
            match used.days.iter_mut().find(|(d, _)| *d == t.at.day) {
                Some((_, n)) => *n += amount,
                None => used.days.push((t.at.day, amount)),
            }
        }
        all.into_values().collect()
    }

    /// Deliveries, each with what was given of it and some more. That of the newest worm drench was never written.
    fn deliveries(&mut self, uses: &[Use]) -> Result<(), Failed> {
        let newest = uses.iter().filter(|u| u.bottle.name == LEVAMISOLE.name).map(Use::first).max();
        let mut drafts = Vec::new();
        for (n, u) in uses.iter().enumerate() {
            if u.bottle.name == LEVAMISOLE.name && Some(u.first()) == newest && uses.len() > 20 {
                continue;
            }
            let bought = u.first().plus(-5 - (n as i64 % 9));
            let torn = u.bottle.name == MULTIVITAMIN.name;
            // Kept too long, and given all the same.
            let bought = if torn { bought.plus(-500) } else { bought };
            let expiry = if torn { self.today.plus(-11) } else { u.last().max(bought.plus(400)).plus(90) };
            let (supplier, address) = SUPPLIERS[usize::from(!u.bottle.prescribed)];
            let bottles = bottles_of(u);
            drafts.push(BatchDraft {
                product: u.bottle.name.into(),
                number: u.number.clone(),
                expiry: Some(expiry),
                bought_on: Some(bought),
                supplier: Some(supplier.into()),
                // One address was never asked for.
                supplier_address: (n % 11 != 7).then(|| address.into()),
                quantity: times(u.bottle.size(), bottles),
                price: Some(Price::from_cents(
                    (1250 + n as u32 * 37 % 900) * u32::try_from(bottles.min(40)).unwrap_or(1),
                )),
                invoice: Some(format!("{}-{:04}", bought.year(), 118 + n * 7)),
                opened_on: Some(u.first()),
                note: None,
            });
        }
        let flock = self.flock();
        self.push(entry::batches(drafts, &flock, self.today), WORD);
        self.flush("Medicine bought")
    }

    /// A little waste, the old bottles brought away, and a count with a small difference.
    fn stock(&mut self, uses: &[Use]) -> Result<(), Failed> {
        let counted = self.today.plus(-16);
        let mut lines: Vec<StockDraft> = Vec::new();
        let known = self.flock();
        for (n, u) in uses.iter().enumerate() {
            let product = known.product(u.bottle.name).map(|p| p.id);
            let bought = product.is_some_and(|p| known.cupboard().numbered(p, &u.number).next().is_some());
            if !bought {
                continue;
            }
            let size = u.bottle.size();
            let volume = matches!(size, Dose::Volume(_));
            let amount = |n: u64| {
                let n = u32::try_from(n).unwrap_or(u32::MAX);
                if volume { Dose::Volume(n) } else { Dose::Pieces(n) }
            };
            let line = |change, on, quantity: u64| StockDraft {
                product: u.bottle.name.into(),
                batch: Some(u.number.clone()),
                on,
                change,
                quantity: Some(amount(quantity)),
                how: None,
                place: None,
                reason: None,
            };
            let mut left = (units(size) * bottles_of(u)).saturating_sub(u.given(self.today));
            if n.is_multiple_of(5) && volume && left > 20_000 {
                lines.push(StockDraft {
                    reason: Some("left in the syringe and the tube".into()),
                    ..line(StockChange::Wasted, u.first(), 6_000)
                });
                left -= 6_000;
            }
            let away = u.last().plus(200);
            if away < counted && left > 0 {
                lines.push(StockDraft {
                    how: Some("given back to be burnt".into()),
                    // Once nobody wrote down where.
                    place: (n % 13 != 4).then(|| SUPPLIERS[0].0.into()),
                    reason: Some("opened too long".into()),
                    ..line(StockChange::Disposed, away, left)
                });
            } else if u.first() < counted.plus(-10) && u.bottle.name == PENICILLIN.name && left > 10_000 {
                // What is on the shelf on the day of the count, less what was spilled.
                let then = left + u.given(self.today) - u.given(counted);
                lines.push(StockDraft {
                    reason: Some("3 ml spilled when the bottle fell".into()),
                    ..line(StockChange::Counted, counted, then - 3_000)
                });
            }
        }
        for line in lines {
            let flock = self.flock();
            self.push(entry::stock_moves(vec![line], &flock, self.today), WORD);
        }
        self.flush("Waste, old bottles and a shelf count")
    }

    /// The invoice of the newest delivery, kept as a small PDF.
    fn invoice(&mut self) -> Result<(), Failed> {
        let flock = self.flock();
        let Some(batch) = flock.cupboard().batches.iter().max_by_key(|b| (b.bought_on, b.number.clone()))
        else {
            return Ok(());
        };
        let name = flock.products().iter().find(|p| p.id == batch.product).map_or("medicine", |p| &p.name);
        let lines = [
            format!("Invoice {}", batch.invoice.as_deref().unwrap_or("-")),
            batch.supplier.clone().unwrap_or_default(),
            format!("{name}, batch {}", batch.number),
            "Made up, for a made-up flock".to_string(),
        ];
        let draft = DocumentDraft {
            of: RecordRef::Batch(batch.id).into(),
            name: "invoice.pdf".into(),
            bytes: pdf(&lines).into(),
            on: None,
        };
        self.push(entry::documents(vec![draft], &flock, self.today), WORD);
        self.flush("An invoice kept in the book")
    }

    /// Official tags before the lambs leave; a few are forgotten.
    pub(crate) fn official(&mut self, base: Day, lambs: &[At], flock: &Flock) {
        for at in lambs.iter().filter(|at| **at % 41 != 17) {
            let id = self.sheep[*at].id;
            if flock.animal(id).is_some_and(|a| a.worn(IdentityKind::Official).is_none()) {
                let tag = mark(&format!("UK0999999 {at:05}"));
                let new = Some(IdentityDraft { kind: IdentityKind::Official, tag });
                let draft = Retag { animal: id, ends: None, new, on: base.plus(90) };
                self.push(entry::retag(draft, flock, self.today), WORD);
            }
        }
    }
}

fn epoch() -> Day {
    Day::new(2000, 1, 1).expect("a day")
}

fn units(size: Dose) -> u64 {
    match size {
        Dose::Volume(n) | Dose::Pieces(n) => n.into(),
        Dose::Mass(n) => n,
    }
}

/// Bottles bought of a batch: what was given, a tenth more and some for the last days.
fn bottles_of(u: &Use) -> u64 {
    let size = units(u.bottle.size());
    (u.days.iter().map(|(_, n)| n).sum::<u64>().saturating_mul(11) / 10 + size / 2).div_ceil(size).max(1)
}

fn times(size: Dose, n: u64) -> Option<Dose> {
    let all = u32::try_from(units(size) * n).ok()?;
    Some(if matches!(size, Dose::Volume(_)) { Dose::Volume(all) } else { Dose::Pieces(all) })
}

/// What the registers ask of a move or a death; not everybody wrote all of it down.
pub(crate) fn move_details(to: Status, other: Option<&str>, reason: &str, on: Day) -> MoveDetails {
    let n = on.since(epoch()).unsigned_abs();
    let some = |text: String, every: u64| (!n.is_multiple_of(every)).then_some(Words::from(text));
    if to == Status::Dead {
        return MoveDetails {
            cause: Some(reason.into()),
            disposal: some(COLLECTOR.into(), 17),
            receipt: some(format!("FS{:05}", n % 90_000 + 10_000), 7),
            ..MoveDetails::default()
        };
    }
    let Some((number, address)) = other.and_then(place) else { return MoveDetails::default() };
    MoveDetails {
        number: Some(number.into()),
        address: Some(address.into()),
        carrier: Some("own trailer".into()),
        vehicle: some("PF19 XQZ".into(), 9),
        document: some(format!("M{}-{:04}", on.year(), n % 9000 + 1000), 23),
        ..MoveDetails::default()
    }
}

/// A page with some lines of text, as PDF 1.4.
fn pdf(lines: &[String]) -> Vec<u8> {
    let mut text = String::from("BT /F1 14 Tf 60 760 Td 22 TL\n");
    for line in lines {
        let plain: String = line.chars().filter(|c| c.is_ascii() && !"()\\".contains(*c)).collect();
        text.push_str(&format!("({plain}) Tj T*\n"));
    }
    text.push_str("ET");
    let objects = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_string(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".into(),
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>".into(),
        format!("<< /Length {} >>\nstream\n{text}\nendstream", text.len()),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>".into(),
    ];
    let mut out = String::from("%PDF-1.4\n");
    let mut places = Vec::new();
    for (n, object) in objects.iter().enumerate() {
        places.push(out.len());
        out.push_str(&format!("{} 0 obj\n{object}\nendobj\n", n + 1));
    }
    let at = out.len();
    out.push_str(&format!("xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1));
    for place in places {
        out.push_str(&format!("{place:010} 00000 n \n"));
    }
    out.push_str(&format!(
        "trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{at}\n%%EOF\n",
        objects.len() + 1
    ));
    out.into_bytes()
}
