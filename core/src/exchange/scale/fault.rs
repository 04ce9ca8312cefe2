//! Why a file of a reader or scale head cannot be read at all; single lines are told apart, in the preview.

/// Why nothing can be made of the file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScaleUnfit {
    /// A spreadsheet's own file, a picture, a program.
    #[error("it is no text: take the list out of the reader or scale as text or CSV, and read that")]
    NoText,
    /// Nothing but comments.
    #[error("there is no line with a tag in it: take the list out of the reader or scale again")]
    NothingThere,
    /// No column could be a tag.
    #[error("no column holds tags: {0}")]
    NoTags(String),
}
