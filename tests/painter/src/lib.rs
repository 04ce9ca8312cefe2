//! Painter: draws a page of the window into a picture by the CPU alone, so that pictures need no display,
//! driver or graphics card. Same triangles as the window; slow and plain on purpose.

use std::collections::HashMap;
use std::mem;

use egui::epaint::{ColorImage, ImageData, ImageDelta, Primitive, Vertex};
use egui::{Color32, Context, FullOutput, Pos2, Rect, TextureId, TexturesDelta};
use image::{Rgba, RgbaImage};

/// Holds the textures (fonts, pictures) between frames.
#[derive(Default)]
pub struct Painter {
    textures: HashMap<TextureId, ColorImage>,
}

impl Painter {
    /// Takes over new and changed textures, drops the freed ones.
    pub fn update(&mut self, delta: &mut TexturesDelta) {
        for (id, patches) in mem::take(&mut delta.set) {
            for patch in patches {
                self.put(id, &patch);
            }
        }
        for id in mem::take(&mut delta.free) {
            self.textures.remove(&id);
        }
    }

    fn put(&mut self, id: TextureId, delta: &ImageDelta) {
        let ImageData::Color(patch) = &delta.image;
        let Some([left, top]) = delta.pos else {
            self.textures.insert(id, ColorImage::clone(patch));
            return;
        };
        if let Some(whole) = self.textures.get_mut(&id) {
            let (width, stride) = (patch.size[0], whole.size[0]);
            for (row, line) in patch.pixels.chunks(width).enumerate() {
                let start = (top + row) * stride + left;
                whole.pixels[start..start + width].copy_from_slice(line);
            }
        }
    }

    /// Paints what one frame put out. Errors: a mesh that asks for a texture we were never given.
    pub fn paint(&self, ctx: &Context, out: &FullOutput) -> Result<RgbaImage, String> {
        let scale = out.pixels_per_point;
        let size = ctx.viewport_rect().size() * scale;
        let ground = ctx.global_style().visuals.panel_fill;
        let mut canvas = Canvas::new(size.x.round() as usize, size.y.round() as usize, ground);
        for piece in ctx.tessellate(out.shapes.clone(), scale) {
            let Primitive::Mesh(mesh) = piece.primitive else { continue };
            let texture = self
                .textures
                .get(&mesh.texture_id)
                .ok_or_else(|| format!("the page uses texture {:?}, which was never set", mesh.texture_id))?;
            canvas.clip(piece.clip_rect, scale);
            for corners in mesh.indices.chunks_exact(3) {
                let corner = |i: usize| {
                    let Vertex { pos, uv, color } = mesh.vertices[corners[i] as usize];
                    Vertex { pos: (pos.to_vec2() * scale).to_pos2(), uv, color }
                };
                canvas.triangle([corner(0), corner(1), corner(2)], texture);
            }
        }
        Ok(canvas.into_image())
    }
}

impl egui_kittest::TestRenderer for Painter {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        self.update(delta);
    }

    fn render(&mut self, ctx: &Context, out: &FullOutput) -> Result<RgbaImage, String> {
        self.paint(ctx, out)
    }
}

struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
    /// What may be painted: left, top, right, bottom in whole pixels.
    bounds: [usize; 4],
}

impl Canvas {
    fn new(width: usize, height: usize, ground: Color32) -> Self {
        Self { width, height, pixels: vec![ground; width * height], bounds: [0, 0, width, height] }
    }

    fn clip(&mut self, rect: Rect, scale: f32) {
        let whole = |v: f32, most: usize| (v * scale).round().clamp(0.0, most as f32) as usize;
        self.bounds = [
            whole(rect.min.x, self.width),
            whole(rect.min.y, self.height),
            whole(rect.max.x, self.width),
            whole(rect.max.y, self.height),
        ];
    }

