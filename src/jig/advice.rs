//! What to do about a surveyed plate. Work that destroys comes last: it is advised only where nothing that costs nothing
//! to look for would explain the readings, and then only on holes that are proved out.

use super::mend::{Mend, mends};
use super::slip::figure_step;
use crate::jig::found::{Correction, DatumBasis, Examined, Figure, HolesState, Identity, SlipKind};
use crate::metrology::position::{LimitVerdict, judge};
use crate::model::{Model, Plate};
use serde::Serialize;

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Look at a figure, a name or a face before anything else.
    CheckFigure,
    /// Look how the plate is mounted.
    TurnPlate,
    /// Set the instrument on the jig's datums again, and survey again.
    SetUpInstrumentAgain,
    /// Survey again before anything is done.
    SurveyAgain,
    /// Measure holes with a finer instrument: this one does not decide them.
    MeasureFiner,
    /// Measure holes that the survey leaves out.
    MeasureLeftOut,
    /// Measure how far holes are out of square: their mating size decides.
    MeasureMatingSize,
    /// Set the whole plate against its datums.
    ResetDatum,
    /// Move a member.
    ShiftMember,
    /// Plug holes and drill them again.
    PlugAndRedrill,
    /// Nothing.
    None,
}

impl Action {
    /// Whether it undoes work that was done.
    #[must_use]
    pub const fn destroys_work(self) -> bool {
        match self {
            Self::ResetDatum | Self::ShiftMember | Self::PlugAndRedrill => true,
            Self::CheckFigure
            | Self::TurnPlate
            | Self::SetUpInstrumentAgain
            | Self::SurveyAgain
            | Self::MeasureFiner
            | Self::MeasureLeftOut
            | Self::MeasureMatingSize
            | Self::None => false,
        }
    }
}

/// What is thought to be the matter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case", untagged)]
pub enum Suspicion {
    /// A slip of measuring or writing.
    Slip(SlipKind),
    /// Anything else.
    Other(Cause),
}

/// What is the matter, if it is no slip of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The instrument was set on wrong datums, or the jig is off its own: all plates of the set-up are off together.
    SetUp,
    /// No other plate was measured in the set-up that shows whether it was right.
    OnlyPlateOfSetUp,
    /// The plate lies off besides what the plates of its set-up share.
    PlateOffBesides,
    /// A whole member.
    Member,
    /// The whole plate.
    WholePlate,
    /// Holes drilled off, each by itself.
    HolesOff,
    /// One wrong step in a row of pitches.
    SingleStep,
    /// A datum that carries its deviation to other holes, or an error that the survey does not decide.
    NotTold,
    /// The instrument is too coarse.
    Uncertainty,
    /// Holes that were not measured.
    NotMeasured,
    /// The bonus of a hole whose mating size was not measured.
    MatingSize,
    /// The holes are those of no plate.
    NoPlate,
    /// The plate was changed after the survey, or may have been, or a later survey counts.
    Outdated,
    /// Nothing.
    None,
}

/// One piece of advice.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What is done.
    pub action: Action,
    /// To which holes of the definition (indices); empty: the plate as a whole.
    pub holes: Vec<usize>,
    /// What is thought to be the matter.
    pub suspect: Suspicion,
    /// The measured hole (an index) and the figure, where one is to be checked.
    pub figure: Option<(Option<usize>, Figure)>,
    /// The work, where there is any.
    pub work: Option<Mend>,
    /// The step by which the plates of the set-up, or this plate, lie off.
    pub step: Option<Correction>,
}

impl Advice {
    fn new(action: Action, cause: Cause, holes: Vec<usize>) -> Self {
        Self { action, holes, suspect: Suspicion::Other(cause), figure: None, work: None, step: None }
    }
    fn check(kind: SlipKind, holes: Vec<usize>) -> Self {
        Self { suspect: Suspicion::Slip(kind), ..Self::new(Action::CheckFigure, Cause::None, holes) }
    }
}

