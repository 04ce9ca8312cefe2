//! Breeding values, reckoned on a thread: of one trait, or of several for an index; and the flock's own shares of the
//! variance.

use super::{Desk, OpenBook, Stage, worker::Job};
use crate::look::Kind;
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{
    Ask, Evaluation, Own, PlacedAnimal, Unfit, evaluate, own, placed, scores,
};
use hirsel_core::reckon::mating::PairsAsk;
use std::sync::Arc;

/// What is asked: traits, each with its weight; one alone is asked for with weight 1.
#[derive(Debug, Clone, PartialEq)]
pub struct ValuesAsk {
    /// Each trait with its question and what one unit of it counts.
    pub of: Vec<(Ask, f64)>,
    /// Where the shares come from, in words.
    pub shares: String,
}

/// The values of one question.
pub struct Found {
    /// Tells it from the answers before it.
    pub number: u64,
    /// The version of the flock it is of.
    pub version: u64,
    /// The question.
    pub ask: ValuesAsk,
    /// An evaluation for each trait.
    pub all: Vec<Evaluation>,
    /// Every animal with its value (of several traits: weighed together) and its rank.
    pub placed: Vec<PlacedAnimal>,
    /// Mothering has values of its own.
    pub mothering: bool,
}

impl Found {
    /// Of what, in words.
    pub fn words(&self) -> String {
        match self.all.as_slice() {
            [one] => one.of.words(),
            all => phrase!("index of {} traits", all.len()),
        }
    }
}

/// How far it is, and what was found last.
#[derive(Default)]
pub struct Finding {
    /// Values are being reckoned: percent.
    pub working: Option<u32>,
    /// The values, or why there are none.
    pub answer: Option<Result<Arc<Found>, Unfit>>,
    /// The flock's own shares are being estimated: percent.
    pub estimating: Option<u32>,
    /// The flock's own shares with the question they belong to, or why there are none.
    pub own: Option<(Ask, Result<Arc<Own>, Unfit>)>,
}

impl Finding {
    /// The values that stand for this version of the flock.
    pub fn found(&self) -> Option<&Arc<Found>> {
        self.answer.as_ref().and_then(|a| a.as_ref().ok())
    }

    /// Gives the values last reckoned to who to whom; tells of what they are. Weigh them with
    /// [`PairsAsk::weights`]`.value`.
    pub fn lend(&self, ask: &mut PairsAsk) -> Option<String> {
        let found = self.found()?;
        ask.values = scores(&found.placed);
        Some(found.words())
    }
}

/// The desk's corner for it.
#[derive(Default)]
pub(super) struct Kept {
    finding: Finding,
    job: Option<Job<Result<Found, Unfit>>>,
    own: Option<(Ask, Job<Result<Own, Unfit>>)>,
    count: u64,
}

impl Kept {
    /// What there is to show.
    pub(super) fn get(&self) -> &Finding {
        &self.finding
    }
}

impl OpenBook {
    /// Starts reckoning; what is under way is dropped, what was found before stays to be seen.
    pub(super) fn find_values(&mut self, ctx: &egui::Context, ask: ValuesAsk) {
        let flock = Arc::clone(&self.flock);
        let corner = &mut self.values;
        corner.count += 1;
        corner.finding.working = Some(0);
        let number = corner.count;
        corner.job = Some(Job::start(ctx, move |reins| {
            let n = ask.of.len().max(1) as f64;
            let mut all = Vec::new();
            for (i, (one, _)) in ask.of.iter().enumerate() {
                let part = &mut |p: f64| reins.go_on((100.0 * (i as f64 + p.clamp(0.0, 1.0)) / n) as u32);
                all.push(evaluate(&flock, one, part).map_err(|e| named(e, ask.of.len(), one))?);
            }
            let weighed: Vec<(&Evaluation, f64)> = all.iter().zip(ask.of.iter().map(|o| o.1)).collect();
            let placed = placed(&flock, &weighed);
            let mothering = all.iter().any(|e| e.animals.iter().any(|a| a.maternal.is_some()));
            Ok(Found { number, version: flock.version(), ask, all, placed, mothering })
        }));
    }

    /// Starts estimating the flock's own shares.
    pub(super) fn find_own(&mut self, ctx: &egui::Context, ask: Ask) {
        let flock = Arc::clone(&self.flock);
        let asked = ask.clone();
        let corner = &mut self.values;
        corner.finding.estimating = Some(0);
        corner.finding.own = None;
        corner.own = Some((asked, Job::start(ctx, move |reins| own(&flock, &ask, &mut |p| reins.go_on(p)))));
    }

    /// Stops what is under way.
    pub(super) fn stop_values(&mut self) {
        if let Some(job) = &self.values.job {
            job.stop();
        }
        if let Some((_, job)) = &self.values.own {
            job.stop();
        }
    }

    /// Takes in what was found. Tells what is to be said of it.
    fn keep_values(&mut self) -> Option<(Kind, String)> {
        let corner = &mut self.values;
        let mut said = None;
        if let Some(job) = &corner.job {
            corner.finding.working = Some(job.percent());
            if let Some(answer) = job.answer() {
                corner.job = None;
                corner.finding.working = None;
                let answer = answer.unwrap_or(Err(Unfit::Stopped));
                match (&answer, &corner.finding.answer) {
                    // Stopped: what was found before stays.
                    (Err(Unfit::Stopped), Some(Ok(_))) => {
                        said = Some((Kind::Refuse, phrase!("Stopped: the values before are shown")));
                    }
                    (Err(why), _) => {
                        said = Some((Kind::Refuse, why.to_string()));
                        corner.finding.answer = Some(answer.map(Arc::new));
                    }
                    (Ok(_), _) => corner.finding.answer = Some(answer.map(Arc::new)),
                }
            }
        }
        if let Some((_, job)) = &corner.own {
            corner.finding.estimating = Some(job.percent());
            if let Some(answer) = job.answer() {
                corner.finding.estimating = None;
                let answer = answer.unwrap_or(Err(Unfit::Stopped)).map(Arc::new);
                corner.finding.own = corner.own.take().map(|(ask, _)| (ask, answer));
            }
        }
        said
    }
}

/// Of several traits the one that gave no answer is named.
fn named(why: Unfit, traits: usize, ask: &Ask) -> Unfit {
    match why {
        Unfit::Stopped | Unfit::Circle => why,
        why if traits < 2 => why,
        why => Unfit::Asked(format!("{}: {why}", ask.of.words())),
    }
}

impl Desk {
    /// Takes in what was found, and says so where there is nothing.
    pub(super) fn poll_values(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some((kind, text)) = open.keep_values() {
            self.say(kind, text);
        }
    }
}