    /// Fills a triangle by the top-left rule, so that neighbours neither overlap nor leave a gap.
    fn triangle(&mut self, mut v: [Vertex; 3], texture: &ColorImage) {
        let mut area = cross(v[0].pos, v[1].pos, v[2].pos);
        if area == 0.0 || !area.is_finite() {
            return;
        }
        if area < 0.0 {
            v.swap(1, 2);
            area = -area;
        }
        let edges =
            [Edge::new(v[1].pos, v[2].pos), Edge::new(v[2].pos, v[0].pos), Edge::new(v[0].pos, v[1].pos)];
        let flat =
            v[0].color == v[1].color && v[1].color == v[2].color && v[0].uv == v[1].uv && v[1].uv == v[2].uv;
        let flat = flat.then(|| times(v[0].color, sample(texture, v[0].uv)));
        let lowest = v.iter().map(|v| v.pos.y).fold(f32::INFINITY, f32::min);
        let highest = v.iter().map(|v| v.pos.y).fold(f32::NEG_INFINITY, f32::max);
        let [left, top, right, bottom] = self.bounds;
        let top = top.max(lowest.floor().max(0.0) as usize);
        let bottom = bottom.min((highest.ceil().max(0.0) as usize) + 1);
        for row in top..bottom {
            let y = row as f64 + 0.5;
            let (mut from, mut to) = (left as f64, right as f64);
            for edge in &edges {
                edge.narrow(y, &mut from, &mut to);
            }
            if from >= to {
                continue;
            }
            for column in (from as usize)..(to as usize).min(right) {
                let x = column as f64 + 0.5;
                let weights = [edges[0].at(x, y), edges[1].at(x, y), edges[2].at(x, y)];
                if edges.iter().zip(weights).any(|(edge, w)| w < 0.0 || (w == 0.0 && !edge.top_left)) {
                    continue;
                }
                let source = flat.unwrap_or_else(|| {
                    let part = weights.map(|w| (w / area) as f32);
                    times(mix(&v, part), sample(texture, point(&v, part)))
                });
                let pixel = &mut self.pixels[row * self.width + column];
                *pixel = over(source, *pixel);
            }
        }
    }

    fn into_image(self) -> RgbaImage {
        let mut image = RgbaImage::new(self.width as u32, self.height as u32);
        for (to, from) in image.pixels_mut().zip(&self.pixels) {
            *to = Rgba([from.r(), from.g(), from.b(), 255]);
        }
        image
    }
}

/// One side of a triangle, as the function that is positive inside.
struct Edge {
    a: f64,
    b: f64,
    c: f64,
    top_left: bool,
}

impl Edge {
    fn new(from: Pos2, to: Pos2) -> Self {
        let (x0, y0, x1, y1) = (f64::from(from.x), f64::from(from.y), f64::from(to.x), f64::from(to.y));
        let (a, b) = (y0 - y1, x1 - x0);
        Self { a, b, c: -(a * x0 + b * y0), top_left: a > 0.0 || (a == 0.0 && b > 0.0) }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        self.a * x + self.b * y + self.c
    }

    /// Narrows the columns of a row to those that may lie inside (one to spare on each side).
    fn narrow(&self, y: f64, from: &mut f64, to: &mut f64) {
        if self.a == 0.0 {
            if self.b * y + self.c < 0.0 {
                *to = *from;
            }
            return;
        }
        let x = -(self.b * y + self.c) / self.a;
        if self.a > 0.0 {
            *from = from.max((x - 1.5).floor());
        } else {
            *to = to.min((x + 1.5).ceil());
        }
    }
}

fn cross(a: Pos2, b: Pos2, c: Pos2) -> f64 {
    let d = |p: f32, q: f32| f64::from(p) - f64::from(q);
    d(b.x, a.x) * d(c.y, a.y) - d(b.y, a.y) * d(c.x, a.x)
}

fn mix(v: &[Vertex; 3], part: [f32; 3]) -> Color32 {
    let channel = |i: usize| {
        let sum: f32 = (0..3).map(|k| f32::from(v[k].color[i]) * part[k]).sum();
        (sum + 0.5).clamp(0.0, 255.0) as u8
    };
    Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
}

