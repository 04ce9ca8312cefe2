//! What the keeper asks of animals that are kept: weights, faults that bar, rules of culling.

use super::criteria::{COUNT, Criterion};
use crate::handbook::{Ground, sound};
use crate::phrase;
use crate::terms::{Misread, ScoreKind, Sex, Weight};
use std::sync::LazyLock;

/// A criterion with its weights, 0 to 10.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighted {
    /// What counts.
    pub criterion: Criterion,
    /// How much among ram lambs.
    pub rams: u8,
    /// How much among ewe lambs.
    pub ewes: u8,
    /// What the weights stand on.
    pub ground: Ground,
}

/// A fault that may bar an animal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// A score.
    Score(ScoreKind),
    /// Affected by a recessive gene.
    Gene,
}

impl Fault {
    /// The word of the settings.
    pub fn key(self) -> &'static str {
        match self {
            Self::Score(kind) => kind.word(),
            Self::Gene => "gene",
        }
    }

    /// Least and most its limit may be.
    pub fn range(self) -> (u8, u8) {
        if self == Self::Gene { (1, 10) } else { (2, 5) }
    }

    pub(super) fn parse(text: &str) -> Option<Self> {
        let scores = [ScoreKind::Bite, ScoreKind::Lids, ScoreKind::Type, ScoreKind::Colour];
        let all = scores.into_iter().map(Self::Score).chain([Self::Gene]);
        all.into_iter().find(|f| f.key() == text.trim())
    }

    /// `bite scored 3 or more`.
    pub fn words(self, from: u8) -> String {
        match self {
            Self::Score(ScoreKind::Lids) => phrase!("eyelids scored {from} or more"),
            Self::Score(kind) => phrase!("{} scored {from} or more", kind.word()),
            Self::Gene => phrase!("affected by a faulty gene with a chance of {from} in 10 or more"),
        }
    }
}

/// An animal with this fault is never proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct Never {
    /// The fault.
    pub fault: Fault,
    /// From this score, or so many tenths.
    pub from: u8,
    /// It may be proposed all the same.
    pub off: bool,
    /// What it stands on.
    pub ground: Ground,
}

/// Why a ewe may leave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CullKind {
    /// Joined and did not lamb, so many seasons in all.
    Empty,
    /// Udder scored so or worse.
    Udder,
    /// Teeth scored so or worse.
    Teeth,
    /// Prolapse scored so or worse, ever.
    Prolapse,
    /// So many years old.
    Age,
    /// So many hard lambings.
    Hard,
    /// Lambs lost in her last two lambings.
    Lost,
    /// Mothering scored so or worse.
    Mothering,
    /// Feet scored so or worse.
    Feet,
}

impl CullKind {
    /// All of them, in the order shown.
    pub const ALL: [Self; 9] = [
        Self::Empty,
        Self::Udder,
        Self::Teeth,
        Self::Prolapse,
        Self::Age,
        Self::Hard,
        Self::Lost,
        Self::Mothering,
        Self::Feet,
    ];

    /// The word of the settings.
    pub fn key(self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::Udder => "udder",
            Self::Teeth => "teeth",
            Self::Prolapse => "prolapse",
            Self::Age => "age",
            Self::Hard => "hard",
            Self::Lost => "lost",
            Self::Mothering => "mothering",
            Self::Feet => "feet",
        }
    }

    /// From the word of the settings.
    pub(super) fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.key() == text.trim())
    }

    /// Least and most its limit may be.
    pub fn range(self) -> (u32, u32) {
        match self {
            Self::Empty | Self::Hard => (1, 10),
            Self::Lost => (1, 10),
            Self::Age => (2, 20),
            Self::Udder | Self::Teeth | Self::Prolapse | Self::Mothering | Self::Feet => (1, 5),
        }
    }

    /// The rule in words.
    pub fn words(self, limit: u32) -> String {
        let times = match limit {
            1 => "once".to_string(),
            2 => "twice".into(),
            n => phrase!("{n} times"),
        };
        match self {
            Self::Empty => phrase!("empty {times} though joined"),
            Self::Udder => phrase!("udder scored {limit} or worse (1 sound to 5 lost)"),
            Self::Teeth => phrase!("teeth scored {limit} or worse (1 sound to 5 broken mouth)"),
            Self::Prolapse => phrase!("prolapse scored {limit} or worse, ever (1 slight to 5 out)"),
            Self::Age => phrase!("{limit} years old or more"),
            Self::Hard => phrase!("lambed hard {times}"),
            Self::Lost if limit == 1 => "a lamb lost in her last two lambings".into(),
            Self::Lost => phrase!("{limit} lambs lost in her last two lambings"),
            Self::Mothering => phrase!("mothering scored {limit} or worse (5 leaves her lambs)"),
            Self::Feet => phrase!("feet scored {limit} or worse within a year (5 cannot stand on them)"),
        }
    }
}

