//! Whom a paper is for, and asking the desk to lay it out once the choice has settled.

use super::super::{Ctx, Intent, fields};
use super::{PaperKind, PaperSpec, State, Whom};
use hirsel_core::flock::{AnimalFile, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::due::{self, Sheet};
use hirsel_core::reckon::growth::fixed::Using;
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_core::reckon::season::Kinds;
use hirsel_core::registers::RegisterKind;
use hirsel_core::terms::{AnimalId, Day, FeedId, Mass, Sex, Status};
use std::sync::Arc;

/// Lambs born and ewes lambed within so many days are the usual choice.
pub(super) const USUAL_DAYS: i64 = 30;

/// How long a choice must stand before its pages are laid out, in seconds: one does not lay out for every key.
const SETTLED: f64 = 0.25;

/// What is asked of the desk.
#[derive(Debug, Default)]
pub(super) struct Asking {
    /// What the pages were asked for.
    asked: Option<Wish>,
    /// What they are to be asked for next, and since when it is so.
    next: Option<(Wish, f64)>,
    /// `chosen` was replaced so many times.
    turn: u64,
    /// How many animals the paper is for; none while the choice is not clear.
    pub(super) count: usize,
    /// Chosen animals that this paper is not for.
    pub(super) left_out: usize,
    /// Pens of this version of the flock, each with how many animals are in it.
    pub(super) pens: Vec<(String, usize)>,
    pens_for: Option<u64>,
}

impl Asking {
    /// The chosen animals are others now, or the pages are wanted once more.
    pub(super) fn again(&mut self) {
        self.turn += 1;
    }
}

/// Everything the pages hang on, quick to compare.
#[derive(Debug, Clone, PartialEq)]
struct Wish {
    kind: PaperKind,
    whom: WhomNow,
    per_sheet: u8,
    letter: bool,
    from: Option<Day>,
    to: Option<Day>,
    kinds: Kinds,
    registers: Vec<RegisterKind>,
    generations: u8,
    growth: (u16, Using),
    mix: Option<(FeedId, Mass)>,
    feed: (Day, u8),
    today: Day,
    version: u64,
    turn: u64,
}

#[derive(Debug, Clone, PartialEq)]
enum WhomNow {
    All,
    Since(Day),
    Pen(String),
    One(Option<AnimalId>),
    Chosen,
    /// The jobs of a day, once they are reckoned.
    Jobs(Day),
}

/// What is wrong with what was typed, if anything: the pages are not laid out until it is mended.
pub(super) fn wrong(ctx: &Ctx<'_>, state: &State) -> Option<String> {
    wish(ctx, state).err()
}

/// The pages shown are those of the choice as it stands.
pub(super) fn is_settled(ctx: &Ctx<'_>, state: &State) -> bool {
    wish(ctx, state).is_ok_and(|w| state.asking.asked.as_ref() == Some(&w))
}

/// A pen or an animal is asked for, and none is named yet.
pub(super) fn is_open(ctx: &Ctx<'_>, state: &State) -> bool {
    let pen = || state.pen.text.trim().to_lowercase();
    if state.kind == PaperKind::BarnSheet {
        return ctx.board.is_none();
    }
    if state.kind == PaperKind::MixSheet {
        return state.mix.chosen(ctx).ok().flatten().is_none();
    }
    if state.kind.is_whole() || state.kind == PaperKind::FeedSheet {
        return false;
    }
    if state.kind.is_pedigree() && state.whom == Whom::Usual {
        return true;
    }
    match state.whom {
        Whom::Pen => !state.asking.pens.iter().any(|(p, _)| p.to_lowercase() == pen()),
        Whom::One => state.one.chosen().is_none_or(|id| ctx.flock.animal(id).is_none()),
        Whom::Usual | Whom::Chosen => false,
    }
}

/// The age of the list of weights in days; nothing is 60.
pub(super) fn age(text: &str) -> Result<u16, String> {
    if text.trim().is_empty() { Ok(60) } else { GrowthRules::typed_age(text).map_err(|e| e.0) }
}

fn wish(ctx: &Ctx<'_>, state: &State) -> Result<Wish, String> {
    let day =
        |text: &str| fields::some(text).map(|t| Day::parse_typed(&t, ctx.today)).transpose().map_err(|e| e.0);
    let log = !state.kind.is_cards();
    let whom = match state.whom {
        _ if state.kind == PaperKind::BarnSheet => {
            WhomNow::Jobs(day(&state.day)?.unwrap_or_else(|| ctx.today.plus(1)))
        }
        _ if state.kind.is_whole() || state.kind == PaperKind::FeedSheet => WhomNow::All,
        Whom::Usual if state.kind.is_pedigree() => WhomNow::One(None),
        Whom::Usual if log => WhomNow::All,
        Whom::Usual => WhomNow::Since(day(&state.since)?.unwrap_or_else(|| ctx.today.plus(-USUAL_DAYS))),
        Whom::Pen => WhomNow::Pen(state.pen.text.trim().to_lowercase()),
        Whom::One => WhomNow::One(state.one.chosen()),
        Whom::Chosen => WhomNow::Chosen,
    };
    let list = state.kind == PaperKind::GrowthList;
    let keep = (state.kind.is_keeping() || state.kind.is_feed()) && state.kind.is_undated();
    let fed = state.kind == PaperKind::FeedSheet;
    let (from, to) = if log && !state.kind.is_pedigree() && !keep && !fed {
        (day(&state.from)?, day(&state.to)?)
    } else {
        (None, None)
    };
    let from = if state.kind.is_of_a_day() { None } else { from };
    if let (Some(from), Some(to)) = (from, to)
        && to < from
    {
        return Err(phrase!("the last day {} is before the first {}: swap them", to.words(), from.words()));
    }
    Ok(Wish {
        kind: state.kind,
        whom,
        per_sheet: if log || state.kind == PaperKind::BarnSheet { 4 } else { state.per_sheet.unwrap_or(4) },
        letter: state.letter.unwrap_or_else(|| ctx.flock.holding().sheet == "letter"),
        from,
        to,
        kinds: if state.kind == PaperKind::Timeline { state.kinds } else { Kinds::all() },
        registers: if state.kind == PaperKind::Folder { state.registers.clone() } else { Vec::new() },
        generations: if state.kind == PaperKind::Ancestors { state.generations.unwrap_or(4) } else { 4 },
        growth: if list { (age(&state.age)?, state.carry.using()) } else { (0, Using::None) },
        mix: if state.kind == PaperKind::MixSheet { state.mix.chosen(ctx)? } else { None },
        feed: match state.kind {
            PaperKind::FeedSheet => {
                (day(&state.day)?.unwrap_or_else(|| ctx.today.plus(1)), state.feeds.unwrap_or(2))
            }
            _ => (ctx.today, 2),
        },
        today: ctx.today,
        version: ctx.flock.version(),
        turn: state.asking.turn,
    })
}

/// Asks for the paper anew when anything it is laid out from has changed and stands for a moment.
pub(super) fn ask(ui: &egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    pens(ctx, &mut state.asking);
    let Ok(wish) = wish(ctx, state) else { return };
    if is_open(ctx, state) {
        state.asking.count = 0;
        return;
    }
    if state.asking.asked.as_ref() == Some(&wish) {
        state.asking.next = None;
        return;
    }
    let now = ui.input(|i| i.time);
    let since = match &state.asking.next {
        Some((next, since)) if *next == wish => *since,
        _ => now,
    };
    // Nothing to wait for when it is the first, or was not typed.
    let at_once = state.asking.asked.as_ref().is_none_or(|a| a.kind != wish.kind || a.turn != wish.turn);
    if !at_once && now - since < SETTLED {
        state.asking.next = Some((wish, since));
        ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(SETTLED));
        return;
    }
    let sheet = sheet(ctx, state, &wish.whom);
    let animals = if sheet.is_some() { Vec::new() } else { animals(ctx, state) };
    state.asking.count = animals.len();
    out.push(Intent::LayOut(PaperSpec {
        kind: wish.kind,
        animals,
        all: wish.whom == WhomNow::All,
        per_sheet: wish.per_sheet,
        letter: wish.letter,
        from: wish.from,
        to: wish.to,
        sheet,
        registers: wish.registers.clone(),
        kinds: wish.kinds,
        generations: wish.generations,
        growth: wish.growth,
        mix: wish.mix,
        feed: wish.feed,
        today: wish.today,
        version: wish.version,
    }));
    state.asking.asked = Some(wish);
    state.asking.next = None;
}

