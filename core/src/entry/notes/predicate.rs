//! What is told of animals: each kind of predicate tried in turn where one may begin.

use super::clause::{Scene, Taken, lacking, of_a_ewe, one, only, span_of};
use super::lex::{Kind, Token};
use super::subject::{animal, filler, is, list};
use super::words::{Sense, senses};
use super::{Doubt, Draft, judged, mating, treatment};
use crate::entry::{
    IdentityDraft, JobRef, JoiningDraft, PartDraft, PenMoveDraft, Retag, StandingDraft, TickDraft,
    WeighingDraft,
};
use crate::flock::{Ended, Outcome};
use crate::reckon::due;
use crate::terms::{
    AnimalId, ElectronicId, IdentityKind, JoiningId, Rearing, Sex, Status, Tag, Weight, counted,
};

/// The predicate at the start of the tokens.
pub(super) fn read(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    if tokens.is_empty() || about.is_empty() || is(tokens, Sense::Note).is_some() {
        return None;
    }
    judged::read(scene, about, tokens).or_else(|| other(scene, about, tokens))
}

/// The predicate at the start of the tokens, if it is neither a score nor a decision.
pub(super) fn other(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    of_a_ewe(scene, about, tokens)
        .or_else(|| mating::read(scene, about, tokens))
        .or_else(|| retag(scene, about, tokens))
        .or_else(|| rearing(scene, about, tokens))
        .or_else(|| joined(scene, about, tokens))
        .or_else(|| parted(scene, about, tokens))
        .or_else(|| tick(scene, about, tokens))
        .or_else(|| treatment::read(scene, about, tokens))
        .or_else(|| standing(scene, about, tokens))
        .or_else(|| pen(scene, about, tokens))
        .or_else(|| weighed(scene, about, tokens))
}

/// Takes animals out of a draft of many; false if it is none or they are not in it.
pub(super) fn without(draft: &mut Draft, out: &[AnimalId]) -> bool {
    let take = |all: &mut Vec<AnimalId>| {
        let before = all.len();
        all.retain(|id| !out.contains(id));
        all.len() < before && !all.is_empty()
    };
    match draft {
        Draft::Treatment(d) => take(&mut d.animals),
        Draft::PenMove(d) => take(&mut d.animals),
        Draft::Standing(d) => take(&mut d.animals),
        Draft::Remark(d) => take(&mut d.animals),
        Draft::Joining(d) => take(&mut d.ewes),
        Draft::Marks(d) => keep(d, |m| !out.contains(&m.ewe)),
        Draft::Scans(d) => keep(d, |s| !out.contains(&s.ewe)),
        Draft::Crayons(d) => keep(d, |c| !out.contains(&c.ram)),
        Draft::Scorings(d) => keep(d, |s| !out.contains(&s.animal)),
        Draft::Decisions(d) => keep(d, |s| !out.contains(&s.animal)),
        Draft::Ticks(d) => keep(&mut d.jobs, |j| !out.contains(&j.animal)),
        _ => false,
    }
}

/// Keeps what passes; false where nothing goes or nothing is left.
fn keep<T>(all: &mut Vec<T>, passes: impl Fn(&T) -> bool) -> bool {
    let before = all.len();
    all.retain(passes);
    all.len() < before && !all.is_empty()
}

/// A reason in brackets or after 'for'.
pub(super) fn reason(tokens: &[Token]) -> Option<(String, usize)> {
    if let Some(t) = tokens.first().filter(|t| t.kind == Kind::Bracketed && !t.text.is_empty()) {
        return Some((t.text.clone(), 1));
    }
    let k = is(tokens, Sense::For)?;
    let (text, m) = treatment::words(&tokens[k..], true)?;
    Some((text, k + m))
}

