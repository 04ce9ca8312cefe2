//! The list of weights at a fixed age: every contemporary group with its lambs, the heaviest first, their ratios, and
//! which factors the weights carry.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::register::{FOOT, foot_words};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{Flock, natural};
use crate::phrase;
use crate::reckon::growth::fixed::{AtAge, BirthUsed, Carried, FixedAge, Using};
use crate::reckon::growth::rules::{Effect, GrowthRules};
use crate::registers::Span;
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Sex, Units, Weight, counted};
use std::cell::RefCell;
use std::collections::BTreeMap;

/// How the list is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GrowthListOptions {
    /// The sheet of paper, upright.
    pub sheet: SheetSize,
    /// The age in days; one that the book's table of growth does not have is taken as one of the keeper's own.
    pub age_days: u16,
    /// Which factors the weights carry.
    pub using: Using,
    /// Lambs born in these days; without them and without chosen animals, those of the last season that has weights.
    pub born: Span,
}

const PLAIN: Look = Look::new(Face::Sans, 9.0);

/// Lays out the weights of these animals, or of a season.
///
/// # Errors
/// [`PaperFailed::Nothing`] where nobody was weighed near the age; [`PaperFailed::Stopped`] when `watch` says so.
pub fn growth_list(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &GrowthListOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let rules = GrowthRules::of(flock);
    let age = rules.age(options.age_days).cloned().unwrap_or_else(|| GrowthRules::own_age(options.age_days));
    let at = FixedAge::of(flock, &rules, &age, options.using, today);
    let born = |r: &AtAge| flock.animal(r.animal).and_then(|a| a.born.exact());
    let last = at.rows.iter().filter_map(born).map(Day::year).max();
    let span = options.born;
    let ranged = span.from.is_some() || span.to.is_some();
    let wanted = |r: &&AtAge| match (animals, born(r)) {
        (Some(these), _) if !these.contains(&r.animal) => false,
        (_, Some(day)) if ranged => span.from.is_none_or(|f| f <= day) && span.to.is_none_or(|t| day <= t),
        (None, Some(day)) => Some(day.year()) == last,
        (Some(_), _) => true,
        (None, None) => false,
    };
    let mut rows: Vec<&AtAge> = at.rows.iter().filter(wanted).collect();
    if rows.is_empty() {
        let mend = "no lamb was weighed near that age; weigh them, or choose another age or other animals";
        return Err(PaperFailed::Nothing { paper: "list of weights", mend });
    }
    let name = |r: &AtAge| at.group(r).map_or("", |g| g.name.as_str());
    // By the first birth of those born together, then sex and pen, then the day of weighing: never by the letters of a day.
    let together = |r: &AtAge| name(r).splitn(3, ", ").take(2).map(String::from).collect::<Vec<_>>();
    let mut firsts: BTreeMap<Vec<String>, Option<Day>> = BTreeMap::new();
    let mut weighed: BTreeMap<usize, Day> = BTreeMap::new();
    for r in &rows {
        let first = firsts.entry(together(r)).or_insert_with(|| born(r));
        *first = (*first).min(born(r));
        let day = weighed.entry(r.group).or_insert(r.on);
        *day = (*day).min(r.on);
    }
    let first = |r: &AtAge| firsts.get(&together(r)).copied().flatten();
    let place = |r: &AtAge| name(r).split(", weighed ").next().unwrap_or_default().to_string();
    rows.sort_by(|a, b| {
        let tag = |r: &AtAge| flock.tag(r.animal);
        first(a)
            .cmp(&first(b))
            .then_with(|| natural(&place(a), &place(b)))
            .then_with(|| weighed.get(&a.group).cmp(&weighed.get(&b.group)))
            .then(a.group.cmp(&b.group))
            .then(b.adjusted.cmp(&a.adjusted))
            .then_with(|| natural(tag(a), tag(b)))
            .then(a.animal.cmp(&b.animal))
    });
    let title = phrase!("Weights at {} days", age.days);
    let days = phrase!("as of {}", today.words());
    let heads = Heads::of(flock.holding(), &title, &days, options.sheet, Turn::Portrait);
    // The group whose lambs run on when a page is turned; empty between groups.
    let running = RefCell::new(String::new());
    let head = |page: &mut Page, number: usize| running_on(page, &heads, number, &running.borrow());
    let mut flow = Flow::new(options.sheet, Turn::Portrait, MARGINS, &head);
    flow.paragraph(PLAIN, &heads.more);
    flow.paragraph(PLAIN, &carried_words(options.using, &rules));
    let mut names: Vec<&str> = rows.iter().filter_map(|r| at.group(r)).map(|g| g.name.as_str()).collect();
    names.dedup();
    let list = List {
        flock,
        at: &at,
        rules: &rules,
        units: flock.holding().units,
        tail: shared_tail(&names).to_string(),
        factors: rows.iter().any(|r| r.adjusted != r.straight || part(r)),
    };
    for same in rows.chunk_by(|a, b| a.group == b.group) {
        list.group(&mut flow, same, (&running, watch))?;
    }
    list.closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {days}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// The head of a page, below it the name of what runs on.
pub(super) fn running_on(page: &mut Page, heads: &Heads, number: usize, what: &str) -> f32 {
    let mut y = heads.paint(page, number);
    if number == 0 || what.is_empty() {
        return y;
    }
    let look = Look::new(Face::SerifStrong, 10.5);
    let wide = page.width_mm - MARGINS[0] - MARGINS[2];
    for line in look.wrap(&phrase!("{what} (continued)", what = &what), wide) {
        page.text(MARGINS[0], y + look.leading_mm() * 0.78, look, &line);
        y += look.leading_mm();
    }
    y + 1.0
}

/// Which factors were asked for, in a sentence.
fn carried_words(using: Using, rules: &GrowthRules) -> String {
    match using {
        Using::None => {
            phrase!("The weights carry no factors: sexes, twins and young ewes' lambs are as they are.")
        }
        Using::Table => phrase!("The weights carry the factors of the table: {}.", rules.table),
        Using::Own => phrase!(
            "The weights carry the flock's own factors, each where at least {} weights of its class and of the base are \
             there; where not, none, and the line says so.",
            rules.per_class
        ),
    }
}

/// Some factor is not carried.
fn part(r: &AtAge) -> bool {
    r.carried.iter().any(|c| matches!(c, Carried::NotUsed(_) | Carried::NotKnown))
}

/// The remark in brackets at the end of every name: it tells no group from another. Empty where they differ.
fn shared_tail<'a>(names: &[&'a str]) -> &'a str {
    let tail = |name: &'a str| name.rfind(" (").map_or("", |at| &name[at..]);
    let first = names.first().map_or("", |n| tail(n));
    if first.ends_with(')') && names.iter().all(|n| tail(n) == first) { first } else { "" }
}