/// The day in the name of the paper's file: of a barn sheet its own, else today.
pub(super) fn paper_day(ctx: &Ctx<'_>, state: &State) -> Day {
    match wish(ctx, state) {
        Ok(Wish { whom: WhomNow::Jobs(day), .. }) => day,
        Ok(w) if w.kind == PaperKind::FeedSheet => w.feed.0,
        _ => ctx.today,
    }
}

/// The barn sheet: the one its own page handed over, while it is of that day, or a new one.
fn sheet(ctx: &Ctx<'_>, state: &mut State, whom: &WhomNow) -> Option<(Arc<Sheet>, Day)> {
    let WhomNow::Jobs(day) = whom else { return None };
    if state.sheet.as_ref().is_some_and(|(_, d)| d != day) {
        state.sheet = None;
    }
    let new = || ctx.board.map(|board| (Arc::new(due::sheet(ctx.flock, board, *day)), *day));
    state.sheet.clone().or_else(new)
}

fn pens(ctx: &Ctx<'_>, asking: &mut Asking) {
    if asking.pens_for != Some(ctx.flock.version()) {
        asking.pens_for = Some(ctx.flock.version());
        asking.pens = ctx.flock.pens().into_iter().map(|(p, a)| (p, a.len())).collect();
    }
}

/// Whom the paper is for, in barn order: by pen, then by tag.
fn animals(ctx: &Ctx<'_>, state: &mut State) -> Vec<AnimalId> {
    let kind = state.kind;
    let mut files: Vec<&AnimalFile> = match state.whom {
        Whom::Usual if !kind.is_cards() => Vec::new(),
        Whom::Usual => {
            let since = fields::some(&state.since).and_then(|t| Day::parse_typed(&t, ctx.today).ok());
            let since = since.unwrap_or_else(|| ctx.today.plus(-USUAL_DAYS));
            ctx.flock.present().filter(|f| of_late(f, kind, since, ctx.today)).collect()
        }
        Whom::Pen => {
            let all = ctx.flock.in_pen(&state.pen.text);
            all.into_iter().filter_map(|id| ctx.flock.file(id)).filter(|f| fits(f, kind, ctx.today)).collect()
        }
        Whom::One => state.one.chosen().and_then(|id| ctx.flock.file(id)).into_iter().collect(),
        Whom::Chosen => {
            let all = || state.chosen.iter().filter_map(|id| ctx.flock.file(*id));
            let kept: Vec<&AnimalFile> = all().filter_map(|f| for_paper(ctx, f, kind)).collect();
            state.asking.left_out = all().count() - kept.len();
            kept
        }
    };
    files.sort_by(|a, b| {
        let pen = |f: &AnimalFile| f.animal.pen.clone().map_or((1, String::new()), |p| (0, p.to_string()));
        let ((no_a, pen_a), (no_b, pen_b)) = (pen(a), pen(b));
        no_a.cmp(&no_b)
            .then_with(|| natural(&pen_a, &pen_b))
            .then_with(|| natural(a.animal.tag(), b.animal.tag()))
            .then_with(|| a.animal.id.cmp(&b.animal.id))
    });
    files.dedup_by_key(|f| f.animal.id); // two lambs of one ewe, one pen card
    files.into_iter().map(|f| f.animal.id).collect()
}

