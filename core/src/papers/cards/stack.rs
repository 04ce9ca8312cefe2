//! Blocks one under another, shrunk together until they fit, spread out if there is room to spare.

use crate::papers::sheet::{Area, Page};

/// Shares of the full type size that are tried, largest first. Two thirds of the smallest card's facts is 5.5 pt:
/// small, but only for the longest names, and still readable.
const SCALES: [f32; 8] = [1.0, 0.96, 0.92, 0.88, 0.84, 0.78, 0.72, SMALLEST];

/// The last scale tried.
pub(crate) const SMALLEST: f32 = 0.66;

/// A part of a card that knows its height at any width and scale.
pub(crate) trait Block {
    /// Height at this width and scale.
    fn height(&self, width: f32, scale: f32) -> f32;

    /// How much taller it would like to be, at most.
    fn stretch(&self, _width: f32, _scale: f32) -> f32 {
        0.0
    }

    /// Paints itself; `area` is as tall as [`Block::height`] or, where it stretches, up to that much taller.
    fn paint(&self, page: &mut Page, area: Area, scale: f32);
}

/// Blocks from top to bottom.
#[derive(Default)]
pub(crate) struct Stack {
    blocks: Vec<Box<dyn Block>>,
    gap: f32,
    /// Spare room goes before this block, so that it and those after it stand at the foot.
    foot: Option<usize>,
}

impl Stack {
    pub fn new(gap: f32) -> Self {
        Stack { blocks: Vec::new(), gap, foot: None }
    }

    pub fn add(&mut self, block: impl Block + 'static) {
        self.blocks.push(Box::new(block));
    }

    /// The blocks from here on stand at the foot of the card.
    pub fn foot(&mut self) {
        self.foot = Some(self.blocks.len());
    }

    /// The largest scale at which all fits, if any does.
    pub fn scale_for(&self, width: f32, height: f32) -> Option<f32> {
        SCALES.into_iter().find(|scale| self.height(width, *scale) <= height + 0.01)
    }

    /// Paints with spare room shared out.
    pub fn paint_spread(&self, page: &mut Page, area: Area, scale: f32) {
        self.paint(page, area, scale);
    }

    fn heights(&self, width: f32, scale: f32) -> Vec<f32> {
        self.blocks.iter().map(|block| block.height(width, scale)).collect()
    }

    fn gaps(&self, heights: &[f32], scale: f32) -> f32 {
        let shown = heights.iter().filter(|h| **h > 0.0).count();
        shown.saturating_sub(1) as f32 * self.gap * scale
    }
}

impl Block for Stack {
    fn height(&self, width: f32, scale: f32) -> f32 {
        let heights = self.heights(width, scale);
        heights.iter().sum::<f32>() + self.gaps(&heights, scale)
    }

    fn stretch(&self, _width: f32, _scale: f32) -> f32 {
        f32::INFINITY
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let heights = self.heights(area.w, scale);
        let mut spare = area.h - heights.iter().sum::<f32>() - self.gaps(&heights, scale);
        let wishes: Vec<f32> = self.blocks.iter().map(|b| b.stretch(area.w, scale)).collect();
        // Blocks with a bounded wish come first, in proportion; what is left goes to the unbounded ones.
        let bounded: f32 = wishes.iter().filter(|w| w.is_finite()).sum();
        let share = if bounded > 0.0 { (spare / bounded).clamp(0.0, 1.0) } else { 0.0 };
        spare = (spare - bounded * share).max(0.0);
        let greedy = wishes.iter().filter(|w| w.is_infinite()).count();
        let mut y = area.y;
        for (i, (block, wish)) in self.blocks.iter().zip(&wishes).enumerate() {
            let mut tall = heights[i];
            if wish.is_finite() {
                tall += wish * share;
            } else {
                tall += spare / greedy as f32;
            }
            if greedy == 0 && self.foot == Some(i) {
                y += spare;
            }
            block.paint(page, Area::new(area.x, y, area.w, tall), scale);
            if heights[i] > 0.0 || tall > 0.0 {
                y += tall + self.gap * scale;
            }
        }
    }
}

/// Two stacks side by side.
pub(crate) struct Side {
    pub left: Stack,
    pub right: Stack,
    /// The left one's share of the width.
    pub share: f32,
    /// Millimetres between them.
    pub gutter: f32,
}

impl Side {
    fn widths(&self, width: f32) -> (f32, f32) {
        let left = (width - self.gutter) * self.share;
        (left, width - self.gutter - left)
    }
}

impl Block for Side {
    fn height(&self, width: f32, scale: f32) -> f32 {
        let (left, right) = self.widths(width);
        self.left.height(left, scale).max(self.right.height(right, scale))
    }

    fn stretch(&self, _width: f32, _scale: f32) -> f32 {
        f32::INFINITY
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let (left, right) = self.widths(area.w);
        self.left.paint(page, Area::new(area.x, area.y, left, area.h), scale);
        self.right.paint(page, Area::new(area.right() - right, area.y, right, area.h), scale);
    }
}
