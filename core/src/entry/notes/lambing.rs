//! A lambing, and what is told of a ewe's lambs without naming which.

use super::clause::{Scene, Taken, lacking, one, span_of};
use super::lex::{Kind, Token};
use super::predicate::{self, new_tag, rams, weight};
use super::subject::{animal, filler, is, list, subject};
use super::treatment::{dose, words};
use super::words::{Sense, senses};
use super::{Doubt, Draft, Reading};
use crate::entry::{LambDraft, LambingDraft};
use crate::flock::{Flock, Sire};
use crate::reckon::gestation;
use crate::terms::{AnimalId, Day, Ease, Fate, Rearing, Sex, Status, counted};

/// The sire a ewe's joinings propose for a lambing: the ram that fits, one of several, or not known.
pub(super) fn proposed(flock: &Flock, ewe: AnimalId, on: Day) -> Sire {
    let fits = flock.file(ewe).map(|f| gestation::fits(flock, f, on)).unwrap_or_default();
    let rams = gestation::likely(&fits);
    match rams.as_slice() {
        [] => Sire::Unknown,
        [one] => Sire::Known(*one),
        _ => Sire::OneOf(rams),
    }
}

/// What is told of a ewe that lambed, or of one of her lambs.
pub(super) fn read(scene: &Scene<'_>, ewe: AnimalId, tokens: &[Token]) -> Option<Taken> {
    if scene.flock.animal(ewe)?.sex != Sex::Ewe {
        return None;
    }
    one_of_them(scene, ewe, tokens)
        .or_else(|| dead_of_litter(scene, ewe, tokens))
        .or_else(|| lambing(scene, ewe, tokens))
}

/// Her living lambs of a lambing not long past.
fn young(scene: &Scene<'_>, ewe: AnimalId) -> Vec<AnimalId> {
    let last = scene.flock.file(ewe).and_then(|f| {
        f.lambings_standing()
            .filter(|l| l.at.day <= scene.at.day && scene.at.day.since(l.at.day) <= 120)
            .max_by_key(|l| l.at)
    });
    let here = |id: &&AnimalId| scene.flock.animal(**id).is_some_and(|a| a.status == Status::Present);
    last.map(|l| l.lambs.iter().filter(here).copied().collect()).unwrap_or_default()
}

/// `one fostered on 0391`, `one died`: of which lamb, the keeper chooses.
fn one_of_them(scene: &Scene<'_>, ewe: AnimalId, tokens: &[Token]) -> Option<Taken> {
    let k = is(tokens, Sense::One)?;
    of_each(scene, &young(scene, ewe), k, &tokens[k..])
}

/// `dead triplet`: one lamb of a litter in the book.
fn dead_of_litter(scene: &Scene<'_>, ewe: AnimalId, tokens: &[Token]) -> Option<Taken> {
    let dead = is(tokens, Sense::BornDead).or_else(|| is(tokens, Sense::Died))?;
    let litter = senses(&tokens[dead..]).find_map(|(s, k)| matches!(s, Sense::Litter(_)).then_some(k))?;
    let (readings, _) = of_each(scene, &young(scene, ewe), 0, &tokens[..dead])?;
    Some((readings, dead + litter))
}

fn of_each(scene: &Scene<'_>, lambs: &[AnimalId], lead: usize, tokens: &[Token]) -> Option<Taken> {
    let mut all: Vec<Reading> = Vec::new();
    let mut taken = 0;
    for lamb in lambs {
        let (readings, k) = predicate::read(scene, &[*lamb], tokens)?;
        all.extend(readings.into_iter().next());
        taken = k;
    }
    (!all.is_empty()).then_some((all, lead + taken))
}

/// What is gathered of a lambing while it is read.
struct Gathered {
    draft: LambingDraft,
    /// How many the keeper said.
    said: Option<u8>,
    doubts: Vec<Doubt>,
    notes: Vec<String>,
    /// What holds for all of them from here on.
    for_all: bool,
    /// One of them, not said which, is put on this ewe.
    one_on: Option<AnimalId>,
}

