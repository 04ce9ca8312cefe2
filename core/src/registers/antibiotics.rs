//! Antibiotics: courses by reason, and amounts year by year.

use super::present::present_on;
use super::treatments::{Given, given};
use super::words::{animal_cells, kind, link, prescriber, product_cell, remarks_of, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span, Totals};
use crate::flock::{Flock, RecordRef, Treatment, natural};
use crate::reckon::antibiotics::{CHECK, Standing, flock_kg, mg_per_kg};
use crate::terms::{AnimalId, CourseId, Day, Dose, Fate, ProductClass, Sex, Status, counted, thousandths};
use std::collections::{BTreeMap, HashMap, HashSet};

const COLUMNS: [Column; 15] = [
    Column::new("Reason", "reason", 1.4),
    Column::new("From", "first_given_on", 1.0),
    Column::new("To", "last_given_on", 1.0),
    Column::new("Animal", "animal", 1.2),
    Column::new("Kind", "kind", 0.9),
    Column::new("Product", "product", 2.1),
    Column::new("Substance", "substance", 1.4),
    Column::figures("Doses", "doses", 0.6),
    Column::figures("Quantity", "quantity", 0.9),
    Column::figures("Substance, mg", "substance_mg", 1.0),
    Column::new("Prescribed by", "prescribed_by", 1.2),
    Column::new("Given by", "given_by", 1.1),
    Column::hidden("numbers"),
    Column::hidden("batch"),
    Column::hidden("route"),
];

const SUMS: [Column; 8] = [
    Column::new("Year", "year", 0.6),
    Column::figures("Courses", "courses", 0.7),
    Column::figures("Animals", "animals", 0.7),
    Column::figures("Doses not reckoned", "not_reckoned", 1.1),
    Column::figures("Substance, mg", "substance_mg", 1.1),
    Column::figures("Sheep and lambs", "standing", 1.1),
    Column::figures("Flock, kg", "flock_kg", 0.8),
    Column::figures("mg per kg", "mg_per_kg", 0.8),
];

/// The sheep of a year by standard weights: grown ones in the flock at its end (or today, of this year), lambs born in it.
fn standing(flock: &Flock, year: i32, today: Day) -> Standing {
    let end = Day::new(year, 12, 31).map_or(today, |d| d.min(today));
    let mut all = Standing::default();
    for f in flock.files() {
        let a = &f.animal;
        let dead = f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
        if a.born.year() == Some(year) && a.status != Status::Outside && !dead {
            all.lambs += 1;
        } else if present_on(f, end) {
            match a.sex {
                Sex::Ewe => all.ewes += 1,
                Sex::Ram | Sex::Wether => all.rams += 1,
            }
        }
    }
    all
}

/// Micrograms of active substance in a dose: volume × strength; a mass is taken to be of the substance.
fn micrograms(flock: &Flock, t: &Treatment) -> Option<u64> {
    match t.dose? {
        Dose::Mass(ug) => Some(ug),
        Dose::Volume(ul) => {
            let per_ml = flock.product(&t.product)?.strength?.0;
            Some(u64::from(ul) * u64::from(per_ml) / 1000)
        }
        Dose::Pieces(_) => None,
    }
}

/// Doses of one course, written as one or given day after day, or one dose alone.
struct Course<'a>(Vec<Given<'a>>);

