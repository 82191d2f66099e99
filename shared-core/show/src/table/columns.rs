//! A plain table for lists of commands: a header, a rule, rows; cells wrap.
//!
//! No frames: columns stand two blanks apart.

use comfy_table::{ContentArrangement, LineStyle, Table, TableStyle};

use super::WIDTH;
use crate::clean::clean;

/// A rule under the header and nothing else.
const STYLE: TableStyle =
    TableStyle::new().header_separator(LineStyle::none().fill('-').junction('-'));

/// A table of at most 80 columns. Cells are cleaned and wrapped; rows may be short. More than 20
/// columns do not fit and are left off.
#[must_use]
pub fn columns<H: AsRef<str>, C: AsRef<str>>(headers: &[H], rows: &[Vec<C>]) -> String {
    /// Each column takes at least one character and its two blanks: 20 leave some room.
    const COLUMNS_MAX: usize = 20;
    let width = u16::try_from(WIDTH).unwrap_or(u16::MAX);
    let mut table = Table::new();
    table
        .load_style(STYLE)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width)
        .set_header(
            headers
                .iter()
                .take(COLUMNS_MAX)
                .map(|cell| clean(cell.as_ref())),
        );
    for row in rows {
        table.add_row(
            row.iter()
                .take(COLUMNS_MAX)
                .map(|cell| clean(cell.as_ref())),
        );
    }
    for column in table.column_iter_mut() {
        column.set_padding((0, 1));
    }
    let mut text = String::new();
    for line in table.to_string().lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
