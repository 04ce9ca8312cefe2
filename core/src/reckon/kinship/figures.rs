//! The figures of a flock's blood: each with its formula and source, and one line that says what to do with it.

use super::Side;
use super::diversity::{Crop, Diversity, FEW_CARRIERS, Founder};
use super::sizes::{Interval, rate_per_generation, rate_per_year, size_by_rate, size_by_sexes};
use crate::flock::Flock;
use crate::phrase;
use crate::terms::speech::said;
use crate::terms::{AnimalId, counted};

/// Complete generations under which inbreeding says little (genetics notes; Boichard 1997).
pub const DEEP_ENOUGH: f64 = 3.0;
/// Effective size that breed conservation asks for at least, so that blood narrows by no more than 1 % a generation
/// (FAO 2013, In vivo conservation of animal genetic resources; from memory).
pub const SIZE_WANTED: f64 = 50.0;

/// One figure of a flock's blood.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its fixed word, for tables and programs.
    pub key: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Its value: a share is 0 to 1, a time in years; none where it is not known.
    pub value: Option<f64>,
    /// The value as it is shown.
    pub shown: String,
    /// How it is reckoned, in words.
    pub formula: &'static str,
    /// Where that stands.
    pub source: &'static str,
    /// What it means here, and what to do about it.
    pub advice: String,
    /// Something should be done about it.
    pub calls: bool,
}

/// What the figures are made from.
pub(super) struct Given<'a> {
    pub(super) flock: &'a Flock,
    pub(super) made: &'a Diversity,
    pub(super) depth: Option<f64>,
    pub(super) completeness: Option<f64>,
    pub(super) inbreeding: Option<f64>,
    pub(super) kinship: Option<f64>,
    pub(super) equivalents: f64,
    pub(super) effective_ancestors: f64,
    pub(super) drops: u32,
    pub(super) by_kept: f64,
    pub(super) kept: f64,
    pub(super) by_increase: Option<f64>,
    pub(super) interval: Interval,
    pub(super) crop: Option<Crop>,
}

/// A share as it is shown: `6.3 %`.
pub fn percent(share: f64) -> String {
    // No minus before nought.
    format!("{:.1} %", (share * 1000.0).round() / 10.0 + 0.0)
}

fn one(value: f64) -> String {
    format!("{value:.1}")
}

fn made(
    (key, name): (&'static str, &'static str),
    value: Option<f64>,
    shown: impl Fn(f64) -> String,
    (formula, source): (&'static str, &'static str),
    (calls, advice): (bool, String),
) -> Figure {
    let shown = value.map_or_else(|| phrase!("not known"), shown);
    Figure { key, name, value, shown, formula, source, advice, calls }
}

/// All figures, in the order they are shown.
pub(super) fn all(g: &Given<'_>) -> Vec<Figure> {
    if g.made.living == 0 {
        return Vec::new();
    }
    let mut all = vec![founder_genomes(g), by_drop(g), equivalents(g), bottleneck(g)];
    all.extend([kinship(g), inbreeding(g), depth(g), completeness(g)]);
    all.extend([by_sexes(g), by_rate(g), by_increase(g), rate(g), interval(g)]);
    all.extend(paths(g));
    all.extend([line_count(g, Side::Dams), line_count(g, Side::Sires), rare(g)]);
    all
}

/// How shallow pedigrees colour what is said.
fn shallow(g: &Given<'_>) -> Option<String> {
    let depth = g.depth.filter(|d| *d < DEEP_ENOUGH)?;
    Some(phrase!(
        "pedigrees are known for {} full generations only, so the truth is likely worse than this",
        one(depth)
    ))
}

fn with_depth(g: &Given<'_>, words: String) -> String {
    match shallow(g) {
        Some(why) => phrase!("{words} But {why}."),
        None => words,
    }
}

fn genomes_now(g: &Given<'_>) -> Option<f64> {
    g.kinship.filter(|f| *f > 0.0).map(|f| 0.5 / f)
}

fn founder_genomes(g: &Given<'_>) -> Figure {
    let value = genomes_now(g);
    let low = g.made.animals.iter().filter(|a| a.loss < 0.0).count();
    let words = phrase!(
        "The flock holds as much variety as {} unrelated animals would. Keep lambs of the animals with the rarest \
         blood: without any one of {}, it would hold less.",
        value.map_or_else(|| phrase!("not known"), one),
        counted(low, "animal")
    );
    made(
        ("founder_genomes", "Founder genomes left"),
        value,
        one,
        (
            "1 divided by twice the mean coancestry of the flock, each animal with itself included: what a gene drop \
             estimates, exactly",
            "Lacy 1989; Caballero and Toro 2000",
        ),
        (false, words),
    )
}

