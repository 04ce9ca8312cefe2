//! Papers as PDF, or their pages as pictures.

use super::out::{self, Out};
use super::{Done, PaperWord, Print, Trouble, chosen, with};
use hirsel_core::flock::{AnimalFile, Flock, natural};
use hirsel_core::papers::picture::Form;
use hirsel_core::papers::{
    self, BarnSheetOptions, DueListOptions, FeedSheetOptions, FolderOptions, GrowthListOptions,
    JoiningSheetOptions, LambCardOptions, PaperFailed, PenCardOptions, SheetSize, TimelineOptions,
    TreatmentLogOptions, carry_on,
};
use hirsel_core::reckon::due::{self, Board};
use hirsel_core::reckon::flock_figures::{Settings, season_of};
use hirsel_core::registers::Span;
use hirsel_core::terms::{AnimalId, Day, Mass, Sex};

type Made = Result<papers::Paper, PaperFailed>;

/// Cards without a choice are for the lambs of so many days.
const YOUNG_DAYS: i64 = 60;

pub fn print(out: &mut Out, asked: &Print) -> Done {
    if let (Some(from), Some(to)) = (asked.from, asked.to)
        && to < from
    {
        return Err(Trouble::World(format!("the last day {to} is before the first {from}: swap them")));
    }
    if asked.season.is_some() && !matches!(asked.paper, PaperWord::SeasonReport | PaperWord::KeepSheet) {
        let why = "only the season report and the keep sheet are of a season: leave --season out";
        return Err(Trouble::World(why.into()));
    }
    if (asked.feed.is_some() || asked.total.is_some()) && asked.paper != PaperWord::MixSheet {
        let why = "only the mix sheet is of a feed and an amount: leave --feed and --total out";
        return Err(Trouble::World(why.into()));
    }
    if asked.feeds.is_some() && asked.paper != PaperWord::FeedSheet {
        let why = "only the feed sheet has feeds a day: leave --feeds out";
        return Err(Trouble::World(why.into()));
    }
    super::not_the_book(&asked.book, &asked.output)?;
    let flock = with(&asked.book, |book| Ok(book.flock()))?;
    // A paper speaks as its book does; what the command line says is plain.
    let spoken = flock.holding().speech().during();
    let today = asked.on.day();
    let sheet = asked.sheet.or_else(|| flock.holding().sheet.parse().ok()).unwrap_or_default();
    let paper = match asked.paper {
        PaperWord::LambCards => lamb_cards(&flock, today, asked, sheet)?,
        PaperWord::PenCards => pen_cards(&flock, today, asked, sheet)?,
        PaperWord::TreatmentLog => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let options = TreatmentLogOptions { sheet, from: asked.from, to: asked.to };
            papers::treatment_log(&flock, picked.as_deref(), today, &options, &carry_on)
        }
        PaperWord::BarnSheet => barn_sheet(&flock, asked, sheet)?,
        PaperWord::Timeline => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let (from, to) = (asked.from, asked.to);
            let options = TimelineOptions { sheet, from, to, ..TimelineOptions::default() };
            papers::timeline(&flock, picked.as_deref(), today, &options, &carry_on)
        }
        PaperWord::InspectorFolder => {
            whole_flock(asked, "the inspector's folder")?;
            let span = Span::new(asked.from, asked.to).map_err(|e| Trouble::World(e.0))?;
            let options = FolderOptions { sheet, span, ..FolderOptions::default() };
            papers::inspector_folder(&flock, today, &options, &carry_on)
        }
        PaperWord::Declaration => {
            if asked.from.is_some() || asked.to.is_some() {
                let why = "a declaration is of one day: use --on for the day the animals go";
                return Err(Trouble::World(why.into()));
            }
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            papers::withdrawal_declaration(&flock, picked.as_deref(), today, today, sheet, &carry_on)
        }
        PaperWord::VaccinationCertificate => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let span = Span::new(asked.from, asked.to).map_err(|e| Trouble::World(e.0))?;
            papers::vaccination_certificate(&flock, picked.as_deref(), span, today, sheet, &carry_on)
        }
        PaperWord::Pedigree => {
            papers::pedigree_certificate(&flock, &pedigree_of(&flock, asked)?, today, sheet, &carry_on)
        }
        PaperWord::PedigreeDrawing => {
            let (animals, n) = (pedigree_of(&flock, asked)?, asked.generations.unwrap_or(4));
            papers::pedigree_drawing(&flock, &animals, n, today, sheet, &carry_on)
        }
        PaperWord::GrowthChart => {
            if asked.from.is_some() || asked.to.is_some() {
                let why = "a growth chart is of a whole life: leave --from and --to out";
                return Err(Trouble::World(why.into()));
            }
            let animals = chosen(&flock, &asked.animal, &asked.pen)?.unwrap_or_default();
            papers::growth_chart(&flock, &animals, today, sheet, &carry_on)
        }
        PaperWord::JoiningSheet => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let span = Span::new(asked.from, asked.to).map_err(|e| Trouble::World(e.0))?;
            let options = JoiningSheetOptions { sheet, span };
            papers::joining_sheet(&flock, picked.as_deref(), today, &options, &carry_on)
        }
        PaperWord::DueList => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let span = Span::new(asked.from, asked.to).map_err(|e| Trouble::World(e.0))?;
            papers::due_list(&flock, picked.as_deref(), today, &DueListOptions { sheet, span }, &carry_on)
        }
        PaperWord::SaleList => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            papers::sale_list(&flock, picked.as_deref(), today, sheet, &carry_on)
        }
        PaperWord::RamProgeny => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            rams(&flock, asked)?;
            papers::ram_progeny(&flock, picked.as_deref(), today, sheet, &carry_on)
        }
        PaperWord::DiversityReport => {
            whole_flock(asked, "the diversity report")?;
            papers::diversity_report(&flock, today, sheet, &carry_on)
        }
        PaperWord::KeepSheet => {
            whole_flock(asked, "the keep sheet")?;
            papers::keep_sheet(&flock, asked.season, today, sheet, &carry_on)
        }
        PaperWord::CullList => {
            whole_flock(asked, "the cull list")?;
            papers::cull_list(&flock, today, sheet, &carry_on)
        }
        PaperWord::PenMap => {
            whole_flock(asked, "the pen map")?;
            papers::pen_map(&flock, today, sheet, &carry_on)
        }
        PaperWord::FeedStore => {
            whole_flock(asked, "the store of feed")?;
            papers::feed_store(&flock, today, sheet, &carry_on)
        }
        PaperWord::WinterFeed => {
            whole_flock(asked, "winter feed")?;
            papers::winter_feed(&flock, &[], today, sheet, &carry_on)
        }
        PaperWord::SeasonReport => {
            whole_flock(asked, "the season report")?;
            let month = Settings::of(flock.holding()).month;
            let of = asked.season.or_else(|| asked.to.or(asked.from).map(|d| season_of(d, month)));
            papers::season_report(&flock, of, today, sheet, &carry_on)
        }
        PaperWord::GrowthList => {
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            let born = Span::new(asked.from, asked.to).map_err(|e| Trouble::World(e.0))?;
            let (age_days, using) = (asked.at_age.days(), asked.at_age.using());
            let options = GrowthListOptions { sheet, age_days, using, born };
            papers::growth_list(&flock, picked.as_deref(), today, &options, &carry_on)
        }
        PaperWord::MixSheet => mix_sheet(&flock, today, asked, sheet)?,
        PaperWord::CreepSheet => {
            if !asked.animal.is_empty() || asked.from.is_some() || asked.to.is_some() {
                let why = "creep sheets are of pens as they stand: leave --animal, --from and --to out";
                return Err(Trouble::World(why.into()));
            }
            let options = papers::CreepSheetOptions { sheet, pens: asked.pen.clone() };
            papers::creep_sheet(&flock, today, &options, &carry_on)
        }
        PaperWord::FeedSheet => {
            if asked.from.is_some() || asked.to.is_some() {
                let why = "a feed sheet is of one day: use --on for the day";
                return Err(Trouble::World(why.into()));
            }
            let picked = chosen(&flock, &asked.animal, &asked.pen)?;
            // Of tomorrow, as the barn sheet is.
            let on = asked.on.on.unwrap_or_else(|| Day::today().plus(1));
            let options = FeedSheetOptions { sheet, feeds: asked.feeds.unwrap_or(2) };
            papers::feed_sheet(&flock, picked.as_deref(), on, today, &options, &carry_on)
        }
        word => match word.register() {
            Some(kind) => {
                whole_flock(asked, kind.words())?;
                let span = super::register::span(kind, asked.from, asked.to)?;
                let made = kind.make(&flock, span, today);
                papers::register(flock.holding(), &made, sheet, today, &carry_on)
            }
            None => Err(PaperFailed::Nothing { paper: "paper", mend: "name another" }),
        },
    };
    drop(spoken);
    let paper = paper.map_err(|e| match &e {
        PaperFailed::Nothing { .. } if matches!(asked.paper, PaperWord::BarnSheet | PaperWord::FeedSheet) => {
            Trouble::Refused(format!("{e} with --on"))
        }
        PaperFailed::Nothing { .. }
            if matches!(
                asked.paper,
                PaperWord::Pedigree | PaperWord::PedigreeDrawing | PaperWord::GrowthChart
            ) =>
        {
            Trouble::Refused(format!("{e} with --animal"))
        }
        PaperFailed::Nothing { .. } if asked.paper == PaperWord::Declaration => {
            Trouble::Refused(format!("{e}, with --animal, --pen or --on"))
        }
        PaperFailed::Nothing { .. } if asked.paper == PaperWord::SeasonReport => {
            Trouble::Refused(e.to_string())
        }
        PaperFailed::Nothing { .. } if asked.paper.is_of_today() => Trouble::Refused(e.to_string()),
        _ => no_paper(&e),
    })?;
    let strange = paper.not_printable();
    if !strange.is_empty() {
        let signs: Vec<String> = strange.iter().map(char::to_string).collect();
        out::say(&format!("caution: the paper's type has no sign for {}", signs.join(" ")));
    }
    if let Some(form) = Form::of(&asked.output) {
        return super::pictures::write(out, &paper, form, asked);
    }
    let pdf = papers::to_pdf(&paper).map_err(|e| no_paper(&e))?;
    if out::save(out, &asked.output, &pdf)? {
        let n = paper.pages.len();
        let pages = if n == 1 { "1 page".to_string() } else { format!("{n} pages") };
        out.line(&format!("Wrote {pages} to {}", asked.output.display()))?;
    }
    Ok(())
}

