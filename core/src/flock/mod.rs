//! The read model: every animal with its file, and indexes by id, tag and pen. Immutable once handed out;
//! a write makes the next version. Knows no database and no window.

mod cupboard;
mod documents;
mod fed;
mod find;
mod gene_test;
mod holding;
mod kept;
mod marks;
mod mating;
mod movement;
mod pens;
mod record;
mod refs;
mod seldom;
mod shelf;
mod stamp;
mod stamps;
mod tick;
mod treatment;
mod weighed;
mod whereabouts;

pub use cupboard::*;
pub use documents::{Document, DocumentOf, Documents, FileBytes, NewDocument, Sha};
pub use fed::{
    Creep, Feed, FeedMove, FeedPart, FeedRoom, FeedSheet, Measure, Medicated, PenCheck, Ration, WHOLE,
};
pub use find::Found;
pub use gene_test::{GeneTest, Tested};
pub use holding::Holding;
pub use mating::{Crayon, MatingMark, Scan};
pub use movement::{MoveDetails, Movement};
pub use pens::{PenPlace, PenSort, pen_key};
pub use record::*;
pub use refs::{Amendment, Link, RecordRef, StruckBy};
pub use seldom::{Blank, Seldom};
pub use stamp::Stamp;
pub use stamps::{RecordStamp, Stamps};
pub use tick::{Outcome, Tick};
pub use treatment::{CoursePart, Treatment, TreatmentMore};
pub use weighed::{Daybook, Decision, Grouping, Money, Scoring, Session};
pub use whereabouts::{Whereabouts, records};

use crate::plan::Plan;
use crate::rules::{RuleChange, RuleSet};
use crate::terms::{AnimalId, ElectronicId, IdentityKind, Status};
pub(crate) use marks::Marks;
use rapidhash::RapidHashMap;
pub(crate) use shelf::{Block, Shelf};
use std::sync::Arc;

/// Places of the files by animal.
pub(crate) type Places = RapidHashMap<AnimalId, u32>;

/// How many records there are, counted once for a version of the flock.
struct Events(usize);

/// The flock as of one write.
#[derive(Debug, Clone, Default)]
pub struct Flock {
    shelf: Shelf,
    places: Arc<Places>,
    marks: Arc<Marks>,
    products: Arc<Vec<Product>>,
    amendments: Arc<RapidHashMap<RecordRef, Vec<Amendment>>>,
    strikes: Arc<RapidHashMap<RecordRef, StruckBy>>,
    holding: Arc<Holding>,
    plan: Arc<Plan>,
    cupboard: Arc<Cupboard>,
    documents: Arc<Documents>,
    daybook: Arc<Daybook>,
    feedroom: Arc<FeedRoom>,
    pen_places: Arc<Vec<PenPlace>>,
    rule_changes: Arc<Vec<RuleChange>>,
    rules: Option<Arc<RuleSet>>,
    version: u64,
    kept: kept::Kept,
}

impl Flock {
    /// Grows with every write; equal versions of one sitting are the same flock.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Who keeps it.
    pub fn holding(&self) -> &Holding {
        &self.holding
    }

    /// The care plan as the keeper has it.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Batches, stock, vets, prescriptions and egg counts.
    pub fn cupboard(&self) -> &Arc<Cupboard> {
        &self.cupboard
    }

    /// Kept pictures and papers of any record.
    pub fn documents(&self) -> &Arc<Documents> {
        &self.documents
    }

    /// Sessions at the scale, and money.
    pub fn daybook(&self) -> &Arc<Daybook> {
        &self.daybook
    }

    /// Feeds, what became of them, creeps, rations and checks of the pens.
    pub fn feedroom(&self) -> &Arc<FeedRoom> {
        &self.feedroom
    }

    /// Pens as the keeper laid them out, in barn order.
    pub fn pen_places(&self) -> &[PenPlace] {
        &self.pen_places
    }

    /// The book's rule set, with what the keeper changed of it; none where none is chosen.
    pub fn rules(&self) -> Option<&RuleSet> {
        self.rules.as_deref()
    }

    /// The same, to be kept.
    pub fn rules_shared(&self) -> Option<Arc<RuleSet>> {
        self.rules.clone()
    }

