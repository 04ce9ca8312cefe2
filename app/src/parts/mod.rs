//! Parts: widgets that every page uses. They know `look` and nothing of the flock.
