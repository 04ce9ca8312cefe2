//! The maker: what every stage of the making shares. Everything goes through the checks of `entry`.

use crate::Spec;
use crate::ancestors::OldBlood;
use crate::cupboard::Bottle;
use crate::dice::Dice;
use crate::genes::Genes;
use crate::lambing::Litter;
use crate::mating::Seen;
use crate::medicine::prescriber;
use crate::names::{HELPER, KEEPER, WORDS, ordinal};
use crate::sheep::{At, Sheep};
use hirsel_core::book::{Book, Failed};
use hirsel_core::entry::{
    self, Check, DoseDraft, MoneyDraft, PenMoveDraft, RemarkDraft, StandingDraft, Sure, TreatmentDraft,
    TreatmentExtra, WeighingDraft,
};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{Day, Minute, Moment, PrescriptionId, Status, Tag, Weight};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// The word with which the made-up keeper answers a question.
pub(crate) const WORD: &str = "right as written";

/// A ram at work.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stud {
    pub(crate) at: At,
    pub(crate) seasons: u32,
    /// Serves maidens by hand; the others run with their ewes.
    pub(crate) young: bool,
}

/// A dose to write down.
pub(crate) struct Jab {
    pub(crate) bottle: &'static Bottle,
    pub(crate) animals: Vec<At>,
    pub(crate) on: Day,
    pub(crate) time: Option<Minute>,
    pub(crate) dose: DoseDraft,
    pub(crate) reason: &'static str,
}

/// A weighing to write down.
pub(crate) type Scale = (At, Moment, f64);

/// Moves to pens, gathered by day and pen.
pub(crate) type Moves = BTreeMap<(Day, String), Vec<At>>;

pub(crate) struct Maker<'a> {
    pub(crate) book: &'a mut Book,
    pub(crate) dice: Dice,
    pub(crate) today: Day,
    /// What the flock was made from.
    pub(crate) spec_seed: u64,
    pub(crate) ewes: usize,
    pub(crate) last: usize,
    pub(crate) sheep: Vec<Sheep>,
    pub(crate) studs: Vec<Stud>,
    /// The ewe with two bad lambings.
    pub(crate) unlucky: Option<At>,
    /// The ram that is lent.
    pub(crate) lent: Option<At>,
    /// Hard lambings of the season.
    pub(crate) hard: Vec<(At, Day)>,
    /// Ewes of the season that rear no lamb.
    pub(crate) bereft: Vec<(At, Day)>,
    /// Ewe hoggs kept over winter to be sold in spring.
    pub(crate) hoggs: Vec<At>,
    /// Doses by weight whose weights must be written first.
    pub(crate) later: Vec<Jab>,
    /// Prescriptions by the first letters of a product's name and year.
    pub(crate) scripts: BTreeMap<(&'static str, i32), PrescriptionId>,
    /// Lambings of the last three days, written one by one at the end.
    pub(crate) tonight: Vec<Litter>,
    /// Dice for what was made up later: the other facts stay what they were.
    pub(crate) more: Dice,
    /// What was seen at this season's joining.
    pub(crate) seen: Seen,
    pub(crate) genes: Genes,
    /// Dice for scores, decisions, money and how lambs do: the other facts stay what they were.
    pub(crate) scored: Dice,
    /// How well a ewe nurses, whatever her blood.
    pub(crate) nursing: HashMap<At, f64>,
    /// Lambs of the last season that stand still.
    pub(crate) ailing: usize,
    /// Money to write down.
    pub(crate) purse: Vec<MoneyDraft>,
    pub(crate) old: OldBlood,
    progress: &'a mut dyn FnMut(&str),
    pending: Vec<Sure>,
    next_tag: u32,
    tag_width: usize,
    next_registry: u32,
    next_name: usize,
}