    /// What the keeper changed of the rule sets.
    pub fn rule_changes(&self) -> &[RuleChange] {
        &self.rule_changes
    }

    /// How many animals the book knows, ancestors outside included.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// How many records its animals have: births, weighings, treatments, moves, marks and all the rest.
    pub fn events(&self) -> usize {
        self.kept(|| Events(self.files().map(AnimalFile::events).sum())).0
    }

    /// No animal yet.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// The file of an animal.
    pub fn file(&self, id: AnimalId) -> Option<&AnimalFile> {
        self.places.get(&id).and_then(|p| self.shelf.get(*p))
    }

    /// The standing facts of an animal.
    pub fn animal(&self, id: AnimalId) -> Option<&Animal> {
        self.file(id).map(|f| &f.animal)
    }

    /// What an animal is called by, or a dash.
    pub fn tag(&self, id: AnimalId) -> &str {
        self.animal(id).map_or("–", Animal::tag)
    }

    /// Every file, in no promised order.
    pub fn files(&self) -> impl Iterator<Item = &AnimalFile> {
        self.shelf.iter()
    }

    /// The files in blocks that versions of the flock share: what hangs on the files of a block alone need not be
    /// reckoned anew while the block stays.
    pub(crate) fn blocks(&self) -> &[Block] {
        self.shelf.blocks()
    }

    /// Files of the animals now in the flock.
    pub fn present(&self) -> impl Iterator<Item = &AnimalFile> {
        self.files().filter(|f| f.animal.status == Status::Present)
    }

    /// The animal that wears this mark of this kind now.
    pub fn wearing(&self, kind: IdentityKind, text: &str) -> Option<AnimalId> {
        self.marks.wearer(kind, text, |place| self.shelf.get(place))
    }

    /// The animal that wears this electronic number now.
    pub fn numbered(&self, number: ElectronicId) -> Option<AnimalId> {
        self.wearing(IdentityKind::Electronic, &number.digits())
    }

    /// The animal that wears this tag now, whatever kind of mark it is: flock tags first. An electronic number may
    /// stand in any dress in which readers send it.
    pub fn by_tag(&self, text: &str) -> Option<AnimalId> {
        let worn = IdentityKind::ALL.into_iter().find_map(|k| self.wearing(k, text));
        worn.or_else(|| ElectronicId::typed(text)?.ok().and_then(|number| self.numbered(number)))
    }

    /// Products, by name.
    pub fn products(&self) -> &[Product] {
        &self.products
    }

    /// The product of this name, in any case.
    pub fn product(&self, name: &str) -> Option<&Product> {
        let name = name.trim().to_lowercase();
        self.products.iter().find(|p| p.name.to_lowercase() == name)
    }

    /// How a record was amended, oldest first.
    pub fn amendments(&self, record: RecordRef) -> &[Amendment] {
        self.amendments.get(&record).map_or(&[], Vec::as_slice)
    }

    /// Every record that was amended.
    pub(crate) fn all_amendments(&self) -> &RapidHashMap<RecordRef, Vec<Amendment>> {
        &self.amendments
    }

    /// Who struck a record out, and when.
    pub fn struck_by(&self, record: RecordRef) -> Option<&StruckBy> {
        self.strikes.get(&record)
    }

    /// Pens that hold an animal of the flock now, by name, with their animals by tag.
    pub fn pens(&self) -> Vec<(String, Vec<AnimalId>)> {
        let mut pens: std::collections::BTreeMap<String, Vec<&Animal>> = std::collections::BTreeMap::new();
        for f in self.present() {
            if let Some(pen) = &f.animal.pen {
                pens.entry(pen.to_string()).or_default().push(&f.animal);
            }
        }
        let mut named: Vec<_> = pens
            .into_iter()
            .map(|(pen, mut animals)| {
                animals.sort_by(|a, b| natural(a.tag(), b.tag()));
                (pen, animals.into_iter().map(|a| a.id).collect())
            })
            .collect();
        named.sort_by(|a, b| natural(&a.0, &b.0));
        named
    }

