//! One slip never changes an answer.
//!
//! Sound projects (the demo, the starter, made-up ones) get one slip of the pen each, as a tired hand makes them; every
//! verb is asked on the sound and on the slipped project, and the two answers are compared row by row. A row must be that
//! of the sound project or be marked *not read*. What judges here shares nothing with what judges in the program: the
//! dossiers are read by [`text`], a reader of brackets and words that knows no kind of record.
//!
//! | module | is for |
//! |---|---|
//! | [`text`] | the words of a dossier, its records, what they define and name |
//! | [`slip`] | the kinds of slip, and how they are drawn |
//! | [`projects`] | the sound projects |
//! | [`questions`] | what is asked of a project |
//! | [`ask`] | the way into the program; the only place that calls it |
//! | [`rows`] | two JSON answers against each other |
//! | [`lines`] | two texts, bills as CSV or pictures against each other |
//! | [`judge`] | one question, asked on both projects |
//! | [`reach`] | how far a loss reached |
//! | [`tables`] | what was counted, and how it is printed |
//!
//! The tables: `cargo test --locked --release --test slips no_slip -- --nocapture`. `MODSTATE_SLIPS=full` loses
//! every record whole and asks every verb of every slip; `MODSTATE_SLIPS=N` makes one slip in N only; `MODSTATE_SLIPS_SEED=N` makes another
//! draw; `MODSTATE_SLIPS_SHOWN=N` prints so many examples.

mod ask;
mod itself;
mod judge;
mod lines;
#[path = "../generated/project/mod.rs"]
#[expect(dead_code, reason = "only small projects are made here")]
mod project;
mod projects;
mod questions;
mod reach;
mod rows;
mod run;
mod slip;
mod tables;
mod text;

#[test]
fn no_slip_changes_an_answer() {
    let tables = run::run();
    let shown = tables.to_string();
    #[expect(clippy::print_stdout, reason = "the tables are what this test is run for")]
    {
        println!("{shown}");
    }
    assert!(tables.slips() >= run::least_slips(), "only {} slips were made", tables.slips());
    let (unsafe_answers, answers) = (tables.unsafe_answers(), tables.answers());
    assert_eq!(unsafe_answers, 0, "of {answers} answers; see the tables above");
}