/// Whose pedigree it is: those named, or those of a pen; a flock's pedigree is none.
fn pedigree_of(flock: &Flock, asked: &Print) -> Result<Vec<AnimalId>, Trouble> {
    if asked.from.is_some() || asked.to.is_some() {
        let why = "a pedigree has no first and last day: leave --from and --to out";
        return Err(Trouble::World(why.into()));
    }
    Ok(chosen(flock, &asked.animal, &asked.pen)?.unwrap_or_default())
}

/// The sheet of a mix of the book.
fn mix_sheet(flock: &Flock, today: Day, asked: &Print, sheet: SheetSize) -> Result<Made, Trouble> {
    whole_flock(asked, "the mix sheet")?;
    if asked.from.is_some() || asked.to.is_some() {
        let why = "a mix sheet is of one batch: leave --from and --to out";
        return Err(Trouble::World(why.into()));
    }
    let room = flock.feedroom();
    let mixes: Vec<&str> =
        room.feeds.iter().filter(|f| !f.parts.is_empty()).map(|f| f.name.as_str()).collect();
    let all = if mixes.is_empty() {
        "the book has no mix yet".to_string()
    } else {
        format!("the book's mixes are {}", mixes.join(", "))
    };
    let Some(name) = &asked.feed else {
        return Err(Trouble::World(format!("which mix? Name it with --feed; {all}")));
    };
    let Some(mix) = room.by_name(name) else {
        return Err(Trouble::Refused(format!("no feed is called '{}'; {all}", name.trim())));
    };
    if mix.parts.is_empty() {
        return Err(Trouble::Refused(format!("{} is no mix; {all}", mix.name)));
    }
    let total = asked.total.as_ref().map(|t| Mass::parse(t, flock.holding().units)).transpose();
    let total = total.map_err(|e| Trouble::World(e.0))?;
    let options = papers::MixSheetOptions { sheet, feed: mix.id, total };
    Ok(papers::mix_sheet(flock, today, &options, &carry_on))
}

