//! Icons: a few of our own, drawn with the painter on a grid of 24 by 24.

use egui::epaint::PathShape;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2};

/// The things we have a picture of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Icon {
    /// A card for a lamb, with its hole.
    Card,
    /// The head of a ewe.
    Ewe,
    /// A syringe.
    Syringe,
    /// A scale.
    Scale,
    /// A page with lines.
    Page,
    /// The moon: tonight.
    Moon,
    /// A looking glass.
    Search,
    /// An arrow back.
    Undo,
    /// An arrow forth.
    Redo,
    /// A tick.
    Tick,
    /// A triangle: caution.
    Caution,
    /// A cross: close, remove.
    Cross,
    /// A plus: one more.
    Plus,
    /// A lamb: lambing.
    Lamb,
    /// Two rings: joining.
    Rings,
    /// A printer.
    Print,
    /// A line with events on it.
    Line,
    /// A leaf of a calendar.
    Calendar,
    /// A pedigree: one, its parents, theirs.
    Tree,
    /// The head of a ram with his horns.
    Ram,
    /// Bars on a line: figures.
    Bars,
    /// A trough with feed in it.
    Trough,
}

/// All of them, for the sample page.
pub const ALL: [Icon; 22] = [
    Icon::Card,
    Icon::Ewe,
    Icon::Syringe,
    Icon::Scale,
    Icon::Page,
    Icon::Moon,
    Icon::Search,
    Icon::Undo,
    Icon::Redo,
    Icon::Tick,
    Icon::Caution,
    Icon::Cross,
    Icon::Plus,
    Icon::Lamb,
    Icon::Rings,
    Icon::Print,
    Icon::Line,
    Icon::Calendar,
    Icon::Tree,
    Icon::Ram,
    Icon::Bars,
    Icon::Trough,
];

struct Pen<'a> {
    painter: &'a Painter,
    rect: Rect,
    stroke: Stroke,
}

impl Pen<'_> {
    fn at(&self, x: f32, y: f32) -> Pos2 {
        pos2(self.rect.left() + x / 24.0 * self.rect.width(), self.rect.top() + y / 24.0 * self.rect.height())
    }

    fn path(&self, points: &[(f32, f32)], closed: bool) {
        let points = points.iter().map(|&(x, y)| self.at(x, y)).collect();
        self.painter.add(Shape::Path(if closed {
            PathShape::closed_line(points, self.stroke)
        } else {
            PathShape::line(points, self.stroke)
        }));
    }

    fn line(&self, points: &[(f32, f32)]) {
        self.path(points, false);
    }

    fn shape(&self, points: &[(f32, f32)]) {
        self.path(points, true);
    }

    fn dot(&self, x: f32, y: f32, radius: f32) {
        let r = radius / 24.0 * self.rect.width();
        self.painter.circle_filled(self.at(x, y), r, self.stroke.color);
    }

    fn ring(&self, x: f32, y: f32, radius: f32) {
        let r = radius / 24.0 * self.rect.width();
        self.painter.circle_stroke(self.at(x, y), r, self.stroke);
    }

    /// Part of a circle; angles in degrees, clockwise from the right.
    fn arc(&self, centre: (f32, f32), radius: f32, from: f32, to: f32) {
        self.line(&arc(centre, radius, from, to));
    }
}

fn arc((x, y): (f32, f32), radius: f32, from: f32, to: f32) -> Vec<(f32, f32)> {
    const STEPS: u8 = 16;
    (0..=STEPS)
        .map(|i| {
            let angle = (from + (to - from) * f32::from(i) / f32::from(STEPS)).to_radians();
            (x + radius * angle.cos(), y + radius * angle.sin())
        })
        .collect()
}

