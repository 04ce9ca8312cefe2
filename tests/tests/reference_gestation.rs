//! Due days against the published gestation window. Source: NMSU, Normal breeding habits of sheep.

use hirsel_core::reckon::gestation::{self, due};
use hirsel_tests::book::day;
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Window {
    early: i64,
    usual: i64,
    late: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Due {
    service: String,
    early: String,
    due: String,
    late: String,
}

#[test]
fn the_window_is_the_published_one() {
    for w in rows::<Window>("gestation", "window") {
        assert_eq!((gestation::early(), gestation::usual(), gestation::late()), (w.early, w.usual, w.late));
    }
}

#[test]
fn due_days_of_a_service() {
    for r in rows::<Due>("gestation", "due") {
        let service = day(&r.service);
        let w = due(service, Some(service));
        assert_eq!(w.early, day(&r.early), "{} early", r.service);
        assert_eq!(w.due, day(&r.due), "{} due", r.service);
        assert_eq!(w.late, Some(day(&r.late)), "{} late", r.service);
        assert_eq!(due(service, None).late, None, "no last day while the ram is with her");
    }
}
