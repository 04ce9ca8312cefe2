//! Records amended and struck out.

use super::{Kind, Maker};
use hirsel_core::entry::{Amended, Check, amend, strike, strike_kept};
use hirsel_core::flock::{AnimalFile, Flock, RecordRef};
use hirsel_core::terms::{Dose, Ease, Fate, Mass, Price, Route, Scanned, Status, Weight};

impl Maker {
    /// A record of a random animal that has one.
    fn record<R: Clone>(
        &mut self,
        flock: &Flock,
        list: impl Fn(&AnimalFile) -> &[R],
    ) -> Option<(AnimalFile, R)> {
        let id = self.one(flock, |f| !list(f).is_empty())?;
        let file = flock.file(id)?;
        let all = list(file);
        let i = self.rng.usize(..all.len());
        Some((file.clone(), all[i].clone()))
    }

    pub(super) fn change(&mut self, kind: Kind, flock: &Flock) -> Option<Check> {
        let struck = |(f, record): (AnimalFile, RecordRef), why: &str, m: &Self| {
            strike(f.animal.id, record, why, flock, m.today)
        };
        let why = self.text();
        let record = match kind {
            Kind::StrikeLambing => {
                self.record(flock, |f| &f.lambings).map(|(f, r)| (f, RecordRef::Lambing(r.id)))
            }
            Kind::StrikeJoining => {
                self.record(flock, |f| &f.joinings).map(|(f, r)| (f, RecordRef::Joining(r.id)))
            }
            Kind::StrikeWeighing => {
                self.record(flock, |f| &f.weighings).map(|(f, r)| (f, RecordRef::Weighing(r.id)))
            }
            Kind::StrikeTreatment => {
                self.record(flock, |f| &f.treatments).map(|(f, r)| (f, RecordRef::Treatment(r.id)))
            }
            Kind::StrikePenMove => {
                self.record(flock, |f| &f.pen_moves).map(|(f, r)| (f, RecordRef::PenMove(r.id)))
            }
            Kind::StrikeMovement => {
                self.record(flock, |f| &f.movements).map(|(f, r)| (f, RecordRef::Movement(r.id)))
            }
            Kind::StrikeMark => self.record(flock, |f| &f.marks).map(|(f, r)| (f, RecordRef::Mark(r.id))),
            Kind::StrikeCrayon => {
                self.record(flock, |f| &f.crayons).map(|(f, r)| (f, RecordRef::Crayon(r.id)))
            }
            Kind::StrikeScan => self.record(flock, |f| &f.scans).map(|(f, r)| (f, RecordRef::Scan(r.id))),
            Kind::StrikeGeneTest => {
                self.record(flock, |f| &f.tests).map(|(f, r)| (f, RecordRef::GeneTest(r.id)))
            }
            Kind::StrikeScoring => {
                self.record(flock, |f| &f.scores).map(|(f, r)| (f, RecordRef::Scoring(r.id)))
            }
            Kind::StrikeDecision => {
                self.record(flock, |f| &f.decisions).map(|(f, r)| (f, RecordRef::Decision(r.id)))
            }
            Kind::StrikeFeedMove => {
                let open: Vec<_> = flock.feedroom().moves.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::FeedMove(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeFeedSheet => {
                let open: Vec<_> = flock.feedroom().sheets.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::FeedSheet(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeMeasure => {
                let open: Vec<_> = flock.feedroom().measures.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::Measure(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeCreep => {
                let open: Vec<_> = flock.feedroom().creeps.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::Creep(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeRation => {
                let open: Vec<_> = flock.feedroom().rations.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::Ration(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikePenCheck => {
                let open: Vec<_> = flock.feedroom().checks.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::PenCheck(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeMoney => {
                let all = flock.daybook().money.clone();
                let open: Vec<_> = all.iter().filter(|m| m.struck.is_none()).collect();
                let record = RecordRef::Money(open.get(self.rng.usize(..open.len().max(1)))?.id);
                return Some(strike_kept(record, &why, flock, self.today));
            }
            Kind::StrikeTick => self.record(flock, |f| &f.ticks).map(|(f, r)| (f, RecordRef::Tick(r.id))),
            Kind::StrikeRemark => {
                self.record(flock, |f| &f.remarks).map(|(f, r)| (f, RecordRef::Remark(r.id)))
            }
            _ => {
                let new = self.amended(kind, flock)?;
                return Some(amend(new, &why, flock, self.today));
            }
        };
        Some(struck(record?, &why, self))
    }

    fn amended(&mut self, kind: Kind, flock: &Flock) -> Option<Amended> {
        Some(match kind {
            Kind::AmendLambing => {
                let (_, mut l) = self.record(flock, |f| &f.lambings)?;
                let day = self.seen(flock, l.ewe);
                if self.rng.bool() {
                    l.at = self.moment(day);
                }
                if self.rng.bool() {
                    l.ram = self.some(|m| m.ram(flock)).flatten();
                }
                l.ease = self.some(|m| *m.pick(Ease::ALL));
                l.help = self.some(Self::text).map(Into::into);
                l.note = self.some(Self::text).map(Into::into);
                Amended::Lambing(l)
            }
            Kind::AmendBirth => {
                let id = self.one(flock, |f| f.birth.is_some())?;
                let mut b = flock.file(id)?.birth.clone()?;
                b.fate = *self.pick(Fate::ALL);
                b.ease = self.some(|m| *m.pick(Ease::ALL));
                b.sucked = self.some(|m| m.rng.bool());
                b.navel_dipped = self.some(|m| m.rng.bool());
                b.colostrum = self.some(|m| Dose::Volume(m.rng.u32(1000..300_000)));
                Amended::Birth(id, b)
            }
            Kind::AmendJoining => {
                let (_, mut j) = self.record(flock, |f| &f.joinings)?;
                if let Some(ram) = self.some(|m| m.ram(flock)).flatten() {
                    j.ram = ram;
                }
                j.to = self.some(|m| j.from.plus(m.rng.i64(0..40)).min(m.today));
                j.method = self.some(Self::text).map(Into::into);
                Amended::Joining(j)
            }
            Kind::AmendWeighing => {
                let (_, mut w) = self.record(flock, |f| &f.weighings)?;
                w.weight = Weight::from_grams(self.rng.i64(1..130_000))?;
                w.at.time = None;
                w.note = self.some(Self::text).map(Into::into);
                Amended::Weighing(w)
            }
            Kind::AmendTreatment => {
                let (_, mut t) = self.record(flock, |f| &f.treatments)?;
                t.batch = self.some(Self::text).map(Into::into);
                t.dose = self.some(Self::dose);
                t.route = self.some(|m| *m.pick(Route::ALL));
                t.meat = self.period();
                t.milk = self.period();
                Amended::Treatment(t)
            }
            Kind::AmendPenMove => {
                let (_, mut p) = self.record(flock, |f| &f.pen_moves)?;
                p.on = self.seen(flock, p.animal);
                p.pen = self.some(|m| format!("Pen {}", m.rng.u32(1..5)).into());
                Amended::PenMove(p)
            }
            Kind::AmendMovement => {
                let (_, mut m) = self.record(flock, |f| &f.movements)?;
                m.on = self.seen(flock, m.animal);
                m.to = *self.pick(Status::ALL);
                m.reason = self.some(Self::text).map(Into::into);
                Amended::Movement(m)
            }
            Kind::AmendScoring => {
                let (_, mut s) = self.record(flock, |f| &f.scores)?;
                s.score = self.score();
                s.note = self.some(Self::text).map(Into::into);
                Amended::Scoring(s)
            }
            Kind::AmendFeedMove => {
                let mut m = flock.feedroom().moves.first()?.clone();
                m.amount = Mass::from_grams(self.rng.u64(1..100_000));
                m.note = self.some(Self::text);
                Amended::FeedMove(m)
            }
            Kind::AmendFeedSheet => {
                let mut s = flock.feedroom().sheets.first()?.clone();
                s.lab = self.some(Self::text);
                Amended::FeedSheet(s)
            }
            Kind::AmendRation => {
                let mut r = flock.feedroom().rations.first()?.clone();
                r.each = Mass::from_grams(self.rng.u64(1..3_000))?;
                Amended::Ration(r)
            }
            Kind::AmendMoney => {
                let mut m = flock.daybook().money.first()?.clone();
                m.amount = Price::from_cents(self.rng.u32(1..10_000));
                m.note = self.some(Self::text);
                Amended::Money(m)
            }
            Kind::AmendRemark => {
                let (_, mut r) = self.record(flock, |f| &f.remarks)?;
                r.text = self.text();
                Amended::Remark(r)
            }
            Kind::AmendMark => {
                let (_, mut m) = self.record(flock, |f| &f.marks)?;
                m.on = self.seen(flock, m.ewe);
                m.ram = self.some(|m| m.ram(flock)).flatten();
                m.colour = self.some(Self::text).map(Into::into);
                Amended::Mark(m)
            }
            Kind::AmendScan => {
                let (_, mut s) = self.record(flock, |f| &f.scans)?;
                s.found = *self.pick(Scanned::ALL);
                s.age_days = None;
                s.note = self.some(Self::text).map(Into::into);
                Amended::Scan(s)
            }
            Kind::AmendGeneTest => {
                let (_, mut t) = self.record(flock, |f| &f.tests)?;
                t.lab = self.some(Self::text);
                t.number = self.some(Self::text);
                t.note = self.some(Self::text);
                Amended::GeneTest(t)
            }
            other => unreachable!("{other:?} has a maker of its own"),
        })
    }
}
