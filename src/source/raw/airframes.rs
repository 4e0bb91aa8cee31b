//! What is known of one airframe, as it is written.

use super::PostArguments;
use serde::Deserialize;

/// An airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Airframe {
    /// Its serial.
    pub serial: String,
    /// The model or mark, where a record gives it.
    #[serde(default)]
    pub model: Option<String>,
    /// When it was built (left the line).
    pub built: String,
    /// When it was delivered.
    #[serde(default)]
    pub delivered: Option<String>,
    /// Where it went.
    #[serde(default)]
    pub movements: Vec<Movement>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// Where an airframe went.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    /// When.
    pub date: String,
    /// Where to.
    pub to: String,
    /// Why.
    #[serde(default)]
    pub reason: Option<String>,
}

/// An item of an airframe's evidence register.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name in the register.
    pub id: String,
    /// What kind of thing it is (a record card, a photograph, a relic).
    pub kind: String,
    /// What it says on it.
    pub reference: String,
    /// Its own date.
    #[serde(default)]
    pub date: Option<String>,
    /// Where it is kept.
    #[serde(default)]
    pub kept: Option<String>,
    /// How far it is to be trusted.
    pub grade: Grade,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// How far evidence is to be trusted, the strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, serde::Serialize)]
pub enum Grade {
    /// The metal itself, or a record made by those who did the work.
    A,
    /// A record of the time made by others, or a clear photograph.
    B,
    /// A copy, an unclear photograph, a later record.
    C,
    /// A recollection or a secondary work.
    D,
}

/// A claim about an airframe.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub id: String,
    /// What it says.
    pub says: Statement,
    /// When.
    pub when: String,
    /// The evidence that it rests on.
    pub rests_on: Vec<String>,
    /// Whether it is firm or doubtful.
    pub standing: Standing,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// How a claim stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, serde::Serialize)]
pub enum Standing {
    /// Taken as true unless a contradiction forces it out.
    Firm,
    /// Held or not: answers that depend on it are given both ways.
    Doubtful,
}

/// What a claim says.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Statement {
    /// The modification was embodied, by any form or by the named one.
    Embodied(PostArguments),
    /// The modification was not embodied.
    NotEmbodied(String),
    /// The modification was taken out again.
    Removed(String),
    /// A part was seen at a position: `SeenPart("60-2200/10", "60-2205")`.
    SeenPart(String, String),
    /// A position was seen with nothing fitted.
    SeenNothing(String),
    /// A splice was seen on a frame: `SeenSplice("F22", "S5")`.
    SeenSplice(String, String),
    /// A frame was seen to have no splice there.
    SeenNoSplice(String, String),
    /// The hole pattern of a plate was seen in the metal: `SeenPattern("JP-2204")`.
    SeenPattern(String),
}

/// A named assumption: held as doubtful claims, and printed with every answer that leans on it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assumption {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub id: String,
    /// What it assumes.
    pub assumes: Policy,
    /// As of when.
    pub when: String,
    /// Why it is made.
    pub reason: String,
}

/// What an assumption assumes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Policy {
    /// Retrospective modifications of which the claims say nothing were not embodied.
    UnrecordedNotEmbodied,
    /// A statement as in a claim.
    That(Statement),
}

/// A named build state.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BuildState {
    /// The airframe's serial.
    pub airframe: String,
    /// Its name.
    pub name: String,
    /// The date that it rebuilds to.
    pub date: String,
    /// Modifications that the workshop adds on purpose.
    #[serde(default)]
    pub add: Vec<Choice>,
    /// Modifications that the workshop leaves out on purpose.
    #[serde(default)]
    pub leave_out: Vec<Choice>,
    /// Anything a reader should know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A modification that the workshop adds or leaves out.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    /// The modification.
    pub modification: String,
    /// Why.
    pub reason: String,
}
