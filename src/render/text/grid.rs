//! A table as data: the same cells whether they are printed in columns of characters or on a page.

use super::page::Column;

/// Columns and rows of words.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Grid<'a> {
    /// The names of the columns.
    pub columns: Vec<Column<'a>>,
    /// One cell a column.
    pub rows: Vec<Vec<String>>,
}

impl<'a> Grid<'a> {
    /// These columns and rows.
    #[must_use]
    pub fn new(columns: &[Column<'a>], rows: Vec<Vec<String>>) -> Self {
        Self {
            columns: columns.to_vec(),
            rows,
        }
    }

    /// Without the columns that have nothing in them.
    #[must_use]
    pub fn filled(self) -> Self {
        let full: Vec<bool> = (0..self.columns.len())
            .map(|at| {
                let mut cells = self.rows.iter().filter_map(|row| row.get(at));
                cells.any(|cell| !cell.is_empty())
            })
            .collect();
        let columns = self.columns.into_iter().zip(&full);
        let columns = columns.filter(|(_, full)| **full).map(|(one, _)| one);
        let rows = self.rows.into_iter().map(|row| {
            let kept = row.into_iter().zip(&full).filter(|(_, full)| **full);
            kept.map(|(cell, _)| cell).collect()
        });
        Self {
            columns: columns.collect(),
            rows: rows.collect(),
        }
    }

    /// Whether there is nothing to show.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_with_nothing_in_it_is_left_out() {
        let columns = [Column::Words("a"), Column::Words("b"), Column::Figures("c")];
        let rows = [["1", "", ""], ["2", "", "3"]].map(|row| row.map(str::to_owned).to_vec());
        let grid = Grid::new(&columns, rows.to_vec()).filled();
        assert_eq!(grid.columns, [Column::Words("a"), Column::Figures("c")]);
        assert_eq!(grid.rows, [["1", ""], ["2", "3"]]);
    }
}
