//! Mixes as tables: the square of two feeds, the cheapest mix of more, and how they are asked for.

use super::tables::{Cell, Table};
use super::{Trouble, out};
use clap::Args;
use hirsel_core::flock::Flock;
use hirsel_core::handbook::feeds;
use hirsel_core::reckon::ration::{
    Ask, Blend, Choice, Demand, FeedRules, Ingredient, Side, blend, ingredient, of_mix, square,
};
use hirsel_core::terms::{Analysis, Base, Day, FeedKind, Nutrient};

/// What is asked of a mix.
#[derive(Debug, Args)]
pub struct Mix {
    /// For ration: the feeds, each with the crude protein it holds in percent, such as "barley=12,meal=30"; of a feed of
    /// the book or the handbook its name alone will do
    #[arg(long, value_name = "FEED=N,…", required_if_eq("answer", "ration"))]
    mix: Option<String>,
    /// For ration: crude protein the mix must hold, percent
    #[arg(long, value_name = "N", value_parser = figure)]
    protein: Option<f64>,
    /// For ration: how much is mixed, kilograms
    #[arg(long, value_name = "KG", value_parser = figure)]
    total: Option<f64>,
    /// For ration: whether figures and shares are as fed (the rule) or of dry matter: "as fed", "dry matter"
    #[arg(long, value_name = "BASE", value_parser = base)]
    base: Option<Base>,
    /// For ration: the cheapest mix of all the feeds, shares as fed, by --price, --least and --most
    #[arg(long)]
    least_cost: bool,
    /// For ration by least cost: what a kg costs as fed, such as "barley=0.22,meal=0.48"; else the price of the book
    #[arg(long, value_name = "FEED=N,…", requires = "least_cost")]
    price: Option<String>,
    /// For ration by least cost: the least of a figure, of calcium over phosphorus, or of a feed's share, such as
    /// "protein=16,calcium:phosphorus=2,barley=20%"
    #[arg(long, value_name = "WORD=N,…", requires = "least_cost")]
    least: Option<String>,
    /// For ration by least cost: the most of it, such as "copper=10,meal=30%"
    #[arg(long, value_name = "WORD=N,…", requires = "least_cost")]
    most: Option<String>,
}

fn figure(text: &str) -> Result<f64, String> {
    let found = text.trim().parse::<f64>().ok().filter(|x| x.is_finite() && *x >= 0.0);
    found.ok_or_else(|| format!("'{text}' is no figure: write a number such as 15 or 15.5"))
}

fn base(text: &str) -> Result<Base, String> {
    Base::parse(text).map_err(|e| e.0)
}

fn world(why: impl Into<String>) -> Trouble {
    Trouble::World(why.into())
}

impl Mix {
    /// Options that go with ration alone but were given with something else.
    pub fn stray(&self) -> Option<&'static str> {
        let given = [
            ("--mix", self.mix.is_some()),
            ("--protein", self.protein.is_some()),
            ("--total", self.total.is_some()),
            ("--base", self.base.is_some()),
            ("--least-cost", self.least_cost),
        ];
        given.iter().find(|(_, given)| *given).map(|(name, _)| *name)
    }
}

/// A word and, where there is one, what stands after its equals sign.
fn pairs(text: &str) -> Vec<(String, Option<String>)> {
    let each = text.split(',').map(str::trim).filter(|t| !t.is_empty());
    each.map(|t| match t.split_once('=') {
        Some((name, value)) => (name.trim().to_owned(), Some(value.trim().to_owned())),
        None => (t.to_owned(), None),
    })
    .collect()
}

fn number(name: &str, text: Option<String>) -> Result<f64, Trouble> {
    let text = text.ok_or_else(|| world(format!("'{name}' has no figure: write {name}=N")))?;
    figure(&text).map_err(|e| world(format!("{name}: {e}")))
}

/// The mix that is asked for. What a person should know beside it is said on standard error.
pub fn ration(flock: &Flock, asked: &Mix, on: Day) -> Result<Table, Trouble> {
    let base = asked.base.unwrap_or_default();
    let mut chosen = Vec::new();
    for (name, value) in pairs(asked.mix.as_deref().unwrap_or_default()) {
        let typed = value.map(|v| number(&name, Some(v))).transpose()?;
        if chosen.iter().any(|(n, ..): &(String, _, _)| n.to_lowercase() == name.to_lowercase()) {
            return Err(world(format!("'{name}' stands twice in --mix: leave it once")));
        }
        chosen.push((name.clone(), typed, known(flock, &name, on)));
    }
    if let Some(kg) = asked.total.filter(|kg| *kg == 0.0) {
        return Err(world(format!("{kg} kg cannot be mixed: write how many kilograms")));
    }
    match asked.least_cost {
        true => cheapest(flock, asked, base, chosen),
        false => of_two(asked, base, chosen),
    }
}

