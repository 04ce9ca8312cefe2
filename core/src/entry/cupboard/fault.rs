//! What is refused and questioned of the cupboard; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::{Day, Dose, Price};

/// Why an entry of the cupboard cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CupboardRefused {
    /// The cupboard has no such product.
    #[error("no product of the cupboard is called '{0}': write the product first, or mend the name")]
    NoSuchProduct(String),
    /// The expiry is before the purchase.
    #[error("it expires on {}, before it was bought on {}: look at the bottle again", .expiry.words(), .bought.words())]
    ExpiredBeforeBought {
        /// Last day it may be used.
        expiry: Day,
        /// The purchase.
        bought: Day,
    },
    /// Opened before it was bought.
    #[error("it cannot have been opened on {}, before it was bought on {}", .opened.words(), .bought.words())]
    OpenedBeforeBought {
        /// The opening.
        opened: Day,
        /// The purchase.
        bought: Day,
    },
    /// The number belongs to another product only.
    #[error("the batch {number} is one of {other}, not of {product}: mend the product or the number")]
    BatchOfAnother {
        /// The number.
        number: String,
        /// The product as written.
        product: String,
        /// The product that was bought with this number.
        other: String,
    },
    /// A count that differs, without a reason.
    #[error("{found} of {what} found where the book says {book}: a reason is needed for the difference")]
    CountWithoutReason {
        /// Product and batch.
        what: String,
        /// Found on the shelf.
        found: Dose,
        /// By the book.
        book: String,
    },
    /// A vet whose name is in the book already.
    #[error(
        "a vet called {0} is in the book already: open that one to change it, or write the practice behind the name"
    )]
    VetInBook(String),
    /// The same name twice in one entry.
    #[error("{0} is written twice in this entry: take one out")]
    NameTwice(String),
    /// Neither a PDF nor a picture.
    #[error("'{0}' is neither a PDF nor a picture (PNG or JPEG): only these are kept in the book")]
    NoPaper(String),
    /// A paper too large to keep.
    #[error("'{name}' is {megabytes} MB large, more than the {most} MB that are kept: make it smaller first")]
    PaperTooLarge {
        /// Name of the file.
        name: String,
        /// Its size in millions of bytes.
        megabytes: u64,
        /// The most.
        most: u64,
    },
    /// What cannot stand for an animal.
    #[error("'{0}' is no picture of the animal itself: keep a picture (PNG or JPEG) with the animal first")]
    NoPortrait(String),
    /// An egg count of nobody.
    #[error("an egg count needs an animal or a group: write one of the two")]
    CountOfNobody,
}

impl From<CupboardRefused> for Refused {
    fn from(why: CupboardRefused) -> Self {
        Self::Cupboard(why)
    }
}

/// What is unlikely in the cupboard.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CupboardUnusual {
    /// A day far ahead.
    #[error("{what} {} is more than {years} years ahead: is the year right?", .on.words())]
    FarAhead {
        /// the expiry, …
        what: &'static str,
        /// As written.
        on: Day,
        /// The bound.
        years: i64,
    },
    /// A day far back.
    #[error("{what} {} is more than {years} years ago: is the year right?", .on.words())]
    FarBack {
        /// the purchase, …
        what: &'static str,
        /// As written.
        on: Day,
        /// The bound.
        years: i64,
    },
    /// An amount that cannot be added to the doses.
    #[error(
        "{quantity} of {product}, which is given in {given_in}: what is left could not be reckoned; is the unit right?"
    )]
    OtherKind {
        /// As written.
        quantity: Dose,
        /// The product.
        product: String,
        /// ml, mg or pieces.
        given_in: &'static str,
    },
    /// The number is on bottles of another product too.
    #[error("the batch number {number} is that of {other} too: is it the right bottle?")]
    NumberOfAnother {
        /// The number.
        number: String,
        /// The other product.
        other: String,
    },
    /// The same number with another expiry.
    #[error("{what} was written with the expiry {}: bottles of one number expire on one day", .expiry.words())]
    OtherExpiry {
        /// Product and number.
        what: String,
        /// The expiry in the book.
        expiry: Day,
    },
    /// The same delivery is in the book.
    #[error("{what}, bought on {}, is in the book already: is it written twice?", .on.words())]
    BoughtTwice {
        /// Product and number.
        what: String,
        /// The purchase.
        on: Day,
    },
    /// An odd price.
    #[error("{0} is an odd price for one delivery: is the point in its place?")]
    OddPrice(Price),
    /// Past its last day.
    #[error("{what} expired on {}: it must not be used any more; dispose of it", .expiry.words())]
    PastExpiry {
        /// Product and number.
        what: String,
        /// Its last day.
        expiry: Day,
    },
    /// More gone than there is.
    #[error(
        "only {left} of {what} is left by the book, {quantity} is more: is a purchase missing, or the number wrong?"
    )]
    MoreThanLeft {
        /// Product and number.
        what: String,
        /// As written.
        quantity: Dose,
        /// By the book.
        left: Dose,
    },
    /// A number that was never bought.
    #[error("no purchase of {what} is written down: is the batch number right?")]
    NeverBought {
        /// Product and number.
        what: String,
    },
    /// The same file is kept there.
    #[error("{name} is kept there already, byte for byte: is it the same one?")]
    KeptAlready {
        /// Its name.
        name: String,
    },
    /// A very high egg count.
    #[error("{0} eggs in each gram is very high: is there a nought too many?")]
    ManyEggs(u32),
    /// An animal counted twice on a day.
    #[error("an egg count of {tag} on {} is in the book already: is it written twice?", .on.words())]
    CountedTwice {
        /// The animal.
        tag: String,
        /// The day.
        on: Day,
    },
}

impl From<CupboardUnusual> for Unusual {
    fn from(what: CupboardUnusual) -> Self {
        Self::Cupboard(what)
    }
}
