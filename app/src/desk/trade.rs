//! How the window speaks: the words of the trade and the order of days are those of the open book, the language that of
//! the settings.

use super::{Desk, Stage};
use hirsel_core::handbook::trade::Trade;
use hirsel_core::terms::speech::{DayOrder, Language, Speech};
use std::sync::Arc;

/// As it was spoken when what is shown was prepared.
#[derive(Clone, Default)]
pub(super) struct Before {
    language: Option<Arc<dyn Language>>,
    trade: Trade,
    days: DayOrder,
}

impl Before {
    fn is(&self, other: &Self) -> bool {
        let language = match (&self.language, &other.language) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        language && self.trade == other.trade && self.days == other.days
    }
}

impl Desk {
    /// Lets the window speak as the open book wants it, and what was prepared be prepared anew where that is otherwise
    /// than before; tells whether it is.
    pub(super) fn keep_trade(&mut self) -> bool {
        let (speech, trade) = self
            .flock()
            .map_or((Speech::default(), Trade::PLAIN), |f| (f.holding().speech(), f.holding().trade()));
        let language = self.languages.spoken();
        let now = Before { language: language.clone(), trade, days: speech.days };
        Speech { language, ..speech }.set();
        if self.spoken.is(&now) {
            return false;
        }
        self.trade = trade;
        match &now.language {
            Some(_) => self.help.speak_of(self.languages.help()),
            None => self.help.speak(trade),
        }
        self.spoken = now;
        if let Stage::Open(open) = &mut self.stage {
            open.book.say_anew();
            open.refresh();
        }
        true
    }
}
