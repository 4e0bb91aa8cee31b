//! The bill of parts of one state of one airframe.
//!
//! A [`Bill`] is made on one basis. It is a tree of lines, exploded through the assemblies, and totals rolled up over
//! the same structure: by part, and by material and thickness. Quantities are whole numbers and exact: a total is
//! settled if it is the same in all histories, and otherwise its least and its most are both reached in some.

mod differ;
mod explode;
mod total;
mod tree;

pub use differ::{Differing, TotalPair, against_other_basis, compare_totals, differing};

use crate::ids::{AirframeId, FrameId, PartId, PositionId};
use crate::model::{Condition, Marks};
use crate::prop::{Expr, Limit};
use crate::quantity::Length;
use crate::resolve::{Basis, IssueView, PossibleIssue, Range, Resolver, Target};

/// How much of the airframe a bill covers. Quantities are always those of the whole airframe: an assembly that is
/// fitted twice is listed twice over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BillScope {
    /// All of it.
    Airframe,
    /// What an assembly is made up of, wherever it is fitted.
    Assembly(PartId),
    /// What a frame is made up of.
    Frame(FrameId),
    /// What is fitted at one position, wherever its assembly is.
    Position(PositionId),
}

/// What a bill is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// How much of the airframe.
    pub scope: BillScope,
    /// On which claims.
    pub basis: Basis,
    /// When an issue that no modification raised counts.
    pub issues: IssueView,
    /// Whether to total by material and by mass too: over many open parts such sums take long.
    pub weights: bool,
}

/// How many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// The same in all histories.
    Exactly(u64),
    /// Open: the least and the most.
    Between(Range),
    /// Not decided: a limit was met on the way, or it rests on something that was not read.
    Undecided(Limit),
    /// The claims that bear on it contradict each other or the rules.
    Contradicted,
}

impl Amount {
    /// Whether there may be some.
    #[must_use]
    pub fn may_be_some(&self) -> bool {
        match self {
            Amount::Exactly(quantity) => *quantity > 0,
            Amount::Between(range) => range.most > 0,
            Amount::Undecided(_) | Amount::Contradicted => true,
        }
    }
    /// Whether it is the same in all histories.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        matches!(self, Amount::Exactly(_))
    }
}

impl From<Option<Range>> for Amount {
    fn from(range: Option<Range>) -> Amount {
        range.map_or(Amount::Contradicted, Amount::from)
    }
}

impl From<Range> for Amount {
    fn from(range: Range) -> Amount {
        if range.least == range.most { Amount::Exactly(range.least) } else { Amount::Between(range) }
    }
}

/// Whether a line is the same in all histories, and if not, why not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineState {
    /// It is.
    Settled,
    /// It is wherever its assembly is fitted, and in the same quantity for each, but how often that is is open.
    OpenAbove,
    /// Which variant, or how many, depends on what is open at the position itself.
    Open,
    /// In some history two variants are called for at once: the catalogue has an overlap.
    Overlap,
    /// In some history no variant is called for: the catalogue has a gap.
    Gap,
    /// Not decided: a limit was met on the way.
    Undecided(Limit),
    /// The claims that bear on it contradict each other or the rules.
    Contradicted,
    /// It, or one of its choices, rests on something that was not read.
    NotRead,
}

/// What one choice of a line fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineItem {
    /// This part.
    Part(PartId),
    /// Nothing, and that is right.
    Nothing,
    /// No candidate is called for: the catalogue has a gap.
    Gap,
    /// Nothing that could be read.
    NotRead,
}

/// A way in which a choice comes about: a quantity for each assembly, and the conditions written for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// How many for each assembly; 0 for nothing.
    pub each: u32,
    /// The conditions of the candidates; any of them selects it. Empty for a gap.
    pub conditions: Vec<Condition>,
}

