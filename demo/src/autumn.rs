//! Autumn and winter of a season: who leaves, who comes, who is joined with whom, and what the ewes are given
//! before they lamb. Days count from the season's base day, about which lambing ends.

use crate::cupboard::{CLOSTRIDIAL, LEVAMISOLE};
use crate::found::Needs;
use crate::maker::{Jab, Maker, Moves, Scale, Stud, WORD};
use crate::names::{ABATTOIR, BUYERS};
use crate::sheep::{At, Sheep, nearness};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, DoseDraft, JoiningDraft, StandingDraft};
use hirsel_core::terms::{Day, Moment, Sex, Status};

/// Rams go in.
const RAMS_IN: i64 = -186;
/// Rams come out; the last lamb is due 152 days later.
const RAMS_OUT: i64 = -139;
/// The back-up ram goes in for the last three weeks.
const BACK_UP: i64 = -160;

/// A ewe that will lamb.
#[derive(Debug, Clone)]
pub(crate) struct Coming {
    pub(crate) ewe: At,
    /// The sire in truth.
    pub(crate) ram: At,
    /// Every ram that may be the sire by the book.
    pub(crate) possible: Vec<At>,
    pub(crate) on: Day,
}

/// A ewe's place at joining.
struct Group {
    ram: At,
    ewes: Vec<At>,
    until: i64,
}

