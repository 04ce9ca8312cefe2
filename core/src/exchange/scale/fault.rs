//! Why a file of a reader or scale head cannot be read at all; single lines are told apart, in the preview.

/// Why nothing can be made of the file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScaleUnfit {
    /// A spreadsheet's own file, a picture, a program.
    #[error("it is no text: take the list out of the reader or scale as text or CSV, and read that")]
    NoText,
    /// Longer than any that a reader writes, or one line of it.
    #[error(
        "it is larger than 8 MB, or a line of it is longer than 10,000 characters: no reader or scale writes that, choose the file they wrote"
    )]
    TooLarge,
    /// Nothing but comments.
    #[error("there is no line with a tag in it: take the list out of the reader or scale again")]
    NothingThere,
    /// No column could be a tag.
    #[error("no column holds tags: {0}")]
    NoTags(String),
}