/// One thing that a line may come to.
#[derive(Clone, Debug, PartialEq)]
pub struct LineChoice {
    /// What is fitted.
    pub item: LineItem,
    /// How it comes about, each way with another quantity; none if it rests on something that was not read.
    pub ways: Vec<Way>,
    /// When, on any day, over state variables: the condition of the position and those of all assemblies around it.
    pub when: Expr,
    /// How many on the airframe; 0 for nothing and for a gap.
    pub amount: Amount,
    /// The drawing issues that may apply in the view asked for; one if that is settled.
    pub issues: Result<Vec<PossibleIssue>, Limit>,
    /// Those that may apply in the other view.
    pub other_issues: Result<Vec<PossibleIssue>, Limit>,
    /// The concessions and deviation permits (indices) given for the part at the position, on this airframe.
    pub deviations: Vec<usize>,
    /// What the part is made up of.
    pub below: Vec<BillLine>,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// A line of the tree: a position of an assembly that is fitted in some history.
///
/// Invariant: at least one choice, and exactly one if it is settled; a position at which nothing is fitted in any
/// history has no line.
#[derive(Clone, Debug, PartialEq)]
pub struct BillLine {
    /// The position; `None` for the top of the bill.
    pub position: Option<PositionId>,
    /// Whether it is the same in all histories.
    pub state: LineState,
    /// What may be fitted, in the order written.
    pub choices: Vec<LineChoice>,
}

/// How many of one part there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Total {
    /// The part.
    pub part: PartId,
    /// How many on the airframe.
    pub amount: Amount,
    /// How many of them are to be made or bought as such: those inside an assembly that is bought come with it.
    pub to_get: Amount,
    /// The drawing issues that may apply in some place in the view asked for; one if that is settled.
    pub issues: Result<Vec<PossibleIssue>, Limit>,
    /// Those that may apply in the other view.
    pub other_issues: Result<Vec<PossibleIssue>, Limit>,
    /// The concessions and deviation permits (indices) given for the part on this airframe.
    pub deviations: Vec<usize>,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// Parts of one material and thickness that the workshop makes, leaving out assemblies of further parts.
#[derive(Clone, Debug, PartialEq)]
pub struct MaterialTotal {
    /// The material specification.
    pub material: Option<String>,
    /// The thickness.
    pub thickness: Option<Length>,
    /// The part numbers.
    pub parts: Vec<PartId>,
    /// How many pieces.
    pub pieces: Amount,
    /// What they weigh.
    pub mass: MassTotal,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// What parts weigh.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MassTotal {
    /// Micrograms, of the parts whose mass is known.
    pub micrograms: Amount,
    /// How many part numbers have no mass recorded.
    pub unknown: usize,
}

/// The bill of parts of one state of one airframe.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// The airframe.
    pub airframe: AirframeId,
    /// The state.
    pub target: Target,
    /// What was asked for.
    pub request: Request,
    /// The tree: one line, the airframe, assembly or frame itself, or the position.
    pub top: BillLine,
    /// All parts below the top (at a position: with what is fitted there), in the order of their numbers.
    pub totals: Vec<Total>,
    /// Totals by material and of mass, if they were asked for.
    pub weights: Option<Weights>,
    /// What was not read and bears on its heading, or leaves it short of something.
    pub not_read: Marks,
}

/// What a bill comes to in material and mass.
#[derive(Clone, Debug, PartialEq)]
pub struct Weights {
    /// Totals of made parts by material and thickness.
    pub materials: Vec<MaterialTotal>,
    /// What all parts weigh: details that are made, and whatever is bought, whole.
    pub mass: MassTotal,
    /// What was not read and bears on that.
    pub not_read: Marks,
}

impl Bill {
    /// What was not read and bears on anything in it.
    #[must_use]
    pub fn all_not_read(&self) -> Marks {
        fn gather(line: &BillLine, marks: &mut Marks) {
            for choice in &line.choices {
                marks.extend(&choice.not_read);
                choice.below.iter().for_each(|line| gather(line, marks));
            }
        }
        let mut marks = self.not_read.clone();
        gather(&self.top, &mut marks);
        marks.extend(self.totals.iter().flat_map(|total| &total.not_read));
        if let Some(weights) = &self.weights {
            marks.extend(&weights.not_read);
            marks.extend(weights.materials.iter().flat_map(|total| &total.not_read));
        }
        marks
    }
    /// Whether some line or total is touched by a contradiction among the claims.
    #[must_use]
    pub fn is_contradicted(&self) -> bool {
        fn touched(line: &BillLine) -> bool {
            line.state == LineState::Contradicted || line.choices.iter().any(|choice| choice.below.iter().any(touched))
        }
        touched(&self.top) || self.totals.iter().any(|total| total.amount == Amount::Contradicted)
    }
    /// Whether every line and every total is the same in all histories.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        fn settled(line: &BillLine) -> bool {
            line.state == LineState::Settled && line.choices.iter().all(|choice| choice.below.iter().all(settled))
        }
        settled(&self.top) && self.totals.iter().all(|total| total.amount.is_settled())
    }
}

/// Why there is no bill.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoBill {
    /// No type record says which part is the whole airframe.
    NoAirframePart,
    /// A part contains itself, directly or through others; [`Graph::loops`](crate::graph::Graph::loops) shows how.
    Loop,
    /// What it would be of was not read.
    NotRead(Marks),
    /// No history fits the assembly or the position that was asked for.
    NotFitted,
    /// The quantity of this part is more than a 64-bit number holds.
    TooMany(PartId),
    /// The tree would have more lines than this.
    TooLong(usize),
    /// Assemblies would lie deeper inside each other than this.
    TooDeep(usize),
}

/// The most lines that a tree may have.
pub const LINES: usize = 500_000;

/// Assemblies may lie so deep inside each other in a tree.
pub const LEVELS: usize = 200;

/// Makes the bill of parts of the state that the resolver was made for.
///
/// # Errors
/// Says why there is no bill. A single quantity that cannot be decided is no error: its line says so.
pub fn bill(resolver: &mut Resolver<'_>, request: Request) -> Result<Bill, NoBill> {
    let history = resolver.history();
    let (airframe, order) = (history.id, history.graph.explosion_order().ok_or(NoBill::Loop)?);
    let target = resolver.target();
    let mut explosion = explode::Explosion { resolver, basis: request.basis };
    let start = explosion.start(order, request.scope)?;
    let (top, structure) = tree::tree(&mut explosion, &start, request)?;
    let below = total::Below { start: &start, top: &top, structure: &structure };
    let (totals, weights) = total::totals(&mut explosion, order, &below, request.weights)?;
    let mut not_read = explosion.resolver.history().not_read_of_asking(target.build_state);
    not_read.extend(structure);
    Ok(Bill { airframe, target, request, top, totals, weights, not_read })
}