/// `dead (bloat)`, `sold to Hollin Bank`, `back in the flock`.
fn standing(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (to, mut n) = senses(tokens).find_map(|(s, k)| match s {
        Sense::BornDead | Sense::Died => Some((Status::Dead, k)),
        Sense::Left(status) => Some((status, k)),
        Sense::Back | Sense::Returned => Some((Status::Present, k)),
        _ => None,
    })?;
    let mut d = StandingDraft {
        animals: about.to_vec(),
        to,
        on: scene.at.day,
        other: None,
        reason: None,
        details: Default::default(),
    };
    let mut doubts = Vec::new();
    loop {
        let comma = usize::from(tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
        let rest = &tokens[(n + comma).min(tokens.len())..];
        if let Some((why, k)) = reason(rest).filter(|_| d.reason.is_none()) {
            d.reason = Some(why);
            n += comma + k;
        } else if let Some(k) = is(rest, Sense::To).filter(|_| d.other.is_none() && comma == 0)
            && let Some((who, m)) = treatment::words(&rest[k..], true)
        {
            d.other = Some(who);
            n += k + m;
        } else {
            break;
        }
    }
    if matches!(to, Status::Sold | Status::Lent) && d.other.is_none() {
        let says = "to whom is not written: a movement register asks for it";
        doubts.push(Doubt { span: span_of(&tokens[..n]), says: says.into() });
    }
    Some((vec![one(scene, Draft::Standing(d), doubts)], n))
}

/// `to pen 5`, `out of the pen`.
fn pen(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let draft = |pen| Draft::PenMove(PenMoveDraft { animals: about.to_vec(), on: scene.at.day, pen });
    if let Some(k) = is(tokens, Sense::Out) {
        return Some((vec![one(scene, draft(None), Vec::new())], k));
    }
    let k = is(tokens, Sense::To)?;
    let rest = &tokens[k..];
    let lead = filler(rest);
    if let Some((pen, m)) = scene.words.pen(&rest[lead..]) {
        return Some((vec![one(scene, draft(Some(pen)), Vec::new())], k + lead + m));
    }
    let (pen, m, sure) = new_pen(scene, rest)?;
    let span = span_of(&rest[..m]);
    let doubts = vec![Doubt { span, says: format!("there is no pen called {pen} yet: this makes it") }];
    let mut readings = vec![one(scene, draft(Some(pen)), doubts)];
    if !sure {
        let text = scene.line[span_of(&tokens[..k + m])].to_string();
        readings.push(super::clause::note(scene, about, text));
    }
    Some((readings, k + m))
}

/// A pen nobody was in yet: quoted, 'pen' and a word, or up to four words, of which it is not sure.
fn new_pen(scene: &Scene<'_>, tokens: &[Token]) -> Option<(String, usize, bool)> {
    if let Some(t) = tokens.first().filter(|t| t.kind == Kind::Quoted && !t.text.trim().is_empty()) {
        return Some((t.text.clone(), 1, true));
    }
    if let Some(k) = is(tokens, Sense::Pen) {
        let name = tokens.get(k).filter(|t| t.is_word())?;
        let pen = if scene.words.pens_are_bare() { name.text.clone() } else { format!("Pen {}", name.text) };
        return Some((pen, k + 1, true));
    }
    let n = tokens
        .iter()
        .take(4)
        .take_while(|t| t.is_word() && senses(std::slice::from_ref(t)).next().is_none())
        .count();
    let ends = tokens.get(n).is_none_or(|t| !t.is_word());
    (n > 0 && ends).then(|| {
        let words: Vec<&str> = tokens[..n].iter().map(|t| t.text.as_str()).collect();
        (words.join(" "), n, false)
    })
}

/// A weight at the start: `4.3`, `4.3 kg`, `9 lb 4 oz`.
pub(super) fn weight(scene: &Scene<'_>, tokens: &[Token]) -> Option<(Weight, usize)> {
    let first =
        tokens.first().filter(|t| t.is_word() && t.low.as_bytes().first().is_some_and(u8::is_ascii_digit))?;
    let units = scene.flock.holding().units;
    for n in (2..=4.min(tokens.len())).rev() {
        let words = &tokens[..n];
        let unit = |t: &Token| matches!(t.low.as_str(), "kg" | "g" | "lb" | "lbs" | "oz");
        let last = words.last().is_some_and(|t| unit(t) || t.low.ends_with("oz"));
        if last && words.iter().all(|t| t.is_word() && (unit(t) || t.low.as_bytes()[0].is_ascii_digit())) {
            let text: Vec<&str> = words.iter().map(|t| t.low.as_str()).collect();
            if let Ok(w) = Weight::parse(&text.join(" "), units) {
                return Some((w, n));
            }
        }
    }
    // A number with noughts before it is a tag.
    let tag_like = first.low.len() > 1 && first.low.starts_with('0') && !first.low.contains('.');
    let looks =
        first.number().is_none_or(|_| !tag_like && first.low.split('.').next().is_some_and(|w| w.len() <= 3));
    Weight::parse(&first.low, units).ok().filter(|_| looks).map(|w| (w, 1))
}

/// `weighed 12.4`, or a weight alone.
fn weighed(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let k = is(tokens, Sense::Weighed).unwrap_or_default();
    let Some((weight, m)) = weight(scene, &tokens[k..]) else { return no_weight(scene, tokens, k) };
    let n = k + m;
    let Some(animal) = only(about) else {
        let says = format!("one weight for {}: write each with its own", counted(about.len(), "animal"));
        return Some((vec![lacking("weighed", span_of(&tokens[..n]), says)], n));
    };
    let note = tokens.get(n).filter(|t| t.kind == Kind::Bracketed).map(|t| t.text.clone());
    let n = n + usize::from(note.is_some());
    let draft = WeighingDraft { animal, at: scene.at.moment(), weight, note };
    Some((vec![one(scene, Draft::Weighings(vec![draft]), Vec::new())], n))
}

/// 'weighed', or a unit, and figures that are no weight: told, lest it pass for a note.
fn no_weight(scene: &Scene<'_>, tokens: &[Token], said: usize) -> Option<Taken> {
    let figure = |t: &Token| t.is_word() && t.low.as_bytes().first().is_some_and(u8::is_ascii_digit);
    let first = tokens.get(said).filter(|t| figure(t))?;
    let unit = tokens.get(said + 1).filter(|t| matches!(t.low.as_str(), "kg" | "g" | "lb" | "lbs" | "oz"));
    if said == 0 && unit.is_none() {
        return None;
    }
    let text = unit.map_or_else(|| first.text.clone(), |u| format!("{} {}", first.text, u.text));
    let wrong = Weight::parse(&text, scene.flock.holding().units).err()?;
    let n = said + 1 + usize::from(unit.is_some());
    Some((vec![lacking("weighed", span_of(&tokens[..n]), wrong.0)], n))
}

/// `lost tag`, `lost tag, new tag 0598`, `tagged 0601`.
fn retag(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let lost = is(tokens, Sense::LostTag);
    let mut n = lost.unwrap_or_default();
    let comma = usize::from(lost.is_some() && tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
    let and = is(&tokens[(n + comma).min(tokens.len())..], Sense::And).unwrap_or_default();
    let put = is(&tokens[(n + comma + and).min(tokens.len())..], Sense::NewTag);
    if lost.is_none() && put.is_none() {
        return None;
    }
    let mut new = None;
    if let Some(k) = put {
        n += comma + and + k;
        let rest = &tokens[n.min(tokens.len())..];
        let electronic = is(rest, Sense::Number).unwrap_or_default();
        let Some((tag, m)) = new_tag(&rest[electronic..]) else {
            return Some((
                vec![lacking("new tag", span_of(&tokens[..n]), "which tag? Write it as it reads")],
                n,
            ));
        };
        n += electronic + m;
        new = Some(if electronic > 0 {
            IdentityDraft { kind: IdentityKind::Electronic, tag }
        } else {
            let number = ElectronicId::parse(tag.as_str()).is_ok();
            IdentityDraft { kind: if number { IdentityKind::Electronic } else { IdentityKind::Flock }, tag }
        });
    }
    let Some(animal) = only(about).and_then(|id| scene.flock.animal(id)) else {
        let says = format!("a tag is told of one animal at a time, not of {}", about.len());
        return Some((vec![lacking("tag", span_of(&tokens[..n]), says)], n));
    };
    let kind = new.as_ref().map_or(IdentityKind::Flock, |n| n.kind);
    let worn = animal.worn(kind).map(|i| (i.id, i.tag.as_str()));
    let ends = match (lost, worn) {
        (Some(_), Some((id, _))) => Some((id, Ended::Lost)),
        (Some(_), None) => {
            let says = format!("{} wears no {} to lose", animal.tag(), kind.words());
            return Some((vec![lacking("lost tag", span_of(&tokens[..n]), says)], n));
        }
        // A working tag gives way to the first real one.
        (None, Some((id, tag))) if due::stand_in(tag) => Some((id, Ended::Replaced)),
        (None, _) => None,
    };
    let draft = Retag { animal: animal.id, ends, new, on: scene.at.day };
    Some((vec![one(scene, Draft::Retag(draft), Vec::new())], n))
}

/// A tag not worn yet: one word or quoted, or the words of an official number.
pub(super) fn new_tag(tokens: &[Token]) -> Option<(Tag, usize)> {
    let first = tokens.first().filter(|t| matches!(t.kind, Kind::Word | Kind::Quoted))?;
    // `826 012345600412`, as readers part the groups of a number.
    if let Some((number, n)) = super::words::numbered(tokens).filter(|(_, n)| *n > 1)
        && first.text.bytes().all(|b| b.is_ascii_digit())
    {
        return Tag::parse(&number.digits()).ok().map(|tag| (tag, n));
    }
    // `UK 0123456 00412`: letters of a country and groups of figures.
    let country =
        first.is_word() && first.text.len() == 2 && first.text.bytes().all(|b| b.is_ascii_alphabetic());
    let more = |t: &Token| t.is_word() && t.text.bytes().all(|b| b.is_ascii_digit());
    let n = 1 + if country { tokens[1..].iter().take(2).take_while(|t| more(t)).count() } else { 0 };
    let text: Vec<&str> = tokens[..n].iter().map(|t| t.text.as_str()).collect();
    Tag::parse(&text.join(" ")).ok().map(|tag| (tag, n))
}

/// `fostered on 0391`, `on the bottle`, `back on its dam`.
fn rearing(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (to, n) = if let Some(k) = is(tokens, Sense::Foster) {
        let (ewe, m) = animal(scene, &tokens[k..])?;
        (Rearing::Foster(ewe), k + m)
    } else if let Some(k) = is(tokens, Sense::Bottle) {
        (Rearing::Bottle, k)
    } else {
        (Rearing::Dam, is(tokens, Sense::OnDam)?)
    };
    let Some(a) = only(about).and_then(|id| scene.flock.animal(id)) else {
        let says = "who rears a lamb is told of one lamb at a time";
        return Some((vec![lacking("reared", span_of(&tokens[..n]), says)], n));
    };
    let mut edit = a.clone();
    edit.rearing = to;
    Some((vec![one(scene, Draft::Edit(Box::new(edit)), Vec::new())], n))
}

/// `joined with R7`, `with R7 until 2026-12-05`.
fn joined(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let k = is(tokens, Sense::Joined)?;
    let (ram, m) = animal(scene, &tokens[k..])?;
    if scene.flock.animal(ram).is_none_or(|a| a.sex == Sex::Ewe) {
        return None;
    }
    let mut d = JoiningDraft {
        ram,
        ewes: about.to_vec(),
        from: scene.at.day,
        to: scene.at.until,
        method: None,
        group: None,
    };
    let mut n = k + m;
    for (sense, into) in [(Sense::How, &mut d.method), (Sense::Group, &mut d.group)] {
        if let Some(k) = is(&tokens[n..], sense)
            && let Some((said, m)) = treatment::words(&tokens[n + k..], true)
        {
            *into = Some(said);
            n += k + m;
        }
    }
    Some((vec![one(scene, Draft::Joining(d), Vec::new())], n))
}

/// `ram out`: the end of what joinings are open.
fn parted(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let k = is(tokens, Sense::RamOut)?;
    let open = |id: &AnimalId| -> Vec<(AnimalId, JoiningId)> {
        let with_ewe = |f: &crate::flock::AnimalFile| {
            let open =
                f.joinings.iter().filter(|j| j.struck.is_none() && j.to.is_none() && j.from <= scene.at.day);
            open.map(|j| (j.ewe, j.id, j.ram)).collect::<Vec<_>>()
        };
        match scene.flock.animal(*id).map(|a| a.sex) {
            Some(Sex::Ewe) => scene
                .flock
                .file(*id)
                .map(with_ewe)
                .unwrap_or_default()
                .into_iter()
                .map(|(e, j, _)| (e, j))
                .collect(),
            // Of a ram: every ewe he is with.
            Some(_) => scene
                .flock
                .present()
                .flat_map(with_ewe)
                .filter(|(.., ram)| ram == id)
                .map(|(e, j, _)| (e, j))
                .collect(),
            None => Vec::new(),
        }
    };
    let joinings: Vec<_> = about.iter().flat_map(open).collect();
    if joinings.is_empty() {
        let says = "no open joining of these is in the book: write the joining first";
        return Some((vec![lacking("ram out", span_of(&tokens[..k]), says)], k));
    }
    let draft = PartDraft { joinings, on: scene.at.day };
    Some((vec![one(scene, Draft::Part(draft), Vec::new())], k))
}

/// `docked`, `eyelids done`, `worm count put off until 2026-04-02 (rain)`, `castrate left out (meant for breeding)`.
fn tick(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (step, mut n) = scene.words.tick(tokens)?;
    let mut outcome = Outcome::Done;
    if let Some(k) = is(&tokens[n..], Sense::Done) {
        n += k;
    } else if let Some(k) = is(&tokens[n..], Sense::LeftOut) {
        n += k;
        outcome = Outcome::Skipped;
    } else if let (Some(k), Some(until)) = (is(&tokens[n..], Sense::PutOff), scene.at.until) {
        n += k;
        outcome = Outcome::PutOff(until);
    }
    let why = reason(&tokens[n..]);
    n += why.as_ref().map_or(0, |(_, k)| *k);
    let mut jobs: Vec<JobRef> = Vec::new();
    let mut none: Vec<&str> = Vec::new();
    for id in about {
        let known = scene.words.jobs(scene.flock, *id, scene.at.day);
        let mut all: Vec<&due::Job> =
            known.iter().filter(|j| j.step.key == step && j.state.is_open()).collect();
        all.sort_by_key(|j| (!j.state.is_now(), j.due, j.round));
        match all.first() {
            Some(job) => jobs.push(JobRef::from(*job)),
            None => none.push(scene.flock.tag(*id)),
        }
    }
    let name = scene.flock.plan().all().find(|s| s.key == step).map(|s| s.short.clone()).unwrap_or_default();
    let span = span_of(&tokens[..n]);
    if jobs.is_empty() {
        let says = format!("the plan asks for '{name}' of none of these now");
        let mut readings = vec![lacking(name, span.clone(), says)];
        let text = scene.line[span].to_string();
        readings.insert(0, super::clause::note(scene, about, text));
        return Some((readings, n));
    }
    let doubts = match none.as_slice() {
        [] => Vec::new(),
        _ => vec![Doubt { span, says: format!("'{name}' is not asked for of {}", none.join(", ")) }],
    };
    let draft = TickDraft { jobs, outcome, at: scene.at.moment(), note: why.map(|(w, _)| w) };
    Some((vec![one(scene, Draft::Ticks(draft), doubts)], n))
}

/// Rams named after 'by': `R7`, `R7 or R8`.
pub(super) fn rams(scene: &Scene<'_>, tokens: &[Token]) -> Option<(Vec<AnimalId>, usize)> {
    let (first, mut n) = list(scene, tokens, false)?;
    let mut all = first;
    while let Some(k) = is(&tokens[n..], Sense::Or)
        && let Some((ram, m)) = animal(scene, &tokens[n + k..])
    {
        all.push(ram);
        n += k + m;
    }
    let rams = all.iter().all(|id| scene.flock.animal(*id).is_some_and(|a| a.sex != Sex::Ewe));
    rams.then_some((all, n))
}