/// What to do about a surveyed plate, in order; never empty.
///
/// Invariant: advice that destroys work never stands beside advice to check a figure that is in doubt, to set up the
/// instrument again, or to look how the plate is mounted.
#[must_use]
pub fn advice(examined: &Examined, model: &Model) -> Vec<Advice> {
    let mut all = checks(examined);
    let Some(plate) = examined.against.map(|plate| &model.plates[plate]) else {
        return if all.is_empty() { vec![Advice::new(Action::SurveyAgain, Cause::NoPlate, Vec::new())] } else { all };
    };
    if !examined.slips.iter().any(|slip| slip.in_doubt) {
        let work = work(examined, plate, model.survey_limits.far_off_mm);
        let doubts = work
            .iter()
            .any(|a| matches!(a.action, Action::CheckFigure | Action::SetUpInstrumentAgain | Action::TurnPlate));
        all.extend(work.into_iter().filter(|advice| !(doubts && advice.action.destroys_work())));
    }
    all.extend(undecided(examined));
    if all.is_empty() {
        all.push(Advice::new(Action::None, Cause::None, Vec::new()));
    }
    all
}

/// What costs nothing: a figure, the mounting, the other plates of the set-up.
fn checks(examined: &Examined) -> Vec<Advice> {
    let of = |measured: &usize| examined.holes.iter().find(|hole| hole.measured == Some(*measured)).map(|h| h.hole);
    let mut all: Vec<Advice> = Vec::new();
    for slip in &examined.slips {
        let action = if slip.kind == SlipKind::Turned { Action::TurnPlate } else { Action::CheckFigure };
        let holes = slip.rows.iter().filter_map(of).collect();
        let figure = Some((slip.rows.first().copied(), slip.figure.clone()));
        all.push(Advice { action, figure, ..Advice::check(slip.kind, holes) });
    }
    all
}

fn work(examined: &Examined, plate: &Plate, far_off: f64) -> Vec<Advice> {
    let work = mends(examined, plate);
    if let Some(set_up) = set_up(examined, &work) {
        return set_up;
    }
    let known = match &examined.identity {
        Identity::One(_) => true,
        Identity::Several(plates) => examined.record.is_some_and(|record| plates.contains(&record)),
        Identity::OtherHand(_) | Identity::Mixed(_) | Identity::NoPlate(_) | Identity::TooFew => false,
    };
    if !known && !work.is_empty() {
        return vec![Advice::new(Action::SurveyAgain, Cause::NoPlate, Vec::new())];
    }
    work.iter().flat_map(|mend| of_mend(examined, plate, mend, far_off)).collect()
}

/// A plate off as a whole on the jig's axes: the set-up of the instrument comes first, unless two other plates show that
/// it was right.
fn set_up(examined: &Examined, work: &[Mend]) -> Option<Vec<Advice>> {
    let own = work.iter().find_map(|mend| match mend {
        Mend::ResetJig(step) | Mend::ResetDatum(step) => Some(*step),
        Mend::MoveMember(..) | Mend::Redrill(_) | Mend::CheckReading(_) | Mend::MeasureAgain(_) => None,
    });
    // What is within as it was read is not in question, whatever other plates show.
    if examined.basis != DatumBasis::JigAxes || examined.state() == Some(HolesState::Within) {
        return None;
    }
    let again = |cause, step| Advice { step, ..Advice::new(Action::SetUpInstrumentAgain, cause, Vec::new()) };
    let Some(set_up) = &examined.set_up else {
        return own.map(|step| vec![again(Cause::OnlyPlateOfSetUp, Some(step))]);
    };
    if let Some(scale) = set_up.scale {
        let figure = Some((None, Figure::Scale(scale)));
        return Some(vec![Advice { figure, ..Advice::check(SlipKind::OverallScale, Vec::new()) }]);
    }
    let mut all = Vec::new();
    if set_up.plates >= 2 && set_up.off.is_some() {
        let jig = work.iter().find(|mend| matches!(mend, Mend::ResetJig(_))).cloned();
        all.push(Advice { work: jig, ..again(Cause::SetUp, set_up.off) });
        if set_up.besides {
            let besides = Advice::new(Action::SurveyAgain, Cause::PlateOffBesides, Vec::new());
            all.push(Advice { step: own, ..besides });
        }
    } else if own.is_some() && set_up.sound < 2 {
        let cause = if set_up.plates < 2 { Cause::OnlyPlateOfSetUp } else { Cause::SetUp };
        all.push(again(cause, own));
    }
    (!all.is_empty()).then_some(all)
}

