//! Two feeds to one need: the form and the drawn square.

use super::super::super::picture::save_picture;
use super::super::super::{Ctx, Intent};
use super::drawn::{CornerDrawn, Drawn, draw};
use super::{Made, MadePart, State, Wrong, answer, feeds, number, short};
use crate::look::{self, Kind, space};
use crate::parts::picture::Sitter;
use crate::parts::{Choice, Field, Form, Found, Picker, PickerState};
use hirsel_core::phrase;
use hirsel_core::reckon::mixing::{From, Stuff, figures, square_words, stuff};
use hirsel_core::reckon::ration::{self, NoSquare, Side, Square};
use hirsel_core::terms::{Analysis, Base, Mass, Nutrient};
use serde::{Deserialize, Serialize};

/// One of the two, as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct One {
    feed: PickerState<u64>,
    /// What it holds, typed over what is known.
    figure: String,
    dry: String,
}

/// The form.
#[derive(Debug, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    what: Nutrient,
    base: Base,
    feeds: [One; 2],
    need: String,
    total: String,
}

impl Default for Typed {
    fn default() -> Self {
        Self {
            what: Nutrient::Protein,
            base: Base::AsFed,
            feeds: Default::default(),
            need: String::new(),
            total: String::new(),
        }
    }
}

impl Typed {
    /// Two feeds of the book.
    pub(super) fn load(&mut self, ctx: &Ctx<'_>, names: [&str; 2]) {
        for (one, name) in self.feeds.iter_mut().zip(names) {
            *one = One::default();
            if let Some(found) = feeds(ctx, name).into_iter().find(|f| f.label == name) {
                one.feed.choose(Found { detail: String::new(), ..found });
            }
        }
    }
}

const WHAT: [(Nutrient, &str); 3] =
    [(Nutrient::Protein, "protein"), (Nutrient::Energy, "energy"), (Nutrient::Calcium, "calcium")];
const BASES: [(Base, &str); 2] = [(Base::AsFed, "as fed"), (Base::DryMatter, "of dry matter")];
const PARTS: [&str; 2] = ["first feed", "second feed"];
const LABELS: [[&str; 3]; 2] = [
    ["Feed, first feed", "It holds, first feed", "Dry matter, first feed"],
    ["Feed, second feed", "It holds, second feed", "Dry matter, second feed"],
];
const WANTED: &str = "Wanted";
const TOTAL: &str = "How much";
/// What is made where nothing is typed, kg.
const USUAL: f64 = 100.0;

/// A feed with what is known of it and typed over.
struct Known {
    stuff: Stuff,
    own: Analysis,
    /// On the base of the square.
    figure: Option<f64>,
}

fn known(ctx: &Ctx<'_>, t: &Typed, i: usize) -> Result<Option<Known>, Wrong> {
    let one = &t.feeds[i];
    let Some(mut stuff) = stuff(ctx.flock, &one.feed.text, ctx.today) else { return Ok(None) };
    let mut own = Analysis::default();
    let dry = number(&one.dry, "dry matter", 100.0).map_err(|w| (LABELS[i][2], w))?;
    if let Some(dry) = dry {
        own = own.with(Nutrient::DryMatter, dry).map_err(|e| (LABELS[i][2], e.0))?;
    }
    let dry = dry.or_else(|| stuff.feed.analysis.get(Nutrient::DryMatter));
    let typed = number(&one.figure, "the figure", t.what.most()).map_err(|w| (LABELS[i][1], w))?;
    let of_dry = match (typed, t.base, dry) {
        (Some(x), Base::DryMatter, _) => Some(x),
        // Without its dry matter it is told on this base alone.
        (Some(x), Base::AsFed, Some(dry)) if dry > 0.0 => Some(x * 100.0 / dry),
        _ => None,
    };
    if let Some(x) = of_dry {
        own = own.with(t.what, x).map_err(|e| (LABELS[i][1], e.0))?;
    }
    stuff.feed.analysis = own.or(&stuff.feed.analysis);
    let figure = typed.or_else(|| stuff.feed.analysis.on(t.what, t.base));
    Ok(Some(Known { stuff, own, figure }))
}

/// How far the square is.
enum Stands {
    /// Something is not typed or not known yet.
    Open(Wrong),
    /// It cannot be.
    Cannot(NoSquare),
    Solved(Box<Square>),
}

