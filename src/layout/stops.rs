//! The same table at several stops, such as dates, laid into one: each row once, with the stops at which it stands.

use super::anchor::Anchors;
use super::html::{framed, html_row};
use super::table::{PageTable, RowWeight};
use maud::Markup;
use similar::{Algorithm, DiffOp, capture_diff_slices};

/// Tables of the same columns, one for each stop, in one.
///
/// Invariant: at each stop the rows that stand there, in this order, are those of its table.
#[derive(Clone, Debug, Default)]
pub(crate) struct StopsTable {
    table: PageTable,
    /// For each row the stops at which it stands, in order.
    stands: Vec<Vec<usize>>,
    stops: usize,
}

impl StopsTable {
    /// Lays the table of the next stop over those before.
    pub(crate) fn lay(&mut self, next: &PageTable) {
        let stop = self.stops;
        self.stops += 1;
        if stop == 0 {
            self.table = PageTable { names: None, ..next.clone() };
            self.table.weights.resize(next.rows.len(), RowWeight::Sound);
            self.stands = vec![vec![stop]; next.rows.len()];
            return;
        }
        let standing: Vec<usize> =
            (0..self.stands.len()).filter(|row| self.stands[*row].last() == Some(&(stop - 1))).collect();
        let before: Vec<&Vec<String>> = standing.iter().map(|row| &self.table.rows[*row]).collect();
        let after: Vec<&Vec<String>> = next.rows.iter().collect();
        let steps = capture_diff_slices(Algorithm::Myers, &before, &after);
        let mut laid = StopsTable {
            table: PageTable { rows: Vec::new(), weights: Vec::new(), ..self.table.clone() },
            ..StopsTable::default()
        };
        let mut copied = 0;
        for step in steps.iter().flat_map(single) {
            match step {
                LaidRow::Stays(row) => {
                    let upto = standing[row] + 1;
                    laid.copy(self, copied..upto);
                    copied = upto;
                    laid.stands.last_mut().expect("a row was copied").push(stop);
                }
                LaidRow::Comes(row) => {
                    laid.table.rows.push(next.rows[row].clone());
                    laid.table.weights.push(next.weights.get(row).copied().unwrap_or_default());
                    laid.stands.push(vec![stop]);
                }
            }
        }
        laid.copy(self, copied..self.stands.len());
        laid.stops = self.stops;
        *self = laid;
    }

    fn copy(&mut self, from: &StopsTable, rows: std::ops::Range<usize>) {
        self.table.rows.extend_from_slice(&from.table.rows[rows.clone()]);
        self.table.weights.extend_from_slice(&from.table.weights[rows.clone()]);
        self.stands.extend_from_slice(&from.stands[rows]);
    }

    /// As HTML, the last stop being shown.
    pub(crate) fn html(&self, called: &str, anchors: &mut Anchors) -> Markup {
        let row = |row: usize, anchors: &mut Anchors| {
            let now = self.stands[row].last() == self.stops.checked_sub(1).as_ref();
            html_row(&self.table, row, Some((&stretches(&self.stands[row]), now)), anchors)
        };
        let rows: Vec<Markup> = (0..self.stands.len()).map(|at| row(at, anchors)).collect();
        framed(&self.table, called, None, Some("Only at"), &rows)
    }
}

/// A row of the next table.
enum LaidRow {
    /// It stands already: its place among the rows that stood at the stop before.
    Stays(usize),
    /// It is new: its place in the next table.
    Comes(usize),
}

fn single(step: &DiffOp) -> Vec<LaidRow> {
    match *step {
        DiffOp::Equal { old_index, len, .. } => (old_index..old_index + len).map(LaidRow::Stays).collect(),
        DiffOp::Delete { .. } => Vec::new(),
        DiffOp::Insert { new_index, new_len, .. } | DiffOp::Replace { new_index, new_len, .. } => {
            (new_index..new_index + new_len).map(LaidRow::Comes).collect()
        }
    }
}

/// Numbers as stretches: `0-3 5-5`.
fn stretches(stops: &[usize]) -> String {
    let mut found: Vec<(usize, usize)> = Vec::new();
    for stop in stops {
        match found.last_mut() {
            Some((_, last)) if *last + 1 == *stop => *last = *stop,
            _ => found.push((*stop, *stop)),
        }
    }
    found.iter().map(|(first, last)| format!("{first}-{last}")).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(rows: &[&str]) -> PageTable {
        PageTable::made(["A"], rows.iter().map(|row| [(*row).to_owned()]))
    }

    #[test]
    fn each_stop_has_its_own_rows_in_their_order() {
        let stops: [&[&str]; 5] = [&["a", "b", "c"], &["a", "x", "c", "d"], &["d", "a"], &["a", "b", "c"], &[]];
        let mut table = StopsTable::default();
        for stop in stops {
            table.lay(&of(stop));
        }
        for (at, stop) in stops.iter().enumerate() {
            let rows = table.table.rows.iter().zip(&table.stands).filter(|(_, stands)| stands.contains(&at));
            let rows: Vec<&str> = rows.map(|(row, _)| row[0].as_str()).collect();
            assert_eq!(rows, *stop, "stop {at}");
        }
        assert_eq!(table.table.weights.len(), table.stands.len());
        assert_eq!(stretches(&[0, 1, 2, 5, 7, 8]), "0-2 5-5 7-8");
    }
}