/// Draws `icon` into the largest square in the middle of `rect`.
pub fn paint(icon: Icon, painter: &Painter, rect: Rect, colour: Color32) {
    let side = rect.width().min(rect.height());
    let rect = Rect::from_center_size(rect.center(), egui::Vec2::splat(side));
    let pen = Pen { painter, rect, stroke: Stroke::new((side / 24.0 * 1.8).max(1.2), colour) };
    match icon {
        Icon::Card => {
            pen.shape(&[(4., 8.), (9., 3.), (20., 3.), (20., 21.), (4., 21.)]);
            pen.ring(9.5, 8., 1.3);
            pen.line(&[(8., 13.), (16., 13.)]);
            pen.line(&[(8., 17.), (13., 17.)]);
        }
        Icon::Ewe => {
            // a woolly poll, hanging ears, a long face
            let mut poll = arc((8.3, 6.8), 2.6, 150., 285.);
            poll.extend(arc((12., 5.2), 2.8, 200., 340.));
            poll.extend(arc((15.7, 6.8), 2.6, 255., 390.));
            pen.line(&poll);
            pen.line(&[(6.4, 8.4), (2.2, 11.), (3., 13.8), (7.2, 11.6)]);
            pen.line(&[(17.6, 8.4), (21.8, 11.), (21., 13.8), (16.8, 11.6)]);
            pen.line(&[(6.9, 9.), (8.8, 17.), (10., 20.4), (14., 20.4), (15.2, 17.), (17.1, 9.)]);
            pen.dot(9.9, 12.2, 1.);
            pen.dot(14.1, 12.2, 1.);
            pen.line(&[(10.9, 17.2), (12., 18.2), (13.1, 17.2)]);
        }
        Icon::Lamb => {
            pen.line(&[(7.2, 15.5), (7.2, 21.)]);
            pen.line(&[(13.2, 15.5), (13.2, 21.)]);
            pen.shape(&fleece((10., 11.8), 6.6, 4.4));
            pen.dot(18.6, 8.2, 2.9);
            pen.line(&[(18., 6.6), (15.6, 4.8)]);
        }
        Icon::Syringe => {
            pen.line(&[(3., 21.), (7., 17.)]);
            pen.shape(&[(5.5, 14.5), (14., 6.), (18., 10.), (9.5, 18.5)]);
            pen.line(&[(16., 8.), (20., 4.)]);
            pen.line(&[(18., 2.5), (21.5, 6.)]);
            pen.line(&[(9.5, 10.5), (11.5, 12.5)]);
            pen.line(&[(12., 8.), (14., 10.)]);
        }
        Icon::Scale => {
            pen.line(&[(12., 3.), (12., 20.)]);
            pen.line(&[(7., 20.5), (17., 20.5)]);
            pen.line(&[(4., 6.), (20., 6.)]);
            pen.line(&[(1.5, 14.), (4., 6.), (6.5, 14.)]);
            pen.line(&[(17.5, 14.), (20., 6.), (22.5, 14.)]);
            pen.arc((4., 14.), 2.6, 0., 180.);
            pen.arc((20., 14.), 2.6, 0., 180.);
        }
        Icon::Page => {
            pen.shape(&[(5., 2.5), (15., 2.5), (19., 6.5), (19., 21.5), (5., 21.5)]);
            pen.line(&[(8.5, 10.), (15.5, 10.)]);
            pen.line(&[(8.5, 13.5), (15.5, 13.5)]);
            pen.line(&[(8.5, 17.), (13., 17.)]);
        }
        Icon::Moon => {
            let [outer, inner] = moon();
            pen.line(&outer);
            pen.line(&inner);
        }
        Icon::Search => {
            pen.ring(10.5, 10.5, 6.5);
            pen.line(&[(15.3, 15.3), (21.5, 21.5)]);
        }
        Icon::Undo => turn(&pen, |x| x),
        Icon::Redo => turn(&pen, |x| 24. - x),
        Icon::Tick => pen.line(&[(4., 12.5), (9.5, 18.5), (20.5, 5.5)]),
        Icon::Caution => {
            pen.shape(&[(12., 3.), (22., 20.5), (2., 20.5)]);
            pen.line(&[(12., 9.), (12., 14.5)]);
            pen.dot(12., 17.4, 1.2);
        }
        Icon::Cross => {
            pen.line(&[(5., 5.), (19., 19.)]);
            pen.line(&[(19., 5.), (5., 19.)]);
        }
        Icon::Plus => {
            pen.line(&[(12., 4.), (12., 20.)]);
            pen.line(&[(4., 12.), (20., 12.)]);
        }
        Icon::Rings => {
            pen.ring(8.5, 12., 6.);
            pen.ring(15.5, 12., 6.);
        }
        Icon::Line => {
            pen.line(&[(2., 17.), (22., 17.)]);
            pen.line(&[(2., 13.), (8., 9.), (14., 10.5), (22., 4.)]);
            for x in [6., 12., 18.] {
                pen.dot(x, 17., 2.2);
            }
        }
        Icon::Calendar => {
            pen.shape(&[(3.5, 5.), (20.5, 5.), (20.5, 21.), (3.5, 21.)]);
            pen.line(&[(3.5, 10.), (20.5, 10.)]);
            pen.line(&[(8., 2.5), (8., 6.5)]);
            pen.line(&[(16., 2.5), (16., 6.5)]);
            pen.line(&[(8., 15.5), (11., 18.), (16., 13.)]);
        }
        Icon::Tree => {
            pen.line(&[(3., 12.), (8., 12.)]);
            pen.line(&[(13., 6.), (8., 6.), (8., 18.), (13., 18.)]);
            for (x, y) in [(15., 6.), (15., 18.)] {
                pen.dot(x, y, 2.2);
            }
            pen.line(&[(21., 3.), (18., 3.), (18., 9.), (21., 9.)]);
            pen.line(&[(21., 15.), (18., 15.), (18., 21.), (21., 21.)]);
        }
        Icon::Ram => {
            pen.line(&[(9., 8.), (9., 15.), (12., 20.), (15., 15.), (15., 8.), (12., 6.5), (9., 8.)]);
            pen.line(&[(9., 8.), (6., 5.), (3., 7.), (3., 11.), (5.5, 12.5), (7., 10.5)]);
            pen.line(&[(15., 8.), (18., 5.), (21., 7.), (21., 11.), (18.5, 12.5), (17., 10.5)]);
        }
        Icon::Bars => {
            pen.line(&[(3., 20.), (21., 20.)]);
            for (x, y) in [(6., 13.), (12., 5.), (18., 9.)] {
                pen.line(&[(x - 1.7, 20.), (x - 1.7, y), (x + 1.7, y), (x + 1.7, 20.)]);
            }
        }
        Icon::Trough => {
            pen.line(&[(3., 11.), (5., 18.), (19., 18.), (21., 11.), (3., 11.)]);
            pen.line(&[(6., 11.), (9., 8.), (12., 6.5), (15., 8.), (18., 11.)]);
            pen.line(&[(7., 18.), (6., 21.)]);
            pen.line(&[(17., 18.), (18., 21.)]);
        }
        Icon::Print => {
            pen.line(&[(7., 8.), (7., 3.), (17., 3.), (17., 8.)]);
            pen.line(&[(7., 16.), (3., 16.), (3., 8.), (21., 8.), (21., 16.), (17., 16.)]);
            pen.shape(&[(7., 13.), (17., 13.), (17., 21.), (7., 21.)]);
        }
    }
}

