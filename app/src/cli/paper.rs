//! Papers as PDF.

use super::out::{self, Out};
use super::{Done, PaperWord, Print, Trouble, chosen, close, open};
use hirsel_core::flock::{AnimalFile, Flock, natural};
use hirsel_core::papers::{
    self, LambCardOptions, PaperFailed, PenCardOptions, SheetSize, TreatmentLogOptions, carry_on,
};
use hirsel_core::terms::{AnimalId, Day, Sex};

/// Cards without a choice are for the lambs of so many days.
const YOUNG_DAYS: i64 = 60;

pub fn print(out: &mut Out, asked: &Print) -> Done {
    if let (Some(from), Some(to)) = (asked.from, asked.to)
        && to < from
    {
        return Err(Trouble::World(format!("the last day {to} is before the first {from}: swap them")));
    }
    super::not_the_book(&asked.book, &asked.output)?;
    let book = open(&asked.book)?;
    let flock = book.flock();
    close(book)?;
    let today = asked.on.day();
    let picked = chosen(&flock, &asked.animal, &asked.pen)?;
    let sheet = asked.sheet.or_else(|| flock.holding().sheet.parse().ok()).unwrap_or_default();
    let paper = match asked.paper {
        PaperWord::LambCards => lamb_cards(&flock, picked, today, asked, sheet),
        PaperWord::PenCards => pen_cards(&flock, picked, today, asked, sheet)?,
        PaperWord::TreatmentLog => {
            let options = TreatmentLogOptions { sheet, from: asked.from, to: asked.to };
            papers::treatment_log(&flock, picked.as_deref(), today, &options, &carry_on)
        }
    };
    let paper = paper.map_err(|e| no_paper(&e))?;
    let strange = paper.not_printable();
    if !strange.is_empty() {
        let signs: Vec<String> = strange.iter().map(char::to_string).collect();
        out::say(&format!("caution: the paper's type has no sign for {}", signs.join(" ")));
    }
    let pdf = papers::to_pdf(&paper).map_err(|e| no_paper(&e))?;
    if out::save(out, &asked.output, &pdf)? {
        let n = paper.pages.len();
        let pages = if n == 1 { "1 page".to_string() } else { format!("{n} pages") };
        out.line(&format!("Wrote {pages} to {}", asked.output.display()))?;
    }
    Ok(())
}

fn no_paper(e: &PaperFailed) -> Trouble {
    match e {
        PaperFailed::Nothing { .. } => Trouble::Refused(format!("{e} with --animal, --pen, --from or --to")),
        _ => Trouble::World(e.to_string()),
    }
}

/// The days asked for; without any, and without a choice of animals, the last sixty.
fn days(asked: &Print, today: Day, picked: bool) -> impl Fn(Day) -> bool {
    let open = picked || asked.from.is_some() || asked.to.is_some();
    let from = asked.from.or((!open).then(|| today.plus(-YOUNG_DAYS)));
    let to = asked.to;
    move |d| from.is_none_or(|f| d >= f) && to.is_none_or(|t| d <= t) && d <= today
}

fn in_order(flock: &Flock, keep: impl Fn(&AnimalFile) -> bool) -> Vec<AnimalId> {
    let mut all: Vec<&AnimalFile> = flock.present().filter(|f| keep(f)).collect();
    all.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
    all.into_iter().map(|f| f.animal.id).collect()
}

fn lamb_cards(
    flock: &Flock,
    picked: Option<Vec<AnimalId>>,
    today: Day,
    asked: &Print,
    sheet: SheetSize,
) -> Result<papers::Paper, PaperFailed> {
    let fits = days(asked, today, picked.is_some());
    let born = |f: &AnimalFile| f.animal.born.day().is_some_and(&fits);
    let animals = match picked {
        // Named one by one: as named. Of a pen: its lambs.
        Some(all) => {
            let named: Vec<AnimalId> = asked.animal.iter().filter_map(|t| flock.by_tag(t)).collect();
            let ranged = asked.from.is_some() || asked.to.is_some();
            all.into_iter()
                .filter_map(|id| flock.file(id))
                .filter(|f| named.contains(&f.animal.id) || f.animal.is_lamb(today))
                .filter(|f| !ranged || born(f))
                .map(|f| f.animal.id)
                .collect()
        }
        None => in_order(flock, born),
    };
    let mut options = LambCardOptions { sheet, ..LambCardOptions::for_flock(flock) };
    options.per_sheet = asked.per_page.unwrap_or(options.per_sheet);
    papers::lamb_cards(flock, &animals, today, &options, &carry_on)
}

fn pen_cards(
    flock: &Flock,
    picked: Option<Vec<AnimalId>>,
    today: Day,
    asked: &Print,
    sheet: SheetSize,
) -> Result<Result<papers::Paper, PaperFailed>, Trouble> {
    for tag in &asked.animal {
        if let Some(a) = flock.by_tag(tag).and_then(|id| flock.animal(id))
            && a.sex != Sex::Ewe
        {
            return Err(Trouble::Refused(format!(
                "{} is a {}: a pen card is a ewe's; name the ewe",
                a.tag(),
                a.sex.words()
            )));
        }
    }
    let fits = days(asked, today, picked.is_some());
    let lambed = |f: &AnimalFile| f.lambings_standing().any(|l| fits(l.at.day));
    let ewes = match picked {
        Some(all) => {
            let named: Vec<AnimalId> = asked.animal.iter().filter_map(|t| flock.by_tag(t)).collect();
            let ranged = asked.from.is_some() || asked.to.is_some();
            all.into_iter()
                .filter_map(|id| flock.file(id))
                .filter(|f| f.animal.sex == Sex::Ewe)
                .filter(|f| named.contains(&f.animal.id) || !f.animal.is_lamb(today))
                .filter(|f| !ranged || lambed(f))
                .map(|f| f.animal.id)
                .collect()
        }
        None => in_order(flock, lambed),
    };
    let mut options = PenCardOptions { sheet, ..Default::default() };
    options.per_sheet = asked.per_page.unwrap_or(options.per_sheet);
    Ok(papers::pen_cards(flock, &ewes, today, &options, &carry_on))
}