fn by_drop(g: &Given<'_>) -> Figure {
    let words = phrase!(
        "Of the genes the founders brought, {} are still here; what is gone comes back only with animals from outside. \
         Found by dropping them down the pedigree by chance {} times.",
        percent(g.kept),
        g.drops
    );
    made(
        ("founder_genomes_by_drop", "The same, by gene drop"),
        Some(g.by_kept),
        one,
        (
            "1 divided by the sum of share² ÷ part kept over the founders; the part kept by a seeded gene drop",
            "Lacy 1989; MacCluer 1986",
        ),
        (false, words),
    )
}

fn equivalents(g: &Given<'_>) -> Figure {
    let n = g.made.founders.len();
    let unknown = g.made.founders.iter().filter(|f| f.unknown.is_some()).count();
    let ideal = phrase!(
        "The blood of {} is as uneven as if {} had given alike.",
        counted(n, "founder"),
        one(g.equivalents)
    );
    let top = g.made.founders.iter().find(|f| f.unknown.is_none());
    let uneven = g.equivalents < 0.5 * n as f64;
    let rest = match top {
        Some(f) if uneven => phrase!(
            " {} alone has {}: go easy on that blood, and use founders at the foot of the list.",
            &g.flock.tag(f.animal),
            percent(f.share)
        ),
        _ => phrase!(" That is fairly even: keep it so."),
    };
    let open = match unknown {
        0 => String::new(),
        1 => phrase!(" One of them stands for an unknown parent: find out who it was."),
        n => phrase!(" {n} of them stand for unknown parents: find out who they were."),
    };
    made(
        ("founder_equivalents", "Founder equivalents"),
        Some(g.equivalents),
        one,
        ("1 divided by the sum of the founders' shares squared", "Lacy 1989"),
        (uneven, format!("{ideal}{rest}{open}")),
    )
}

fn bottleneck(g: &Given<'_>) -> Figure {
    let narrow = g.effective_ancestors < 0.7 * g.equivalents;
    let top = g.made.ancestors.iter().find(|a| a.unknown.is_none());
    let words = match top {
        Some(a) if narrow => phrase!(
            "Far under the founder equivalents: blood went through a few animals. {} alone explains {}: keep fewer of \
             that animal's offspring, more of others'.",
            &g.flock.tag(a.animal),
            percent(a.share)
        ),
        _ => said("Near the founder equivalents: no single ancestor was used far too much. Keep sons of several rams.").into_owned(),
    };
    made(
        ("effective_ancestors", "Effective ancestors"),
        Some(g.effective_ancestors),
        one,
        (
            "1 divided by the sum of the marginal shares squared, ancestors taken one by one, the greatest first",
            "Boichard, Maignel and Verrier 1997",
        ),
        (narrow, words),
    )
}

fn kinship(g: &Given<'_>) -> Figure {
    let rising = g.kinship.zip(g.inbreeding).is_some_and(|(k, f)| k > f + 0.01);
    let shown = g.kinship.map_or_else(|| phrase!("not known"), percent);
    let words = match rising {
        true => phrase!(
            "Mated by chance, the next lambs would be about {shown} inbred, more than now: choose pairs by kinship."
        ),
        false => phrase!(
            "Mated by chance, the next lambs would be about {shown} inbred, no more than the flock is now."
        ),
    };
    made(
        ("mean_kinship", "Mean kinship"),
        g.kinship,
        percent,
        (
            "mean coancestry of every animal with every animal, itself included",
            "Malécot 1948; Ballou and Lacy 1995",
        ),
        (rising, with_depth(g, words)),
    )
}

fn inbreeding(g: &Given<'_>) -> Figure {
    // A lamb of first cousins is 1/16 inbred (Wright 1922).
    let high = g.inbreeding.is_some_and(|f| f >= 0.0625);
    let words = match high {
        true => {
            "The mean animal is as inbred as a lamb of first cousins (6.3 %) or more: a ram of other blood is worth \
                 looking for."
        }
        false => {
            "Less than a lamb of first cousins would be (6.3 %): keep choosing rams that are not close to the ewes."
        }
    };
    made(
        ("mean_inbreeding", "Mean inbreeding"),
        g.inbreeding,
        percent,
        (
            "mean chance that both copies of a gene are the same by descent: the coancestry of the parents",
            "Wright 1922; Malécot 1948",
        ),
        (high, with_depth(g, said(words).into_owned())),
    )
}

