//! How a line stands, in words.

use super::{Line, State, Warning};
use crate::handbook::stock as bounds;
use crate::phrase;
use crate::reckon::stock::Amount;
use crate::terms::{Day, Dose};

/// Part of a whole in hundredths, when both are of one kind.
fn below(part: Dose, whole: Dose, percent: i64) -> bool {
    let (part, whole) = (Amount::of(part), Amount::of(whole));
    part.kind == whole.kind && i128::from(part.n) * 100 < i128::from(whole.n) * i128::from(percent)
}

fn runs_out(left: Dose, received: Option<Dose>, lately: Option<Dose>) -> bool {
    lately.is_some_and(|used| below(left, used, 100))
        || received.is_some_and(|bought| below(left, bought, bounds::running_out_percent()))
}

pub(super) fn state(l: &Line, on: Day) -> State {
    if l.short.is_some() {
        return State::Negative;
    }
    if l.left.is_some_and(|left| Amount::of(left).n == 0) {
        return State::Empty;
    }
    if l.deliveries.is_empty() && l.left.is_none() {
        return State::Fine;
    }
    if l.expiry.is_some_and(|last| last < on) {
        return State::Expired;
    }
    if l.use_by.is_some_and(|last| last < on) {
        return State::OpenedTooLong;
    }
    if l.expiry.is_some_and(|last| last.since(on) <= bounds::expires_soon_days()) {
        return State::ExpiresSoon;
    }
    if l.left.is_some_and(|left| runs_out(left, l.received, l.given_lately)) {
        return State::RunningOut;
    }
    State::Fine
}

pub(super) fn words(l: &Line, on: Day) -> String {
    let left = l.left.map_or_else(|| phrase!("how much is left is not known"), |d| phrase!("{d} left"));
    let day = |d: Option<Day>| d.map_or_else(|| phrase!("an unknown day"), Day::words);
    let mut words = match l.state {
        State::Negative => {
            let short = l.short.map_or_else(String::new, |d| format!("{d} "));
            phrase!("{short}more went than ever came: a purchase is not written down, or a dose is wrong")
        }
        State::Empty => phrase!("used up"),
        State::Expired => phrase!("expired on {}: {left}", day(l.expiry)),
        State::OpenedTooLong => {
            phrase!("open since {}, to be used up by {}: {left}", day(l.opened_on), day(l.use_by))
        }
        State::ExpiresSoon => match l.expiry.map(|d| d.since(on)) {
            Some(0) => phrase!("expires today: {left}"),
            Some(1) => phrase!("expires tomorrow: {left}"),
            Some(n) => phrase!("expires in {n} days, on {}: {left}", day(l.expiry)),
            None => left,
        },
        State::RunningOut => match l.given_lately {
            Some(used) => phrase!("{left}; {used} was given in the last {} days", bounds::use_days()),
            None => left,
        },
        State::Fine if l.batch.is_none() => {
            phrase!("given without a batch number: counts against the product")
        }
        State::Fine if l.deliveries.is_empty() && l.left.is_none() => {
            phrase!("given, but no purchase of this number is written down")
        }
        State::Fine => left,
    };
    if l.given_unmeasured > 0 {
        let doses = crate::terms::counted(l.given_unmeasured, "dose");
        words.push_str(&phrase!("; {doses} without an amount not taken off"));
    }
    words
}

/// Each line that asks for a look, worst first; a bottle that runs out only while the product has no other.
pub(super) fn warnings(lines: &[Line]) -> Vec<Warning> {
    let mut all: Vec<Warning> = Vec::new();
    for of_one in lines.chunk_by(|a, b| a.product == b.product) {
        // Together, what may still be used, against all that was given of the product lately.
        let sum = |of: &dyn Fn(&Line) -> Option<Dose>| {
            let mut sum = super::level::Sum::default();
            of_one.iter().filter_map(of).for_each(|d| sum.add(Amount::of(d)));
            sum.known().map(Amount::there)
        };
        let left = sum(&|l| l.left.filter(|_| l.is_usable()));
        let unknown = of_one.iter().any(|l| l.is_usable() && l.left.is_none());
        let bought = sum(&|l| l.received.filter(|_| l.is_usable()));
        let lately = sum(&|l| l.given_lately);
        let short = left.is_some_and(|d| runs_out(d, bought, lately)) && !unknown;
        let mut said = false;
        for l in of_one.iter().filter(|l| l.state.is_caution()) {
            if l.state == State::RunningOut && (!short || std::mem::replace(&mut said, true)) {
                continue;
            }
            let batch = l.batch.as_ref().map(|b| format!(" {b}")).unwrap_or_default();
            let words = format!("{}{batch}: {}", l.name, l.words);
            all.push(Warning { link: l.link(), words, kind: l.state });
        }
        // All of it used up while it was still in use.
        let any_left = of_one.iter().any(Line::is_usable);
        if !any_left
            && let Some(used) = lately
            && let Some(l) = of_one.iter().rfind(|l| l.state == State::Empty)
        {
            let days = bounds::use_days();
            let words = phrase!("{}: none left; {used} was given in the last {days} days", l.name);
            all.push(Warning { link: l.link(), words, kind: State::Empty });
        }
    }
    all.sort_by_key(|w| match w.kind {
        State::Expired => 0,
        State::OpenedTooLong => 1,
        State::Negative => 2,
        State::ExpiresSoon => 3,
        _ => 4,
    });
    all
}
