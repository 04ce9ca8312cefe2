//! How the window speaks: the words of the trade and the order of days are those of the open book.

use super::Desk;
use hirsel_core::handbook::trade::Trade;
use hirsel_core::terms::speech::Speech;

impl Desk {
    /// Lets the window speak as the open book wants it; tells whether its words are others than before.
    pub(super) fn keep_trade(&mut self) -> bool {
        let (speech, trade) = self
            .flock()
            .map_or((Speech::default(), Trade::PLAIN), |f| (f.holding().speech(), f.holding().trade()));
        let language = self.languages.spoken();
        Speech { language, ..speech }.set();
        if trade == self.trade {
            return false;
        }
        self.trade = trade;
        self.help.speak(trade);
        true
    }
}