fn total(ctx: &Ctx<'_>, t: &Typed) -> Result<Mass, Wrong> {
    if t.total.trim().is_empty() {
        return Ok(Mass::from_kg(USUAL).unwrap_or_default());
    }
    let mass = Mass::parse(&t.total, ctx.units()).map_err(|e| (TOTAL, e.0))?;
    if mass.is_none() { Err((TOTAL, phrase!("nothing cannot be mixed: write how much"))) } else { Ok(mass) }
}

fn solve(t: &Typed, known: &[Option<Known>; 2]) -> Stands {
    let mut sides = Vec::new();
    for (i, k) in known.iter().enumerate() {
        let Some(k) = k else { return Stands::Open((LABELS[i][0], phrase!("which is the {}?", PARTS[i]))) };
        let name = k.stuff.feed.name.clone();
        let Some(figure) = k.figure else {
            let why = phrase!(
                "{} of {name} is not known {}: write it from the label or a sheet",
                t.what.words(),
                base_words(t.base)
            );
            return Stands::Open((LABELS[i][1], why));
        };
        sides.push(Side { name, figure, dry_matter: k.stuff.feed.analysis.get(Nutrient::DryMatter) });
    }
    let need = match number(&t.need, "what is wanted", t.what.most()) {
        Ok(Some(need)) => need,
        Ok(None) => return Stands::Open((WANTED, phrase!("how much {} is wanted?", t.what.words()))),
        Err(why) => return Stands::Open((WANTED, why)),
    };
    let Ok(sides) = <[Side; 2]>::try_from(sides) else {
        return Stands::Open((LABELS[0][0], phrase!("choose two feeds")));
    };
    match ration::square(t.what, t.base, sides, need) {
        Ok(square) => Stands::Solved(Box::new(square)),
        Err(why) => Stands::Cannot(why),
    }
}

fn base_words(base: Base) -> &'static str {
    match base {
        Base::AsFed => "as fed",
        Base::DryMatter => "of dry matter",
    }
}

fn both(ctx: &Ctx<'_>, t: &Typed) -> Result<[Option<Known>; 2], Wrong> {
    Ok([known(ctx, t, 0)?, known(ctx, t, 1)?])
}

/// The mix as it is written.
fn made(ctx: &Ctx<'_>, t: &Typed) -> Result<Made, Wrong> {
    let known = both(ctx, t)?;
    let total = total(ctx, t)?;
    let square = match solve(t, &known) {
        Stands::Open(wrong) => return Err(wrong),
        Stands::Cannot(why) => return Err((WANTED, why.to_string())),
        Stands::Solved(square) => square,
    };
    let Some(shares) = square.as_fed() else {
        let gap = known.iter().position(|k| {
            k.as_ref().is_none_or(|k| k.stuff.feed.analysis.get(Nutrient::DryMatter).is_none())
        });
        let why = phrase!("its dry matter is not known: without it nothing can be weighed out");
        return Err((LABELS[gap.unwrap_or(0)][2], why));
    };
    let parts = known.into_iter().flatten().zip(shares).map(|(k, share)| MadePart {
        stuff: k.stuff,
        own: k.own,
        share,
        kg: share * total.kg(),
        so: String::new(),
    });
    Ok(Made { parts: parts.collect(), kg: total.kg(), eaters: None })
}