/// A feed of the book, or of the handbook, by its name.
fn known(flock: &Flock, name: &str, on: Day) -> Option<Ingredient> {
    let own = flock.feedroom().by_name(name).and_then(|f| ingredient(flock, f.id, on));
    own.or_else(|| feeds::by_name(name).map(Ingredient::from))
}

type Chosen = (String, Option<f64>, Option<Ingredient>);

fn of_two(asked: &Mix, base: Base, chosen: Vec<Chosen>) -> Result<Table, Trouble> {
    let count = chosen.len();
    let two: [Chosen; 2] = chosen.try_into().map_err(|_| {
        world(format!(
            "the square is of two feeds and --mix has {count}: name two, or add --least-cost with prices"
        ))
    })?;
    let need = asked.protein.ok_or_else(|| world("ration needs --protein, such as --protein 15"))?;
    let side = |(name, typed, known): &Chosen| -> Result<Side, Trouble> {
        let figure = typed.or_else(|| known.as_ref()?.analysis.on(Nutrient::Protein, base));
        let figure = figure.ok_or_else(|| {
            world(format!(
                "crude protein of {name} is not known: write it after its name, such as \"{name}=12\""
            ))
        })?;
        let dry_matter = known.as_ref().and_then(|k| k.analysis.get(Nutrient::DryMatter));
        Ok(Side { name: name.clone(), figure, dry_matter })
    };
    let sides = [side(&two[0])?, side(&two[1])?];
    let made = square(Nutrient::Protein, base, sides, need).map_err(|e| Trouble::Refused(e.to_string()))?;
    out::progress(&format!("figures and shares are {}", said(base)));
    let row = |i: usize| {
        let c = &made.corners[i];
        let mut row =
            vec![Cell::words(c.name.as_str()), percent(c.share), kg(asked.total.map(|t| t * c.share))];
        if asked.base.is_some() {
            row.push(Cell::words(base.word()));
            row.push(made.as_fed().map_or_else(Cell::none, |fed| percent(fed[i])));
        }
        row
    };
    let columns: &[&str] = match asked.base {
        Some(_) => &["feed", "share_percent", "kg", "base", "as_fed_percent"],
        None => &["feed", "share_percent", "kg"],
    };
    Ok(Table { columns, rows: vec![row(0), row(1)] })
}

fn said(base: Base) -> &'static str {
    match base {
        Base::AsFed => "as fed",
        Base::DryMatter => "of dry matter",
    }
}

fn percent(share: f64) -> Cell {
    Cell::number(format!("{:.2}", share * 100.0))
}

fn kg(kg: Option<f64>) -> Cell {
    kg.map_or_else(Cell::none, |kg| Cell::number(format!("{kg:.3}")))
}

fn cheapest(flock: &Flock, asked: &Mix, base: Base, chosen: Vec<Chosen>) -> Result<Table, Trouble> {
    let mut choices = Vec::new();
    for (name, typed, known) in chosen {
        choices.push(Choice::free(with_protein(&name, typed, known, base)?));
    }
    for (name, value) in pairs(asked.price.as_deref().unwrap_or_default()) {
        let price = number(&name, value)?;
        of_mix_named(&mut choices, &name)?.feed.price = Some(price);
    }
    let mut demands = Vec::new();
    if let Some(protein) = asked.protein {
        demands.push(Demand::Least { what: Nutrient::Protein, base, figure: protein });
    }
    for (text, least) in [(&asked.least, true), (&asked.most, false)] {
        for (name, value) in pairs(text.as_deref().unwrap_or_default()) {
            bound(&name, value, least, base, &mut choices, &mut demands)?;
        }
    }
    let ask = Ask { choices, demands, total_kg: asked.total.unwrap_or(100.0) };
    let made = blend(&ask).map_err(|e| Trouble::Refused(e.to_string()))?;
    told(&made, base);
    let parts: Vec<(&Ingredient, f64)> = made.used().map(|p| (&ask.choices[p.choice].feed, p.kg)).collect();
    for caution in of_mix(&FeedRules::of(flock.holding()), &parts, None) {
        out::progress(&format!("{}: {caution}", caution.grave().words()));
    }
    let row = |p: &hirsel_core::reckon::ration::Part| {
        let money = |x: f64| Cell::number(format!("{x:.4}"));
        let weighed = asked.total.map(|_| p.kg);
        vec![
            Cell::words(p.name.as_str()),
            percent(p.share),
            kg(weighed),
            asked.total.map_or_else(Cell::none, |_| Cell::number(format!("{:.2}", p.cost))),
            ask.choices[p.choice].feed.price.map_or_else(Cell::none, money),
            p.left_out.and_then(|l| l.comes_in_at).map_or_else(Cell::none, money),
        ]
    };
    Ok(Table {
        columns: &["feed", "share_percent", "kg", "cost", "price_a_kg", "comes_in_at"],
        rows: made.parts.iter().map(row).collect(),
    })
}