fn lambing(scene: &Scene<'_>, ewe: AnimalId, tokens: &[Token]) -> Option<Taken> {
    let mut n = 0;
    let mut said = None;
    let mut dead = false;
    let mut begun = false;
    loop {
        let rest = &tokens[n..];
        if let Some(k) = is(rest, Sense::Lambed) {
            begun = true;
            n += k;
        } else if let Some((count, k)) = litter(rest).filter(|_| said.is_none()) {
            said = Some(count);
            n += k;
        } else if !begun
            && said.is_none()
            && !dead
            && let Some(k) = is(rest, Sense::BornDead)
            && litter(&rest[k..]).is_some()
        {
            dead = true;
            n += k;
        } else {
            break;
        }
    }
    if !begun && said.is_none() {
        return None;
    }
    let mut g = Gathered {
        draft: LambingDraft {
            ewe,
            at: scene.at.moment(),
            sire: proposed(scene.flock, ewe, scene.at.day),
            ease: None,
            help: None,
            note: None,
            pen: None,
            lambs: Vec::new(),
            foster_on: Vec::new(),
        },
        said,
        doubts: Vec::new(),
        notes: Vec::new(),
        for_all: false,
        one_on: None,
    };
    let singles = said == Some(1) || (said.is_none() && lambs_ahead(&tokens[n..]) <= 1);
    while n < tokens.len() {
        let rest = &tokens[n..];
        if matches!(rest[0].kind, Kind::Comma | Kind::Colon) {
            let next = &rest[1..];
            // A tag begins to tell of another animal.
            if subject(scene, &next[filler(next)..], false).is_some() && senses(next).next().is_none() {
                break;
            }
            n += 1;
            continue;
        }
        if let Some(k) = is(rest, Sense::And).or_else(|| is(rest, Sense::Filler)) {
            n += k;
        } else if let Some(k) = of_lambing(scene, rest, &mut g) {
            n += k;
        } else if let Some(k) = of_lamb(scene, rest, &mut g, singles) {
            n += k;
        } else {
            let k = rest.iter().position(|t| t.kind == Kind::Comma).unwrap_or(rest.len());
            g.notes.push(scene.line[span_of(&rest[..k])].to_string());
            n += k;
        }
    }
    let span = span_of(&tokens[..n]);
    if dead && let Some(first) = g.draft.lambs.first_mut() {
        first.fate = Fate::BornDead;
    }
    Some((finished(scene, g, span), n))
}

fn litter(tokens: &[Token]) -> Option<(u8, usize)> {
    senses(tokens).find_map(|(s, k)| if let Sense::Litter(n) = s { Some((n, k)) } else { None })
}

/// Sexes written further on: how many lambs will be told of.
fn lambs_ahead(tokens: &[Token]) -> usize {
    (0..tokens.len()).filter(|i| senses(&tokens[*i..]).any(|(s, _)| matches!(s, Sense::Sex(_)))).count()
}

/// The readings of what was gathered.
fn finished(scene: &Scene<'_>, mut g: Gathered, span: std::ops::Range<usize>) -> Vec<Reading> {
    if !g.notes.is_empty() {
        let told = g.draft.note.take();
        g.draft.note =
            Some(told.into_iter().chain(std::mem::take(&mut g.notes)).collect::<Vec<_>>().join("; "));
    }
    let (told, said) = (g.draft.lambs.len(), g.said.map(usize::from));
    let name = format!("{} lambed", scene.flock.tag(g.draft.ewe));
    if told == 0 {
        let n = said.map_or("each lamb".into(), |n| counted(n, "lamb"));
        let says =
            format!("what are they? Write {n} behind a colon: ': ram 4.3, ewe 3.9', or without weights");
        return vec![lacking(name, span, says)];
    }
    if let Some(said) = said.filter(|n| *n != told) {
        let says = format!("{} said, {} written: write ram or ewe for each", counted(said, "lamb"), told);
        return vec![lacking(name, span, says)];
    }
    let Some(on) = g.one_on else { return vec![one(scene, Draft::Lambing(Box::new(g.draft)), g.doubts)] };
    let living = (0..told).filter(|i| g.draft.lambs[*i].fate == Fate::Alive);
    living
        .map(|i| {
            let mut draft = g.draft.clone();
            draft.lambs[i].rearing = Rearing::Foster(on);
            one(scene, Draft::Lambing(Box::new(draft)), g.doubts.clone())
        })
        .collect()
}