fn point(v: &[Vertex; 3], part: [f32; 3]) -> Pos2 {
    let sum = |f: fn(&Vertex) -> f32| (0..3).map(|k| f(&v[k]) * part[k]).sum();
    Pos2::new(sum(|v| v.uv.x), sum(|v| v.uv.y))
}

/// Reads a texture between its four nearest points; outside, its edge goes on.
fn sample(texture: &ColorImage, uv: Pos2) -> Color32 {
    let [width, height] = texture.size;
    let (x, y) = (uv.x * width as f32 - 0.5, uv.y * height as f32 - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (fx, fy) = (x - left, y - top);
    let texel = |dx: f32, dy: f32| {
        let column = (left + dx).clamp(0.0, width as f32 - 1.0) as usize;
        let row = (top + dy).clamp(0.0, height as f32 - 1.0) as usize;
        texture.pixels[row * width + column]
    };
    let four = [texel(0.0, 0.0), texel(1.0, 0.0), texel(0.0, 1.0), texel(1.0, 1.0)];
    if four[1..].iter().all(|t| *t == four[0]) {
        return four[0];
    }
    let part = [(1.0 - fx) * (1.0 - fy), fx * (1.0 - fy), (1.0 - fx) * fy, fx * fy];
    let channel = |i: usize| {
        let sum: f32 = (0..4).map(|k| f32::from(four[k][i]) * part[k]).sum();
        (sum + 0.5).clamp(0.0, 255.0) as u8
    };
    Color32::from_rgba_premultiplied(channel(0), channel(1), channel(2), channel(3))
}

/// `a * b / 255`, rounded.
fn part_of(a: u8, b: u8) -> u8 {
    ((u32::from(a) * u32::from(b) + 127) / 255) as u8
}

fn times(a: Color32, b: Color32) -> Color32 {
    if b == Color32::WHITE {
        return a;
    }
    let f = |i: usize| part_of(a[i], b[i]);
    Color32::from_rgba_premultiplied(f(0), f(1), f(2), f(3))
}

/// Premultiplied source-over, in the same (gamma) space as the window.
fn over(source: Color32, under: Color32) -> Color32 {
    if source.a() == 255 {
        return source;
    }
    let rest = 255 - source.a();
    let f = |i: usize| source[i].saturating_add(part_of(under[i], rest));
    Color32::from_rgba_premultiplied(f(0), f(1), f(2), f(3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn square(canvas: &mut Canvas, from: f32, to: f32, colour: Color32) {
        let white = ColorImage::filled([1, 1], Color32::WHITE);
        let at = |x, y| Vertex { pos: pos2(x, y), uv: Pos2::ZERO, color: colour };
        canvas.triangle([at(from, from), at(to, from), at(from, to)], &white);
        canvas.triangle([at(to, from), at(to, to), at(from, to)], &white);
    }

    #[test]
    fn two_triangles_cover_each_pixel_once() {
        let half = Color32::from_rgba_premultiplied(0, 0, 0, 128);
        let mut canvas = Canvas::new(8, 8, Color32::WHITE);
        square(&mut canvas, 2.0, 6.0, half);
        for (i, pixel) in canvas.pixels.iter().enumerate() {
            let inside = (2..6).contains(&(i % 8)) && (2..6).contains(&(i / 8));
            // Painted twice it would be darker, left out it would be white.
            assert_eq!(pixel.r(), if inside { 127 } else { 255 }, "pixel {i}");
        }
    }

    #[test]
    fn nothing_outside_the_clip_rect() {
        let mut canvas = Canvas::new(8, 8, Color32::WHITE);
        canvas.clip(Rect::from_min_max(pos2(0.0, 0.0), pos2(3.0, 8.0)), 1.0);
        square(&mut canvas, 0.0, 8.0, Color32::BLACK);
        assert_eq!(canvas.pixels.iter().filter(|p| **p == Color32::BLACK).count(), 24);
    }
}