/// One rule of culling.
#[derive(Debug, Clone, PartialEq)]
pub struct CullRule {
    /// Which.
    pub kind: CullKind,
    /// Its limit.
    pub limit: u32,
    /// Not looked at.
    pub off: bool,
    /// What it stands on.
    pub ground: Ground,
}

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// A ram lamb is looked at for good from this age.
    pub rams_after_days: i64,
    /// A ewe lamb likewise, where its weaning is not ticked off.
    pub ewes_after_days: i64,
    /// Ewes one grown ram serves.
    pub ewes_a_ram: usize,
    /// Seasons a ram is used for.
    pub ram_seasons: usize,
    /// Crops a ewe is kept for.
    pub ewe_crops: usize,
    /// How many ram lambs are to stay; none: as proposed.
    pub keep_rams: Option<usize>,
    /// How many ewe lambs are to stay; none: as proposed.
    pub keep_ewes: Option<usize>,
    /// The weight that lambs for the market or the show are to reach; none is shipped.
    pub target: Option<Weight>,
    /// What the numbers above stand on.
    pub ground: Ground,
    /// What counts how much: every criterion, in the order shown.
    pub weights: Vec<Weighted>,
    /// Faults that bar.
    pub never: Vec<Never>,
    /// Rules of culling.
    pub culling: Vec<CullRule>,
    /// Other tables of the same text: the index.
    pub(super) other: toml::Table,
}

/// What the program is shipped with.
const SHIPPED: &str = include_str!("../../../../resources/keeping.toml");

static SETTINGS: LazyLock<Settings> =
    LazyLock::new(|| sound("keeping.toml", super::read::shipped(SHIPPED).map_err(|e| e.0)));

impl Default for Settings {
    fn default() -> Self {
        Self::shipped().clone()
    }
}

impl Settings {
    /// As shipped: common practice, for a keeper to begin with.
    pub fn shipped() -> &'static Self {
        &SETTINGS
    }

    /// The words of the shipped settings.
    pub fn shipped_words() -> &'static str {
        SHIPPED
    }

    /// The keeper's own; what is left out is as shipped. Sources may be left out.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().is_empty() {
            Ok(Self::shipped().clone())
        } else {
            super::read::over(text, Self::shipped())
        }
    }

    /// The weights of a sex, by the place of each criterion.
    pub fn weights_of(&self, sex: Sex) -> [u8; COUNT] {
        let mut all = [0; COUNT];
        for w in &self.weights {
            all[w.criterion.at()] = if sex == Sex::Ewe { w.ewes } else { w.rams };
        }
        all
    }

    /// Sets the weights of a sex.
    pub fn set_weights(&mut self, sex: Sex, to: &[u8; COUNT]) {
        for w in &mut self.weights {
            let n = to[w.criterion.at()].min(10);
            let mine = if sex == Sex::Ewe { &mut w.ewes } else { &mut w.rams };
            if *mine != n {
                *mine = n;
                w.ground = super::read::keepers();
            }
        }
    }

    /// Sets how many of a sex are to stay; none: as proposed.
    pub fn set_keep(&mut self, sex: Sex, to: Option<usize>) {
        *(if sex == Sex::Ewe { &mut self.keep_ewes } else { &mut self.keep_rams }) = to;
    }

    /// Sets the weight that lambs for the market or the show are to reach, or none.
    ///
    /// # Errors
    /// The least and the most it may be.
    pub fn set_target(&mut self, to: Option<Weight>) -> Result<(), Misread> {
        if let Some(w) = to.filter(|w| !super::read::TARGET_KG.contains(&w.kg())) {
            let (least, most) = (super::read::TARGET_KG.start(), super::read::TARGET_KG.end());
            return Err(Misread::new(phrase!(
                "{:.1} kg is no target for a lamb: {least} to {most} kg",
                w.kg()
            )));
        }
        self.target = to;
        Ok(())
    }

    /// A rule of culling.
    pub fn rule(&self, kind: CullKind) -> Option<&CullRule> {
        self.culling.iter().find(|r| r.kind == kind)
    }

    /// As the book keeps it: what differs from what is shipped, and the index as it stood. Empty where nothing does.
    pub fn to_text(&self) -> String {
        super::read::text(self, Self::shipped())
    }
}