/// A sickle: most of a circle, closed by the near side of a second one through its two ends.
fn moon() -> [Vec<(f32, f32)>; 2] {
    const SECOND: (f32, f32) = (17.0, 8.0);
    // Ends that lie alike to the line between the two centres, which runs 38.7 degrees upwards.
    let edge = arc((11.0, 12.8), 9.0, -38.7 + 62.0, -38.7 + 298.0);
    let (first, last) = (edge[0], edge[edge.len() - 1]);
    let angle = |p: (f32, f32)| (p.1 - SECOND.1).atan2(p.0 - SECOND.0).to_degrees();
    let radius = (last.0 - SECOND.0).hypot(last.1 - SECOND.1);
    let (from, mut to) = (angle(last).rem_euclid(360.0), angle(first).rem_euclid(360.0));
    if to > from {
        to -= 360.0;
    }
    let near = arc(SECOND, radius, from, to);
    [edge, near]
}

/// The outline of a fleece: an ellipse with nine curls.
fn fleece((x, y): (f32, f32), wide: f32, high: f32) -> Vec<(f32, f32)> {
    (0..72_u8)
        .map(|i| {
            let angle = f32::from(i) * 5.0_f32.to_radians();
            let curl = 0.92 + 0.16 * (4.5 * angle).sin().abs();
            (x + wide * curl * angle.cos(), y + high * curl * angle.sin())
        })
        .collect()
}

fn turn(pen: &Pen<'_>, flip: impl Fn(f32) -> f32) {
    let flipped = |points: &[(f32, f32)]| points.iter().map(|&(x, y)| (flip(x), y)).collect::<Vec<_>>();
    let mut back = vec![(3.5, 9.)];
    back.extend(arc((14., 14.5), 5.5, 270., 450.));
    back.push((8., 20.));
    pen.line(&flipped(&back));
    pen.line(&flipped(&[(8., 4.5), (3.5, 9.), (8., 13.5)]));
}