impl<'a> Maker<'a> {
    pub(crate) fn new(
        book: &'a mut Book,
        spec: &Spec,
        today: Day,
        progress: &'a mut dyn FnMut(&str),
    ) -> Self {
        let (ewes, seasons) = (spec.ewes.max(1) as usize, spec.seasons.max(1) as usize);
        let tags = 200 + ewes * 3 + ewes * seasons * 2;
        Self {
            book,
            dice: Dice::new(spec.seed),
            today,
            spec_seed: spec.seed,
            ewes,
            last: seasons - 1,
            sheep: Vec::new(),
            studs: Vec::new(),
            unlucky: None,
            lent: None,
            hard: Vec::new(),
            bereft: Vec::new(),
            hoggs: Vec::new(),
            later: Vec::new(),
            scripts: BTreeMap::new(),
            tonight: Vec::new(),
            more: Dice::new(spec.seed.wrapping_mul(31).wrapping_add(5)),
            seen: Seen::default(),
            genes: Genes::default(),
            scored: Dice::new(spec.seed.wrapping_mul(101).wrapping_add(77)),
            nursing: HashMap::new(),
            ailing: 0,
            purse: Vec::new(),
            old: OldBlood::new(spec.seed),
            progress,
            pending: Vec::new(),
            next_tag: 101,
            tag_width: tags.to_string().len().max(4),
            next_registry: 2_101,
            next_name: 0,
        }
    }

    /// The day a season turns about: lambing runs from 42 days before to 13 after; the last one's is today.
    pub(crate) fn base(&self, season: usize) -> Day {
        self.today.plus(-365 * (self.last - season) as i64)
    }

    /// A flock of thousands is not written up as closely as one of sixty.
    pub(crate) fn is_lean(&self) -> bool {
        self.ewes > 1_000
    }

    pub(crate) fn say(&mut self, text: &str) {
        (self.progress)(text);
    }

    pub(crate) fn flock(&self) -> Arc<Flock> {
        self.book.flock()
    }

    /// Takes a checked entry up for the next write.
    pub(crate) fn push(&mut self, check: Check, word: &str) {
        if let Some(sure) = sure(check, word) {
            self.pending.push(sure);
        }
    }

    /// Writes what was taken up as one line of the journal.
    pub(crate) fn flush(&mut self, what: &str) -> Result<(), Failed> {
        if !self.pending.is_empty() {
            let all = std::mem::take(&mut self.pending);
            self.book.write_many(what, all)?;
        }
        Ok(())
    }

    /// Writes one entry under its own sentence.
    pub(crate) fn write(&mut self, check: Check, word: &str) -> Result<(), Failed> {
        if let Some(sure) = sure(check, word) {
            self.book.write(sure)?;
        }
        Ok(())
    }

    pub(crate) fn tag(&mut self) -> Tag {
        let n = self.next_tag;
        self.next_tag += 1;
        mark(&format!("{n:0width$}", width = self.tag_width))
    }

    pub(crate) fn registry(&mut self) -> Tag {
        self.next_registry += 1;
        mark(&format!("QG {:05}", self.next_registry))
    }

    /// A registry name: a word, numbered when it comes again. The breeder's prefix goes before it on papers.
    pub(crate) fn name(&mut self) -> String {
        let n = self.next_name;
        self.next_name += 1;
        let word = WORDS[n * 37 % WORDS.len()];
        match n / WORDS.len() {
            0 => word.into(),
            again => format!("{word} {}", ordinal(again + 1)),
        }
    }

    pub(crate) fn own_name(&mut self) -> String {
        self.name()
    }

    /// Places of the sheep in the flock on a day that a test accepts, in order of birth in the making.
    pub(crate) fn here(&self, on: Day, keep: impl Fn(&Sheep) -> bool) -> Vec<At> {
        let all = self.sheep.iter().enumerate();
        all.filter(|(_, s)| s.is_here(on) && keep(s)).map(|(at, _)| at).collect()
    }

    /// Takes weighings up; those still to come and of sheep that are gone fall away.
    pub(crate) fn weigh(&mut self, list: &[Scale], flock: &Flock, note: Option<&str>, word: &str) {
        let drafts: Vec<WeighingDraft> = list
            .iter()
            .filter(|(at, when, _)| when.day <= self.today && self.sheep[*at].is_here(when.day))
            .filter_map(|(at, when, kg)| {
                let weight = Weight::from_grams((kg * 1000.0).round() as i64)?;
                Some(WeighingDraft {
                    animal: self.sheep[*at].id,
                    at: *when,
                    weight,
                    note: note.map(Into::into),
                })
            })
            .collect();
        if !drafts.is_empty() {
            self.push(entry::weighings(drafts, flock, self.today), word);
        }
    }