impl Maker<'_> {
    /// The whole autumn; gives the ewes that will lamb, by day.
    pub(crate) fn autumn(&mut self, season: usize) -> Result<Vec<Coming>, Failed> {
        let base = self.base(season);
        let needs = Needs::of(self.ewes);
        if season > 0 {
            self.draft_ewes(base);
        }
        self.change_rams(season, base, &needs)?;
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

    /// Puts the rams in: groups that run with a ram, ewes served by hand, a back-up ram in some seasons.
    fn join(&mut self, season: usize, base: Day, mains: Vec<At>, late: Vec<At>) -> (Vec<At>, Vec<Coming>) {
        let last = season == self.last;
        let (rams, young): (Vec<Stud>, Vec<Stud>) = self.studs.iter().partition(|r| !r.young);
        let rams: Vec<At> = rams.into_iter().map(|r| r.at).collect();
        let mut groups = self.group(mains, &rams);
        let tiny = late.is_empty();
        let back_up = groups.len() >= 2 && (last || (season == 1 && self.last >= 3));
        if back_up && let Some(g) = groups.get_mut(1) {
            g.until = BACK_UP - 1;
        }
        if season + 1 == self.last {
            let grown = |at: &&At| (900..1900).contains(&self.sheep[**at].age(base));
            self.unlucky = groups.iter().flat_map(|g| &g.ewes).find(grown).copied();
        }
        let mut drafts = Vec::new();
        let mut coming = Vec::new();
        let helper = if back_up { groups.get(1).map(|g| g.ram) } else { None };
        for (n, g) in groups.iter().enumerate() {
            drafts.push(self.joining(
                g.ram,
                &g.ewes,
                base.plus(RAMS_IN),
                base.plus(g.until),
                "running with the ram",
            ));
            let helper = helper.filter(|_| n == 0);
            let helped: Vec<At> = match helper {
                Some(r) => g.ewes.iter().copied().filter(|e| nearness(&self.sheep, *e, r) < 2).collect(),
                None => Vec::new(),
            };
            if let (Some(r), false) = (helper, helped.is_empty()) {
                drafts.push(self.joining(r, &helped, base.plus(BACK_UP), base.plus(RAMS_OUT), "back-up ram"));
            }
            for (place, ewe) in g.ewes.iter().enumerate() {
                let forced = match (last, tiny, n, place) {
                    (true, true, 0, 0) => Some(-1),
                    (true, true, 0, 1) => Some(6),
                    _ if Some(*ewe) == self.unlucky => Some(if last { -21 } else { -25 }),
                    _ => None,
                };
                let backed = helped.contains(ewe);
                if let Some(c) = self.service(base, g, *ewe, helper.filter(|_| backed), forced) {
                    coming.push(c);
                }
            }
        }
        for (n, ewe) in late.iter().enumerate() {
            let ram = young
                .iter()
                .map(|r| r.at)
                .min_by_key(|r| (nearness(&self.sheep, *ewe, *r), (*r + n) % young.len().max(1)))
                .or(rams.first().copied());
            let Some(ram) = ram.filter(|r| nearness(&self.sheep, *ewe, *r) < 3) else { continue };
            // Days about today on which the last season's late ewes lamb, so that tonight has something to show.
            let pattern = [-1, 4, 0, 8, -2, 11, -1, 6];
            let on = match pattern.get(n).filter(|_| last) {
                Some(off) => *off,
                None => self.dice.between(-11, 12),
            };
            let served = base.plus(on - self.gestation());
            drafts.push(self.joining(ram, &[*ewe], served, served, "served by hand"));
            let barren = n >= pattern.len() && self.dice.chance(0.12);
            if !barren {
                coming.push(Coming { ewe: *ewe, ram, possible: vec![ram], on: base.plus(on) });
            }
        }
        let flock = self.flock();
        self.push(entry::joinings(drafts, &flock, self.today), WORD);
        let mut joined: Vec<At> = groups.iter().flat_map(|g| g.ewes.clone()).collect();
        joined.extend(late);
        joined.sort_unstable();
        self.field(base, &groups);
        (joined, coming)
    }

    fn joining(&self, ram: At, ewes: &[At], from: Day, to: Day, how: &str) -> JoiningDraft {
        JoiningDraft {
            ram: self.sheep[ram].id,
            ewes: ewes.iter().map(|e| self.sheep[*e].id).collect(),
            from,
            to: Some(to),
            method: Some(how.into()),
        }
    }

    /// Deals the ewes out to the rams: never to a near relation while another ram has room.
    fn group(&mut self, mut ewes: Vec<At>, rams: &[At]) -> Vec<Group> {
        self.dice.shuffle(&mut ewes);
        let cap = ewes.len().div_ceil(rams.len().max(1)) + 2;
        let mut groups: Vec<Group> =
            rams.iter().map(|r| Group { ram: *r, ewes: Vec::new(), until: RAMS_OUT }).collect();
        for ewe in ewes {
            let best = groups
                .iter_mut()
                .filter(|g| g.ewes.len() < cap)
                .map(|g| (nearness(&self.sheep, ewe, g.ram), g.ewes.len(), g))
                .filter(|(near, _, _)| *near < 3)
                .min_by_key(|(near, load, _)| (*near, *load));
            if let Some((_, _, g)) = best {
                g.ewes.push(ewe);
            }
        }
        groups.retain(|g| !g.ewes.is_empty());
        for g in &mut groups {
            g.ewes.sort_unstable();
        }
        groups
    }

    /// 144 to 152 days, 147 the most common (reference: husbandry, ewe's year).
    fn gestation(&mut self) -> i64 {
        self.dice.weighted(&[
            (144, 5.0),
            (145, 12.0),
            (146, 20.0),
            (147, 25.0),
            (148, 18.0),
            (149, 10.0),
            (150, 6.0),
            (151, 3.0),
            (152, 1.0),
        ])
    }

    /// Whether and when a ewe that runs with a ram will lamb.
    fn service(
        &mut self,
        base: Day,
        g: &Group,
        ewe: At,
        helper: Option<At>,
        forced: Option<i64>,
    ) -> Option<Coming> {
        let gestation = self.gestation();
        let served = match forced {
            Some(on) => on - gestation,
            None => {
                // Heat comes about every 17 days (reference: husbandry, ewe's year).
                let cycle = self.dice.weighted(&[(0, 72.0), (1, 19.0), (2, 5.0), (9, 4.0)]);
                RAMS_IN + cycle * 17 + self.dice.between(0, 16)
            }
        };
        if forced.is_none() && served > RAMS_OUT.min(if helper.is_some() { RAMS_OUT } else { g.until }) {
            return None;
        }
        let on = base.plus(served + gestation);
        let mut possible = vec![g.ram];
        let mut ram = g.ram;
        if let Some(h) = helper {
            // By the book either may be the sire when the day fits both times with a ram.
            if on >= base.plus(BACK_UP + 144) {
                possible.push(h);
            }
            if served >= BACK_UP && self.dice.chance(0.5) {
                ram = h;
            }
        }
        Some(Coming { ewe, ram, possible, on })
    }

    fn field(&mut self, base: Day, groups: &[Group]) {
        if self.is_lean() {
            return;
        }
        let fields = ["Long field", "Orchard", "Mill croft", "Bank field"];
        let mut moves = Moves::new();
        // Rams rest in their paddock, young ewes that are not joined in the bottom croft.
        let studs: Vec<At> = self.studs.iter().map(|r| r.at).collect();
        moves.insert((base.plus(-203), "Ram paddock".into()), studs);
        let hoggs = self.here(base.plus(-186), |s| s.sex == Sex::Ewe && s.kept && s.age(base) < 500);
        moves.insert((base.plus(-200), "Bottom croft".into()), hoggs);
        for (n, g) in groups.iter().enumerate() {
            let pen = fields[n % fields.len()].to_string();
            let list = moves.entry((base.plus(RAMS_IN), pen)).or_default();
            list.extend(g.ewes.iter().copied().chain(std::iter::once(g.ram)));
            moves.entry((base.plus(g.until), "Ram paddock".into())).or_default().push(g.ram);
        }
        let flock = self.flock();
        self.pens(moves, &flock);
    }

    /// Weighings and medicines from autumn to lambing.
    fn winter(&mut self, season: usize, base: Day, joined: &[At]) {
        let flock = self.flock();
        let grown = self.here(base.plus(-200), |s| s.kept);
        let mut scale: Vec<Scale> = Vec::new();
        for (day, list) in [(-201, &grown[..]), (-82, joined)] {
            let when = Moment::day(base.plus(day));
            for at in list {
                scale.push((*at, when, self.sheep[*at].scale(when.day, &mut self.dice)));
            }
            if self.is_lean() {
                break;
            }
        }
        self.weigh(&scale, &flock, None, WORD);
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