impl Course<'_> {
    fn substance(&self, flock: &Flock) -> Option<u64> {
        self.0.iter().map(|(_, t)| micrograms(flock, t)).sum()
    }

    fn quantity(&self) -> String {
        let doses: Vec<Dose> = self.0.iter().filter_map(|(_, t)| t.dose).collect();
        let sum = doses.iter().try_fold(None, |sum: Option<Dose>, d| match (sum, *d) {
            (None, d) => Some(Some(d)),
            (Some(Dose::Volume(a)), Dose::Volume(b)) => Some(Some(Dose::Volume(a.saturating_add(b)))),
            (Some(Dose::Mass(a)), Dose::Mass(b)) => Some(Some(Dose::Mass(a.saturating_add(b)))),
            (Some(Dose::Pieces(a)), Dose::Pieces(b)) => Some(Some(Dose::Pieces(a.saturating_add(b)))),
            _ => None,
        });
        sum.flatten().map(|d| d.to_string()).unwrap_or_default()
    }

    /// Each of some text of the doses once.
    fn each(&self, of: impl Fn(&Treatment) -> Option<&str>) -> String {
        let mut all: Vec<&str> = Vec::new();
        for text in self.0.iter().filter_map(|(_, t)| of(t)).map(str::trim).filter(|x| !x.is_empty()) {
            if !all.contains(&text) {
                all.push(text);
            }
        }
        all.join("; ")
    }

    fn row(&self, flock: &Flock) -> Option<Row> {
        let (f, first) = self.0.first()?;
        let (_, last) = self.0.last()?;
        let product = flock.product(&first.product);
        let struck = first.struck.is_some();
        let [animal, numbers] = animal_cells(&f.animal);
        let (batch, route) = (self.each(|t| t.batch.as_deref()), self.each(|t| t.route.map(|r| r.words())));
        let batch_words = if batch.is_empty() { String::new() } else { format!("batch {batch}") };
        let below = super::words::joined([Some(batch_words.as_str()), Some(route.as_str())], ", ");
        let mut by_whom: Vec<&str> = Vec::new();
        let mut differs: Vec<String> = Vec::new();
        for p in self.0.iter().map(|(_, t)| prescriber(flock, t)) {
            by_whom.extend(p.name.filter(|n| !by_whom.contains(n)));
            differs.extend(p.differs.filter(|d| !differs.contains(d)));
        }
        let changed = |(_, t): &Given<'_>| remarks_of(flock, RecordRef::Treatment(t.id), t.struck.as_deref());
        let mg = self.substance(flock).map(thousandths).unwrap_or_default();
        Some(Row {
            cells: vec![
                Cell::opt(first.reason.as_deref()),
                Cell::day(Some(first.at.day)),
                Cell::day(Some(last.at.day)),
                animal,
                Cell::words(kind(&f.animal, first.at.day)),
                product_cell(&first.product).under(below),
                Cell::opt(product.and_then(|p| p.substance.as_deref())),
                Cell::number(self.0.len()),
                Cell::whole(self.quantity()),
                Cell::words(mg),
                Cell::words(by_whom.join("; ")),
                Cell::words(self.each(|t| t.given_by.as_deref())),
                numbers,
                Cell::words(batch),
                Cell::words(route),
            ],
            struck,
            remarks: differs.into_iter().chain(self.0.iter().flat_map(changed)).collect(),
            link: link(f, RecordRef::Treatment(first.id)),
        })
    }
}

/// A dose outside a course goes on with the last one of its animal: the same product for the same reason, on the same
/// day or the next.
pub(crate) fn goes_on(last: &Treatment, t: &Treatment) -> bool {
    let same = |a: Option<&str>, b: Option<&str>| a.map(str::trim) == b.map(str::trim);
    (0..=1).contains(&t.at.day.since(last.at.day))
        && last.product.trim().eq_ignore_ascii_case(t.product.trim())
        && same(last.reason.as_deref(), t.reason.as_deref())
}

/// Doses of one course together, and those given day after day for one reason; each struck one alone.
fn courses<'a>(all: Vec<Given<'a>>) -> Vec<Course<'a>> {
    let mut places: HashMap<CourseId, usize> = HashMap::new();
    let mut runs: HashMap<(AnimalId, String, Option<&str>), usize> = HashMap::new();
    let mut courses: Vec<Course<'a>> = Vec::new();
    for (f, t) in all {
        let id = t.more.course.map(|c| c.id).filter(|_| t.struck.is_none());
        let loose = t.struck.is_none() && id.is_none();
        let of = || (f.animal.id, t.product.trim().to_lowercase(), t.reason.as_deref().map(str::trim));
        let running = loose.then(|| runs.get(&of()).copied()).flatten().and_then(|at| courses.get_mut(at));
        let last = running.filter(|c| c.0.last().is_some_and(|(_, last)| goes_on(last, t)));
        if let Some(course) = last {
            course.0.push((f, t));
            continue;
        }
        if loose {
            runs.insert(of(), courses.len());
        }
        match id.and_then(|id| places.get(&id).copied()).and_then(|at| courses.get_mut(at)) {
            Some(course) => course.0.push((f, t)),
            None => {
                if let Some(id) = id {
                    places.insert(id, courses.len());
                }
                courses.push(Course(vec![(f, t)]));
            }
        }
    }
    courses
}