struct List<'a> {
    flock: &'a Flock,
    at: &'a FixedAge,
    rules: &'a GrowthRules,
    units: Units,
    /// What every name ends with.
    tail: String,
    /// Some weight is changed by a factor, or should be.
    factors: bool,
}

impl List<'_> {
    fn group(
        &self,
        flow: &mut Flow<'_>,
        rows: &[&AtAge],
        (running, watch): (&RefCell<String>, Watch<'_>),
    ) -> Result<(), PaperFailed> {
        let Some(g) = rows.first().and_then(|r| self.at.group(r)) else { return Ok(()) };
        flow.y += 3.0;
        // Name, mean, column heads and a first row of two lines.
        flow.need(29.0);
        let name = g.name.strip_suffix(self.tail.as_str()).unwrap_or(&g.name);
        flow.paragraph(Look::new(Face::SerifStrong, 12.0), name);
        let mean = Weight::from_grams(g.mean.round() as i64).map(|w| self.tenth(w)).unwrap_or_default();
        let few = if g.n < self.rules.groups.least { "; too few for ratios" } else { "" };
        let hand = if g.by_hand { ", put together by hand" } else { "" };
        let part = if rows.len() < g.n { phrase!(", {} of them here", rows.len()) } else { String::new() };
        flow.paragraph(
            PLAIN,
            &phrase!("{}{part}{hand}, mean {}{few}.", counted(g.n, "lamb"), text::unbroken(&mean)),
        );
        flow.y += 1.5;
        let mut columns = vec![
            Column::new("Lamb", Width::Mm(25.0)),
            Column::new("What", Width::Share(1.0)),
            Column::figures("At birth", Width::Mm(19.0)),
            Column::figures("Weighed", Width::Mm(21.0)),
            Column::figures(phrase!("At {} days", self.at.age.days), Width::Mm(22.0)),
        ];
        if self.factors {
            columns.push(Column::figures("Adjusted", Width::Mm(23.0)));
        }
        columns.push(Column::figures("Ratio", Width::Mm(13.0)));
        let table = Table { columns, size_pt: 9.0, between: Between::Hairline };
        *running.borrow_mut() = name.to_string();
        let done = table.flow(flow, rows.iter().map(|r| self.row(r)), watch);
        running.borrow_mut().clear();
        done
    }

    /// What is carried or a mean is told to the tenth of a kilogram, as scales tell it.
    fn tenth(&self, w: Weight) -> String {
        let tenth = Weight::from_grams((w.grams() + 50) / 100 * 100).filter(|_| self.units == Units::Metric);
        text::unbroken(&tenth.unwrap_or(w).show(self.units))
    }

    fn row(&self, r: &AtAge) -> Row {
        let show = |w: Weight| text::unbroken(&w.show(self.units));
        let a = self.flock.animal(r.animal);
        let sex = a.map_or("", |a| if a.sex == Sex::Wether { a.sex.words() } else { a.sex.lamb_words() });
        let sex = said(sex);
        let of = |effect: Effect| {
            let place = r.classes.get(effect as usize).copied().flatten();
            place.and_then(|i| self.rules.classes(effect).get(i)).map(|c| c.of.words())
        };
        let mut what = Cell::new(sex);
        let rest: Vec<String> = [of(Effect::Type), of(Effect::Ewe)].into_iter().flatten().collect();
        what = what.under(rest.join(", "));
        let birth = match r.birth {
            BirthUsed::Written(w) => Cell::new(show(w)),
            BirthUsed::Mean { weight, n, .. } => Cell::new(show(weight)).remark(phrase!("mean of {n}")),
        };
        let straight = self.tenth(r.straight);
        let mut straight = if self.factors { Cell::new(straight) } else { Cell::strong(straight) };
        if !r.holds {
            straight = straight.remark("rough");
        }
        let mut adjusted = Cell::strong(self.tenth(r.adjusted));
        if self.at.using != Using::None {
            let part = if part(r) { ", part" } else { "" };
            adjusted = adjusted.under(format!("× {:.2}{part}", r.factor()));
        }
        let mut cells = vec![
            Cell::strong(text::unbroken(self.flock.tag(r.animal)))
                .under(a.and_then(|a| a.name.clone()).unwrap_or_default()),
            what,
            birth,
            Cell::new(show(r.weighed)).under(phrase!("{} days", r.at_age)),
            straight,
        ];
        if self.factors {
            cells.push(adjusted);
        }
        cells.push(r.ratio.map_or_else(|| Cell::new("–"), |x| Cell::strong(format!("{x:.0}"))));
        Row { cells, struck: false, notes: Vec::new() }
    }

    fn closing(&self, flow: &mut Flow<'_>) {
        let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
        let odd = odd_letters(&flow.pages);
        let age = &self.at.age;
        let words = phrase!(
            "Carried from birth on a straight line through one weighing. 'Rough': weighed outside {} to {} days, where the \
             line does not hold well ({}). 'Mean of': the birth weight is missing and the mean of so many lambs of the same \
             sex and litter stands for it. 'Part': some factor is not known or not used, and none is carried for it. Ratio: \
             percent of the group's mean; lambs of different groups are not to be compared by it. {} {odd}",
            age.from,
            age.to,
            age.ground,
            self.at.left_out.words()
        );
        let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
        flow.y += 3.5;
        flow.need(tall);
        flow.paragraph(look, words.trim());
    }
}

#[cfg(test)]
mod tests;
