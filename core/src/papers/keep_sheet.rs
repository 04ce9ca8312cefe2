//! The keep sheet: every ram lamb and ewe lamb of a season in the order the keeper weighs, with the proposed line and
//! boxes for what is decided.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::lamb_cards::capital;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::evaluation::accuracy_word;
use crate::reckon::keeping::{Candidate, Criterion, Keeping, Placed, Proposed};
use crate::reckon::kinship::{Kindred, percent};
use crate::rules::Procedure;
use crate::terms::speech::said;
use crate::terms::{Day, Decided, ScoreKind, Sex, counted};

const HEAD: Look = Look::new(Face::SerifStrong, 13.0);
const PLAIN: Look = Look::new(Face::Sans, 9.0);
const STRONG: Look = Look::new(Face::SansStrong, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Lays out the sheet of a season; without one, of the last that has lambs in the flock.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no ram lamb and no ewe lamb is in the flock; [`PaperFailed::Stopped`] when `watch`
/// says so.
pub fn keep_sheet(
    flock: &Flock,
    season: Option<i32>,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    if !watch(0, 3) {
        return Err(PaperFailed::Stopped);
    }
    let mut go_on = |part: f64| watch((part * 1000.0) as usize, 2000);
    let k = Keeping::whole(flock, &Kindred::of(flock), season, today, &mut go_on);
    if !watch(1, 2) {
        return Err(PaperFailed::Stopped);
    }
    if k.rams.is_empty() && k.ewes.is_empty() {
        let mend = "write up lambs first, or choose another season";
        return Err(PaperFailed::Nothing { paper: "keep sheet", mend });
    }
    let turn = Turn::Landscape;
    let year = k.season.map(|y| y.to_string()).unwrap_or_default();
    let lambs = |n, one| counted(n, one);
    let days = phrase!(
        "lambs of {year}: {}, {}; as of {}",
        lambs(k.rams.len(), "ram lamb"),
        lambs(k.ewes.len(), "ewe lamb"),
        today.words()
    );
    let heads = Heads::of(flock.holding(), "Keep sheet", &days, sheet, turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    if let Some(amiss) = &k.amiss {
        flow.paragraph(
            PLAIN,
            &phrase!("The keeper's own settings cannot be read ({amiss}): those shipped hold."),
        );
    }
    if k.circle {
        flow.paragraph(
            PLAIN,
            &said("The pedigree runs in a circle: kinship is not known until a parent is mended."),
        );
    }
    for sex in [Sex::Ram, Sex::Ewe] {
        if !k.lambs(sex).is_empty() {
            part(&mut flow, flock, &k, sex, watch)?;
        }
    }
    cautions(&mut flow, flock, today);
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!("Printed {}. Tick what is decided, and type it in under Keep or part.", today.words());
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Keep sheet, lambs of {year}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn part(
    flow: &mut Flow<'_>,
    flock: &Flock,
    k: &Keeping,
    sex: Sex,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let placed = k.ordered(sex);
    let need = k.need(sex);
    let (title, kept) =
        if sex == Sex::Ewe { ("Ewe lambs", "kept to breed") } else { ("Ram lambs", "kept entire") };
    flow.y += 3.0;
    flow.need(40.0);
    flow.paragraph(HEAD, &said(title));
    flow.paragraph(PLAIN, &phrase!("{} proposed to be {kept}. {}", need.asked, need.why));
    let weights = k.settings.weights_of(sex);
    match &k.values {
        Ok(of) => flow.paragraph(
            SMALL,
            &phrase!("Value: breeding value of {of}, above or below the flock's base. Few records make weak values: see how sure each is."),
        ),
        Err(why) => flow.paragraph(SMALL, &phrase!("Breeding values are not reckoned: {why}.")),
    }
    let mut counts: Vec<(Criterion, u8)> =
        Criterion::ALL.into_iter().map(|c| (c, weights[c.at()])).filter(|(_, w)| *w > 0).collect();
    counts.sort_by_key(|(_, w)| std::cmp::Reverse(*w));
    let words: Vec<String> = counts.iter().map(|(c, w)| phrase!("{} {w}", c.words())).collect();
    flow.paragraph(
        SMALL,
        &phrase!(
            "Weighed by the keeper, 0 to 10: {}. What is not known of a lamb neither helps nor hurts it.",
            words.join(", ")
        ),
    );
    flow.y += 0.8;
    let table = table(sex);
    // One that is never kept stands below the line, whatever its place.
    let (above, below): (Vec<&Placed>, Vec<&Placed>) =
        placed.iter().partition(|p| p.proposed == Proposed::Keep);
    let rows = |of: &[&Placed]| -> Vec<Row> {
        of.iter().filter_map(|p| Some(row(flock, k, sex, p, k.lambs(sex).get(p.at)?))).collect()
    };
    if !above.is_empty() {
        table.flow(flow, rows(&above).into_iter(), watch)?;
    }
    flow.need(30.0);
    flow.y += 1.2;
    let (x, w, y) = (flow.body().x, flow.body().w, flow.y);
    flow.page().rule(x, y, w, 0.9, Ink::Black);
    flow.y += 1.2;
    let n = above.len();
    let said = match (n, !below.is_empty()) {
        (0, _) => phrase!("The line: none is proposed; all stand below it."),
        (n, true) => phrase!(
            "The line: the {n} proposed above it, the others below. It is a proposal; the keeper decides."
        ),
        (n, false) => phrase!("The line: all {n} are above it."),
    };
    flow.paragraph(STRONG, &said);
    if !below.is_empty() {
        flow.y += 0.8;
        table.flow(flow, rows(&below).into_iter(), watch)?;
    }
    Ok(())
}

fn table(sex: Sex) -> Table {
    let kin = if sex == Sex::Ewe { "Inbred; kin to rams" } else { "Inbred; kin to ewes" };
    Table {
        columns: vec![
            Column::figures("No.", Width::Mm(8.0)),
            Column::new("Lamb", Width::Mm(32.0)),
            Column::new("Weight", Width::Mm(33.0)),
            Column::new("Dam", Width::Mm(43.0)),
            Column::new("Value", Width::Mm(19.0)),
            Column::new(kin, Width::Mm(19.0)),
            Column::new("Genes", Width::Mm(25.0)),
            Column::new("Bite, eyelids", Width::Mm(23.0)),
            Column::new("Type, colour, remarks", Width::Share(1.0)),
            Column::new("Proposed", Width::Mm(18.0)),
            Column::new("Decided", Width::Mm(27.0)).ruled(),
        ],
        size_pt: 8.0,
        between: Between::Hairline,
    }
}

fn row(flock: &Flock, k: &Keeping, sex: Sex, p: &Placed, c: &Candidate) -> Row {
    let units = flock.holding().units;
    let none = || "–".to_string();
    let mut who = Cell::strong(c.tag.as_str());
    if let Some(name) = &c.name {
        who = who.and_line(name.as_str());
    }
    let born =
        c.born.map(|d| phrase!("born {}", d.short())).unwrap_or_else(|| phrase!("day of birth not known"));
    let of = c.born_with.map(|n| match n {
        1 => phrase!(", single"),
        2 => phrase!(", of twins"),
        n => phrase!(", of {n}"),
    });
    who = who.under(format!("{born}{}", of.unwrap_or_default()));
    if let Some(sire) = &c.sire {
        who = who.under(phrase!("by {sire}"));
    }
    if !c.ready {
        who = who.remark(if sex == Sex::Ewe { "not weaned yet" } else { "under 3 weeks" });
    }
    let weight = match &c.ratio {
        Some(r) => {
            let line = c.ratio_words();
            let gain = r.gain.map(|g| g.show(units)).unwrap_or_default();
            Cell::strong(line).under(phrase!("group of {}", r.of)).under(phrase!(
                "{} at {} days; {gain}",
                r.weight.show(units),
                r.age
            ))
        }
        None => Cell::new(c.ratio_words())
            .under(c.weight.map(|(d, w)| phrase!("{} on {}", w.show(units), d.short())).unwrap_or_default()),
    };
    let weight = match (&c.reached, k.settings.target) {
        (Some(r), Some(wanted)) => weight.under(format!("{}: {}", wanted.show(units), r.words(units))),
        _ => weight,
    };
    let dam = c.dam.as_deref().map_or_else(
        || Cell::new("not known"),
        |d| {
            let mut cell = Cell::new(d.title.as_str()).under(d.words());
            if let Some((g, n)) = d.milk {
                cell = cell.under(phrase!("milk {g:.0} g a day ({})", counted(n as usize, "lamb")));
            }
            let scores = d.scores();
            if scores.is_empty() { cell } else { cell.under(scores) }
        },
    );
    let value = match c.value {
        Some((v, a)) => Cell::new(format!("{v:+.2}").replace('-', "−"))
            .under(phrase!("accuracy {a:.2}, {}", accuracy_word(a))),
        None => Cell::new(c.value_words(k.values.is_ok())),
    };
    let mut blood = Cell::new(c.inbreeding.map_or_else(none, percent));
    blood = blood.under(c.kinship.map_or_else(|| phrase!("kin –"), |(m, _)| phrase!("kin {}", percent(m))));
    let genes = c.gene_words();
    let faults = c.score_words(&[ScoreKind::Bite, ScoreKind::Lids]);
    let mut day_two = Cell::new(if faults.is_empty() { phrase!("not scored") } else { faults });
    for note in &c.notes {
        day_two = day_two.under(note.as_str());
    }
    let kinds = c.score_words(&[ScoreKind::Type, ScoreKind::Colour]);
    let mut type_ = Cell::new(if kinds.is_empty() { phrase!("not scored") } else { kinds });
    for said in c.colour.iter().chain(&c.remarks) {
        type_ = type_.under(said.as_str());
    }
    let proposed = match p.proposed {
        Proposed::Keep => Cell::strong("keep"),
        Proposed::Not => Cell::new("not"),
        Proposed::Never => Cell::strong("never").under(c.never.join(", ")),
    };
    let decided = match &c.decided {
        Some(d) => Cell::strong(capital(d.what.words())).under(d.on.words()),
        None => boxes(sex),
    };
    let place = Cell::strong(p.place.to_string());
    let genes = Cell::new(if genes.is_empty() { phrase!("not tested") } else { genes });
    let cells = vec![place, who, weight, dam, value, blood, genes, day_two, type_, proposed, decided];
    Row { cells, struck: false, notes: Vec::new() }
}

/// Boxes to tick.
fn boxes(sex: Sex) -> Cell {
    let all: &[Decided] = if sex == Sex::Ewe {
        &[Decided::Breed, Decided::Sell, Decided::Market, Decided::Later]
    } else {
        &[Decided::Entire, Decided::Castrate, Decided::Show, Decided::Later]
    };
    all.iter().fold(Cell::default(), |cell, what| cell.boxed(what.words()))
}

/// What the rules of the place say of castration, and what the figures cannot tell.
fn cautions(flow: &mut Flow<'_>, flock: &Flock, today: Day) {
    flow.y += 2.5;
    flow.need(24.0);
    flow.paragraph(STRONG, &said("Before you castrate"));
    match flock.rules() {
        None => flow.paragraph(
            PLAIN,
            &said("No rule set is chosen for this book: ask until which age a ring is allowed, and who may use another method."),
        ),
        Some(r) => {
            let rows = r.asked(Procedure::Castration, today, today).rows;
            // The name of the set ends with the place its rows begin with.
            let place = r.name().rsplit(": ").next().map(|p| format!("{p}: ")).unwrap_or_default();
            let rows: Vec<&str> = rows.iter().map(|w| w.strip_prefix(&place).unwrap_or(w)).collect();
            let said = if rows.is_empty() {
                phrase!("no limit on castration is known to this program; ask before you begin")
            } else {
                rows.join("; ")
            };
            flow.paragraph(PLAIN, &phrase!("{}: {said}.", &r.name()));
        }
    }
    flow.paragraph(
        PLAIN,
        &said("By any method pain relief is owed where the law or the vet says so. Is the dam boosted against tetanus? If not, ask \
         the vet first. Label, vet and local law decide. Few records make weak figures: look at the lamb as well."),
    );
}

#[cfg(test)]
pub(crate) mod tests;
