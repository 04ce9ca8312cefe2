//! The figures by name, each with its unit and its base.

use super::Band;
use super::money::Purse;
use super::settings::{LossOf, Settings};
use super::tally::Tally;
use crate::phrase;
use crate::reckon::figures::Mean;
use crate::terms::{Gain, Units, Weight, counted, with_currency};

/// In what a figure is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// A whole number.
    Count,
    /// A number with two decimals.
    Ratio,
    /// Of a hundred.
    Percent,
    /// Kilograms.
    Kg,
    /// Grams a day.
    Gain,
    /// Money.
    Money,
}

macro_rules! figures {
    ($($(#[$doc:meta])* $v:ident = $key:literal, $name:literal, $unit:ident, $base:literal;)+) => {
        /// A figure of the flock.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum What { $($(#[$doc])* $v,)+ }

        impl What {
            /// All, in the order they are read.
            pub const ALL: &'static [Self] = &[$(Self::$v),+];
            /// Its word on the command line.
            pub fn key(self) -> &'static str { match self { $(Self::$v => $key),+ } }
            /// As people read it.
            pub fn name(self) -> &'static str { match self { $(Self::$v => $name),+ } }
            /// In what it is given.
            pub fn unit(self) -> Unit { match self { $(Self::$v => Unit::$unit),+ } }
            /// What its base is called; empty for a plain count.
            pub fn base(self) -> &'static str { match self { $(Self::$v => $base),+ } }
        }
    };
}

figures! {
    /// Ewes turned out with rams.
    Joined = "ewes_joined", "Ewes joined", Count, "";
    /// Ewes that lambed.
    Lambed = "ewes_lambed", "Ewes lambed", Count, "ewes joined";
    /// Lambs born.
    Born = "lambs_born", "Lambs born", Count, "ewes lambed";
    /// Litter size.
    PerLambed = "lambs_born_per_ewe_lambed", "Born for each ewe lambed", Ratio, "ewes lambed";
    /// Born alive.
    Alive = "lambs_born_alive", "Born alive", Count, "lambs born";
    /// Lived to 60 days.
    Reared = "lambs_reared_to_60_days", "Reared to 60 days", Count, "lambs old enough";
    /// Younger than 60 days.
    Growing = "lambs_younger_than_60_days", "Younger than 60 days", Count, "lambs born";
    /// Mean birth weight.
    BirthWeight = "mean_birth_weight_kg", "Mean birth weight", Kg, "lambs weighed";
    /// Mean 60-day weight.
    SixtyWeight = "mean_60_day_weight_kg", "Mean 60-day weight", Kg, "lambs weighed";
    /// Base of the rates.
    Exposed = "ewes_exposed", "Ewes exposed", Count, "";
    /// Sold or culled before lambing.
    SoldBefore = "ewes_sold_before_lambing", "Sold or culled before lambing", Count, "ewes joined";
    /// Died before lambing.
    DiedBefore = "ewes_died_before_lambing", "Died before lambing", Count, "ewes joined";
    /// Bought in lamb.
    Bought = "ewes_bought_in_lamb", "Bought in lamb", Count, "";
    /// Scanned.
    Scanned = "ewes_scanned", "Ewes scanned", Count, "ewes exposed";
    /// Lambs seen at scanning.
    ScanLambs = "lambs_scanned_per_100_ewes", "Lambs scanned for 100 ewes", Percent, "ewes counted";
    /// In lamb.
    Pregnancy = "pregnancy_rate_percent", "In lamb", Percent, "ewes exposed";
    /// Not in lamb.
    Barren = "barren_percent", "Barren", Percent, "ewes exposed";
    /// Lambed of exposed.
    Fertility = "fertility_percent", "Lambed of exposed", Percent, "ewes exposed";
    /// Lambed in the first cycle.
    FirstCycle = "lambed_in_first_cycle_percent", "Lambed in the first cycle", Percent, "ewes exposed";
    /// Lambs born per ewe exposed.
    PerExposed = "lambs_born_per_ewe_exposed", "Born for each ewe exposed", Ratio, "ewes exposed";
    /// Born alive of born.
    AlivePercent = "born_alive_percent", "Born alive", Percent, "lambs born";
    /// Born dead.
    BornDead = "lambs_born_dead", "Born dead", Count, "lambs born";
    /// Lost on the first day.
    LostDay0 = "lambs_lost_on_first_day", "Lost on the first day", Count, "lambs born";
    /// Lost from 1 to 7 days.
    LostWeek1 = "lambs_lost_1_to_7_days", "Lost from 1 to 7 days", Count, "lambs born";
    /// Lost from 8 to 30 days.
    LostMonth1 = "lambs_lost_8_to_30_days", "Lost from 8 to 30 days", Count, "lambs born";
    /// Lost later.
    LostLater = "lambs_lost_later_to_weaning", "Lost later, to weaning", Count, "lambs born";
    /// Lost at an age that is not written.
    LostUnknown = "lambs_lost_at_age_not_known", "Lost, age not written", Count, "lambs born";
    /// Lost by weaning.
    Loss = "lamb_loss_percent", "Lambs lost by weaning", Percent, "lambs born";
    /// Weaned.
    Weaned = "lambs_weaned", "Lambs weaned", Count, "lambs born";
    /// Weaned from the bottle.
    Bottle = "bottle_lambs_weaned", "Weaned from the bottle", Count, "lambs weaned";
    /// Weaned of exposed ewes.
    WeanedExposed = "weaned_percent_of_exposed", "Weaned of ewes exposed", Percent, "ewes exposed";
    /// Weaned of ewes in lamb.
    WeanedInLamb = "weaned_percent_of_in_lamb", "Weaned of ewes in lamb", Percent, "ewes in lamb";
    /// Weaned of ewes that lambed.
    WeanedLambed = "weaned_percent_of_lambed", "Weaned of ewes lambed", Percent, "ewes lambed";
    /// Mean weight at weaning.
    WeaningWeight = "mean_weaning_weight_kg", "Mean weight at weaning", Kg, "lambs weighed";
    /// Weight weaned per ewe exposed.
    WeightWeaned = "weight_weaned_per_ewe_exposed_kg", "Weight weaned for each ewe exposed", Kg, "ewes exposed";
    /// Mean gain.
    Gain = "mean_gain_to_60_days_g", "Mean daily gain to 60 days", Gain, "lambs weighed";
    /// First-time ewes.
    Replacement = "replacement_percent", "Joined for the first time", Percent, "ewes joined";
    /// Culled.
    Culled = "cull_percent", "Culled within a year", Percent, "ewes joined";
    /// Died.
    EweDeath = "ewe_death_percent", "Ewes died within a year", Percent, "ewes joined";
    /// Money taken.
    Taken = "money_taken", "Money taken", Money, "";
    /// Money spent.
    Spent = "money_spent", "Money spent", Money, "";
    /// The margin.
    Margin = "gross_margin", "Gross margin", Money, "";
    /// Margin per ewe.
    MarginEwe = "gross_margin_per_ewe_joined", "Gross margin for each ewe joined", Money, "ewes joined";
    /// Margin per lamb.
    MarginLamb = "gross_margin_per_lamb_weaned", "Gross margin for each lamb weaned", Money, "lambs weaned";
    /// Cost per lamb sold.
    BreakEven = "break_even_lamb_price", "Price at which a lamb pays its costs", Money, "lambs sold";
}

impl What {
    /// From its word.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|w| w.key() == key)
    }

    /// It is of money: shown only where some is written.
    pub fn is_money(self) -> bool {
        self.unit() == Unit::Money
    }

    /// More of it is better (`Some(true)`), less is (`Some(false)`), or neither can be said.
    pub fn more_is_better(self) -> Option<bool> {
        use What::{
            Alive, AlivePercent, Barren, BornDead, Bottle, BreakEven, DiedBefore, EweDeath, Fertility,
            FirstCycle, Gain, Loss, LostDay0, LostLater, LostMonth1, LostUnknown, LostWeek1, Margin,
            MarginEwe, MarginLamb, PerExposed, PerLambed, Pregnancy, Reared, SixtyWeight, Spent, Taken,
            Weaned, WeanedExposed, WeanedInLamb, WeanedLambed, WeaningWeight, WeightWeaned,
        };
        match self {
            Alive | AlivePercent | Fertility | FirstCycle | Gain | Margin | MarginEwe | MarginLamb
            | PerExposed | PerLambed | Pregnancy | Reared | SixtyWeight | Taken | Weaned | WeanedExposed
            | WeanedInLamb | WeanedLambed | WeaningWeight | WeightWeaned => Some(true),
            Barren | BornDead | Bottle | BreakEven | DiedBefore | EweDeath | Loss | LostDay0 | LostLater
            | LostMonth1 | LostUnknown | LostWeek1 | Spent => Some(false),
            _ => None,
        }
    }

    /// A value with its unit, as people read it.
    pub fn show(self, value: f64, units: Units) -> String {
        let plain = |text: String| text.replace('-', "−");
        match self.unit() {
            Unit::Count => plain(format!("{value:.0}")),
            Unit::Ratio => plain(format!("{value:.2}")),
            Unit::Percent => plain(format!("{value:.1} %")),
            Unit::Kg if units == Units::Metric => plain(phrase!("{value:.2} kg")),
            #[allow(clippy::cast_possible_truncation)] // a weight of an animal
            Unit::Kg => Weight::from_grams((value * 1000.0).round() as i64)
                .map_or_else(|| "–".into(), |w| w.show(units)),
            #[allow(clippy::cast_possible_truncation)] // a gain of a lamb
            Unit::Gain => Gain(value.round() as i64).show(units),
            Unit::Money => with_currency(&plain(format!("{value:.2}"))),
        }
    }

    /// The same with money as a figure alone, for a column that is taken out.
    pub fn taken_out(self, value: f64, units: Units) -> String {
        if self.is_money() { format!("{value:.2}").replace('-', "−") } else { self.show(value, units) }
    }

    /// A mean of it over seasons: one of counts keeps its tenth, so that half a ewe is not told as none.
    pub fn show_mean(self, value: f64, units: Units) -> String {
        match self.unit() {
            Unit::Count if (value - value.round()).abs() > 0.05 => format!("{value:.1}").replace('-', "−"),
            _ => self.show(value, units),
        }
    }

    /// A value as plain text for other programs: a point for decimals and no unit.
    pub fn plain(self, value: f64) -> String {
        match self.unit() {
            Unit::Count | Unit::Gain => format!("{value:.0}"),
            Unit::Percent => format!("{value:.1}"),
            Unit::Ratio | Unit::Kg | Unit::Money => format!("{value:.2}"),
        }
    }
}

/// A figure with its value and base.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Which.
    pub what: What,
    /// Its value; none where its base is nothing, or where it cannot be told yet.
    pub value: Option<f64>,
    /// Out of how many; none for a plain count.
    pub of: Option<u32>,
    /// What to know of it.
    pub note: Option<String>,
}

