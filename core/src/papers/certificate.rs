//! The vaccination certificate: the keeper's own statement of the vaccines given, animal by animal.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters, sign_lines};
use super::register::{FOOT, foot_words};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{Animal, Flock, natural};
use crate::phrase;
use crate::registers::{Span, Vaccination, figures, numbers_of, vaccinations};
use crate::terms::speech::{Speech, said};
use crate::terms::{AnimalId, Born, Day, Status, counted};
use std::collections::BTreeSet;

/// Lays out the certificate for the chosen animals, or for all that were given a vaccine in the span.
///
/// # Errors
/// [`PaperFailed::Nothing`] without a vaccine; [`PaperFailed::Stopped`] when `watch` says so.
pub fn vaccination_certificate(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    span: Span,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let _official = Speech::official();
    let mut all = vaccinations(flock, animals, span);
    if all.is_empty() {
        let mend = "mark the vaccines in the cupboard, and choose animals and days with a vaccine given";
        return Err(PaperFailed::Nothing { paper: "vaccination certificate", mend });
    }
    all.sort_by(|a, b| {
        natural(a.file.animal.tag(), b.file.animal.tag())
            .then_with(|| a.file.animal.id.cmp(&b.file.animal.id))
            .then_with(|| a.treatment.at.cmp(&b.treatment.at))
    });
    let title = "Vaccination certificate";
    let days = span.words(today);
    let heads = Heads::of(flock.holding(), title, &days, sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    let plain = Look::new(Face::Sans, 9.5);
    flow.paragraph(plain, &heads.more);
    let vaccinated: BTreeSet<AnimalId> = all.iter().map(|v| v.file.animal.id).collect();
    flow.paragraph(
        Look::new(Face::SansStrong, 10.5),
        &phrase!(
            "By the records of this flock {} given {} as below.",
            if vaccinated.len() == 1 {
                phrase!("1 animal was")
            } else {
                phrase!("{} animals were", vaccinated.len())
            },
            counted(all.len(), "vaccination")
        ),
    );
    without(&mut flow, flock, animals, &vaccinated);
    flow.y += 3.0;
    let table = Table {
        columns: vec![
            Column::new("Animal", Width::Mm(52.0)),
            Column::new("Vaccine", Width::Share(1.25)),
            Column::new("Batch and expiry", Width::Share(1.1)),
            Column::new("Given on", Width::Mm(22.0)),
            Column::new("Dose, route and site", Width::Mm(35.0)),
            Column::new("Given by", Width::Share(0.85)),
        ],
        size_pt: 8.6,
        between: Between::Hairline,
    };
    let mut last = None;
    let rows: Vec<Row> = all
        .iter()
        .map(|v| {
            let again = last == Some(v.file.animal.id);
            last = Some(v.file.animal.id);
            row(flock, v, again, today)
        })
        .collect();
    table.flow(&mut flow, rows.into_iter(), watch)?;
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {days}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// Chosen animals without a vaccine are named, that nobody takes them for vaccinated.
fn without(flow: &mut Flow<'_>, flock: &Flock, animals: Option<&[AnimalId]>, with: &BTreeSet<AnimalId>) {
    let mut tags: Vec<&str> =
        animals.unwrap_or_default().iter().filter(|id| !with.contains(id)).map(|id| flock.tag(*id)).collect();
    if tags.is_empty() {
        return;
    }
    tags.sort_unstable_by(|a, b| natural(a, b));
    let words = phrase!("No vaccine in these days: {}.", tags.join(", "));
    flow.paragraph(Look::new(Face::Sans, 9.0), &words);
}

/// What it is, and that it has left: 'ewe, born 3 Apr 2021; sold 7 Apr 2026'.
fn about(a: &Animal, today: Day) -> String {
    let kind = if a.is_lamb(today) { a.sex.lamb_words() } else { a.sex.words() };
    let born = match a.born {
        Born::Unknown => said(kind).into_owned(),
        born => phrase!("{kind}, born {}", text::unbroken(&born.words())),
    };
    let left = match (a.status, a.status_on) {
        (Status::Present, _) => String::new(),
        (s, Some(on)) => phrase!("{} {}", said(s.words()), text::unbroken(&on.words())),
        (s, None) => said(s.words()).into_owned(),
    };
    text::joined([born.as_str(), left.as_str()], "; ").into_owned()
}

fn row(flock: &Flock, v: &Vaccination<'_>, again: bool, today: Day) -> Row {
    let (a, t) = (&v.file.animal, v.treatment);
    let mut animal = Cell::strong(text::unbroken(a.tag()));
    // Tag and first number stand on every row, which may be the first of a page; the rest of an animal once.
    let numbers = numbers_of(a).into_iter().take(if again { 1 } else { usize::MAX });
    animal = animal.under(numbers.collect::<Vec<_>>().join(", "));
    if !again {
        animal = animal.under(about(a, today));
    }
    let expiry = flock.product(&t.product).zip(t.batch.as_deref()).and_then(|(p, number)| {
        flock.cupboard().numbered(p.id, number).find_map(|b| b.expiry).map(Day::words)
    });
    let expiry = expiry.map(|e| phrase!("expires {}", text::unbroken(&e))).unwrap_or_default();
    let dose = t.dose.map(|d| text::unbroken(&d.to_string())).unwrap_or_else(|| "–".into());
    let dose = text::joined([dose.as_str(), t.route.map_or("", |r| r.words())], " ").into_owned();
    let by = t.given_by.as_deref().unwrap_or("–");
    let vet = if t.more.vet_gave { "a vet" } else { "" };
    Row {
        cells: vec![
            animal,
            Cell::new(figures(&t.product)),
            Cell::new(t.batch.as_deref().unwrap_or("not written down")).under(expiry),
            Cell::new(text::unbroken(&t.at.day.words())),
            Cell::new(dose).under(t.site.as_deref().unwrap_or_default()),
            Cell::new(by).under(vet),
        ],
        ..Row::default()
    }
}

fn closing(flow: &mut Flow<'_>) {
    let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    let odd = odd_letters(&flow.pages);
    let words = phrase!(
        "The keeper's own statement from the flock's treatment log; not a vet's certificate and not an official form. \
         Label, vet and local law decide. {odd}"
    );
    let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
    flow.y += 5.0;
    flow.need(tall + 20.0);
    flow.paragraph(look, words.trim());
    flow.y += 13.0;
    let (body, y) = (flow.body(), flow.y);
    sign_lines(flow.page(), body, y, &[(3.0, "Signed by the keeper"), (2.5, "Name"), (1.4, "Date")]);
    flow.y += 5.0;
}

#[cfg(test)]
mod tests;
