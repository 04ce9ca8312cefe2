//! How the program's own text is said: set once by whoever knows the words, and heeded by everything that is drawn. Text
//! that was given (a [`Text::Given`]) is never touched.

use egui::{Context, Id};
use hirsel_core::terms::Text;
use std::borrow::Cow;
use std::sync::Arc;

/// What says a text of the program in other words.
type Say = Arc<dyn Fn(&'static str) -> Cow<'static, str> + Send + Sync>;

fn place() -> Id {
    Id::unique("how the program speaks")
}

/// From now on the program's text is said so.
pub fn set(ctx: &Context, say: impl Fn(&'static str) -> Cow<'static, str> + Send + Sync + 'static) {
    ctx.data_mut(|d| d.insert_temp::<Option<Say>>(place(), Some(Arc::new(say))));
}

/// From now on it is said as it is written.
pub fn unset(ctx: &Context) {
    ctx.data_mut(|d| d.remove_temp::<Option<Say>>(place()));
}

/// A text of the program as it is said. Not while the context is held, as within what makes a node: see [`saying`].
pub fn said(ctx: &Context, text: &'static str) -> Cow<'static, str> {
    saying(ctx)(text)
}

/// What says a text of the program, taken beforehand.
pub fn saying(ctx: &Context) -> impl Fn(&'static str) -> Cow<'static, str> + use<> {
    let say = ctx.data(|d| d.get_temp::<Option<Say>>(place())).flatten();
    move |text| say.as_ref().map_or(Cow::Borrowed(text), |say| say(text))
}

/// Any text as it is shown.
pub fn shown<'a>(ctx: &Context, text: &'a Text) -> Cow<'a, str> {
    text.said(|fixed| said(ctx, fixed))
}

/// The same, as a text of its own.
pub(super) fn words(ctx: &Context, text: impl Into<Text>) -> String {
    shown(ctx, &text.into()).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_text_of_the_program_is_said_otherwise() {
        let ctx = Context::default();
        assert_eq!(words(&ctx, "ram"), "ram");
        set(&ctx, |text| Cow::Owned(text.to_uppercase()));
        assert_eq!(words(&ctx, "ram"), "RAM");
        assert_eq!(words(&ctx, String::from("ram broke the gate")), "ram broke the gate");
        unset(&ctx);
        assert_eq!(words(&ctx, "ram"), "ram");
    }
}
