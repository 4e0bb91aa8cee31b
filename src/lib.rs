//! `modstate` resolves which modification state one historic airframe is rebuilt to, and which parts, splices and jig
//! plates that state calls for.
//!
//! A *project* is what a workshop has entered: the type (its parts, its modifications, what fits where and when), the
//! dossier of each airframe (evidence, claims, build states) and the shop floor (jigs, surveys, parts made). Out of it
//! come *answers*: each holds for every history of the airframe that agrees with the rules of the type and the claims
//! entered, and says so where histories differ. What could not be read is part of every answer that rests on it.
//!
//! # A state, resolved
//!
//! Texts in memory are enough. Leaflet TM7 was never built in on the line; a record card has it embodied, but gives no
//! day:
//!
//! ```
//! use modstate::graph::Graph;
//! use modstate::history::is_in;
//! use modstate::project::Project;
//! use modstate::resolve::{Basis, Limits, Resolver, Target, Truth};
//!
//! let project = Project::from_texts(vec![("type/all.ron".into(), r#"[
//!     Type(name: "Testbed", airframe: "10-0000", datum: "the nose"),
//!     SerialBlock(serials: "HB101..HB160", factory: "Northmere"),
//!     Part(number: "10-0000", description: "Airframe", source: Made),
//!     Modification(number: "TM7", title: "Deep floor", retrospective: (leaflet_date: "1950-03-01")),
//!     Airframe(serial: "HB133", built: "1949-11"),
//!     Evidence(airframe: "HB133", id: "E1", kind: "record card", reference: "card 7", date: "1951", grade: B),
//!     Claim(airframe: "HB133", id: "C1", says: Embodied("TM7"), when: "by 1951-06", rests_on: ["E1"], standing: Firm),
//! ]"#.into())]);
//! let (model, graph) = (&project.model, Graph::new(&project.model));
//! assert!(project.findings.is_empty() && model.losses.is_empty());
//!
//! let airframe = model.airframes.id("HB133").unwrap();
//! let tm7 = model.mods.id("TM7").unwrap();
//! let on = |day: &str| {
//!     let day = modstate::quantity::Window::parse(day).unwrap().day().unwrap();
//!     let target = Target { day, build_state: None };
//!     let mut resolver = Resolver::new(model, &graph, airframe, target, Limits::default()).unwrap();
//!     resolver.truth(&is_in(tm7, None), Basis::Firm)
//! };
//! assert_eq!(on("1950-02-28"), Truth::Never); // before its leaflet
//! assert_eq!(on("1950-08-01"), Truth::Open); // some histories have it in by then
//! assert_eq!(on("1951-07-01"), Truth::Always); // all have
//! ```
//!
//! # A folder, checked
//!
//! The findings of a project as JSON, as `modstate check --format json` prints them:
//!
//! ```
//! use modstate::check::CheckScope;
//! use modstate::graph::Graph;
//! use modstate::project::Project;
//! use modstate::layout::findings_json;
//!
//! let project = Project::open(std::path::Path::new("demo-airframe"))?;
//! let findings = project.check(&Graph::new(&project.model), CheckScope::Whole);
//! let json = findings_json(&findings, &project.sources);
//! assert_eq!(json.as_array().unwrap().len(), findings.len());
//! # Ok::<(), modstate::source::ReadError>(())
//! ```
//!
//! # Where to go on
//!
//! [`project::Project`] opens a project; [`resolve::Resolver`] answers about one airframe in one state; [`bill::bill`]
//! explodes it into parts; [`jig`] compares plates and surveys with it; [`answers`] makes an answer of each, as a value
//! with its text and its JSON. The rooms, and which may use which, are in `DEVELOPERS.md`.

pub mod answers;
pub mod bill;
pub mod book;
pub mod check;
pub mod cli;
pub mod codes;
pub mod drawing;
pub mod finding;
pub mod geometry;
pub mod graph;
pub mod history;
pub mod ids;
pub mod jig;
pub mod layout;
pub mod lower;
pub mod metal;
pub mod metrology;
pub mod model;
pub mod project;
pub(crate) mod proof;
pub mod prop;
pub mod quantity;
pub mod resolve;
pub mod schema;
pub mod sheets;
pub mod shop;
pub mod source;
pub mod words;