pub(super) fn form(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    form: &mut Form,
) -> Result<Made, Wrong> {
    let (what, base) = (state.square.what, state.square.base);
    let unit = phrase!("{} {}", what.short_unit(), base_words(base));
    for i in 0..2 {
        form.set_part(PARTS[i]);
        let gist = known(ctx, &state.square, i).ok().flatten();
        let [on_feed, on_figure, on_dry] = LABELS[i].map(|l| state.wrong(l));
        let one = &mut state.square.feeds[i];
        look::strong(ui, if i == 0 { "First feed" } else { "Second feed" });
        let picker = Picker::new("Feed", ctx.flock.version()).width(250.0).free().quiet(true);
        let picker = picker.example("barley, beans").refusal(on_feed.as_deref());
        if form.picker(ui, &picker, &mut one.feed, |text| feeds(ctx, text)).changed() {
            one.figure.clear();
            one.dry.clear();
        }
        let before = gist.as_ref().and_then(|k| k.stuff.feed.analysis.on(what, base)).map(short);
        let field =
            Field::new("It holds").width(80.0).unit(&unit).example(before.clone().unwrap_or("?".into()));
        let read = |t: &str| number(t, "the figure", what.most()).map(|_| String::new());
        form.field(ui, &field.understand(&read).refusal(on_figure.as_deref()), &mut one.figure);
        let dry = gist.as_ref().and_then(|k| k.stuff.feed.analysis.get(Nutrient::DryMatter));
        if dry.is_none() || !one.dry.trim().is_empty() || base == Base::DryMatter {
            let dry = dry.map(short);
            let read = |t: &str| number(t, "dry matter", 100.0).map(|_| String::new());
            let field = Field::new("Dry matter")
                .width(80.0)
                .unit("% as fed")
                .example(dry.clone().unwrap_or("?".into()));
            form.field(ui, &field.understand(&read).refusal(on_dry.as_deref()), &mut one.dry);
        }
        if let Some(k) = &gist {
            let from = match k.stuff.from {
                From::Book => "",
                From::Handbook => "Common figures: feeds vary, an analysis goes before. ",
                From::Typed => "Not known here: write its figures. ",
            };
            look::faint(ui, format!("{from}{}", figures(&k.stuff.feed.analysis)));
        }
        ui.add_space(space::XS);
    }
    form.set_part("");
    let mut of = Some(what);
    form.choice(ui, &Choice::new("Reckoned by", &WHAT), &mut of);
    state.square.what = of.unwrap_or(what);
    let mut on = Some(base);
    form.choice(ui, &Choice::new("Figures are", &BASES), &mut on);
    state.square.base = on.unwrap_or(base);
    let wrong = state.wrong(WANTED);
    let read = |t: &str| number(t, "what is wanted", what.most()).map(|_| String::new());
    let field = Field::new(WANTED).width(80.0).unit(&unit).example("16").understand(&read);
    form.field(ui, &field.refusal(wrong.as_deref()), &mut state.square.need);
    let units = ctx.units();
    let wrong = state.wrong(TOTAL);
    let usual = Mass::from_kg(USUAL).unwrap_or_default().show(units);
    let read = |t: &str| Mass::parse(t, units).map(|m| m.show(units)).map_err(|e| e.0);
    let field = Field::new(TOTAL).width(110.0).example(&usual).understand(&read);
    form.field(ui, &field.refusal(wrong.as_deref()), &mut state.square.total);
    made(ctx, &state.square)
}

/// The drawn square, what it means, and what must be said of the mix.
pub(super) fn answer(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let t = &state.square;
    let units = ctx.units();
    let total = total(ctx, t).unwrap_or_else(|_| Mass::from_kg(USUAL).unwrap_or_default());
    let found = both(ctx, t);
    let stands = match &found {
        Ok(known) => solve(t, known),
        Err(wrong) => Stands::Open(wrong.clone()),
    };
    let known: [Option<Known>; 2] = found.unwrap_or([None, None]);
    let corner = |i: usize| CornerDrawn {
        name: known[i].as_ref().map(|k| k.stuff.feed.name.clone()).unwrap_or_default(),
        figure: known[i].as_ref().and_then(|k| k.figure),
        came: match &stands {
            Stands::Solved(s) => {
                let fed = s.as_fed().map(|f| f[i]);
                let amount = fed.map_or(phrase!("weight not known"), |f| {
                    Mass::from_kg(f * total.kg()).unwrap_or_default().show(units)
                });
                Some((s.corners[i].parts, fed.unwrap_or(s.corners[i].share), amount))
            }
            _ => None,
        },
    };
    let said = match &stands {
        Stands::Solved(s) => square_words(s, total, units),
        Stands::Open((_, why)) => why.clone(),
        Stands::Cannot(why) => why.to_string(),
    };
    let drawn = Drawn {
        corners: [corner(0), corner(1)],
        need: number(&t.need, "what is wanted", t.what.most()).ok().flatten(),
        unit: t.what.short_unit(),
        what: phrase!("{} {}", t.what.words(), base_words(t.base)),
        said: said.clone(),
    };
    draw(ui, &drawn);
    let of = Sitter { title: "Mix by the square", said: &said, width: 560.0, height: None };
    save_picture(ui, &of, out, |ui| draw(ui, &drawn));
    ui.add_space(space::S);
    match &stands {
        Stands::Solved(_) => {
            look::sentence(ui, Kind::Plain, format!("{said}."));
        }
        Stands::Open(_) => {
            look::faint(ui, capital(&said));
        }
        Stands::Cannot(_) => {
            look::refusal(ui, capital(&said));
        }
    }
    if let Ok(made) = made(ctx, t) {
        ui.add_space(space::S);
        answer::whole(ui, ctx, state, &made, &[], out);
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}