impl Figure {
    /// The value with its unit, or a dash.
    pub fn shown(&self, units: Units) -> String {
        self.value.map_or_else(|| "–".into(), |v| self.what.show(v, units))
    }

    /// The same with money as a figure alone, for a column that is taken out.
    pub fn taken_out(&self, units: Units) -> String {
        self.value.map_or_else(|| "–".into(), |v| self.what.taken_out(v, units))
    }

    /// `of 40 ewes exposed`; empty for a plain count.
    pub fn base(&self) -> String {
        self.of.map_or_else(String::new, |n| {
            let whom = self.what.base();
            // `ewes lambed`, `lambs born`: the first word is what is counted.
            match whom.split_once(' ') {
                Some((many, rest)) if n == 1 => phrase!("of 1 {} {rest}", many.trim_end_matches('s')),
                _ => phrase!("of {n} {whom}"),
            }
        })
    }
}

/// A figure of counts and money.
pub fn figure(what: What, t: &Tally, purse: &Purse, s: &Settings) -> Figure {
    use What as W;
    let plain = |n: u32| (Some(f64::from(n)), None);
    let count = |n: u32, of: u32| (Some(f64::from(n)), Some(of));
    let per = |top: f64, of: u32| ((of > 0).then(|| top / f64::from(of)), Some(of));
    let percent = |top: u32, of: u32| per(f64::from(top) * 100.0, of);
    let mean = |m: Mean| (m.mean().map(Weight::kg), Some(m.n));
    let money = |n: i64| (purse.any().then(|| n as f64 / 100.0), None);
    let money_per = |n: i64, of: u32| {
        let (value, of) = per(n as f64 / 100.0, of);
        (value.filter(|_| purse.any()), of)
    };
    let mut note = None;
    let still = |n: u32| (n > 0).then(|| phrase!("{} still to lamb", counted(n as usize, "ewe")));
    let unsure = (t.unsure > 0)
        .then(|| phrase!("{} not scanned and still to lamb", counted(t.unsure as usize, "ewe")));
    let waiting = (t.waiting > 0).then(|| phrase!("{} not weaned yet", counted(t.waiting as usize, "lamb")));
    let loss_base = if s.loss_of == LossOf::Born { t.born } else { t.alive };
    let (value, of) = match what {
        W::Joined => plain(t.joined),
        W::Lambed => (Some(f64::from(t.lambed)), (t.joined > 0).then_some(t.joined)),
        W::Born => count(t.born, t.lambed),
        W::PerLambed => per(f64::from(t.born), t.lambed),
        W::Alive => count(t.alive, t.born),
        W::Reared => count(t.reared, t.born - t.growing.min(t.born)),
        W::Growing => count(t.growing, t.born),
        W::BirthWeight => mean(t.birth),
        W::SixtyWeight => mean(t.sixty),
        W::Exposed => {
            if t.unwritten > 0 {
                note = Some(phrase!(
                    "{} lambed and no joining is written",
                    counted(t.unwritten as usize, "ewe")
                ));
            }
            plain(t.exposed)
        }
        W::SoldBefore => count(t.sold_before, t.joined),
        W::DiedBefore => count(t.died_before, t.joined),
        W::Bought => plain(t.bought),
        W::Scanned => count(t.scanned, t.exposed),
        W::ScanLambs => percent(t.counted.1, t.counted.0),
        W::Pregnancy => percent(t.in_lamb, t.exposed),
        W::Barren => percent(t.exposed - t.in_lamb.min(t.exposed), t.exposed),
        W::Fertility => percent(t.exposed_lambed, t.exposed),
        W::FirstCycle => {
            note = Some(phrase!("in the first {} days of lambing", s.first_cycle_days));
            percent(t.first_cycle, t.exposed)
        }
        W::PerExposed => per(f64::from(t.born), t.exposed),
        W::AlivePercent => percent(t.alive, t.born),
        W::BornDead => count(t.lost_at(Band::BornDead), t.born),
        W::LostDay0 => count(t.lost_at(Band::Day0), t.born),
        W::LostWeek1 => count(t.lost_at(Band::Week1), t.born),
        W::LostMonth1 => count(t.lost_at(Band::Month1), t.born),
        W::LostLater => count(t.lost_at(Band::Later), t.born),
        W::LostUnknown => count(t.lost_at(Band::Unknown), t.born),
        W::Loss => {
            note = waiting.clone();
            let dead = if s.loss_of == LossOf::Born { 0 } else { t.lost_at(Band::BornDead) };
            if dead > 0 {
                note = Some(phrase!("of {} born alive", t.alive));
            }
            percent(t.lost_all() - dead, loss_base)
        }
        W::Weaned => {
            note = waiting.clone();
            count(t.weaned, t.born)
        }
        W::Bottle => count(t.bottle, t.weaned),
        W::WeanedExposed => percent(t.weaned, t.exposed),
        W::WeanedInLamb => percent(t.weaned, t.in_lamb),
        W::WeanedLambed => percent(t.weaned, t.lambed),
        W::WeaningWeight => mean(t.weaning),
        W::WeightWeaned => {
            let missing = t.weaned - t.weaning.n.min(t.weaned);
            if missing > 0 && t.weaning.n > 0 {
                let lambs = counted(missing as usize, "weaned lamb");
                note = Some(phrase!("{lambs} without a weight taken at the mean of {}", t.weaning.n));
            }
            let all = t.weaning.mean().map(|m| m.kg() * f64::from(t.weaned));
            (all.filter(|_| t.exposed > 0).map(|kg| kg / f64::from(t.exposed)), Some(t.exposed))
        }
        W::Gain => {
            let (sum, n) = t.gain;
            ((n > 0).then(|| sum as f64 / f64::from(n)), Some(n))
        }
        W::Replacement => {
            if !t.follows {
                note = Some(phrase!("the first season in the book: who is new cannot be told"));
            }
            let (value, of) = percent(t.first_time, t.joined);
            (value.filter(|_| t.follows), of)
        }
        W::Culled => percent(t.culled, t.joined),
        W::EweDeath => percent(t.died, t.joined),
        W::Taken => money(purse.taken),
        W::Spent => money(purse.spent),
        W::Margin => money(purse.margin()),
        W::MarginEwe => money_per(purse.margin(), t.joined),
        W::MarginLamb => money_per(purse.margin(), t.weaned),
        W::BreakEven => money_per(purse.variable, t.sold),
    };
    // A rate of what is not over yet would mislead: a dash, and what is waited for.
    let early = match what {
        W::Pregnancy | W::Barren => unsure,
        W::Fertility | W::FirstCycle | W::PerExposed => still(t.open),
        W::WeanedExposed | W::WeanedInLamb | W::WeanedLambed | W::WeightWeaned => still(t.open).or(waiting),
        _ => None,
    };
    match early {
        Some(why) => Figure { what, value: None, of, note: Some(why) },
        None => Figure { what, value, of, note },
    }
}
