//! Columns of text.

/// Which side of its column a text keeps to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Rows of equal length, set in columns as wide as their widest text.
pub fn lines(columns: &[Align], rows: &[Vec<String>]) -> Vec<String> {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns.len()).map(width).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().zip(columns).zip(&widths).map(|((text, align), &width)| match align {
            Align::Left => format!("{text:<width$}"),
            Align::Right => format!("{text:>width$}"),
        });
        format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
    };
    rows.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_their_widest_text() {
        let rows = [["1", "G♯4", "x"], ["10", "F4", ""]].map(|row| row.map(str::to_owned).to_vec());
        assert_eq!(lines(&[Align::Right, Align::Left, Align::Left], &rows), ["   1  G♯4  x", "  10  F4"]);
    }
}