fn of_late(f: &AnimalFile, kind: PaperKind, since: Day, today: Day) -> bool {
    debug_assert!(f.animal.status == Status::Present);
    match kind {
        PaperKind::LambCards => f.animal.is_lamb(today) && f.animal.born.day().is_some_and(|b| b >= since),
        _ => f.lambings_standing().any(|l| l.at.day >= since),
    }
}

/// Whether a paper is for such an animal.
pub(super) fn fits(f: &AnimalFile, kind: PaperKind, today: Day) -> bool {
    match kind {
        PaperKind::LambCards => f.animal.is_lamb(today),
        PaperKind::PenCards => f.animal.sex == Sex::Ewe && !f.animal.is_lamb(today),
        PaperKind::TreatmentLog | PaperKind::BarnSheet | PaperKind::FeedSheet | PaperKind::Timeline => true,
        PaperKind::Register(_) | PaperKind::Folder | PaperKind::Declaration | PaperKind::Certificate => true,
        PaperKind::Pedigree | PaperKind::Ancestors | PaperKind::Growth => true,
        PaperKind::JoiningSheet | PaperKind::DueList | PaperKind::SaleList | PaperKind::Diversity => true,
        PaperKind::KeepSheet | PaperKind::CullList | PaperKind::SeasonReport => true,
        PaperKind::GrowthList | PaperKind::MixSheet | PaperKind::CreepSheet | PaperKind::PenMap => true,
        PaperKind::WinterFeed => true,
        PaperKind::Progeny => f.animal.sex != Sex::Ewe && !f.offspring.is_empty(),
    }
}

/// Whose card is meant when this animal was chosen: of a lamb on a ewe, the pen card is hers.
fn for_paper<'a>(ctx: &'a Ctx<'_>, f: &'a AnimalFile, kind: PaperKind) -> Option<&'a AnimalFile> {
    if fits(f, kind, ctx.today) {
        return Some(f);
    }
    let lamb = kind == PaperKind::PenCards && f.animal.is_lamb(ctx.today);
    lamb.then(|| ctx.flock.reared_by(&f.animal)).flatten().and_then(|ewe| ctx.flock.file(ewe))
}