    /// Takes doses up and remembers how long the animals are held.
    pub(crate) fn treat(&mut self, jabs: Vec<Jab>, flock: &Flock) {
        for jab in jabs {
            let animals: Vec<At> = jab
                .animals
                .iter()
                .copied()
                .filter(|at| jab.on <= self.today && self.sheep[*at].is_here(jab.on))
                .collect();
            if animals.is_empty() {
                continue;
            }
            for at in &animals {
                let until = jab.bottle.held_days().map_or_else(|| jab.on.plus(36_500), |d| jab.on.plus(d));
                let clear = &mut self.sheep[*at].clear;
                *clear = Some(clear.map_or(until, |c| c.max(until)));
            }
            let word = match jab.dose {
                DoseDraft::ByRule => "no scale at hand, dosed by the last weight",
                DoseDraft::Typed(_) => "given at two sites, as the vet said",
            };
            let draft = self.dose_draft(&jab, &animals);
            self.push(entry::treatments(vec![draft], flock, self.today), word);
        }
    }

    /// A dose as it is written down.
    pub(crate) fn dose_draft(&self, jab: &Jab, animals: &[At]) -> TreatmentDraft {
        let half = i64::from(jab.on.month() > 6);
        let directed = jab.bottle.directed();
        TreatmentDraft {
            animals: animals.iter().map(|at| self.sheep[*at].id).collect(),
            at: Moment { day: jab.on, time: jab.time },
            product: jab.bottle.name.into(),
            batch: Some(jab.bottle.batch(jab.on.year(), half)),
            dose: jab.dose,
            route: Some(jab.bottle.route),
            site: jab.bottle.site.map(Into::into),
            reason: Some(jab.reason.into()),
            given_by: Some(if jab.on.day().is_multiple_of(3) { HELPER } else { KEEPER }.into()),
            prescribed_by: jab.bottle.prescribed.then(|| prescriber(jab.bottle).into()),
            meat: directed.map(|(meat, _)| meat),
            milk: directed.map(|(_, milk)| milk),
            more: TreatmentExtra {
                off_label: directed.map(|_| "species: not labelled for sheep".into()),
                prescription: self.scripts.get(&(jab.bottle.name, jab.on.year())).copied(),
                ..TreatmentExtra::default()
            },
        }
    }

    /// Takes moves to pens up.
    pub(crate) fn pens(&mut self, moves: Moves, flock: &Flock) {
        for ((on, pen), animals) in moves {
            let animals: Vec<_> = animals
                .into_iter()
                .filter(|at| on <= self.today && self.sheep[*at].is_here(on))
                .map(|at| self.sheep[at].id)
                .collect();
            if !animals.is_empty() {
                let draft = PenMoveDraft { animals, on, pen: Some(pen) };
                self.push(entry::pen_move(draft, flock, self.today), WORD);
            }
        }
    }

    /// Takes a change of standing up and remembers that they are gone.
    pub(crate) fn leave(
        &mut self,
        list: &[At],
        to: Status,
        on: Day,
        other: Option<&str>,
        reason: &str,
        flock: &Flock,
    ) {
        if list.is_empty() || on > self.today {
            return;
        }
        for at in list {
            self.sheep[*at].gone = Some(on);
        }
        let draft = StandingDraft {
            animals: list.iter().map(|at| self.sheep[*at].id).collect(),
            to,
            on,
            other: other.map(Into::into),
            reason: Some(reason.into()),
            details: crate::medicine::move_details(to, other, reason, on),
        };
        self.push(entry::standing(draft, flock, self.today), "the buyer has the clear date in writing");
    }

    /// Takes a note up.
    pub(crate) fn note(&mut self, at: At, on: Day, text: &str, flock: &Flock) {
        if on <= self.today && self.sheep[at].is_here(on) {
            let draft = RemarkDraft { animals: vec![self.sheep[at].id], on, text: text.into() };
            self.push(entry::remark(draft, flock, self.today), WORD);
        }
    }
}

/// A made-up mark.
pub(crate) fn mark(text: &str) -> Tag {
    Tag::parse(text).expect("figures and letters make a tag")
}

/// An electronic number of the shape of the United Kingdom's, with a flock mark that is invented.
pub(crate) fn electronic(at: At) -> Tag {
    mark(&format!("8260{:06}{:05}", 999_999 - at / 100_000, at % 100_000))
}

/// An entry ready to write, its questions answered with a word. A refusal is a fault of the maker, caught by
/// its tests; the entry is left out.
pub(crate) fn sure(check: Check, word: &str) -> Option<Sure> {
    match check {
        Ok(checked) => checked.despite(word).ok(),
        Err(refused) => {
            debug_assert!(
                false,
                "the made-up flock was refused: {:?}",
                refused.iter().map(ToString::to_string).collect::<Vec<_>>()
            );
            None
        }
    }
}
