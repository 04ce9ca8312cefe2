//! Which lines of the rations hold for the heads of a pen, and what they come to.

use super::{Heads, PenHeads};
use crate::flock::{FeedRoom, Ration};
use crate::phrase;
use crate::terms::{Day, Eaters, FeedId, Mass, MeasureId, norm};

/// The lines of the rations that hold for a group in a pen on a day, each feed once, by feed.
///
/// Of each feed the last line written for this pen holds, and where there is none the last line of the group without a
/// pen. A line of nothing ends it: written for a pen it means that this group is given none of that feed there, whatever
/// the group is given elsewhere, until another line is written or that one is struck out.
pub fn given<'a>(room: &'a FeedRoom, pen: &str, eaters: Eaters, on: Day) -> Vec<&'a Ration> {
    let pen = norm(pen);
    let mut last: Vec<&Ration> = Vec::new();
    for r in room.rations.iter().filter(|r| r.struck.is_none() && r.eaters == eaters && r.from <= on) {
        if r.pen.as_deref().is_some_and(|p| norm(p) != pen) {
            continue;
        }
        let key = |r: &Ration| (r.pen.is_some(), r.from, r.id);
        match last.iter_mut().find(|l| l.feed == r.feed) {
            Some(l) if key(r) > key(l) => *l = r,
            Some(_) => {}
            None => last.push(r),
        }
    }
    last.retain(|r| !r.each.is_none());
    last.sort_by(|a, b| room.name(a.feed).cmp(room.name(b.feed)).then(a.feed.cmp(&b.feed)));
    last
}

/// What a group of a pen is given of one feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Portion {
    /// The line that holds.
    pub ration: Ration,
    /// The feed.
    pub feed: FeedId,
    /// A head a day, as fed.
    pub each: Mass,
    /// The measure it was typed in.
    pub measure: Option<MeasureId>,
    /// All heads a day, as fed.
    pub all: Mass,
}

/// One group of a pen with what it is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GroupRound {
    /// Who.
    pub eaters: Eaters,
    /// How many.
    pub heads: u32,
    /// What they are given.
    pub portions: Vec<Portion>,
    /// They should be given something and no ration holds for them.
    pub bare: bool,
}

impl GroupRound {
    /// What is missing, for a group that is [`GroupRound::bare`]: `no ration for rams and wethers`, `no creep open for 4
    /// lambs old enough`.
    pub fn missing(&self) -> String {
        match self.eaters {
            Eaters::CreepLambs => {
                let lambs = if self.heads == 1 { "lamb" } else { "lambs" };
                phrase!("no creep open for {} {lambs} old enough", self.heads)
            }
            e => phrase!("no ration for {}", e.words()),
        }
    }
}

/// One pen with what is carried to it in a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PenRound {
    /// The pen as it is written; empty for animals in no pen.
    pub pen: String,
    /// Its groups.
    pub groups: Vec<GroupRound>,
    /// Each feed for the whole pen a day, with the measure the most of it is given in.
    pub feeds: Vec<(FeedId, Mass, Option<MeasureId>)>,
    /// A creep is open there.
    pub creep: bool,
}

impl PenRound {
    /// What it is called: its name, or `In no pen`.
    pub fn title(&self) -> &str {
        if self.pen.is_empty() { "In no pen" } else { &self.pen }
    }

    /// All its heads.
    pub fn heads(&self) -> u32 {
        self.groups.iter().map(|g| g.heads).sum()
    }

    /// `8 ewes nursing two, 3 dry ewes`.
    pub fn who(&self) -> String {
        let said = self.groups.iter().map(|g| format!("{} {}", g.heads, heads_words(g.heads, g.eaters)));
        said.collect::<Vec<_>>().join(", ")
    }

    /// Groups that no ration holds for and that need one.
    pub fn bare(&self) -> impl Iterator<Item = &GroupRound> {
        self.groups.iter().filter(|g| g.bare)
    }
}

/// The words of a group for so many heads: `ewe nursing two`, `ewes nursing two`.
pub fn heads_words(n: u32, eaters: Eaters) -> String {
    let words = eaters.words();
    if n != 1 {
        return words.to_string();
    }
    let one = |many: &str, one: &str| words.replacen(many, one, 1);
    match eaters {
        Eaters::Rams => phrase!("ram or wether"),
        Eaters::LateEwes => phrase!("ewe in her last weeks"),
        Eaters::CreepLambs | Eaters::MilkLambs | Eaters::WeanedLambs => one("lambs", "lamb"),
        _ => one("ewes", "ewe"),
    }
}

/// What is carried to one pen in a day.
pub fn round(room: &FeedRoom, pen: &PenHeads, on: Day) -> PenRound {
    let creep = !pen.pen.is_empty() && room.creep_in(&pen.pen, on).is_some();
    let mut feeds: Vec<(FeedId, Mass, Option<MeasureId>)> = Vec::new();
    let mut most: Vec<Mass> = Vec::new();
    let mut groups = Vec::new();
    for (eaters, animals) in &pen.groups {
        let heads = u32::try_from(animals.len()).unwrap_or(u32::MAX);
        let lines = given(room, &pen.pen, *eaters, on);
        let portions: Vec<Portion> = lines
            .into_iter()
            .map(|r| {
                let all = Mass::from_grams(r.each.grams().saturating_mul(u64::from(heads)));
                let all = all.unwrap_or(r.each);
                Portion { ration: r.clone(), feed: r.feed, each: r.each, measure: r.measure, all }
            })
            .collect();
        for p in &portions {
            match feeds.iter().position(|(f, ..)| *f == p.feed) {
                Some(at) => {
                    feeds[at].1 = feeds[at].1.plus(p.all);
                    if p.all > most[at] && p.measure.is_some() {
                        (feeds[at].2, most[at]) = (p.measure, p.all);
                    }
                }
                None => {
                    feeds.push((p.feed, p.all, p.measure));
                    most.push(p.all);
                }
            }
        }
        let bare = portions.is_empty()
            && match eaters {
                Eaters::MilkLambs => false,
                Eaters::CreepLambs => !creep,
                _ => true,
            };
        groups.push(GroupRound { eaters: *eaters, heads, portions, bare });
    }
    feeds.sort_by(|a, b| room.name(a.0).cmp(room.name(b.0)).then(a.0.cmp(&b.0)));
    PenRound { pen: pen.pen.clone(), groups, feeds, creep }
}

/// What is carried to every pen in a day, in barn order.
pub fn rounds(room: &FeedRoom, heads: &Heads) -> Vec<PenRound> {
    heads.pens.iter().map(|p| round(room, p, heads.on)).collect()
}