/// A ewe that is named has no progeny as a ram.
fn rams(flock: &Flock, asked: &Print) -> Done {
    let named = asked.animal.iter().filter_map(|t| flock.by_tag(t)).filter_map(|id| flock.animal(id));
    match named.into_iter().find(|a| a.sex == Sex::Ewe) {
        Some(a) => {
            let why = format!("{} is a ewe: the ram's progeny is of a ram; name the ram", a.tag());
            Err(Trouble::Refused(why))
        }
        None => Ok(()),
    }
}

/// A register is of the whole flock.
fn whole_flock(asked: &Print, what: &str) -> Done {
    if asked.animal.is_empty() && asked.pen.is_empty() {
        return Ok(());
    }
    Err(Trouble::World(format!(
        "{} is of the whole flock: leave --animal and --pen out",
        what.to_lowercase()
    )))
}

fn no_paper(e: &PaperFailed) -> Trouble {
    match e {
        PaperFailed::Nothing { .. } => Trouble::Refused(format!("{e} with --animal, --pen, --from or --to")),
        _ => Trouble::World(e.to_string()),
    }
}

/// Whom the cards are for: those named, those of the pens that `fits`, or else all in the flock whose `days` lie
/// between --from and --to; without any of these, the last sixty days.
fn whom(
    flock: &Flock,
    asked: &Print,
    today: Day,
    fits: impl Fn(&AnimalFile) -> bool,
    days: impl Fn(&AnimalFile) -> Vec<Day>,
) -> Result<Vec<AnimalId>, Trouble> {
    let picked = chosen(flock, &asked.animal, &asked.pen)?;
    let ranged = asked.from.is_some() || asked.to.is_some();
    let from = asked.from.or((!ranged).then(|| today.plus(-YOUNG_DAYS)));
    let to = asked.to.unwrap_or(today);
    let within = |f: &AnimalFile| days(f).into_iter().any(|d| from.is_none_or(|from| from <= d) && d <= to);
    let files: Vec<&AnimalFile> = match picked {
        Some(all) => {
            let named: Vec<AnimalId> = asked.animal.iter().filter_map(|t| flock.by_tag(t)).collect();
            all.into_iter()
                .filter_map(|id| flock.file(id))
                .filter(|f| named.contains(&f.animal.id) || fits(f))
                .filter(|f| !ranged || within(f))
                .collect()
        }
        None => {
            let mut all: Vec<&AnimalFile> = flock.present().filter(|f| within(f)).collect();
            all.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
            all
        }
    };
    Ok(files.into_iter().map(|f| f.animal.id).collect())
}

