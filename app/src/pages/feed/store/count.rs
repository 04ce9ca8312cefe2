//! The count of the store: every feed in one column. A line left empty is not counted.

use super::super::super::{Ctx, Intent, Then, fields};
use super::read;
use crate::look::Kind;
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, FeedMoveDraft, Refusal};
use hirsel_core::phrase;
use hirsel_core::reckon::feedstore::amount_words;
use hirsel_core::terms::FeedChange;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The count as typed, by name of the feed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    on: String,
    found: BTreeMap<String, String>,
    note: String,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    refusals: Vec<(String, Refusal)>,
}

impl Typed {
    /// Begins with this feed.
    pub(super) fn aim(&mut self, name: &str) {
        self.focus = Some(name.to_string());
    }
}

const DAY: &str = "Counted on";

/// Draws it; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    let feeds = &ctx.flock.feedroom().feeds;
    if std::mem::take(into) && t.focus.is_none() {
        t.focus = feeds.first().map(|f| f.name.clone());
    }
    let hint = "It holds at the end of its day, whatever was written before. Ctrl+Enter writes it.";
    let (go, closed) = read::sheet(ui, "Count the store", "Write the count", hint, |ui| {
        let mut form = Form::new(ui, "count feed").label_width(200.0);
        if let Some(label) = t.focus.clone() {
            let mut wish = true;
            form.focus_once(ui, &mut wish, &label);
            t.focus = wish.then_some(label);
        }
        let refusal = |of: &str| t.refusals.iter().find(|(l, _)| l == of).map(|(_, r)| r.to_string());
        for f in feeds {
            let line = ctx.feeding.and_then(|s| s.line(f.id));
            let says = line.map(|l| amount_words(l, ctx.units())).unwrap_or_default();
            let understood = |x: &str| {
                Ok(phrase!("{}; the book says {says}", read::understood(ctx, Some(f), x, ctx.today)?))
            };
            let unit = phrase!("the book says {says}");
            let wrong = refusal(&f.name);
            let text = t.found.entry(f.name.clone()).or_default();
            let unit = if text.is_empty() { unit.as_str() } else { "" };
            let field = Field::new(&f.name).width(130.0).example("3 bags, 75, 0").understand(&understood);
            form.field(ui, &field.unit(unit).refusal(wrong.as_deref()), text);
        }
        let wrong = refusal(DAY);
        form.day(ui, ctx, DAY, &mut t.on, wrong.as_deref());
        form.field(ui, &Field::new("Note").width(300.0).example("why it differs"), &mut t.note);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        match checked(ctx, t) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
    closed
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (String, String)> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| (DAY.to_string(), e))?;
    let mut drafts = Vec::new();
    for f in &ctx.flock.feedroom().feeds {
        let text = t.found.get(&f.name).map(|x| x.trim()).unwrap_or_default();
        if text.is_empty() {
            continue;
        }
        let found = read::amount(ctx, Some(f), text, on).map_err(|e| (f.name.clone(), e))?;
        let mut draft = FeedMoveDraft::of(f.name.clone(), on, FeedChange::Counted);
        (draft.amount, draft.note) = (Some(found), fields::some(&t.note));
        drafts.push(draft);
    }
    let names: Vec<String> = drafts.iter().map(|d| d.feed.clone()).collect();
    if drafts.is_empty() {
        let first = ctx.flock.feedroom().feeds.first().map(|f| f.name.clone()).unwrap_or_default();
        return Err((first, phrase!("nothing is counted yet: write what is there, 0 where nothing is")));
    }
    match entry::feed_moves(drafts, ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::FeedDone })
        }
        Err(refusals) => {
            let label = |r: &Refusal| match r.field.name {
                "on" => DAY.to_string(),
                _ => names.get(r.field.row).cloned().unwrap_or_default(),
            };
            t.refusals = refusals.into_iter().map(|r| (label(&r), r)).collect();
            Err(t.refusals.first().map(|(l, r)| (l.clone(), r.to_string())).unwrap_or_default())
        }
    }
}
