//! What a picture is before it is written: shapes and words at fixed places.

use crate::papers::sheet::{Area, Face, Ink, MM_PER_PT, Mark, Page};

/// Red, green, blue and how much it covers, 0 to 255 each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub [u8; 4]);

impl Colour {
    /// The ground of paper.
    pub const WHITE: Self = Self([0xff; 4]);

    /// It cannot be seen.
    pub fn is_clear(self) -> bool {
        self.0[3] == 0
    }
}

impl From<Ink> for Colour {
    fn from(ink: Ink) -> Self {
        let [r, g, b] = ink.rgb();
        Self([r, g, b, 0xff])
    }
}

/// In what places and sizes are measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres: pages.
    Millimetre,
    /// Points of the screen, 96 to the inch: drawings of the window.
    Screen,
}

impl Unit {
    /// How many go to an inch.
    pub fn to_the_inch(self) -> f32 {
        match self {
            Self::Millimetre => 25.4,
            Self::Screen => 96.0,
        }
    }

    /// As CSS has it (CSS Values and Units, absolute lengths: 96 px are one inch).
    pub fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Screen => "px",
        }
    }
}

/// One move of the pen along an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Begin here.
    Move(f32, f32),
    /// A straight line to here.
    Line(f32, f32),
    /// A cubic Bézier curve: both handles, then the end.
    Curve([f32; 6]),
    /// Back to where it began.
    Close,
}

/// How an outline is stroked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Its colour.
    pub colour: Colour,
    /// Its width.
    pub width: f32,
    /// Dash and gap; none is a full line.
    pub dash: Option<(f32, f32)>,
}

/// An outline: filled, stroked or both.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Its outline.
    pub steps: Vec<Step>,
    /// The colour inside, if any.
    pub fill: Option<Colour>,
    /// Its stroke, if any.
    pub pen: Option<Pen>,
}

/// A run of words of one face on one baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Where it begins, on the baseline.
    pub at: (f32, f32),
    /// Type size.
    pub size: f32,
    /// The face.
    pub face: Face,
    /// The colour.
    pub colour: Colour,
    /// The words.
    pub text: String,
    /// Where each character begins, from `at`; empty takes the widths of the face, as papers do.
    pub places: Vec<f32>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A shape.
    Shape(Shape),
    /// Words.
    Words(Words),
    /// Things of which only what lies in left, top, width, height is seen.
    Within([f32; 4], Vec<Item>),
}

/// A whole picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it is called.
    pub title: String,
    /// What it shows, in a sentence or two, for those who do not see it; may be empty.
    pub said: String,
    /// In what it is measured.
    pub unit: Unit,
    /// Width and height.
    pub size: (f32, f32),
    /// What lies under everything.
    pub ground: Colour,
    /// What is drawn, in painting order.
    pub items: Vec<Item>,
}

impl Drawing {
    /// An empty one.
    pub fn new(title: impl Into<String>, unit: Unit, size: (f32, f32)) -> Self {
        Self {
            title: title.into(),
            said: String::new(),
            unit,
            size,
            ground: Colour::WHITE,
            items: Vec::new(),
        }
    }

    /// A page as it prints.
    pub fn of_page(page: &Page, title: &str) -> Self {
        Self::of_part(page, Area::new(0.0, 0.0, page.width_mm, page.height_mm), title)
    }

    /// A part of a page; what reaches over its edge is cut off.
    pub fn of_part(page: &Page, part: Area, title: &str) -> Self {
        let mut drawing = Self::new(title, Unit::Millimetre, (part.w, part.h));
        let (dx, dy) = (-part.x, -part.y);
        drawing.items = page.marks.iter().map(|mark| item(mark, dx, dy)).collect();
        drawing
    }
}

fn item(mark: &Mark, dx: f32, dy: f32) -> Item {
    match mark {
        Mark::Text { x_mm, baseline_mm, size_pt, face, ink, text } => Item::Words(Words {
            at: (x_mm + dx, baseline_mm + dy),
            size: size_pt * MM_PER_PT,
            face: *face,
            colour: (*ink).into(),
            text: text.clone(),
            places: Vec::new(),
        }),
        Mark::Line { from, to, width_mm, dash, ink } => Item::Shape(Shape {
            steps: vec![Step::Move(from.0 + dx, from.1 + dy), Step::Line(to.0 + dx, to.1 + dy)],
            fill: None,
            pen: Some(Pen { colour: (*ink).into(), width: *width_mm, dash: *dash }),
        }),
        Mark::Box { x_mm, y_mm, w_mm, h_mm, radius_mm, fill, stroke } => Item::Shape(Shape {
            steps: rectangle([x_mm + dx, y_mm + dy, *w_mm, *h_mm], *radius_mm),
            fill: fill.map(Colour::from),
            pen: stroke.map(|(ink, width)| Pen { colour: ink.into(), width, dash: None }),
        }),
        Mark::Tiles { tiles, ink } => Item::Shape(Shape {
            steps: tiles.iter().flat_map(|[x, y, w, h]| rectangle([x + dx, y + dy, *w, *h], 0.0)).collect(),
            fill: Some((*ink).into()),
            pen: None,
        }),
    }
}

/// How far the handles of a quarter circle stand from its ends, of the radius.
const HANDLE: f32 = 0.552_284_8;

/// The outline of a rectangle of left, top, width, height, its corners of this radius.
pub fn rectangle([x, y, w, h]: [f32; 4], radius: f32) -> Vec<Step> {
    let r = radius.min(w / 2.0).min(h / 2.0);
    let (right, bottom) = (x + w, y + h);
    if r.is_nan() || r <= 0.0 {
        return vec![
            Step::Move(x, y),
            Step::Line(right, y),
            Step::Line(right, bottom),
            Step::Line(x, bottom),
            Step::Close,
        ];
    }
    let k = r * (1.0 - HANDLE);
    vec![
        Step::Move(x + r, y),
        Step::Line(right - r, y),
        Step::Curve([right - k, y, right, y + k, right, y + r]),
        Step::Line(right, bottom - r),
        Step::Curve([right, bottom - k, right - k, bottom, right - r, bottom]),
        Step::Line(x + r, bottom),
        Step::Curve([x + k, bottom, x, bottom - k, x, bottom - r]),
        Step::Line(x, y + r),
        Step::Curve([x, y + k, x + k, y, x + r, y]),
        Step::Close,
    ]
}

/// The outline of an ellipse about a middle.
pub fn ellipse((x, y): (f32, f32), (rx, ry): (f32, f32)) -> Vec<Step> {
    let (kx, ky) = (rx * HANDLE, ry * HANDLE);
    vec![
        Step::Move(x + rx, y),
        Step::Curve([x + rx, y + ky, x + kx, y + ry, x, y + ry]),
        Step::Curve([x - kx, y + ry, x - rx, y + ky, x - rx, y]),
        Step::Curve([x - rx, y - ky, x - kx, y - ry, x, y - ry]),
        Step::Curve([x + kx, y - ry, x + rx, y - ky, x + rx, y]),
        Step::Close,
    ]
}
