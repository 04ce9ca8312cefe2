//! The words of the trade: those of the open book, given to all that is drawn.

use super::Desk;
use crate::look::speech;
use hirsel_core::handbook::trade::Trade;

impl Desk {
    /// Lets the window speak as the open book wants it; tells whether that is otherwise than before.
    pub(super) fn keep_trade(&mut self, ctx: &egui::Context) -> bool {
        let trade = self.flock().map_or(Trade::PLAIN, |f| f.holding().trade());
        if trade == self.trade {
            return false;
        }
        self.trade = trade;
        self.help.speak(trade);
        if trade == Trade::PLAIN {
            speech::unset(ctx);
        } else {
            speech::set(ctx, move |text| trade.said(text));
        }
        true
    }
}
