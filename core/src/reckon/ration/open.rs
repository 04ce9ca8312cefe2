//! A mix of mixes, opened up into the plain feeds it is made of.

use std::fmt;

/// A mix that is, by way of others, a part of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Circle<K>(
    /// Which.
    pub K,
);

impl<K: fmt::Debug> fmt::Display for Circle<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the mix is a part of itself: mend its parts")
    }
}

impl<K: fmt::Debug> std::error::Error for Circle<K> {}

/// The plain feeds of a mix with their shares as fed, which add up to 1 where those of each mix do; a feed that comes in
/// by several ways stands once. `parts` gives a mix's parts with their shares; nothing for a plain feed, which is itself.
///
/// # Errors
/// A mix that is a part of itself.
pub fn open<K: Copy + PartialEq>(
    of: K,
    parts: &dyn Fn(K) -> Vec<(K, f64)>,
) -> Result<Vec<(K, f64)>, Circle<K>> {
    let mut plain: Vec<(K, f64)> = Vec::new();
    descend(of, 1.0, parts, &mut Vec::new(), &mut plain)?;
    Ok(plain)
}

fn descend<K: Copy + PartialEq>(
    of: K,
    share: f64,
    parts: &dyn Fn(K) -> Vec<(K, f64)>,
    above: &mut Vec<K>,
    into: &mut Vec<(K, f64)>,
) -> Result<(), Circle<K>> {
    if above.contains(&of) {
        return Err(Circle(of));
    }
    let its = parts(of);
    if its.is_empty() {
        match into.iter_mut().find(|(k, _)| *k == of) {
            Some((_, have)) => *have += share,
            None => into.push((of, share)),
        }
        return Ok(());
    }
    above.push(of);
    for (part, its_share) in its {
        descend(part, share * its_share, parts, above, into)?;
    }
    above.pop();
    Ok(())
}
