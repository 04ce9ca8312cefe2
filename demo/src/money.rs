//! What a year costs and brings; round figures, invented.

use crate::maker::{Maker, WORD};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, MoneyDraft};
use hirsel_core::terms::{Day, MoneyKind, Price};

/// What is paid each year: days from the season's base day, kind, hundredths for each ewe, what it was.
const COSTS: [(i64, MoneyKind, u32, &str); 9] = [
    (-210, MoneyKind::Vet, 310, "worm drench and vaccine"),
    (-160, MoneyKind::Feed, 1_450, "hay"),
    (-95, MoneyKind::Vet, 180, "scanning"),
    (-75, MoneyKind::Feed, 1_120, "ewe feed before lambing"),
    (-48, MoneyKind::Bedding, 290, "straw"),
    (-20, MoneyKind::Vet, 240, "visits and medicine at lambing"),
    (-10, MoneyKind::Tags, 130, "lamb tags"),
    (20, MoneyKind::Feed, 520, "creep"),
    (75, MoneyKind::Shearing, 210, "shearers"),
];

impl Maker<'_> {
    /// An amount of money, if the day has come.
    pub(crate) fn paid(&mut self, on: Day, kind: MoneyKind, cents: u32, note: &str) {
        if cents > 0 && on <= self.today {
            self.purse.push(MoneyDraft {
                on,
                kind,
                amount: Price::from_cents(cents),
                group: None,
                note: Some(note.into()),
            });
        }
    }

    /// The regular costs of a season, wool, and what was noted of sales and purchases meanwhile.
    pub(crate) fn money(&mut self, season: usize) -> Result<(), Failed> {
        let base = self.base(season);
        for (day, kind, each, note) in COSTS {
            // Prices rise and fall by some hundredths from year to year.
            let each = f64::from(each) * self.scored.bell(1.0 + 0.03 * season as f64, 0.04);
            let coins = (each * self.ewes as f64 / 50.0).round() as u32 * 50;
            self.paid(base.plus(day), kind, coins, note);
        }
        self.paid(base.plus(80), MoneyKind::Wool, 95 * self.ewes as u32, "wool, grey, sold to hand spinners");
        let mut drafts = std::mem::take(&mut self.purse);
        drafts.sort_by_key(|d| d.on);
        if !drafts.is_empty() {
            self.push(entry::money(drafts, self.today), WORD);
        }
        self.flush(&format!("Money of the season {}", base.year()))
    }
}