    /// The animals in a pen now.
    pub fn in_pen(&self, pen: &str) -> Vec<AnimalId> {
        let low = pen.trim().to_lowercase();
        let same = |p: &str| p.eq_ignore_ascii_case(&low) || (!p.is_ascii() && p.to_lowercase() == low);
        let there =
            self.present().filter_map(|f| Some((f.animal.pen.as_deref().filter(|p| same(p))?, &f.animal)));
        let mut there: Vec<(&str, &Animal)> = there.collect();
        // Of two pens that differ in nothing but capitals the first is meant.
        let first = there.iter().map(|(p, _)| *p).min_by(|a, b| natural(a, b).then_with(|| a.cmp(b)));
        there.retain(|(p, _)| Some(*p) == first);
        there.sort_by(|a, b| natural(a.1.tag(), b.1.tag()));
        there.into_iter().map(|(_, a)| a.id).collect()
    }

    /// The name of a pen as it is written already, here or in moves of the past; as typed where it is new.
    pub fn pen_called(&self, typed: &str) -> String {
        let low = typed.trim().to_lowercase();
        let here = self.present().filter_map(|f| f.animal.pen.as_deref());
        let past = self.present().flat_map(|f| f.pen_moves.iter().filter_map(|m| m.pen.as_deref()));
        let known = here.chain(past).find(|p| p.to_lowercase() == low);
        known.map_or_else(|| typed.trim().to_string(), str::to_string)
    }

    /// The ewe that rears this lamb: the foster ewe, or its dam unless it is on the bottle.
    pub fn reared_by(&self, animal: &Animal) -> Option<AnimalId> {
        match animal.rearing {
            crate::terms::Rearing::Dam => animal.dam,
            crate::terms::Rearing::Foster(ewe) => Some(ewe),
            crate::terms::Rearing::Bottle => None,
        }
    }

    /// An answer about the whole flock that is reckoned once for each version of it.
    pub(crate) fn kept<T: Send + Sync + 'static>(&self, make: impl Fn() -> T) -> Arc<T> {
        self.kept.get(make)
    }

    /// The same, made from the answer of the version before where there was one.
    pub(crate) fn kept_from<T: Send + Sync + 'static>(&self, make: impl Fn(Option<Arc<T>>) -> T) -> Arc<T> {
        self.kept.get_from(make)
    }

    // --- building, for `book` only -------------------------------------------------------------

    /// A flock of these files, their places and all the marks their animals wear.
    pub(crate) fn of(shelf: Shelf, places: Arc<Places>, marks: Marks) -> Self {
        Self { shelf, places, marks: Arc::new(marks), ..Self::default() }
    }

    pub(crate) fn put(&mut self, file: AnimalFile) {
        self.kept.forget();
        let id = file.animal.id;
        let before = self.file(id).map(marks::hashes).unwrap_or_default();
        let now = marks::hashes(&file);
        let place = match self.places.get(&id) {
            Some(place) => {
                self.shelf.set(*place, Some(file));
                *place
            }
            None => {
                let place = self.shelf.push(file);
                Arc::make_mut(&mut self.places).insert(id, place);
                place
            }
        };
        self.change_marks(place, &before, &now);
    }

    pub(crate) fn remove(&mut self, id: AnimalId) {
        self.kept.forget();
        let before = self.file(id).map(marks::hashes).unwrap_or_default();
        if self.places.contains_key(&id)
            && let Some(place) = Arc::make_mut(&mut self.places).remove(&id)
        {
            self.shelf.set(place, None);
            self.change_marks(place, &before, &[]);
        }
    }

    /// The index of marks is shared with older versions of the flock, so it is only touched where marks changed.
    fn change_marks(&mut self, place: u32, before: &[u32], now: &[u32]) {
        if before != now {
            Arc::make_mut(&mut self.marks).change(place, before, now);
        }
    }

    pub(crate) fn set_products(&mut self, mut products: Vec<Product>) {
        products.sort_by_key(|p| p.name.to_lowercase());
        self.products = Arc::new(products);
    }

    pub(crate) fn set_holding(&mut self, holding: Holding) {
        let other = holding.rules != self.holding.rules;
        self.kept.forget();
        self.holding = Arc::new(holding);
        if other {
            self.settle_rules();
        }
    }

    pub(crate) fn set_cupboard(&mut self, mut cupboard: Cupboard) {
        cupboard.batches.sort_by_key(|b| (b.bought_on, b.id));
        cupboard.moves.sort_by_key(|m| (m.on, m.id));
        cupboard.vets.sort_by_key(|v| (v.name.to_lowercase(), v.id));
        cupboard.prescriptions.sort_by_key(|p| (p.on, p.id));
        cupboard.egg_counts.sort_by_key(|e| (e.on, e.id));
        self.cupboard = Arc::new(cupboard);
    }

    pub(crate) fn set_documents(&mut self, documents: Vec<Document>) {
        self.documents = Arc::new(documents.into());
    }

    pub(crate) fn set_daybook(&mut self, daybook: Daybook) {
        self.kept.forget();
        self.daybook = Arc::new(daybook);
    }

    pub(crate) fn set_feedroom(&mut self, room: FeedRoom) {
        self.kept.forget();
        self.feedroom = Arc::new(room);
    }

    pub(crate) fn set_pen_places(&mut self, mut places: Vec<PenPlace>) {
        self.kept.forget();
        places.sort_by(|a, b| natural(&a.pen, &b.pen).then_with(|| a.pen.cmp(&b.pen)));
        self.pen_places = Arc::new(places);
    }

    pub(crate) fn set_rule_changes(&mut self, changes: Vec<RuleChange>) {
        self.rule_changes = Arc::new(changes);
        self.settle_rules();
    }

    /// The rule set that holds: that of the holding with the keeper's changes.
    fn settle_rules(&mut self) {
        self.rules = crate::rules::holding_now(&self.holding.rules, &self.rule_changes).map(Arc::new);
    }

    pub(crate) fn set_amendments(&mut self, all: RapidHashMap<RecordRef, Vec<Amendment>>) {
        self.amendments = Arc::new(all);
    }

    pub(crate) fn set_strikes(&mut self, all: RapidHashMap<RecordRef, StruckBy>) {
        self.strikes = Arc::new(all);
    }

    pub(crate) fn set_plan(&mut self, plan: Plan) {
        self.plan = Arc::new(plan);
    }

    pub(crate) fn set_version(&mut self, version: u64) {
        self.version = version;
    }

    /// The same flock as a version of its own, of which nothing is kept that was reckoned, or said, before.
    pub(crate) fn anew(&self) -> Self {
        Self { version: self.version + 1, kept: kept::Kept::default(), ..self.clone() }
    }
}

