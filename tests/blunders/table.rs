//! The cases run, and the one table that comes of them: kind of error by size, and how the answers did.

use super::answers::ask;
use super::cases::case;
use super::judge::{Judgement, Outcome, judge};
use super::kinds::{Kind, Size};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

type Key = (Kind, Size, usize);

pub(crate) struct Table {
    rows: Vec<(Key, Judgement)>,
}

impl Table {
    /// Runs the cases on two threads.
    pub(crate) fn of(keys: &[Key]) -> Table {
        let next = AtomicUsize::new(0);
        let work = || {
            let folder = scratch();
            let mut rows = Vec::new();
            while let Some(key) = keys.get(next.fetch_add(1, Ordering::Relaxed)) {
                rows.push((*key, one(*key, folder.path())));
            }
            rows
        };
        let mut rows = std::thread::scope(|scope| {
            let other = scope.spawn(work);
            let mut rows = work();
            rows.extend(other.join().expect("no case panics"));
            rows
        });
        rows.sort_by_key(|((kind, size, nth), _)| (*kind as usize, *size, *nth));
        Table { rows }
    }

    /// Prints the table, then holds what must hold.
    #[expect(clippy::print_stdout, reason = "the table is what the test is run for")]
    pub(crate) fn hold(&self) {
        println!("{}", self.text());
        let count = |outcome| self.rows.iter().filter(|(_, row)| row.outcome == outcome).count();
        let good: usize = self.rows.iter().map(|(_, row)| row.good_holes).sum();
        let out: usize = self.rows.iter().map(|(_, row)| row.good_out).sum();
        println!("{out} of {good} good holes called out, nothing said against the figures");
        let silent = count(Outcome::WrongSilent);
        assert_eq!(count(Outcome::WrongWork), 0, "work is ordered on good metal");
        assert_eq!(count(Outcome::WrongWithin), 0, "what is out is called in tolerance");
        assert_eq!(silent, 0, "slips of five times the noise and more go unnoticed");
        assert!(out * 1000 <= good * 3, "more than 0.3 % of good holes are called out");
    }

    fn text(&self) -> String {
        let mut lines = vec![format!(
            "{:<58}{:>7}{:>6}{:>10}{:>6}{:>6}{:>7}{:>7}{:>5}",
            "Kind of error", "size", "right", "undecided", "check", "WORK", "WITHIN", "SILENT", "OUT"
        )];
        let line = |name: &str, size: &str, rows: &[&Judgement]| {
            let [right, undecided, check, work, within, silent, out] =
                Outcome::ALL.map(|outcome| rows.iter().filter(|row| row.outcome == outcome).count());
            format!("{name:<58}{size:>7}{right:>6}{undecided:>10}{check:>6}{work:>6}{within:>7}{silent:>7}{out:>5}")
        };
        for group in self.rows.chunk_by(|((a, s, _), _), ((b, t, _), _)| a == b && s == t) {
            let ((kind, size, _), _) = &group[0];
            let size = match size {
                Size::Noise(times) => format!("{times}x"),
                Size::Gross => "gross".to_owned(),
            };
            lines.push(line(kind.name(), &size, &group.iter().map(|(_, row)| row).collect::<Vec<_>>()));
        }
        lines.push(line("All", "", &self.rows.iter().map(|(_, row)| row).collect::<Vec<_>>()));
        lines.push("One answer of each at fault:".to_owned());
        for group in self.rows.chunk_by(|((a, ..), _), ((b, ..), _)| a == b) {
            for outcome in &Outcome::ALL[3..] {
                if let Some(((kind, size, nth), row)) = group.iter().find(|(_, row)| row.outcome == *outcome) {
                    let why: String = row.why.chars().take(150).collect();
                    lines.push(format!("  {} {size:?} {nth}: {outcome:?}: {why}", kind.name()));
                }
            }
        }
        lines.join("\n")
    }
}

fn one((kind, size, nth): Key, folder: &Path) -> Judgement {
    let case = case(kind, size, nth);
    let judgement = judge(&case, &ask(&case, folder));
    if judgement.outcome < Outcome::Undecided
        && let Some(keep) = std::env::var_os("MODSTATE_KEEP")
    {
        let name = format!("{kind:?}-{size:?}-{nth}").replace(['(', ')'], "");
        super::dossier::write(&PathBuf::from(keep).join(name), &case.jig, &case.sheets).expect("can be kept");
    }
    judgement
}

/// A folder for projects, in memory where the system has such a place.
fn scratch() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.expect("a folder can be made")
}