fn lamb_cards(flock: &Flock, today: Day, asked: &Print, sheet: SheetSize) -> Result<Made, Trouble> {
    let born = |f: &AnimalFile| f.animal.born.day().into_iter().collect();
    let animals = whom(flock, asked, today, |f| f.animal.is_lamb(today), born)?;
    let mut options = LambCardOptions { sheet, ..LambCardOptions::for_flock(flock) };
    options.per_sheet = asked.per_page.unwrap_or(options.per_sheet);
    Ok(papers::lamb_cards(flock, &animals, today, &options, &carry_on))
}

fn pen_cards(flock: &Flock, today: Day, asked: &Print, sheet: SheetSize) -> Result<Made, Trouble> {
    let ewes = |f: &AnimalFile| f.animal.sex == Sex::Ewe && !f.animal.is_lamb(today);
    let lambed = |f: &AnimalFile| f.lambings_standing().map(|l| l.at.day).collect();
    let animals = whom(flock, asked, today, ewes, lambed)?;
    if let Some(a) = animals.iter().filter_map(|id| flock.animal(*id)).find(|a| a.sex != Sex::Ewe) {
        let (tag, is) = (a.tag(), a.sex.words());
        return Err(Trouble::Refused(format!("{tag} is a {is}: a pen card is a ewe's; name the ewe")));
    }
    let mut options = PenCardOptions { sheet, ..Default::default() };
    options.per_sheet = asked.per_page.unwrap_or(options.per_sheet);
    Ok(papers::pen_cards(flock, &animals, today, &options, &carry_on))
}

/// The sheet of the day of --on, or of tomorrow. Chosen pens keep the numbers they have on the whole sheet.
fn barn_sheet(flock: &Flock, asked: &Print, paper: SheetSize) -> Result<Made, Trouble> {
    if !asked.animal.is_empty() || asked.from.is_some() || asked.to.is_some() {
        let why = "a barn sheet is of one day and of whole pens: use --on for the day and --pen for pens";
        return Err(Trouble::World(why.into()));
    }
    chosen(flock, &[], &asked.pen)?; // names pens that are not there
    let today = Day::today();
    let (day, of) = asked.on.on.map_or((today.plus(1), today), |on| (on, on));
    let mut sheet = due::sheet(flock, &Board::new(flock, of), day);
    let named = |pen: &str| asked.pen.iter().any(|p| p.trim().to_lowercase() == pen.to_lowercase());
    sheet.pens.retain(|p| asked.pen.is_empty() || p.pen.as_deref().is_some_and(named));
    let options = BarnSheetOptions { sheet: paper, creeps: asked.pen.is_empty() };
    Ok(papers::barn_sheet(flock, &sheet, day, asked.on.day(), &options, &carry_on))
}
