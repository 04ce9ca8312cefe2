//! Autumn and winter of a season: who leaves, who comes, and what the ewes are given before they lamb. Days
//! count from the season's base day, about which lambing ends.

use crate::cupboard::{CLOSTRIDIAL, LEVAMISOLE};
use crate::found::Needs;
use crate::joining::Coming;
use crate::maker::{Jab, Maker, Moves, Stud, WORD};
use crate::names::{ABATTOIR, BUYERS};
use crate::sheep::{At, Sheep};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, DoseDraft, StandingDraft};
use hirsel_core::terms::{Day, Decided, MoneyKind, Sex, Status};

impl Maker<'_> {
    /// The whole autumn; gives the ewes that will lamb, by day.
    pub(crate) fn autumn(&mut self, season: usize) -> Result<Vec<Coming>, Failed> {
        let base = self.base(season);
        let needs = Needs::of(self.ewes);
        if season > 0 {
            self.draft_ewes(base);
        }
        self.change_rams(season, base, &needs)?;
        self.test_rams(season, base)?;
        let (mains, late) = self.choose_ewes(base, &needs);
        let (joined, mut coming) = self.join(season, base, mains, late);
        // A ewe that dies before her time lambs no more; what is written of her ends with her.
        for ewe in &joined {
            let on = base.plus(self.dice.between(-62, -48));
            if self.dice.chance(0.012) && Some(*ewe) != self.unlucky && joined.len() > 8 && on <= self.today {
                let why = ["twin-lamb disease", "found dead", "staggers", "on her back in a ditch"];
                self.sheep[*ewe].dies = Some((on, self.dice.pick(&why)));
            }
        }
        coming.retain(|c| self.sheep[c.ewe].dies.is_none());
        self.winter(season, base, &joined);
        let flock = self.flock();
        self.losses(&flock);
        let year = base.year();
        self.flush(&format!("Autumn and winter before the lambing of {year}"))?;
        self.crayons_and_marks(season, base)?;
        coming.sort_by_key(|c| (c.on, c.ewe));
        Ok(coming)
    }

    /// Sells the oldest ewes that are more than the flock keeps, and those with too much trouble.
    fn draft_ewes(&mut self, base: Day) {
        let on = base.plus(-204);
        let mut ewes = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 450);
        let hoggs = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) <= 450).len();
        ewes.retain(|at| Some(*at) != self.unlucky && self.sheep[*at].is_clear(on));
        // Some hoggs are joined in their first autumn and need room.
        let room = (self.ewes - (hoggs / 3).min(self.ewes / 8)).max(1);
        ewes.sort_by_key(|at| (self.sheep[*at].trouble < 2, self.sheep[*at].born, *at));
        let troubled = ewes.iter().filter(|at| self.sheep[**at].trouble >= 2).count();
        let old = ewes.iter().filter(|at| self.sheep[**at].age(on) > 7 * 365).count();
        let wanted = ewes.len().saturating_sub(room).max((troubled + old).min(ewes.len() / 8));
        ewes.truncate(wanted);
        let flock = self.flock();
        let (culls, drafts): (Vec<At>, Vec<At>) = ewes
            .into_iter()
            .partition(|at| self.sheep[*at].trouble >= 2 || self.sheep[*at].age(on) > 7 * 365);
        let said = |list: &[At], what: Decided, why: &'static str| -> Vec<(At, Decided, Option<&str>)> {
            list.iter().map(|at| (*at, what, Some(why))).collect()
        };
        self.decide(on.plus(-4), said(&culls, Decided::Cull, "age, udder or teeth"), &flock);
        self.decide(on.plus(-4), said(&drafts, Decided::Sell, "more ewes than grass"), &flock);
        let head = |list: &[At]| u32::try_from(list.len()).unwrap_or(0);
        self.paid(on, MoneyKind::Culls, head(&culls) * 6_200, "cull ewes");
        self.paid(on, MoneyKind::OtherIncome, head(&drafts) * 8_800, "draft ewes");
        self.leave(&culls, Status::Culled, on, Some(ABATTOIR), "cull ewe: age, udder or teeth", &flock);
        let buyer = self.dice.pick(BUYERS);
        self.leave(&drafts, Status::Sold, on, Some(buyer), "draft ewe", &flock);
    }

    /// Rams that have done their seasons leave, young ones move up, others are bought or bred.
    fn change_rams(&mut self, season: usize, base: Day, needs: &Needs) -> Result<(), Failed> {
        let on = base.plus(-203);
        if season > 0 {
            let flock = self.flock();
            let (done, stay): (Vec<Stud>, Vec<Stud>) = self
                .studs
                .iter()
                .partition(|r| (r.seasons >= 2 && !r.young) || !self.sheep[r.at].is_here(on));
            self.studs = stay;
            let done: Vec<At> =
                done.into_iter().map(|r| r.at).filter(|at| self.sheep[*at].is_here(on)).collect();
            let (sold, culled) = done.split_at(done.len().div_ceil(2));
            let buyer = self.dice.pick(BUYERS);
            self.leave(sold, Status::Sold, on, Some(buyer), "stock ram, too many daughters here now", &flock);
            self.leave(culled, Status::Culled, on, Some(ABATTOIR), "old ram", &flock);
            let mut vacant = needs.rams.saturating_sub(self.studs.iter().filter(|r| !r.young).count());
            for r in self.studs.iter_mut().filter(|r| r.young && r.seasons > 0) {
                if vacant > 0 {
                    r.young = false;
                    r.seasons = 0;
                    vacant -= 1;
                }
            }
        }
        let short = |young: bool, need: usize, studs: &[Stud]| {
            need.saturating_sub(studs.iter().filter(|r| r.young == young).count())
        };
        // Young rams of our own breeding in odd seasons, bought ones in even seasons.
        let mut own: Vec<At> = self.here(on, |s| {
            s.sex == Sex::Ram && s.kept && s.season.is_some() && s.season.map(|x| x + 1) == Some(season)
        });
        own.retain(|at| !self.studs.iter().any(|r| r.at == *at));
        for at in own.into_iter().take(short(true, needs.young, &self.studs)) {
            self.studs.push(Stud { at, seasons: 0, young: true });
        }
        let (rams, young) = (short(false, needs.rams, &self.studs), short(true, needs.young, &self.studs));
        let shearling = |n: usize| base.plus(-365 * 2 - 30 + (n as i64 * 11) % 40);
        let mut wanted: Vec<(Sex, Day)> = (0..rams + young).map(|n| (Sex::Ram, shearling(n))).collect();
        if season > 0 && season.is_multiple_of(2) && self.ewes >= 12 {
            wanted.extend((0..(self.ewes / 30).max(2)).map(|n| (Sex::Ewe, shearling(n + 3))));
        }
        let bought = self.buy(&wanted, on)?;
        let rams_bought = u32::try_from(rams + young).unwrap_or(0);
        let ewes_bought = u32::try_from(wanted.len()).unwrap_or(0).saturating_sub(rams_bought);
        self.paid(on, MoneyKind::Rams, rams_bought * 48_000, "shearling rams");
        self.paid(on, MoneyKind::Ewes, ewes_bought * 17_500, "shearling ewes");
        for (n, at) in bought.into_iter().take(rams + young).enumerate() {
            self.studs.push(Stud { at, seasons: 0, young: n >= rams });
        }
        for r in &mut self.studs {
            r.seasons += 1;
        }
        Ok(())
    }

    /// Ewes for the rams that run with them, and those to be served late by hand.
    fn choose_ewes(&mut self, base: Day, needs: &Needs) -> (Vec<At>, Vec<At>) {
        let on = base.plus(-202);
        let mut grown = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 450);
        let mut hoggs = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) <= 450);
        hoggs.sort_by(|a, b| {
            let kg = |at: &At| self.sheep[*at].kg(base.plus(-155));
            kg(b).total_cmp(&kg(a)).then(a.cmp(b))
        });
        // Two thirds of the grown weight is ready for the ram (reference: husbandry, ewe's year).
        let room = self.ewes.saturating_sub(grown.len());
        let most = if self.ewes < 12 { 0 } else { (hoggs.len() / 2).min(room.max(self.ewes / 20)) };
        hoggs.truncate(most);
        grown.sort_by_key(|at| (self.sheep[*at].litters > 0, std::cmp::Reverse(self.sheep[*at].born), *at));
        let maidens = needs.late.saturating_sub(hoggs.len()).min(grown.len());
        let mains = grown.split_off(maidens);
        grown.append(&mut hoggs);
        (mains, grown)
    }

    /// Weighings and medicines from autumn to lambing.
    fn winter(&mut self, season: usize, base: Day, joined: &[At]) {
        let flock = self.flock();
        let grown = self.here(base.plus(-200), |s| s.kept);
        self.before_the_ram(base.plus(-201), &grown, &flock);
        if !self.is_lean() {
            self.in_lamb(base.plus(-82), joined, &flock);
        }
        let maiden = |s: &Sheep| s.litters == 0 && (s.season.is_some() || s.age(base) < 900);
        let first: Vec<At> = joined.iter().copied().filter(|e| maiden(&self.sheep[*e])).collect();
        let by_rule = |bottle, animals: Vec<At>, day: i64, reason| Jab {
            bottle,
            animals,
            on: base.plus(day),
            time: None,
            dose: DoseDraft::ByRule,
            reason,
        };
        // Boost four weeks before lambing, first-timers also six weeks before (reference: husbandry, ewe's year).
        let jabs = vec![
            by_rule(&CLOSTRIDIAL, first, -84, "clostridial diseases, primary course"),
            by_rule(&CLOSTRIDIAL, joined.to_vec(), -63, "clostridial diseases, booster before lambing"),
        ];
        self.treat(jabs, &flock);
        if !self.is_lean() {
            let mut moves = Moves::new();
            moves.insert((base.plus(-50), "Lambing shed".into()), joined.to_vec());
            self.pens(moves, &flock);
            // A ram is lent for some weeks once.
            if season == self.last.min(2)
                && let Some(r) = self.studs.iter().find(|r| !r.young && r.seasons > 1)
            {
                let draft = StandingDraft {
                    animals: vec![self.sheep[r.at].id],
                    to: Status::Lent,
                    on: base.plus(-130),
                    other: Some(BUYERS[1].into()),
                    reason: Some("lent for late ewes".into()),
                    details: Default::default(),
                };
                self.lent = Some(r.at);
                self.push(entry::standing(draft, &flock, self.today), WORD);
            }
            self.drench(base, joined);
        }
    }

    /// The thinner third of the ewes are wormed when they are weighed in winter; their weights are written first.
    fn drench(&mut self, base: Day, joined: &[At]) {
        let mut thin = joined.to_vec();
        let kg = |m: &Self, at: &At| m.sheep[*at].kg(base.plus(-82)) / m.sheep[*at].frame;
        thin.sort_by(|a, b| kg(self, a).total_cmp(&kg(self, b)).then(a.cmp(b)));
        thin.truncate(joined.len() / 3);
        thin.sort_unstable();
        self.later.push(Jab {
            bottle: &LEVAMISOLE,
            animals: thin,
            on: base.plus(-82),
            time: None,
            dose: DoseDraft::ByRule,
            reason: "worms: thin, dirty tails",
        });
    }
}
