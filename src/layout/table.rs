//! Rows under headings, as a value: how they are laid out is said elsewhere.

use super::anchor::AnchorKind;

/// Rows under headings.
///
/// Every row has a cell for every column.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PageTable {
    pub(super) columns: Vec<Heading>,
    pub(super) rows: Vec<Vec<String>>,
    /// What each row comes to, where that is said; else no row has a weight.
    pub(super) weights: Vec<RowWeight>,
    /// What the rows are about, and the column that names it: links lead to the row.
    pub(super) names: Option<(AnchorKind, usize)>,
}

/// What a row comes to. Where it can be seen, it is seen beside the words of the row and says nothing that they do not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RowWeight {
    /// Nothing is wrong or open.
    #[default]
    Sound,
    /// Something is open, undecided or not verified.
    Open,
    /// Something is wrong.
    Wrong,
    /// Something was not read.
    NotRead,
}

/// The heading of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Heading {
    pub(super) text: String,
    pub(super) side: Side,
    pub(super) blank: Option<Blank>,
    /// Whether its cells say where something is written, which is no part of what is said.
    pub(super) is_place: bool,
}

/// What a person writes into the empty cells of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blank {
    /// Words, dates and names: a spreadsheet has to leave them as they are written.
    Words,
    /// A figure.
    Figure,
    /// One of these words.
    OneOf(&'static [&'static str]),
}

/// On which side the cells of a column are in line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A table in the making: what its rows are about, and the columns so far, each with how a cell is made of that.
#[derive(Clone, Debug)]
pub struct Columns<'r, T> {
    about: Vec<&'r T>,
    table: PageTable,
}

impl<'r, T> Columns<'r, T> {
    /// A further column of words.
    #[must_use]
    pub fn words(self, heading: impl Into<String>, cell: impl Fn(&'r T) -> String) -> Columns<'r, T> {
        self.column(heading.into(), Side::Left, cell)
    }
    /// A further column of figures.
    #[must_use]
    pub fn figures(self, heading: impl Into<String>, cell: impl Fn(&'r T) -> String) -> Columns<'r, T> {
        self.column(heading.into(), Side::Right, cell)
    }
    /// A further column of places: where what the row says is written, as `file:line`.
    #[must_use]
    pub fn places(self, heading: impl Into<String>, cell: impl Fn(&'r T) -> String) -> Columns<'r, T> {
        let mut columns = self.column(heading.into(), Side::Left, cell);
        columns.table.columns.last_mut().expect("it was added").is_place = true;
        columns
    }
    /// The unit of the last column.
    #[must_use]
    pub fn unit(mut self, unit: &str) -> Columns<'r, T> {
        self.table.columns.last_mut().expect("a unit follows its column").text.extend([" ", unit]);
        self
    }

    /// The empty cells of the last column are boxes to be filled in.
    #[must_use]
    pub fn to_fill_in(mut self, blank: Blank) -> Columns<'r, T> {
        self.table.columns.last_mut().expect("boxes follow their column").blank = Some(blank);
        self
    }

    fn column(mut self, heading: String, side: Side, cell: impl Fn(&'r T) -> String) -> Columns<'r, T> {
        self.table.columns.push(Heading { text: heading, side, blank: None, is_place: false });
        for (row, about) in self.table.rows.iter_mut().zip(&self.about) {
            row.push(cell(about));
        }
        self
    }
}

impl<T> From<Columns<'_, T>> for PageTable {
    fn from(columns: Columns<'_, T>) -> PageTable {
        columns.table
    }
}

impl PageTable {
    /// A row for each of these; the columns follow.
    pub fn of<'r, T>(rows: impl IntoIterator<Item = &'r T>) -> Columns<'r, T> {
        let about: Vec<&T> = rows.into_iter().collect();
        let rows = vec![Vec::new(); about.len()];
        Columns { about, table: PageTable { rows, ..PageTable::default() } }
    }
    /// Cells that are made already, under headings of words.
    ///
    /// # Panics
    /// If a row has more or fewer cells than there are headings.
    #[must_use]
    pub fn made<const N: usize>(headings: [&str; N], rows: impl IntoIterator<Item = [String; N]>) -> PageTable {
        let columns = headings
            .map(|heading| Heading { text: heading.to_owned(), side: Side::Left, blank: None, is_place: false })
            .into();
        PageTable { columns, rows: rows.into_iter().map(Into::into).collect(), ..PageTable::default() }
    }
    /// The same with what its rows come to, a weight for each.
    #[must_use]
    pub fn weighed(self, weights: Vec<RowWeight>) -> PageTable {
        PageTable { weights, ..self }
    }
    /// The same with what its rows are about, and the column, by its place, that names it.
    #[must_use]
    pub fn about(self, kind: AnchorKind, column: usize) -> PageTable {
        PageTable { names: Some((kind, column)), ..self }
    }
    /// The same with some columns, by their places, being figures.
    #[must_use]
    pub fn figures(mut self, columns: &[usize]) -> PageTable {
        for column in columns {
            self.columns[*column].side = Side::Right;
        }
        self
    }
    /// Whether it has no rows.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}