/// A feed with the protein that was typed; one that nobody knows holds nothing else.
fn with_protein(
    name: &str,
    typed: Option<f64>,
    known: Option<Ingredient>,
    base: Base,
) -> Result<Ingredient, Trouble> {
    let misread = |e: hirsel_core::terms::Misread| world(format!("{name}: {}", e.0));
    let Some(mut feed) = known else {
        let Some(figure) = typed else {
            return Err(world(format!(
                "{name} is no feed of the book or the handbook: write its crude protein, such as \"{name}=12\""
            )));
        };
        if base == Base::DryMatter {
            return Err(world(format!(
                "{name} is no feed of the book or the handbook, so that its dry matter is not known: write the feed in the \
                 book, or take --base \"as fed\""
            )));
        }
        // Reckoned as fed throughout, the figure stands for itself.
        let dry = Analysis::default().with(Nutrient::DryMatter, 100.0).map_err(misread)?;
        let analysis = dry.with(Nutrient::Protein, figure).map_err(misread)?;
        return Ok(Ingredient::plain(name, FeedKind::Other, analysis));
    };
    feed.name = name.to_owned();
    if let Some(figure) = typed {
        let of_dry = match (base, feed.dry()) {
            (Base::DryMatter, _) => figure,
            (Base::AsFed, Some(dry)) => figure / dry,
            (Base::AsFed, None) => {
                return Err(world(format!("dry matter of {name} is not known: write it in the book")));
            }
        };
        feed.analysis = feed.analysis.with(Nutrient::Protein, of_dry).map_err(misread)?;
    }
    Ok(feed)
}

fn of_mix_named<'a>(choices: &'a mut [Choice], name: &str) -> Result<&'a mut Choice, Trouble> {
    let all: Vec<String> = choices.iter().map(|c| c.feed.name.clone()).collect();
    let low = name.to_lowercase();
    let found = choices.iter_mut().find(|c| c.feed.name.to_lowercase() == low);
    found.ok_or_else(|| world(format!("{name} is not in the mix: its feeds are {}", all.join(", "))))
}

/// One bound: of a feed's share with a percent sign, of a ratio, of a figure.
fn bound(
    name: &str,
    value: Option<String>,
    least: bool,
    base: Base,
    choices: &mut [Choice],
    demands: &mut Vec<Demand>,
) -> Result<(), Trouble> {
    if let Some(share) = value.as_deref().and_then(|v| v.strip_suffix('%')) {
        let share = number(name, Some(share.to_owned()))? / 100.0;
        let choice = of_mix_named(choices, name)?;
        *(if least { &mut choice.least } else { &mut choice.most }) = share;
        return Ok(());
    }
    let figure = number(name, value)?;
    let nutrient = |word: &str| {
        Nutrient::parse(word)
            .map_err(|e| world(format!("{}; a feed's share is written with a percent sign", e.0)))
    };
    demands.push(match name.split_once(':') {
        Some((over, under)) if least => {
            Demand::Ratio { over: nutrient(over)?, under: nutrient(under)?, least: figure }
        }
        Some(_) => return Err(world(format!("{name}: of a ratio only the least can be asked: use --least"))),
        None if least => Demand::Least { what: nutrient(name)?, base, figure },
        None => Demand::Most { what: nutrient(name)?, base, figure },
    });
    Ok(())
}

fn told(made: &Blend, base: Base) {
    out::progress(&format!(
        "shares are as fed, figures asked are {}; a kg costs {:.4}",
        said(base),
        made.cost_a_kg
    ));
    for m in &made.demands {
        let costs = match m.binds {
            true => format!("; a unit less saves {:.4} a kg of mix", m.shadow),
            false => String::new(),
        };
        out::progress(&format!("{}: reaches {}{costs}", m.demand, m.demand.shown(m.reached)));
    }
}
