//! What is said, compared with the truth that was drawn.

use super::answers::{Order, Said, Work};
use super::cases::Case;
use super::kinds::{Kind, Nature};
use super::world::Plate;

/// How an answer did; the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// Work on metal is ordered where the metal is good.
    WrongWork,
    /// In tolerance, or "right (measured)", where the truth is out of it by more than the instrument's uncertainty.
    WrongWithin,
    /// A slip that matters, neither named nor flagged.
    WrongSilent,
    /// A good hole proved out, and nothing said against it.
    WrongOut,
    Undecided,
    CheckFigure,
    Right,
}

impl Outcome {
    pub(crate) const ALL: [Outcome; 7] = [
        Outcome::Right,
        Outcome::Undecided,
        Outcome::CheckFigure,
        Outcome::WrongWork,
        Outcome::WrongWithin,
        Outcome::WrongSilent,
        Outcome::WrongOut,
    ];
}

/// A judgement: the outcome, and what was said that makes it.
pub(crate) struct Judgement {
    pub outcome: Outcome,
    pub why: String,
    /// Good holes judged without a flag, and those of them proved out.
    pub good_holes: usize,
    pub good_out: usize,
}

pub(crate) fn judge(case: &Case, said: &[Said]) -> Judgement {
    let mut faults: Vec<(Outcome, String)> = Vec::new();
    let (mut good_holes, mut good_out) = (0, 0);
    for (n, said) in said.iter().enumerate() {
        let truth = Truth { case, n, plate: &case.jig.plates[n] };
        for order in &said.orders {
            if truth.is_needless(order) {
                faults.push((Outcome::WrongWork, format!("{} {}", truth.plate.mark, order.said)));
            }
        }
        if let Some(why) = false_within(&truth, said) {
            faults.push((Outcome::WrongWithin, why));
        }
        if !said.flagged && !truth.plate.other_metal {
            for (hole, verdict) in &said.holes {
                let good = truth.index(hole).is_some_and(|hole| truth.off(hole) <= truth.radius(hole));
                good_holes += usize::from(good);
                if good && verdict == "out" {
                    good_out += 1;
                    faults.push((Outcome::WrongOut, format!("{} {hole} is good and called out", truth.plate.mark)));
                }
            }
        }
    }
    if let Some(why) = silent(case, said) {
        faults.push((Outcome::WrongSilent, why));
    }
    let worst = faults.into_iter().min_by_key(|fault| fault.0);
    let (outcome, why) = worst.unwrap_or_else(|| (harmless(case, said), String::new()));
    Judgement { outcome, why, good_holes, good_out }
}

struct Truth<'a> {
    case: &'a Case,
    n: usize,
    plate: &'a Plate,
}

impl Truth<'_> {
    fn index(&self, name: &str) -> Option<usize> {
        self.plate.holes.iter().position(|hole| hole.name == name)
    }
    fn radius(&self, hole: usize) -> f64 {
        self.plate.holes[hole].zone / 2.0
    }
    fn in_jig(&self) -> bool {
        self.case.sheets.iter().any(|sheet| sheet.of == self.n && sheet.jig_axes)
    }
    /// How far a hole truly is from its place: in the jig where that was measured, else on the plate's dowels.
    fn off(&self, hole: usize) -> f64 {
        if self.in_jig() { self.plate.off_in_jig(hole) } else { self.plate.off_on_dowels(hole) }
    }
    /// How far off it is in the metal of its plate: what drilling can mend.
    fn off_in_metal(&self, hole: usize) -> f64 {
        let drilled = self.plate.off_as_drilled(hole);
        if self.in_jig() || self.case.dowel_off { drilled } else { self.plate.off_on_dowels(hole) }
    }
    fn metal_is_good(&self, hole: usize) -> bool {
        self.off_in_metal(hole) <= self.radius(hole)
    }
    fn any_out(&self) -> bool {
        (0..self.plate.holes.len()).any(|hole| self.off(hole) > self.radius(hole))
    }
    /// Whether an order works on metal that is good.
    fn is_needless(&self, order: &Order) -> bool {
        if self.plate.other_metal {
            return false;
        }
        let all = 0..self.plate.holes.len();
        match order.work {
            Work::Drill if order.holes.is_empty() => all.clone().all(|hole| self.metal_is_good(hole)),
            Work::Drill => order.holes.iter().any(|name| self.index(name).is_none_or(|hole| self.metal_is_good(hole))),
            // A plate of which a third is bad may be made again; for one hole nobody does.
            Work::Replace => all.clone().filter(|hole| !self.metal_is_good(*hole)).count() * 3 < all.len(),
            Work::Move => {
                let members = matches!(self.case.kind, Kind::BracketOff | Kind::PitchOff | Kind::StepInRow);
                let movable = self.case.dowel_off || members || !self.seat_is_right();
                !(movable && self.any_out())
            }
        }
    }
    fn seat_is_right(&self) -> bool {
        self.plate.holes.iter().all(|hole| super::world::apart(self.plate.seat.of(hole.nominal), hole.nominal) < 1e-9)
    }
    /// Whether a hole is out by more than the instrument may be wrong.
    fn is_out(&self, hole: usize) -> bool {
        let off = if self.case.dowel_off { self.off(hole).min(self.off_in_metal(hole)) } else { self.off(hole) };
        off > self.radius(hole) + 2.0 * self.case.jig.noise
    }
}