fn of_mend(examined: &Examined, plate: &Plate, mend: &Mend, far_off: f64) -> Vec<Advice> {
    let far = |step: &Correction| step.shift.norm() > far_off;
    let with = |action, cause, holes| Advice { work: Some(mend.clone()), ..Advice::new(action, cause, holes) };
    match mend {
        Mend::ResetJig(step) => {
            vec![Advice { step: Some(*step), ..with(Action::SetUpInstrumentAgain, Cause::SetUp, Vec::new()) }]
        }
        Mend::ResetDatum(step) | Mend::MoveMember(_, step) if far(step) => {
            vec![Advice { step: Some(*step), ..Advice::check(SlipKind::FarOff, Vec::new()) }]
        }
        Mend::ResetDatum(_) => vec![with(Action::ResetDatum, Cause::WholePlate, Vec::new())],
        Mend::MoveMember(member, _) => {
            vec![with(Action::ShiftMember, Cause::Member, plate.members[*member].holes.clone())]
        }
        Mend::Redrill(holes) => redrill(examined, plate, holes),
        Mend::CheckReading(holes) => vec![Advice::check(SlipKind::FarOff, holes.clone())],
        Mend::MeasureAgain(holes) => vec![with(Action::SurveyAgain, Cause::NotTold, holes.clone())],
    }
}

/// Only holes that are proved out on the datums and in the pattern are drilled again; the others are measured again.
fn redrill(examined: &Examined, plate: &Plate, holes: &[usize]) -> Vec<Advice> {
    let proved = |hole: &usize| {
        let found = &examined.holes[*hole];
        found.judged.is_some_and(|judged| {
            let left = found.left.map_or(judged.deviation, |left| 2.0 * left.norm());
            judged.size == Some(LimitVerdict::Fail) || judge(left, judged.allowed, judged.guard) == LimitVerdict::Fail
        })
    };
    let (out, open): (Vec<usize>, Vec<usize>) = holes.iter().partition(|hole| proved(hole));
    let steps = plate.members.iter().filter(|member| member.row);
    let stepped = steps
        .filter_map(|member| figure_step(examined, &member.holes))
        .any(|(row, from)| row[from..].iter().any(|hole| out.contains(hole)));
    let cause = if stepped { Cause::SingleStep } else { Cause::HolesOff };
    let mut all = Vec::new();
    if !out.is_empty() {
        let work = Some(Mend::Redrill(out.clone()));
        all.push(Advice { work, ..Advice::new(Action::PlugAndRedrill, cause, out) });
    }
    if !open.is_empty() {
        let work = Some(Mend::MeasureAgain(open.clone()));
        all.push(Advice { work, ..Advice::new(Action::SurveyAgain, Cause::NotTold, open) });
    }
    all
}

/// What the instrument does not decide, and what was not measured.
fn undecided(examined: &Examined) -> Vec<Advice> {
    if examined.state() != Some(HolesState::NotDecided) {
        return Vec::new();
    }
    let tells = |hole: &usize| examined.holes[*hole].judged.is_some_and(|judged| judged.mating_size_tells);
    let open = |verdict| {
        let holes = examined.with(verdict).filter(|hole| !examined.holes[*hole].in_doubt);
        holes.partition::<Vec<usize>, _>(tells)
    };
    let (mating, near) = open(Some(LimitVerdict::NotDecidable));
    let (_, missing) = open(None);
    let all = [
        (Action::MeasureFiner, Cause::Uncertainty, near),
        (Action::MeasureMatingSize, Cause::MatingSize, mating),
        (Action::MeasureLeftOut, Cause::NotMeasured, missing),
    ];
    let all = all.into_iter().filter(|(.., holes)| !holes.is_empty());
    all.map(|(action, cause, holes)| Advice::new(action, cause, holes)).collect()
}
