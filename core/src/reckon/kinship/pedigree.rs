//! A pedigree as places: parents before children, each with the places of its sire and dam.

/// No parent known.
pub const NONE: u32 = u32::MAX;

/// A pedigree in order: every animal stands after its parents.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Pedigree {
    /// Places of sire and dam, or [`NONE`].
    parents: Vec<[u32; 2]>,
}

/// Animals that are their own ancestors: each is a child of the next, the last of the first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circle(pub Vec<u32>);

impl Pedigree {
    /// A pedigree of parents given as places in any order, with the new place of each animal.
    ///
    /// # Errors
    /// An animal is its own ancestor: the animals of the circle, in the places given.
    ///
    /// # Panics
    /// A parent's place is beyond the list.
    pub fn ordered(given: &[[u32; 2]]) -> Result<(Self, Vec<u32>), Circle> {
        let mut place = vec![NONE; given.len()];
        let mut parents = Vec::with_capacity(given.len());
        // Depth first, by hand: a pedigree may be a hundred thousand generations deep.
        let mut open = vec![false; given.len()];
        let mut stack: Vec<u32> = Vec::new();
        for start in 0..given.len() {
            stack.push(start as u32);
            while let Some(&at) = stack.last() {
                let i = at as usize;
                if place[i] != NONE {
                    stack.pop();
                    continue;
                }
                open[i] = true;
                let waiting = given[i].iter().find(|p| **p != NONE && place[**p as usize] == NONE);
                match waiting {
                    Some(p) if open[*p as usize] => return Err(circle(given, *p)),
                    Some(p) => stack.push(*p),
                    None => {
                        let of = given[i].map(|p| if p == NONE { NONE } else { place[p as usize] });
                        place[i] = parents.len() as u32;
                        parents.push(of);
                        open[i] = false;
                        stack.pop();
                    }
                }
            }
        }
        Ok((Self { parents }, place))
    }

    /// How many animals.
    pub fn len(&self) -> usize {
        self.parents.len()
    }

    /// None at all.
    pub fn is_empty(&self) -> bool {
        self.parents.is_empty()
    }

    /// Sire and dam of each animal, by place.
    pub fn parents(&self) -> &[[u32; 2]] {
        &self.parents
    }

    /// One more animal, after all others; its place.
    pub fn push(&mut self, sire: u32, dam: u32) -> u32 {
        self.parents.push([sire, dam]);
        (self.parents.len() - 1) as u32
    }

    /// Other parents of an animal, which must stand before it.
    pub(super) fn set(&mut self, animal: u32, sire: u32, dam: u32) {
        self.parents[animal as usize] = [sire, dam];
    }

    /// The pedigree of these animals and their ancestors alone, and the old place of each of it, in order.
    pub fn above(&self, set: &[u32]) -> (Self, Vec<u32>) {
        let mut new = vec![NONE; self.len()];
        for i in set {
            new[*i as usize] = 0;
        }
        for i in (0..self.len()).rev() {
            if new[i] == 0 {
                for p in self.parents[i].into_iter().filter(|p| *p != NONE) {
                    new[p as usize] = 0;
                }
            }
        }
        let (mut parents, mut old) = (Vec::new(), Vec::new());
        for i in 0..self.len() {
            if new[i] == 0 {
                new[i] = old.len() as u32;
                old.push(i as u32);
                parents.push(self.parents[i].map(|p| if p == NONE { NONE } else { new[p as usize] }));
            }
        }
        (Self { parents }, old)
    }
}

/// The circle that this animal closes: found by walking up from it until it is met again.
fn circle(given: &[[u32; 2]], from: u32) -> Circle {
    let mut came = vec![NONE; given.len()];
    let mut stack = vec![from];
    while let Some(at) = stack.pop() {
        for p in given[at as usize].iter().copied().filter(|p| *p != NONE) {
            if p == from {
                let mut path = vec![at];
                while let Some(last) = path.last().copied().filter(|l| *l != from) {
                    path.push(came[last as usize]);
                }
                path.reverse();
                return Circle(path);
            }
            if came[p as usize] == NONE {
                came[p as usize] = at;
                stack.push(p);
            }
        }
    }
    Circle(vec![from])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parents_come_first_whatever_the_order_given() {
        let given = [[1, 2], [3, NONE], [NONE, 3], [NONE, NONE]];
        let (p, place) = Pedigree::ordered(&given).unwrap();
        for (i, [s, d]) in given.iter().enumerate() {
            for parent in [s, d].into_iter().filter(|p| **p != NONE) {
                assert!(place[*parent as usize] < place[i]);
            }
        }
        assert_eq!(p.len(), 4);
    }

    #[test]
    fn circles_are_named() {
        let three = [[NONE, 1], [2, NONE], [NONE, 0], [0, NONE]];
        let Circle(who) = Pedigree::ordered(&three).unwrap_err();
        assert_eq!(who.len(), 3);
        for (i, at) in who.iter().enumerate() {
            let next = who[(i + 1) % 3];
            assert!(three[*at as usize].contains(&next), "{at} is a child of {next}: {who:?}");
        }
        assert_eq!(Pedigree::ordered(&[[0, NONE]]).unwrap_err(), Circle(vec![0]));
    }

    #[test]
    fn a_hundred_thousand_generations_need_no_deep_stack() {
        let n = 100_000u32;
        let mut given: Vec<[u32; 2]> = (0..n).map(|i| [i + 1, NONE]).collect();
        given[n as usize - 1] = [NONE, NONE];
        let (p, place) = Pedigree::ordered(&given).unwrap();
        assert_eq!((p.len(), place[0]), (n as usize, n - 1));
        given[n as usize - 1] = [0, NONE];
        assert_eq!(Pedigree::ordered(&given).unwrap_err().0.len(), n as usize);
    }
}