fn depth(g: &Given<'_>) -> Figure {
    let low = g.depth.is_some_and(|d| d < DEEP_ENOUGH);
    let words = match low {
        true => {
            "Under 3, inbreeding says little. Write up the parents of bought animals: their breeders or the registry \
                 know them."
        }
        false => "3 or more: deep enough for inbreeding to mean something.",
    };
    made(
        ("complete_generations", "Depth of pedigrees, generations"),
        g.depth,
        one,
        (
            "known ancestors, each counted as ½ for every generation back; mean of the flock",
            "Maignel 1996; Boichard 1997",
        ),
        (low, said(words).into_owned()),
    )
}

fn completeness(g: &Given<'_>) -> Figure {
    let low = g.completeness.is_some_and(|c| c < 0.6);
    let words = match low {
        true => {
            "Much is missing in five generations, perhaps on one side alone; that side hides inbreeding. Fill in the \
                 side with fewer ancestors first."
        }
        false => "Both sides are known well enough over five generations: inbreeding can be trusted.",
    };
    made(
        ("completeness", "Completeness, 5 generations"),
        g.completeness,
        percent,
        (
            "2 × sire's side × dam's side ÷ (their sum), each the mean share of ancestors known",
            "MacCluer 1983",
        ),
        (low, said(words).into_owned()),
    )
}

fn by_sexes(g: &Given<'_>) -> Figure {
    let value = g.crop.map(|c| size_by_sexes(c.rams, c.ewes));
    let low = value.is_some_and(|v| v < SIZE_WANTED);
    let words = match g.crop {
        None => {
            said("No lamb with a known sire yet: write up sires, and this shows what the rams in use mean.")
                .into_owned()
        }
        Some(c) => phrase!(
            "{} and {} had the lambs of {}. One ram more would make it {}: with few rams, the rams decide.",
            counted(c.rams, "ram"),
            counted(c.ewes, "ewe"),
            c.year,
            one(size_by_sexes(c.rams + 1, c.ewes))
        ),
    };
    made(
        ("size_by_sexes", "Effective size by rams and ewes"),
        value,
        one,
        ("4 × rams × ewes ÷ (rams + ewes), the known parents of the last crop", "Wright 1931"),
        (low, words),
    )
}

/// Rate a generation by the cohorts.
fn narrowing(g: &Given<'_>) -> Option<f64> {
    Some(rate_per_generation(rate_per_year(&g.made.cohorts)?, g.interval.mean?))
}

fn size_words(value: Option<f64>) -> String {
    match value {
        Some(v) if v < SIZE_WANTED => phrase!(
            "Under {SIZE_WANTED:.0}, blood narrows by more than 1 % a generation: use more rams for fewer ewes each, keep \
             offspring of all families alike, bring in an unrelated ram."
        ),
        Some(_) => phrase!("{SIZE_WANTED:.0} or more is what breed conservation asks for: go on as you do."),
        None => phrase!("Blood does not narrow, or pedigrees are too shallow to tell."),
    }
}

fn by_rate(g: &Given<'_>) -> Figure {
    let value = narrowing(g).and_then(size_by_rate);
    // Few lambs a crop say little of a trend: what the animals themselves say comes first.
    let doubtful = value.is_none_or(|v| v >= SIZE_WANTED) && g.by_increase.is_some_and(|v| v < SIZE_WANTED);
    let words = match doubtful {
        true => said("Crops go up and down by chance here and show no clear trend: go by each animal's increase instead.").into_owned(),
        false => size_words(value),
    };
    made(
        ("size_by_rate", "Effective size by crops"),
        value,
        one,
        (
            "1 divided by twice the rate of inbreeding a generation",
            "Falconer and Mackay 1996; Pérez-Enciso 1995",
        ),
        (value.is_some_and(|v| v < SIZE_WANTED), with_depth(g, words)),
    )
}

fn by_increase(g: &Given<'_>) -> Figure {
    let value = g.by_increase;
    made(
        ("size_by_increase", "Effective size by each animal's increase"),
        value,
        one,
        (
            "1 divided by twice the mean of 1 − (1 − F)^(1 ÷ (t − 1)), t complete generations; those of one or less left \
             out",
            "Gutiérrez 2008, 2009",
        ),
        (value.is_some_and(|v| v < SIZE_WANTED), with_depth(g, size_words(value))),
    )
}

fn rate(g: &Given<'_>) -> Figure {
    let value = narrowing(g);
    let high = value.is_some_and(|v| v > 0.01);
    let words = match value {
        None => "Not to be told yet: it needs three crops with known parents, and parents' ages.",
        Some(v) if v > 0.01 => {
            "Over 1 % a generation: breed conservation asks for less. Change rams more often."
        }
        Some(_) => "Under 1 % a generation, as breed conservation asks.",
    };
    made(
        ("rate_of_inbreeding", "Inbreeding more each generation"),
        value,
        percent,
        (
            "straight line of ln(1 − mean F) over the years of birth, for a generation's years",
            "Pérez-Enciso 1995; Falconer and Mackay 1996",
        ),
        (high, with_depth(g, said(words).into_owned())),
    )
}