fn totals(flock: &Flock, all: &[Course<'_>], today: Day) -> Option<Totals> {
    #[derive(Default)]
    struct Year {
        courses: usize,
        animals: HashSet<AnimalId>,
        micrograms: u64,
        unknown: usize,
    }
    let mut years: BTreeMap<i32, Year> = BTreeMap::new();
    for course in all {
        let Some((f, first)) = course.0.first().filter(|(_, t)| t.struck.is_none()) else { continue };
        let year = years.entry(first.at.day.year()).or_default();
        year.courses += 1;
        year.animals.insert(f.animal.id);
        for (_, t) in &course.0 {
            match micrograms(flock, t) {
                Some(ug) => year.micrograms += ug,
                None => year.unknown += 1,
            }
        }
    }
    let rows: Vec<Vec<Cell>> = years
        .into_iter()
        .map(|(y, year)| {
            let sheep = standing(flock, y, today);
            let kg = flock_kg(sheep);
            let per_kg = mg_per_kg(&[year.micrograms as f64 / 1000.0], kg);
            vec![
                Cell::number(y).strong(),
                Cell::number(year.courses),
                Cell::number(year.animals.len()),
                Cell::number(year.unknown),
                Cell::words(thousandths(year.micrograms)),
                Cell::shown_as(
                    format!("{} + {}", sheep.ewes + sheep.rams, sheep.lambs),
                    format!("{} + {}", sheep.ewes + sheep.rams, sheep.lambs),
                ),
                Cell::number(format!("{kg:.0}")),
                Cell::words(per_kg.map(|n| format!("{n:.2}")).unwrap_or_default()).strong(),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Totals { title: "By year".into(), columns: SUMS.to_vec(), rows })
}

/// Courses of antibiotics by reason.
pub(super) fn antibiotics(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Antibiotics, span, today, &COLUMNS);
    let known: HashSet<String> = flock
        .products()
        .iter()
        .filter(|p| p.more.class == ProductClass::Antibiotic)
        .map(|p| p.name.to_lowercase())
        .collect();
    let antibiotic = |t: &Treatment| known.contains(t.product.trim().to_lowercase().as_str());
    let courses = courses(given(flock, span, antibiotic));
    register.totals.extend(totals(flock, &courses, today));
    let mut rows: Vec<Row> = courses.iter().filter_map(|c| c.row(flock)).collect();
    let text = |r: &Row, i: usize| r.cells.get(i).map(|c| c.csv.clone()).unwrap_or_default();
    rows.sort_by(|a, b| {
        natural(&text(a, 0), &text(b, 0))
            .then_with(|| text(a, 1).cmp(&text(b, 1)))
            .then_with(|| natural(&text(a, 3), &text(b, 3)))
    });
    register.rows = rows;
    register.about.push(
        "Products marked as antibiotic in the cupboard. Doses of one course stand together, and those of one product \
         given to an animal for one reason on following days. Substance = quantity in ml × strength in mg per ml; quantities \
         in mg are taken as substance; doses in pieces, or of a product without a strength, are not reckoned."
            .into(),
    );
    let (grown, lamb) = (
        flock_kg(Standing { ewes: 1, ..Standing::default() }),
        flock_kg(Standing { lambs: 1, ..Standing::default() }),
    );
    register.about.push(format!(
        "mg per kg = all substance of the year in mg ÷ the flock in kg: {grown} kg for each grown sheep in the flock at \
         the end of the year (or today), {lamb} kg for each lamb born alive in it; a year that the days asked for cut \
         has only the courses of those days. Standard weights of the European sales figures (Can J Vet Res \
         2017;81(3):235-240, table I); {CHECK}."
    ));
    if known.is_empty() {
        register
            .about
            .push("No product of the cupboard is marked as antibiotic: mark those that are.".into());
    } else {
        let names = whole(&counted(known.len(), "product"));
        register.about.push(format!("{names} of the cupboard marked so."));
    }
    register
}