/// What is told of the lambing as a whole.
fn of_lambing(scene: &Scene<'_>, tokens: &[Token], g: &mut Gathered) -> Option<usize> {
    for (sense, k) in senses(tokens) {
        let rest = &tokens[k..];
        let taken = match sense {
            Sense::NoSire => {
                g.draft.sire = Sire::Unknown;
                Some(0)
            }
            Sense::By => rams(scene, rest).map(|(all, m)| {
                g.draft.sire = match all.as_slice() {
                    [one] => Sire::Known(*one),
                    _ => Sire::OneOf(all),
                };
                m
            }),
            Sense::Help => words(rest, true).map(|(text, m)| {
                g.draft.help = Some(text);
                m
            }),
            Sense::Note => words(rest, false).map(|(text, m)| {
                g.draft.note = Some(text);
                m
            }),
            Sense::Takes => list(scene, rest, false).map(|(all, m)| {
                g.draft.foster_on.extend(all);
                m
            }),
            Sense::To => pen(scene, rest).map(|(pen, m)| {
                g.draft.pen = Some(pen);
                m
            }),
            Sense::One => {
                let f = is(rest, Sense::Foster);
                f.and_then(|f| animal(scene, &rest[f..]).map(|(ewe, m)| (ewe, f + m))).map(|(ewe, m)| {
                    g.one_on = Some(ewe);
                    m
                })
            }
            Sense::Pen => scene.words.pen(tokens).map(|(pen, m)| {
                g.draft.pen = Some(pen);
                m.saturating_sub(k)
            }),
            _ => None,
        };
        if let Some(m) = taken {
            return Some(k + m);
        }
    }
    None
}

/// A pen of the flock, or a new one in quotes.
fn pen(scene: &Scene<'_>, tokens: &[Token]) -> Option<(String, usize)> {
    scene.words.pen(tokens).or_else(|| {
        let t = tokens.first().filter(|t| t.kind == Kind::Quoted && !t.text.trim().is_empty())?;
        Some((t.text.clone(), 1))
    })
}

/// The lambs something is told of: all, or the last named.
fn those(g: &mut Gathered) -> &mut [LambDraft] {
    let from = if g.for_all { 0 } else { g.draft.lambs.len().saturating_sub(1) };
    &mut g.draft.lambs[from..]
}

