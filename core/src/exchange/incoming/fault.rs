//! Why nothing can be made of a file.

use crate::exchange::Unfit;

/// Why a file is no table. Nothing of it is written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoTable {
    /// Not a single value.
    #[error("there is nothing in it: choose the file that holds the table")]
    Nothing,
    /// More bytes than are taken.
    #[error("it is larger than {0} MB: take out what is not the table, or save it in parts")]
    TooLarge(usize),
    /// More values than are taken.
    #[error("it holds more than {0} values: save it in parts")]
    TooMany(usize),
    /// A ZIP that unpacks to far more than a table holds.
    #[error("it unpacks to more than {0} MB: no table of a flock does; save the table alone, or as CSV")]
    Unpacks(usize),
    /// The binary form of old spreadsheets.
    #[error("it is a spreadsheet of the old form (.xls): open it and save it as .xlsx, .ods or CSV")]
    OldSpreadsheet,
    /// The binary form of a newer one.
    #[error("it is a spreadsheet in binary form (.xlsb): open it and save it as .xlsx, .ods or CSV")]
    BinarySpreadsheet,
    /// A password is on it.
    #[error("it is locked with a password: open it, take the password off and save it again")]
    Password,
    /// Something that is no table at all.
    #[error("it is {0}, no table: choose a file of rows and columns (CSV, .xlsx or .ods)")]
    OtherFile(&'static str),
    /// A spreadsheet that cannot be read.
    #[error("the spreadsheet is damaged ({0}): open it and save it again, or save it as CSV")]
    Damaged(String),
    /// No such sheet.
    #[error("there is no sheet '{name}': it has {}", .has.join(", "))]
    NoSheet {
        /// As asked for.
        name: String,
        /// The sheets there are.
        has: Vec<String>,
    },
    /// Text whose quotes do not match.
    #[error("{0}")]
    Text(Unfit),
}
