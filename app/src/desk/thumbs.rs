//! Small pictures of kept ones: read in the book, made small off the window's thread, kept as textures, few at a time.

use super::worker::Job;
use hirsel_core::book::Book;
use hirsel_core::flock::{Document, Flock, Sha};
use hirsel_core::terms::DocumentId;
use std::collections::{HashMap, VecDeque};

/// The long side, in pixels.
const SIDE: u32 = 320;
/// So many are kept: 320 × 320 pixels of four bytes each make 20 MB.
const MOST: usize = 48;
/// So many are read at once.
const AT_ONCE: usize = 2;

/// A small picture, as far as it is there.
pub enum Thumb<'a> {
    /// It can be drawn.
    There(&'a egui::TextureHandle),
    /// It is no picture, or cannot be read.
    Unreadable,
    /// It was not read yet: ask for it.
    Wanting,
}

type Pixels = Option<(u32, u32, Vec<u8>)>;

/// The small pictures of a book.
#[derive(Default)]
pub struct Thumbs {
    made: HashMap<Sha, Option<egui::TextureHandle>>,
    /// The newest last.
    order: VecDeque<Sha>,
    jobs: Vec<(Sha, Job<Pixels>)>,
}

impl Thumbs {
    /// The small picture of a kept one.
    pub fn get(&self, d: &Document) -> Thumb<'_> {
        match self.made.get(&d.sha) {
            Some(Some(texture)) => Thumb::There(texture),
            Some(None) => Thumb::Unreadable,
            None if d.is_picture() => Thumb::Wanting,
            None => Thumb::Unreadable,
        }
    }

    /// Begins to read some of those that are wanted; the others are asked for again when these are there.
    pub(super) fn want(&mut self, ctx: &egui::Context, book: &Book, flock: &Flock, wanted: &[DocumentId]) {
        for d in wanted.iter().filter_map(|id| flock.documents().get(*id)) {
            if self.jobs.len() >= AT_ONCE {
                return;
            }
            if self.made.contains_key(&d.sha) || self.jobs.iter().any(|(sha, _)| *sha == d.sha) {
                continue;
            }
            match book.document(d.id) {
                Ok(Some(bytes)) => {
                    let work = move |_: &_| hirsel_core::exchange::picture_in::thumbnail(&bytes, SIDE);
                    self.jobs.push((d.sha, Job::start(ctx, work)));
                }
                Ok(None) | Err(_) => self.put(d.sha, None),
            }
        }
    }

    /// Takes in what is made.
    pub(super) fn poll(&mut self, ctx: &egui::Context) {
        let mut made = Vec::new();
        self.jobs.retain(|(sha, job)| match job.answer() {
            None => true,
            Some(answer) => {
                made.push((*sha, answer.ok().flatten()));
                false
            }
        });
        for (sha, pixels) in made {
            let texture = pixels.map(|(width, height, rgba)| {
                let image =
                    egui::ColorImage::from_rgba_unmultiplied([width as usize, height as usize], &rgba);
                ctx.load_texture("kept picture", image, egui::TextureOptions::LINEAR)
            });
            self.put(sha, texture);
        }
    }

    fn put(&mut self, sha: Sha, texture: Option<egui::TextureHandle>) {
        self.made.insert(sha, texture);
        self.order.push_back(sha);
        while self.order.len() > MOST {
            if let Some(old) = self.order.pop_front() {
                self.made.remove(&old);
            }
        }
    }
}