/// Order of tags as people sort them: runs of figures by value, letters without regard to case.
pub fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    use std::cmp::Ordering;
    let (mut a, mut b) = (a.chars().peekable(), b.chars().peekable());
    loop {
        match (a.peek().copied(), b.peek().copied()) {
            (None, None) => return Ordering::Equal,
            (None, _) => return Ordering::Less,
            (_, None) => return Ordering::Greater,
            (Some(x), Some(y)) if x.is_ascii_digit() && y.is_ascii_digit() => {
                let run = |it: &mut std::iter::Peekable<std::str::Chars<'_>>| {
                    let mut s = String::new();
                    while let Some(c) = it.next_if(char::is_ascii_digit) {
                        s.push(c);
                    }
                    s
                };
                let (x, y) = (run(&mut a), run(&mut b));
                let (xt, yt) = (x.trim_start_matches('0'), y.trim_start_matches('0'));
                let by = xt.len().cmp(&yt.len()).then_with(|| xt.cmp(yt)).then_with(|| x.len().cmp(&y.len()));
                if by != Ordering::Equal {
                    return by;
                }
            }
            (Some(x), Some(y)) => {
                let by = x.to_lowercase().cmp(y.to_lowercase());
                if by != Ordering::Equal {
                    return by;
                }
                a.next();
                b.next();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cmp::Ordering::{Equal, Greater, Less};

    #[test]
    fn tags_sort_as_people_sort_them() {
        for (a, b, by) in [
            ("9", "10", Less),
            ("A2", "a10", Less),
            ("0412", "412", Greater),
            ("b1", "A2", Greater),
            ("x", "x", Equal),
            ("12a", "12", Greater),
        ] {
            assert_eq!(natural(a, b), by, "{a} {b}");
        }
    }
}
