//! The keys that do something now: what has the keyboard reports them while it is drawn, the page after it, and the
//! strip at the foot of the window shows them.

use egui::{Context, Id, Ui};

/// A key and what it does.
pub type Keys = &'static [(&'static str, &'static str)];

/// What was reported in a pass.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Reported {
    /// Of what has the keyboard.
    pub here: Option<Keys>,
    /// Of the page.
    pub page: Option<Keys>,
}

fn place() -> Id {
    Id::unique("live keys")
}

fn report(ctx: &Context, set: impl FnOnce(&mut Reported)) {
    ctx.data_mut(|d| set(d.get_temp_mut_or_default::<Reported>(place())));
}

/// The part that has the keyboard answers to these.
pub fn here(ui: &Ui, keys: Keys) {
    report(ui.ctx(), |r| r.here = Some(keys));
}

/// The page answers to these.
pub fn page(ui: &Ui, keys: Keys) {
    report(ui.ctx(), |r| r.page = Some(keys));
}

/// Begins a pass anew: what was reported in the one before.
pub fn begin(ctx: &Context) -> Reported {
    ctx.data_mut(|d| std::mem::take(d.get_temp_mut_or_default::<Reported>(place())))
}

/// What was reported so far in this pass.
pub fn now(ctx: &Context) -> Reported {
    ctx.data(|d| d.get_temp(place())).unwrap_or_default()
}

fn held_id() -> Id {
    Id::unique("page held")
}

/// The page is held: something lies over it for a moment, and what is half typed in it is not left.
pub fn hold(ctx: &Context, held: bool) {
    ctx.data_mut(|d| d.insert_temp(held_id(), held));
}

/// Whether the page is held.
pub fn is_held(ui: &Ui) -> bool {
    ui.data(|d| d.get_temp(held_id())).unwrap_or_default()
}
