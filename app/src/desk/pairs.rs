//! Who to whom, found on a thread: first the best set, then the years ahead of it.

use super::{Desk, OpenBook, Stage, worker::Job};
use crate::look::Kind;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::reckon::mating::{
    Ahead, AheadSpec, Alternative, CarriedGenes, NoPairs, Pairs, PairsAsk, ahead, pairs,
};
use hirsel_core::terms::Day;
use std::sync::Arc;

/// What the keeper takes as given for the years ahead; the rest comes from the flock's own figures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct AheadWish {
    /// Lambs reared a ewe and year.
    pub lambs: Option<f64>,
    /// Crops a ewe is kept for.
    pub ewe_crops: Option<u32>,
    /// Young ewes kept each year.
    pub young_ewes: Option<u32>,
    /// Young rams kept each year.
    pub young_rams: Option<u32>,
}

/// The best set of one question.
pub struct Found {
    /// Tells it from the answers before it.
    pub number: u64,
    /// The version of the flock it is of.
    pub version: u64,
    /// The set.
    pub pairs: Pairs,
    /// The next best sets.
    pub next: Vec<Alternative>,
}

/// How far the search is, and what it found last.
#[derive(Default)]
pub struct Finding {
    /// A search is under way: percent.
    pub working: Option<u32>,
    /// The best set, or why there is none.
    pub answer: Option<Result<Arc<Found>, NoPairs>>,
    /// The years ahead are being simulated: percent.
    pub looking_ahead: Option<u32>,
    /// The years ahead.
    pub ahead: Option<Arc<Ahead>>,
}

type Answer = Result<Found, NoPairs>;

/// The desk's corner for it.
#[derive(Default)]
pub(super) struct Kept {
    finding: Finding,
    job: Option<Job<Answer>>,
    later: Option<Job<Option<Ahead>>>,
    wish: AheadWish,
    count: u64,
}

impl Kept {
    /// What there is to show.
    pub(super) fn get(&self) -> &Finding {
        &self.finding
    }
}

/// So many next best sets are shown.
const NEXT: usize = 5;

impl OpenBook {
    /// Starts a search; one that is under way is dropped.
    pub(super) fn find_pairs(&mut self, ctx: &egui::Context, mut ask: PairsAsk, wish: AheadWish) {
        let (flock, kindred) = (Arc::clone(&self.flock), self.blood.get().cloned());
        let corner = &mut self.pairs;
        corner.count += 1;
        corner.wish = wish;
        corner.later = None;
        corner.finding = Finding { working: Some(0), ..Finding::default() };
        let number = corner.count;
        corner.job = Some(Job::start(ctx, move |reins| {
            if ask.risk.is_none() {
                let all: Vec<_> = ask.ewes.iter().copied().chain(ask.rams.iter().map(|r| r.ram)).collect();
                ask.risk = Some(Arc::new(CarriedGenes::of(&flock, &all)));
            }
            let kindred = match kindred.filter(|k| k.version() == flock.version()) {
                Some(kindred) => kindred,
                None => Arc::new(Kindred::of(&flock)),
            };
            let pairs = pairs(&flock, &kindred, &ask, &mut |p| reins.go_on(p))?;
            let next = pairs.alternatives(NEXT);
            Ok(Found { number, version: flock.version(), pairs, next })
        }));
    }

    /// Stops what is under way.
    pub(super) fn stop_pairs(&mut self) {
        for stop in [self.pairs.job.as_ref().map(Job::stop), self.pairs.later.as_ref().map(Job::stop)] {
            stop.unwrap_or_default();
        }
    }

    /// Takes in what was found. Tells what is to be said of it.
    pub(super) fn keep_pairs(&mut self, ctx: &egui::Context, today: Day) -> Option<(Kind, String)> {
        let corner = &mut self.pairs;
        let mut said = None;
        if let Some(job) = &corner.job {
            corner.finding.working = Some(job.percent());
            if let Some(answer) = job.answer() {
                corner.job = None;
                corner.finding.working = None;
                let answer = answer.unwrap_or(Err(NoPairs::Stopped));
                match &answer {
                    Ok(found) => {
                        let (flock, set) = (Arc::clone(&self.flock), found.pairs.clone());
                        let wish = corner.wish;
                        corner.finding.looking_ahead = Some(0);
                        corner.later = Some(Job::start(ctx, move |reins| {
                            ahead(&set, &spec(&flock, today, &set, wish), &mut |p| reins.go_on(p))
                        }));
                    }
                    Err(why) => said = Some((Kind::Refuse, why.to_string())),
                }
                corner.finding.answer = Some(answer.map(Arc::new));
            }
        }
        if let Some(job) = &corner.later {
            corner.finding.looking_ahead = Some(job.percent());
            if let Some(answer) = job.answer() {
                corner.later = None;
                corner.finding.looking_ahead = None;
                corner.finding.ahead = answer.ok().flatten().map(Arc::new);
            }
        }
        said
    }
}

impl Desk {
    /// Takes in what was found, and says so where there is nothing.
    pub(super) fn poll_pairs(&mut self, ctx: &egui::Context) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some((kind, text)) = open.keep_pairs(ctx, today) {
            self.say(kind, text);
        }
    }
}

fn spec(flock: &Flock, today: Day, set: &Pairs, wish: AheadWish) -> AheadSpec {
    let mut spec = AheadSpec::of(flock, today, set.ewes().len(), set.rams().len());
    if let Some(lambs) = wish.lambs {
        (spec.lambs, spec.from[0]) = (lambs, 0);
    }
    if let Some(crops) = wish.ewe_crops {
        (spec.ewe_crops, spec.from[1]) = (crops.max(1), 0);
        spec.young_ewes = set.ewes().len().div_ceil(crops.max(1) as usize) as u32;
    }
    spec.young_ewes = wish.young_ewes.unwrap_or(spec.young_ewes);
    spec.young_rams = wish.young_rams.unwrap_or(spec.young_rams);
    spec
}
