//! Pictures of the report, drawn so that they are told apart in grey: columns, bars and a pyramid, each value written
//! beside its shape.

use crate::flock::Flock;
use crate::papers::sheet::{Area, Face, Ink, Look, Mark, Page};
use crate::phrase;
use crate::terms::speech::said;
use crate::terms::{Day, Sex};

/// Height of one bar with the gap after it.
pub(super) const BAR: f32 = 5.4;
/// Height of one row of the pyramid.
pub(super) const AGE: f32 = 5.2;

const VALUE: Look = Look::new(Face::Sans, 8.0);
const NAME: Look = Look::new(Face::Sans, 8.3);
const FAINT: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// One column of a year.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Step {
    pub(super) name: String,
    /// Nought or more.
    pub(super) value: f64,
    pub(super) shown: String,
    /// Of how many.
    pub(super) of: usize,
}

/// Columns side by side, their values above and their names below, with a dashed line at a value.
pub(super) fn columns(page: &mut Page, at: Area, steps: &[Step], dashed: Option<f64>) {
    let base = at.bottom() - 9.0;
    let top = at.y + 4.5;
    let most = steps.iter().map(|s| s.value).chain(dashed).fold(0.01, f64::max) * 1.05;
    let height = |v: f64| (base - top) * (v / most) as f32;
    let wide = (at.w / steps.len().max(8) as f32).min(22.0);
    for (i, s) in steps.iter().enumerate() {
        let (left, tall) = (at.x + i as f32 * wide, height(s.value).max(0.3));
        let middle = left + wide / 2.0;
        let bar = (wide * 0.55).min(9.0);
        page.fill(Area::new(middle - bar / 2.0, base - tall, bar, tall), 0.0, Ink::Accent);
        page.text_middle(middle, base + 3.6, NAME, &s.name);
        page.text_middle(middle, base + 7.4, FAINT, &s.of.to_string());
    }
    let end = at.x + wide * steps.len() as f32;
    if let Some(v) = dashed {
        let y = base - height(v);
        let mark = Mark::Line {
            from: (at.x, y),
            to: (end, y),
            width_mm: 0.25,
            dash: Some((1.6, 1.2)),
            ink: Ink::Black,
        };
        page.marks.push(mark);
    }
    // Values last, on the paper's own ground where the dashed line would run through them.
    for (i, s) in steps.iter().enumerate() {
        let middle = at.x + i as f32 * wide + wide / 2.0;
        let baseline = base - height(s.value).max(0.3) - 1.1;
        let half = VALUE.width_mm(&s.shown) / 2.0 + 0.5;
        page.fill(Area::new(middle - half, baseline - 2.5, 2.0 * half, 3.1), 0.0, Ink::White);
        page.text_middle(middle, baseline, VALUE, &s.shown);
    }
    page.rule(at.x, base, end - at.x, 0.3, Ink::Black);
}

/// One level bar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bar {
    pub(super) name: String,
    /// 0 to 1 of the longest.
    pub(super) length: f64,
    /// How much of it is filled, 0 to 1.
    pub(super) filled: f64,
    pub(super) shown: String,
}

/// The words cut to a width, with dots where something is left out.
fn cut(look: Look, words: &str, width: f32) -> String {
    if look.width_mm(words) <= width {
        return words.to_string();
    }
    let mut kept = words.to_string();
    while kept.pop().is_some() && look.width_mm(&kept) + look.width_mm("…") > width {}
    format!("{}…", kept.trim_end())
}

/// Bars one below another: names at the left, values behind the bars.
pub(super) fn bars(page: &mut Page, at: Area, all: &[Bar]) {
    let names = all
        .iter()
        .map(|b| NAME.width_mm(&b.name))
        .fold(0.0, f32::max)
        .min(at.w * if at.w < 120.0 { 0.47 } else { 0.36 })
        + 2.0;
    let values = all.iter().map(|b| VALUE.width_mm(&b.shown)).fold(0.0, f32::max) + 2.0;
    let room = (at.w - names - values).max(8.0);
    for (i, b) in all.iter().enumerate() {
        let y = at.y + i as f32 * BAR;
        let baseline = y + BAR * 0.5 + NAME.cap_mm() * 0.5;
        page.text(at.x, baseline, NAME, &cut(NAME, &b.name, names - 2.0));
        let whole = Area::new(at.x + names, y + 0.9, (room * b.length as f32).max(0.5), BAR - 1.8);
        let full = Area::new(whole.x, whole.y, whole.w * b.filled.clamp(0.0, 1.0) as f32, whole.h);
        page.fill(full, 0.0, Ink::Accent);
        page.outline(whole, 0.0, Ink::Black, 0.2);
        page.text(whole.right() + 1.5, baseline, VALUE, &b.shown);
    }
}