/// A lamb's sex, or what is told of the lamb named last, or of all.
fn of_lamb(scene: &Scene<'_>, tokens: &[Token], g: &mut Gathered, singles: bool) -> Option<usize> {
    if let Some(k) = is(tokens, Sense::All) {
        // 'both ewes': as many as were said.
        if g.draft.lambs.is_empty()
            && let Some((sex, m)) = sex(&tokens[k..])
        {
            let n = g.said.unwrap_or(2);
            g.draft.lambs = vec![LambDraft::new(sex); usize::from(n)];
            let (mut used, mut i) = (k + m, 0);
            while i < usize::from(n)
                && let Some((w, m)) = weight(scene, &tokens[used.min(tokens.len())..])
            {
                g.draft.lambs[i].weight = Some(w);
                i += 1;
                used += m + usize::from(tokens.get(used + m).is_some_and(|t| t.kind == Kind::Comma));
            }
            g.for_all = true;
            return Some(used);
        }
        g.for_all = !g.draft.lambs.is_empty();
        return Some(k);
    }
    if let Some((sex, k)) = sex(tokens) {
        g.for_all = false;
        g.draft.lambs.push(LambDraft::new(sex));
        return Some(k);
    }
    if g.draft.lambs.is_empty() {
        let (ease, k) = ease(tokens)?;
        g.draft.ease = Some(ease);
        return Some(k);
    }
    if let Some((w, k)) = weight(scene, tokens).filter(|_| dose(tokens).is_none() && !g.for_all) {
        let lamb = g.draft.lambs.last_mut()?;
        if lamb.weight.is_some() {
            return None;
        }
        lamb.weight = Some(w);
        return Some(k);
    }
    if let Some((dose, k)) = dose(tokens) {
        let tube = is(&tokens[k..], Sense::Tube)?;
        those(g).iter_mut().for_each(|l| l.colostrum = Some(dose));
        return Some(k + tube);
    }
    let for_all = g.for_all;
    for (sense, k) in senses(tokens) {
        let rest = &tokens[k..];
        let mut each = |tell: &dyn Fn(&mut LambDraft)| those(g).iter_mut().for_each(tell);
        let taken = match sense {
            Sense::BornDead => {
                each(&|l| l.fate = Fate::BornDead);
                Some(bracket(rest, g))
            }
            Sense::Died => {
                each(&|l| l.fate = Fate::Died);
                let m = died_at(rest, scene.at.day, g);
                Some(m + bracket(&rest[m..], g))
            }
            Sense::Alive => Some(0),
            Sense::Sucked => {
                each(&|l| l.sucked = Some(true));
                Some(0)
            }
            Sense::NotSucked => {
                each(&|l| l.sucked = Some(false));
                Some(0)
            }
            Sense::Dipped => {
                each(&|l| l.navel_dipped = Some(true));
                Some(0)
            }
            Sense::NotDipped => {
                each(&|l| l.navel_dipped = Some(false));
                Some(0)
            }
            Sense::Bottle => {
                each(&|l| l.rearing = Rearing::Bottle);
                Some(0)
            }
            Sense::Foster => animal(scene, rest).map(|(ewe, m)| {
                each(&|l| l.rearing = Rearing::Foster(ewe));
                m
            }),
            Sense::Tube => dose(rest).map(|(d, m)| {
                each(&|l| l.colostrum = Some(d));
                m
            }),
            Sense::Colour => words(rest, true).map(|(text, m)| {
                each(&|l| l.colour = Some(text.clone()));
                m
            }),
            Sense::Called => words(rest, true).and_then(|(text, m)| {
                g.draft.lambs.last_mut()?.name = Some(text);
                Some(m)
            }),
            Sense::Tag => new_tag(rest).and_then(|(tag, m)| {
                g.draft.lambs.last_mut()?.tag = Some(tag);
                Some(m)
            }),
            Sense::Number => new_tag(rest).and_then(|(tag, m)| {
                g.draft.lambs.last_mut()?.electronic = Some(tag);
                Some(m)
            }),
            Sense::ThisOne => ease(rest).and_then(|(e, m)| {
                g.draft.lambs.last_mut()?.ease = Some(e);
                Some(m)
            }),
            Sense::Ease(e) if singles || for_all => {
                g.draft.ease = Some(e);
                Some(0)
            }
            Sense::Ease(e) => {
                each(&|l| l.ease = Some(e));
                Some(0)
            }
            _ => None,
        };
        if let Some(m) = taken {
            return Some(k + m);
        }
    }
    None
}

fn sex(tokens: &[Token]) -> Option<(Sex, usize)> {
    senses(tokens).find_map(|(s, k)| if let Sense::Sex(sex) = s { Some((sex, k)) } else { None })
}

fn ease(tokens: &[Token]) -> Option<(Ease, usize)> {
    senses(tokens).find_map(|(s, k)| if let Sense::Ease(e) = s { Some((e, k)) } else { None })
}

/// `at 2 days`: when a lamb died.
fn died_at(tokens: &[Token], born: Day, g: &mut Gathered) -> usize {
    let Some(k) = is(tokens, Sense::At) else { return 0 };
    let days = tokens.get(k).and_then(|t| t.low.parse::<i64>().ok()).filter(|n| (0..=400).contains(n));
    let word = tokens.get(k + 1).is_some_and(|t| matches!(t.low.as_str(), "day" | "days"));
    match days.filter(|_| word) {
        Some(n) => {
            those(g).iter_mut().for_each(|l| l.died_on = Some(born.plus(n)));
            k + 2
        }
        None => 0,
    }
}

/// Why a lamb died.
fn bracket(tokens: &[Token], g: &mut Gathered) -> usize {
    match tokens.first().filter(|t| t.kind == Kind::Bracketed && !t.text.is_empty()) {
        Some(t) => {
            those(g).iter_mut().for_each(|l| l.died_of = Some(t.text.clone()));
            1
        }
        None => 0,
    }
}
