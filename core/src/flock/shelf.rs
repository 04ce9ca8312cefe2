//! The shelf of animal files: numbered places in shared blocks, so that a new version of a flock of a
//! hundred thousand shares all but the touched blocks with the old one.

use super::record::AnimalFile;
use std::sync::Arc;

const BLOCK: usize = 128;

/// Files that stand together; a write makes those anew that it touches.
pub(crate) type Block = Arc<Vec<Option<AnimalFile>>>;

/// Files by place; a removed file leaves an empty place.
#[derive(Debug, Clone, Default)]
pub(crate) struct Shelf {
    blocks: Vec<Block>,
}

impl Shelf {
    pub(crate) fn get(&self, place: u32) -> Option<&AnimalFile> {
        let place = place as usize;
        self.blocks.get(place / BLOCK)?.get(place % BLOCK)?.as_ref()
    }

    pub(crate) fn push(&mut self, file: AnimalFile) -> u32 {
        if self.blocks.last().is_none_or(|b| b.len() == BLOCK) {
            self.blocks.push(Arc::new(Vec::with_capacity(BLOCK)));
        }
        let at = self.blocks.len() - 1;
        let block = Arc::make_mut(&mut self.blocks[at]);
        block.push(Some(file));
        (at * BLOCK + block.len() - 1) as u32
    }

    pub(crate) fn set(&mut self, place: u32, file: Option<AnimalFile>) {
        let place = place as usize;
        if let Some(block) = self.blocks.get_mut(place / BLOCK)
            && let Some(slot) = Arc::make_mut(block).get_mut(place % BLOCK)
        {
            *slot = file;
        }
    }

    /// Every file of a shelf that no other version of the flock shares yet.
    pub(crate) fn iter_mut(&mut self) -> impl Iterator<Item = &mut AnimalFile> {
        self.blocks.iter_mut().filter_map(Arc::get_mut).flatten().flatten()
    }

    /// The blocks in order; one that is the same in two versions holds the same files.
    pub(crate) fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = &AnimalFile> {
        self.blocks.iter().flat_map(|b| b.iter()).flatten()
    }
}