/// Animals of one age.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pyramid {
    pub(super) name: String,
    pub(super) ewes: usize,
    pub(super) rams: usize,
    pub(super) wethers: usize,
}

impl Pyramid {
    /// Those in the flock by whole years of age, the oldest first, and how many are of unknown age. From `old` years on
    /// they share a row.
    pub(super) fn of(flock: &Flock, today: Day, old: i64) -> (Vec<Self>, usize) {
        let mut all: Vec<Self> = (0..=old)
            .map(|age| {
                let name = match age {
                    0 => phrase!("under 1 year"),
                    1 => phrase!("1 year"),
                    n if n == old => phrase!("{n} years and over"),
                    n => phrase!("{n} years"),
                };
                Self { name, ewes: 0, rams: 0, wethers: 0 }
            })
            .collect();
        let mut unknown = 0;
        for f in flock.present() {
            let age = f.animal.age_days(today).map(|d| (d * 100 / 36_525).min(old));
            let row = age.and_then(|a| usize::try_from(a).ok()).and_then(|a| all.get_mut(a));
            match (row, f.animal.sex) {
                (None, _) => unknown += 1,
                (Some(row), Sex::Ewe) => row.ewes += 1,
                (Some(row), Sex::Ram) => row.rams += 1,
                (Some(row), Sex::Wether) => row.wethers += 1,
            }
        }
        while all.last().is_some_and(|r| r.ewes + r.rams + r.wethers == 0) {
            all.pop();
        }
        all.reverse();
        (all, unknown)
    }
}

/// Ewes to the left and rams and wethers to the right of the ages: ewes filled, rams filled in grey, wethers open.
pub(super) fn pyramid(page: &mut Page, at: Area, rows: &[Pyramid]) {
    let names = 30.0;
    let side = (at.w - names) / 2.0 - 12.0;
    let most = rows.iter().map(|r| r.ewes.max(r.rams + r.wethers)).max().unwrap_or(1).max(1);
    let long = |n: usize| side * n as f32 / most as f32;
    let middle = at.x + at.w / 2.0;
    let (left, right) = (middle - names / 2.0, middle + names / 2.0);
    let head = Look::new(Face::SansStrong, 8.8);
    page.text_right(left, at.y + 3.2, head, &said("Ewes"));
    let end = page.text(right, at.y + 3.2, head, &said("Rams"));
    page.text(end + 1.5, at.y + 3.2, FAINT, &said("and, open, wethers"));
    for (i, r) in rows.iter().enumerate() {
        let y = at.y + (i + 1) as f32 * AGE;
        let baseline = y + AGE * 0.5 + NAME.cap_mm() * 0.5;
        page.text_middle(middle, baseline, NAME, &r.name);
        let tall = AGE - 1.2;
        let ewes = long(r.ewes);
        page.fill(Area::new(left - ewes, y + 0.6, ewes, tall), 0.0, Ink::Accent);
        if r.ewes > 0 {
            page.text_right(left - ewes - 1.2, baseline, VALUE, &r.ewes.to_string());
        }
        let (rams, wethers) = (long(r.rams), long(r.wethers));
        page.fill(Area::new(right, y + 0.6, rams, tall), 0.0, Ink::Rule);
        if r.wethers > 0 {
            page.outline(Area::new(right + rams, y + 0.6, wethers, tall), 0.0, Ink::Black, 0.2);
        }
        let shown = match (r.rams, r.wethers) {
            (0, 0) => continue,
            (rams, 0) => rams.to_string(),
            (0, wethers) => phrase!("{wethers} wethers"),
            (rams, wethers) => format!("{rams} + {wethers}"),
        };
        page.text(right + rams + wethers + 1.2, baseline, VALUE, &shown);
    }
    let foot = at.y + (rows.len() + 1) as f32 * AGE;
    for x in [left, right] {
        page.line((x, at.y + AGE), (x, foot), 0.2, Ink::Rule);
    }
}
