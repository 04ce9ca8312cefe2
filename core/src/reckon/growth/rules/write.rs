//! Writes the table as the reader takes it.

use super::{GrowthRules, Of};
use crate::handbook::Ground;
use crate::terms::Sex;

/// A text in quotes, as TOML has it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.into()).to_string()
}

/// The lines of source and mark; none for what the keeper wrote himself.
fn ground(g: &Ground) -> String {
    match g {
        Ground::Memory(who) if who == "the keeper" => String::new(),
        Ground::Memory(s) => format!("source = {}\nseen = false\n", quoted(s)),
        Ground::Seen(s) => format!("source = {}\nseen = true\n", quoted(s)),
        Ground::Practice => format!("source = {}\n", quoted(&g.to_string())),
    }
}

pub(super) fn text(rules: &GrowthRules) -> String {
    let mut out = String::from("# Weights carried to a fixed age, as the keeper has it.\n");
    for a in &rules.ages {
        out += &format!(
            "\n[[age]]\ndays = {}\nfrom = {}\nto = {}\nleast = {}\nmost = {}\n{}",
            a.days,
            a.from,
            a.to,
            a.least,
            a.most,
            ground(&a.ground)
        );
    }
    for u in &rules.usual {
        out += &format!("\n[[usual]]\nup_to = {}\nage = {}\n{}", u.up_to, u.age, ground(&u.ground));
    }
    out += &format!("\n[factors]\nname = {}\n", quoted(&rules.table));
    for c in rules.classes.iter().flatten() {
        let whom = match c.of {
            Of::Sex(sex) => {
                let word = match sex {
                    Sex::Ewe => "ewe",
                    Sex::Ram => "ram",
                    Sex::Wether => "wether",
                };
                format!("sex = \"{word}\"\n")
            }
            Of::Type { born, reared } => format!("born = {born}\nreared = {reared}\n"),
            Of::Ewe { from, to } => format!("ewe_from = {from}\newe_to = {to}\n"),
        };
        let base = if c.base { "base = true\n" } else { "" };
        out += &format!("\n[[factor]]\n{whom}factor = {:?}\n{base}{}", c.factor, ground(&c.ground));
    }
    let g = &rules.groups;
    out += &format!(
        "\n[groups]\nspan_days = {}\nby_sex = {}\nby_pen = {}\nby_weighing = {}\nleast = {}\n{}",
        g.span_days,
        g.by_sex,
        g.by_pen,
        g.by_weighing,
        g.least,
        ground(&g.ground)
    );
    out += &format!(
        "\n[least]\nper_class = {}\nbirth_weights = {}\n{}",
        rules.per_class,
        rules.birth_weights,
        ground(&rules.least_ground)
    );
    let m = &rules.milk;
    let ages: Vec<String> = m.ages.iter().map(u16::to_string).collect();
    out += &format!(
        "\n[milk]\nages = [{}]\nscore = {:?}\nscore_percent = {:?}\nnear_days = {}\n{}",
        ages.join(", "),
        m.score,
        m.score_percent,
        m.near_days,
        ground(&m.ground)
    );
    out
}