fn years(value: f64) -> String {
    phrase!("{value:.1} years")
}

const INTERVAL: (&str, &str) = (
    "age of a parent at the birth of offspring that became parents, years of 365.25 days",
    "Rendel and Robertson 1950",
);

fn interval(g: &Given<'_>) -> Figure {
    let value = g.interval.mean;
    let words = match value {
        Some(_) => {
            "Blood is lost by generations, not by years: rams and ewes kept longer, and lambs kept from older \
                    ewes, slow it."
        }
        None => "Not to be told yet: no animal born here has lambs of its own with birth days written up.",
    };
    let advice = (false, said(words).into_owned());
    made(("generation_interval", "Generation interval"), value, years, INTERVAL, advice)
}

fn paths(g: &Given<'_>) -> [Figure; 4] {
    let names = [
        ("interval_ram_to_ram", "Ram to his son"),
        ("interval_ram_to_ewe", "Ram to his daughter"),
        ("interval_ewe_to_ram", "Ewe to her son"),
        ("interval_ewe_to_ewe", "Ewe to her daughter"),
    ];
    [0, 1, 2, 3].map(|i| {
        let path = g.interval.paths[i];
        let words = match path {
            Some((_, n)) => phrase!("Of {} that became parents.", counted(n, "birth")),
            None => phrase!("None that became a parent yet."),
        };
        made(names[i], path.map(|p| p.0), years, INTERVAL, (false, words))
    })
}

/// Some tags in words: the first few, and how many more.
fn some_tags(g: &Given<'_>, ids: &[AnimalId]) -> String {
    let shown: Vec<&str> = ids.iter().take(4).map(|id| g.flock.tag(*id)).collect();
    match ids.len().saturating_sub(shown.len()) {
        0 => shown.join(", "),
        more => phrase!("{} and {more} more", shown.join(", ")),
    }
}

fn line_count(g: &Given<'_>, side: Side) -> Figure {
    let (lines, names, formula, keep) = match side {
        Side::Dams => (
            &g.made.dam_lines,
            ("dam_lines", "Lines of dams"),
            "oldest known dam of each animal, up through dams alone",
            "on a single ewe: keep a daughter of",
        ),
        Side::Sires => (
            &g.made.ram_families,
            ("ram_families", "Families of rams"),
            "oldest known sire of each animal, up through sires alone",
            "on a single ram: keep a son of",
        ),
    };
    // What passes a line on: ewes one of dams, rams one of rams.
    let bearers = |l: &&super::Line| if side == Side::Dams { l.ewes } else { l.rams };
    let thin: Vec<AnimalId> = lines.iter().filter(|l| bearers(l) == 1).map(|l| l.root).collect();
    let ended = lines.iter().filter(|l| bearers(l) == 0).count();
    let mut words = match thin.as_slice() {
        [] => phrase!("None hangs on a single animal."),
        [one] => phrase!("One hangs {keep} the line of {}.", &g.flock.tag(*one)),
        some => phrase!("{} hang {keep} the lines of {}.", some.len(), some_tags(g, some)),
    };
    if ended > 0 {
        let sex = if side == Side::Dams { "ewe" } else { "ram" };
        let ends = if ended == 1 { phrase!("One ends") } else { phrase!("{ended} end") };
        words.push_str(&phrase!(" {ends} with the living: no {sex} is left to pass it on."));
    }
    made(
        names,
        Some(lines.len() as f64),
        |n| format!("{n:.0}"),
        (formula, "common practice, no source"),
        (!thin.is_empty(), words),
    )
}

fn rare(g: &Given<'_>) -> Figure {
    let rare = g.made.rare_founders();
    let (open, known): (Vec<_>, Vec<_>) = rare.iter().copied().partition(|f| f.unknown.is_some());
    let of = |some: &[&Founder]| some_tags(g, &some.iter().map(|f| f.animal).collect::<Vec<_>>());
    let blood = match (known.is_empty(), open.is_empty()) {
        (_, true) => of(&known),
        (true, _) => phrase!("the unknown parents of {}", of(&open)),
        _ => phrase!("{}, and the unknown parents of {}", of(&known), of(&open)),
    };
    let words = match rare.as_slice() {
        [] => phrase!("Every founder has at least {FEW_CARRIERS} living animals that come down from it."),
        _ => phrase!("Breed from those that carry them before they are gone: the blood of {blood}."),
    };
    made(
        ("rare_founders", "Founders carried by fewer than 5"),
        Some(rare.len() as f64),
        |n| format!("{n:.0}"),
        ("founders from which fewer than five living animals come down", "common practice, no source"),
        (!rare.is_empty(), words),
    )
}
