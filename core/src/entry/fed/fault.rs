//! What is refused and questioned of feed; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::Day;

/// Why an entry of the feed room cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FedRefused {
    /// The feed room has no such feed.
    #[error("no feed is called '{0}': write the feed first, or mend the name")]
    NoSuchFeed(String),
    /// The handbook has no such feed.
    #[error("the handbook has no feed '{0}': choose one of its feeds, or leave it out")]
    NoSuchLike(String),
    /// No amount where there must be one.
    #[error("how much of {0} was it? Write kg, bags or a measure of it")]
    NoAmount(String),
    /// Nothing was fed and no level was seen.
    #[error("write how much was filled in, or how full it was before")]
    NothingFilled,
    /// Fed in no pen.
    #[error("in which pen was it? Write the pen")]
    NoPen,
    /// A creep is open there already.
    #[error("a creep is open in {pen} since {}: close it first, or fill that one", .since.words())]
    CreepOpen {
        /// The pen.
        pen: String,
        /// Since.
        since: Day,
    },
    /// Parts of a mix that are no whole.
    #[error("the parts of {name} come to {percent} %, not to 100 %")]
    NotWhole {
        /// The mix.
        name: String,
        /// As typed.
        percent: String,
    },
    /// A mix that holds itself.
    #[error("{0} would be mixed of itself: take it out of its parts")]
    HoldsItself(String),
    /// A mixing without parts.
    #[error("{0} is no mix: write what it is mixed of first")]
    NoMix(String),
    /// An analysis without a figure.
    #[error("the sheet of {0} has no figure: write at least one")]
    NoFigures(String),
    /// A measure without a weight.
    #[error("weigh at least one {0}, five are better: write what each weighed")]
    NothingWeighed(String),
    /// The same name twice.
    #[error("a feed called {0} is there already: open that one, or write another name")]
    FeedTwice(String),
    /// The product of a medicated feed is not in the cupboard.
    #[error("the cupboard has no product '{0}': write it under Treatments first, as its label says")]
    NoSuchMedicine(String),
    /// A medicated feed where no animal is known to have been.
    #[error(
        "{feed} is medicated, and no animal that eats it is known in {pen} on {}: write who stood there first, so that the withdrawal is written for each", .on.words()
    )]
    NobodyEats {
        /// The feed.
        feed: String,
        /// The pen.
        pen: String,
        /// The day.
        on: Day,
    },
    /// A feeding whose treatments stand.
    #[error(
        "{doses} stand with this feeding of {feed}: strike it out with them, and write it anew if it was fed otherwise"
    )]
    HasDoses {
        /// The feed.
        feed: String,
        /// `12 treatments`.
        doses: String,
    },
    /// Another line turned into a feeding of a medicated feed.
    #[error(
        "{0} is medicated: strike this line out and write the feeding as a new one, so that its treatments are written with it"
    )]
    FeedAnew(String),
}

impl From<FedRefused> for Refused {
    fn from(why: FedRefused) -> Self {
        Self::Fed(why)
    }
}

/// What is unlikely of an entry of the feed room.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FedUnusual {
    /// A feed that is made for other stock.
    #[error(
        "{name} is made for {stock}: it may hold more copper than a sheep can bear. Is it right for sheep, by its label?"
    )]
    OtherStock {
        /// The feed.
        name: String,
        /// cattle, pigs, …
        stock: &'static str,
    },
    /// Much copper by its figures.
    #[error(
        "{name} holds {copper} mg of copper a kg of dry matter; sheep bear about {bound} in their whole diet: ask the vet or feed analyst. Is it right as written?"
    )]
    MuchCopper {
        /// The feed.
        name: String,
        /// Its copper.
        copper: String,
        /// The bound.
        bound: String,
    },
    /// More than the trough holds.
    #[error("{filled} are more than the trough in {pen} holds ({holds}): is it right?")]
    OverFull {
        /// As typed.
        filled: String,
        /// The pen.
        pen: String,
        /// What it holds.
        holds: String,
    },
    /// An amount a head that no sheep eats.
    #[error("{each} a head a day of {name} is more than a sheep eats: is it for one head?")]
    MuchEach {
        /// As typed.
        each: String,
        /// The feed.
        name: String,
    },
    /// A great deal at once.
    #[error("{amount} of {name} is a great deal for a small flock: is it right?")]
    MuchAtOnce {
        /// As typed.
        amount: String,
        /// The feed.
        name: String,
    },
    /// Delivered twice.
    #[error("{amount} of {name} came on {} already: is this another delivery?", .on.words())]
    Twice {
        /// The feed.
        name: String,
        /// How much.
        amount: String,
        /// The day.
        on: Day,
    },
    /// A pen where nobody is.
    #[error("no animal is in {0} on that day: is this the right pen?")]
    EmptyPen(String),
    /// Past its day.
    #[error("its best day was {}: was it fed?", .0.words())]
    PastBest(Day),
    /// A measure that differs much from the last.
    #[error("a {name} of {feed} weighed {before} before and {now} now: is it the same measure?")]
    OtherMeasure {
        /// The measure.
        name: String,
        /// The feed.
        feed: String,
        /// Before.
        before: String,
        /// Now.
        now: String,
    },
    /// A medicated feeding of a table without treatments in the book.
    #[error(
        "{feed} is medicated, and no treatment with {product} in feed is in the book for {}: this table writes none. Import or write those treatments too", .on.words()
    )]
    NotDosed {
        /// The feed.
        feed: String,
        /// The medicine.
        product: String,
        /// The day.
        on: Day,
    },
    /// Treatments struck with their feeding.
    #[error(
        "{animals} were written as treated with {feed} on {} and are clear earlier without it: did none of them eat it?", .on.words()
    )]
    ClearEarlier {
        /// `12 animals`.
        animals: String,
        /// The feed.
        feed: String,
        /// The day.
        on: Day,
    },
}

impl From<FedUnusual> for Unusual {
    fn from(what: FedUnusual) -> Self {
        Self::Fed(what)
    }
}
