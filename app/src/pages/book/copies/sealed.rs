//! A copy under a passphrase, for a place where others may read.

use super::super::super::{Ctx, Intent};
use crate::desk::places::CopyWish;
use crate::look::{self, Kind};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::exchange::sealed::LEAST;
use hirsel_core::phrase;
use std::path::PathBuf;

/// The form as typed. It is never kept as a draft.
#[derive(Default)]
pub(super) struct Typed {
    to: String,
    word: String,
    again: String,
    shown: bool,
}

impl std::fmt::Debug for Typed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Typed({})", self.to)
    }
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "Copy under a passphrase");
    look::paragraph(
        ui,
        "For a place where others can read it. A lost passphrase is a lost copy: nobody can open it then, nor can this program. Write it down and keep it apart.",
    );
    let name = ctx.path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let example = format!("{name} {}.age", ctx.today);
    let mut form = Form::new(ui, "sealed copy").label_width(80.0);
    form.field(ui, &Field::new("Sealed to").width(440.0).example(&example), &mut t.to);
    let hidden = !t.shown;
    let mut shown = Some(t.shown);
    let short = !t.word.is_empty() && t.word.chars().count() < LEAST;
    let short = short.then(|| phrase!("at least {LEAST} characters: four or five words in a row"));
    let word = Field::new("Passphrase").width(320.0).hidden(hidden).refusal(short.as_deref());
    form.field(ui, &word, &mut t.word);
    let differ = (!t.again.is_empty() && t.again != t.word).then_some("not the same as above");
    form.field(ui, &Field::new("Once more").width(320.0).hidden(hidden).refusal(differ), &mut t.again);
    form.choice(ui, &Choice::new("Letters", &[(false, "hidden"), (true, "shown")]), &mut shown);
    t.shown = shown.unwrap_or_default();
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(88.0);
        let busy = ctx.places.is_busy();
        if ui.add_enabled(!busy, egui::Button::new(phrase!("Copy and close it"))).clicked()
            || (submitted && !busy)
        {
            let why = match () {
                () if t.word.chars().count() < LEAST => {
                    Some(phrase!("The passphrase needs at least {LEAST} characters"))
                }
                () if t.word != t.again => {
                    Some(phrase!("The two passphrases are not the same: type them again"))
                }
                () => None,
            };
            match why {
                Some(why) => out.push(Intent::Say(Kind::Refuse, why)),
                None => {
                    let to = if t.to.trim().is_empty() { example.clone() } else { t.to.trim().to_string() };
                    out.push(Intent::Copies(CopyWish::Seal(PathBuf::from(to), std::mem::take(&mut t.word))));
                    t.again.clear();
                }
            }
        }
        look::faint(ui, "Put back with: hirsel restore FILE.age BOOK --passphrase-file FILE");
    });
}