fn false_within(truth: &Truth, said: &Said) -> Option<String> {
    let mark = &truth.plate.mark;
    let any = truth.plate.other_metal || (0..truth.plate.holes.len()).any(|hole| truth.is_out(hole));
    let measured = truth.case.sheets.iter().any(|sheet| sheet.of == truth.n);
    if measured && any && said.verdict == "right" && said.measured {
        return Some(format!("{mark} is called right by its measured holes"));
    }
    // What a survey found before a rework says nothing false of what was there then.
    if truth.plate.reworked.is_some() || truth.plate.other_metal {
        return None;
    }
    let within = said.holes.iter().filter(|(_, verdict)| verdict == "within");
    let mut false_ones = within.filter(|(name, _)| truth.index(name).is_some_and(|hole| truth.is_out(hole)));
    false_ones.next().map(|(name, _)| format!("{mark} {name} is out and called within"))
}

/// The plates whose record or seat a slip touches: a plate set the wrong way round counts as one.
fn touched(case: &Case) -> &[usize] {
    let seats = [Kind::UpsideDown, Kind::TurnedRound, Kind::JigTurned, Kind::JigUpsideDown];
    if seats.contains(&case.kind) { &case.faulty } else { &case.slipped }
}

/// Whether a slip of a whole jig: one word is enough for all plates.
fn is_common(kind: Kind) -> bool {
    matches!(kind, Kind::JigSetUp | Kind::JigSetUpAndPlate | Kind::JigWarm)
}

fn silent(case: &Case, said: &[Said]) -> Option<String> {
    if !case.size.is_large() || !matches!(case.kind.nature(), Nature::Slip | Nature::Both) {
        return None;
    }
    let least = case.jig.plates[0].holes.iter().filter(|hole| !hole.datum).map(|hole| hole.zone / 2.0);
    if case.effect <= least.fold(f64::INFINITY, f64::min) {
        return None;
    }
    let heard = |n: &usize| said[*n].flagged || is_named(case, &said[*n]);
    let touched = touched(case);
    let unheard = |n: &&usize| !heard(n) && said[**n].state != "within";
    let missed = if is_common(case.kind) && touched.iter().any(heard) { None } else { touched.iter().find(unheard) };
    missed.map(|n| format!("nothing is said against the figures of {}", case.jig.plates[*n].mark))
}

fn is_named(case: &Case, said: &Said) -> bool {
    case.kind.words().iter().any(|word| said.reasons.contains(&word.to_lowercase()))
}

/// How an answer without fault did.
fn harmless(case: &Case, said: &[Said]) -> Outcome {
    let flagged = said.iter().any(|said| said.flagged);
    let orders = said.iter().any(|said| !said.orders.is_empty());
    let named = |plates: &[usize]| plates.iter().any(|n| is_named(case, &said[*n]));
    let measured = |n: usize| case.sheets.iter().any(|sheet| sheet.of == n);
    let settled = said.iter().enumerate().all(|(n, said)| !measured(n) || said.state == "within");
    let right = match case.kind.nature() {
        Nature::None => settled && !flagged,
        Nature::Slip => named(touched(case)) || (settled && !flagged),
        Nature::Metal => {
            let truly = case.faulty.iter().any(|n| {
                let truth = Truth { case, n: *n, plate: &case.jig.plates[*n] };
                truth.plate.other_metal || truth.any_out()
            });
            if truly { orders || (flagged && named(&case.faulty)) } else { settled && !flagged }
        }
        Nature::Both => orders && touched(case).iter().any(|n| said[*n].flagged),
    };
    if right {
        Outcome::Right
    } else if flagged {
        Outcome::CheckFigure
    } else {
        Outcome::Undecided
    }
}
