//! The surveys of the plates on a jig: which plates are unproved, and what is wrong with those that were measured.

use super::complete::Mounts;
use crate::codes;
use crate::finding::{Finding, Place};
use crate::ids::{JigId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::found::{Examined, HoleFound};
use crate::jig::{PlateStanding, Rests};
use crate::metrology::position::LimitVerdict;
use crate::model::{Model, MountedPlate, Plate, Survey};
use crate::words::advice::advice_texts;
use crate::words::listed;
use crate::words::survey::{Unit, hole_names, identity_words, plate_names};

/// Which plates of a jig were never surveyed, or changed since, and what the surveys that count say of the others.
pub(super) fn check(
    model: &Model,
    examiner: &Examiner<'_>,
    id: JigId,
    standings: &[PlateStanding],
    mounts: &Mounts,
    findings: &mut Vec<Finding>,
) {
    let (name, jig) = (model.jigs.name(id), &model.jigs[id]);
    let mut never = Vec::new();
    for (index, plate) in jig.mounted.iter().enumerate().filter(|(index, _)| !mounts.unread.contains(index)) {
        let like_another = mounts.unlike.contains(&plate.station);
        if let Some(examined) = standings[index].examined.as_ref().filter(|_| !like_another) {
            let of = Measured { model, examiner, jig: name, plate, standing: &standings[index], examined };
            findings.extend(of.findings());
        }
        match standings[index].rests {
            Rests::Agrees
            | Rests::Metal
            | Rests::MetalAgainst
            | Rests::NotDistinguished
            | Rests::OtherHand(_)
            | Rests::Unlike => {}
            Rests::NotSurveyed => never.push(plate),
            Rests::ChangedSince(survey) => {
                let survey = &model.surveys[survey];
                let message = format!(
                    "the plate `{}` of jig `{name}` was changed after its last survey, `{}`, and is not verified by measurement",
                    plate.mark, survey.id
                );
                let field = if plate.reworked.is_some() { "reworked" } else { "made" };
                findings.push(
                    Finding::new(codes::PLATE_CHANGED_SINCE, message, plate.place.field(field), "changed here")
                        .label(survey.record.field("date"), "last measured here")
                        .help(format!("survey `{}` before metal is formed on it", plate.mark)),
                );
            }
        }
    }
    let Some(first) = never.first() else { return };
    let marks = listed(never.iter().map(|plate| plate.mark.as_str()), "and");
    let (plates, were) = if never.len() == 1 { ("plate", "was") } else { ("plates", "were") };
    let message = format!("the {plates} {marks} of jig `{name}` {were} never surveyed");
    let mut finding = Finding::new(codes::PLATES_NEVER_SURVEYED, message, first.place.field("mark"), "never surveyed");
    for plate in &never[1..] {
        finding = finding.label(plate.place.field("mark"), "never surveyed");
    }
    findings.push(finding.help("survey them before metal is formed on them"));
}

/// A mounted plate with what the survey that counts says of it.
struct Measured<'a> {
    model: &'a Model,
    examiner: &'a Examiner<'a>,
    jig: &'a str,
    plate: &'a MountedPlate,
    standing: &'a PlateStanding,
    examined: &'a Examined,
}

/// At most so many holes are marked in one finding.
const MARKED: usize = 6;

impl Measured<'_> {
    fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        match self.standing.rests {
            Rests::MetalAgainst => findings.extend(self.against_record()),
            Rests::OtherHand(plate) => findings.push(self.other_hand(plate)),
            Rests::Unlike => findings.push(self.unlike()),
            Rests::NotDistinguished => findings.push(self.not_distinguished()),
            Rests::Metal => findings.extend(self.without_record()),
            Rests::Agrees | Rests::NotSurveyed | Rests::ChangedSince(_) => {}
        }
        // Holes compared with a definition that the plate is not say nothing more.
        if let (Some(_), Some(plate)) = (self.standing.is, self.examined.against) {
            let plate = &self.model.plates[plate];
            findings.extend(self.out(plate));
            findings.extend(self.in_doubt());
            findings.extend(self.not_decided(plate));
            findings.extend(self.not_measured(plate));
            findings.extend(self.renamed(plate));
        }
        findings
    }

    fn survey(&self) -> &Survey {
        &self.model.surveys[self.examined.survey]
    }

    fn place_of(&self, measured: usize) -> Place {
        self.survey().holes[measured].place.clone()
    }

    /// Where the list of holes is written, or the file that holds it is named.
    fn list(&self) -> Place {
        let from_file = self.survey().holes.iter().any(|hole| matches!(hole.place, Place::Bytes(..)));
        self.survey().record.field(if from_file { "holes_from" } else { "holes" })
    }

    /// "the plate `P4` of jig `J14`".
    fn named(&self) -> String {
        format!("the plate `{}` of jig `{}`", self.plate.mark, self.jig)
    }

    /// Marks the measured holes that tell the plate from another definition.
    fn label_telling(&self, mut finding: Finding, is: PlateId, from: PlateId) -> Finding {
        for (hole, measured) in self.examiner.tells(self.examined, from).into_iter().take(MARKED) {
            let label = format!("distinguishing hole: `{}` of `{}`", self.name(is, hole), self.model.plates.name(is));
            finding = finding.label(self.place_of(measured), label);
        }
        finding
    }

    fn name(&self, plate: PlateId, hole: usize) -> &str {
        &self.model.plates[plate].holes[hole].name
    }

    fn against_record(&self) -> Option<Finding> {
        let (record, is) = (self.examined.record?, self.standing.is?);
        let message = format!(
            "the record of {} says `{}`, and its holes in survey `{}` are those of `{}`",
            self.named(),
            self.model.plates.name(record),
            self.survey().id,
            self.model.plates.name(is)
        );
        let finding =
            Finding::new(codes::RECORD_AGAINST_METAL, message, self.plate.place.field("made_to"), "the record")
                .label(self.survey().record.field("mark"), "the metal, as measured");
        Some(self.label_telling(finding, is, record).help(format!(
            "form nothing on `{}` until somebody has looked: correct `made_to`, or survey it again if plates were mixed up",
            self.plate.mark
        )))
    }

    fn other_hand(&self, plate: PlateId) -> Finding {
        let message = format!(
            "the holes of {} in survey `{}` are those of `{}` with its hand swapped",
            self.named(),
            self.survey().id,
            self.model.plates.name(plate)
        );
        let face = Finding::new(codes::PLATE_OTHER_HAND, message, self.plate.place.field("mark"), "this plate")
            .label(self.survey().record.field("face"), "seen from this side");
        face.label(self.model.plates[plate].record.field("holes"), "as drawn").help(
            "look whether it is mounted back to front, was measured from the other face, or x and y are exchanged in the \
             survey; do nothing to metal before that"
                .to_owned(),
        )
    }

    fn unlike(&self) -> Finding {
        let message = format!(
            "survey `{}` does not say what {} is: its holes are {}",
            self.survey().id,
            self.named(),
            self.those()
        );
        let mut finding =
            Finding::new(codes::HOLES_OF_NO_PLATE, message, self.survey().record.field("mark"), "measured here");
        if let Some(record) = self.examined.record {
            let label = format!("`{}` by its record", self.model.plates.name(record));
            finding = finding.label(self.plate.place.field("made_to"), label);
        }
        finding.help(format!("look at `{}`, and survey it again with every hole", self.plate.mark))
    }

    fn those(&self) -> String {
        format!("those of {}", identity_words(&self.examined.identity, self.model)).replace("those of too", "too")
    }

    fn not_distinguished(&self) -> Finding {
        let message = format!(
            "survey `{}` does not show whether {} is what its record says: its holes are {}",
            self.survey().id,
            self.named(),
            self.those()
        );
        let record = self.examined.record;
        let silent = self.examined.identification.equals.iter().flat_map(|equal| &equal.silent_leader);
        let leader = self.examined.identification.leader.as_ref().map(|leader| self.examiner.plate(leader.plate));
        let mut silent: Vec<usize> = silent.copied().collect();
        silent.sort_unstable();
        silent.dedup();
        let help = match leader {
            Some(leader) if !silent.is_empty() => {
                format!("measure its distinguishing holes: {}", hole_names(&self.model.plates[leader], silent))
            }
            Some(_) | None => "measure more of its holes".to_owned(),
        };
        let finding =
            Finding::new(codes::SURVEY_DOES_NOT_TELL, message, self.survey().record.field("mark"), "measured here");
        let label = record.map_or("its record", |record| self.model.plates.name(record));
        finding.label(self.plate.place.field("made_to"), format!("`{label}` by its record")).help(help)
    }

    fn without_record(&self) -> Option<Finding> {
        let is = self.standing.is?;
        let is_named = self.model.plates.name(is);
        let message = format!(
            "nothing says what {} was made to, and its holes in survey `{}` are those of `{is_named}`",
            self.named(),
            self.survey().id
        );
        let finding = Finding::new(codes::PLATE_KNOWN_BY_HOLES, message, self.plate.place.field("mark"), "no record");
        let finding = finding.label(self.survey().record.field("mark"), "measured here");
        Some(finding.help(format!("enter `made_to: \"{is_named}\"` if that is agreed")))
    }

    /// The holes with this verdict that were measured.
    fn measured_with(&self, verdict: LimitVerdict) -> Vec<HoleFound> {
        self.examined.holes.iter().filter(|hole| hole.verdict() == Some(verdict)).copied().collect()
    }

    /// Marks holes with how far they are off and what is allowed.
    fn label_holes(
        &self,
        finding: Option<Finding>,
        new: &dyn Fn(Place, String) -> Finding,
        holes: &[HoleFound],
        plate: &Plate,
    ) -> Option<Finding> {
        let unit = Unit::of(plate);
        let mut finding = finding;
        for hole in holes.iter().take(MARKED) {
            let (Some(judged), Some(measured)) = (hole.judged, hole.measured) else { continue };
            let text = format!(
                "`{}`: position {} of {} {}, give or take {}",
                plate.holes[hole.hole].name,
                unit.small(judged.deviation),
                unit.small(judged.allowed),
                unit.name(),
                unit.small(judged.guard)
            );
            finding = Some(match finding {
                Some(finding) => finding.label(self.place_of(measured), text),
                None => new(self.place_of(measured), text),
            });
        }
        finding
    }

    fn out(&self, plate: &Plate) -> Option<Finding> {
        let holes = self.measured_with(LimitVerdict::Fail);
        let names = hole_names(plate, holes.iter().map(|hole| hole.hole));
        let (are, what) = if holes.len() == 1 { ("is", "hole") } else { ("are", "holes") };
        let message = format!("the {what} {names} of {} {are} out by survey `{}`", self.named(), self.survey().id);
        let new = |place, text: String| Finding::new(codes::HOLES_OUT, message.clone(), place, text);
        let finding = self.label_holes(None, &new, &holes, plate)?;
        let mends = advice_texts(self.examined, self.model);
        let help = format!("{}; then survey `{}` again", mends.join("; then "), self.plate.mark);
        Some(finding.label(self.plate.place.field("mark"), "this plate").help(help))
    }

    /// Slips of measuring and writing that would explain what is read.
    fn in_doubt(&self) -> Option<Finding> {
        let slips: Vec<_> = self.examined.slips.iter().filter(|slip| slip.in_doubt).collect();
        let first = slips.first()?;
        let survey = self.survey();
        let message = format!(
            "figures of survey `{}` of {} are in doubt: nothing is done to metal on them",
            survey.id,
            self.named()
        );
        let place = first.rows.first().map_or_else(|| self.list(), |row| self.place_of(*row));
        let mut finding = Finding::new(codes::FIGURES_IN_DOUBT, message, place, "check this first");
        for row in slips.iter().flat_map(|slip| &slip.rows).skip(1).take(MARKED - 1) {
            finding = finding.label(self.place_of(*row), "and this");
        }
        let texts = advice_texts(self.examined, self.model);
        Some(finding.help(format!(
            "{}; then survey `{}` again or correct the figure",
            texts.join("; "),
            self.plate.mark
        )))
    }

    fn not_decided(&self, plate: &Plate) -> Option<Finding> {
        let mut holes = self.measured_with(LimitVerdict::NotDecidable);
        holes.retain(|hole| !hole.in_doubt);
        let names = hole_names(plate, holes.iter().map(|hole| hole.hole));
        let survey = self.survey();
        let message = format!(
            "survey `{}` does not decide {names} of {}: too near the limit for its uncertainty of {}",
            survey.id,
            self.named(),
            survey.uncertainty.text
        );
        let new = |place, text: String| Finding::new(codes::HOLES_NOT_DECIDABLE, message.clone(), place, text);
        let finding = self.label_holes(None, &new, &holes, plate)?;
        let finding = finding.label(survey.record.field("uncertainty"), "the instrument's uncertainty");
        let indices: Vec<usize> = holes.iter().map(|hole| hole.hole).collect();
        let deciding = self.examined.deciding_uncertainty(&indices, survey.uncertainty.mm());
        let with = deciding.map_or_else(String::new, |mm| format!(", good for {} (k = 2)", Unit::of(plate).text(mm)));
        Some(finding.help(format!("measure these holes with a finer instrument{with}, or treat them as out")))
    }

    fn not_measured(&self, plate: &Plate) -> Option<Finding> {
        let missing: Vec<usize> =
            self.examined.with(None).filter(|hole| self.examined.holes[*hole].measured.is_none()).collect();
        if missing.is_empty() {
            return None;
        }
        let names = hole_names(plate, missing);
        let message = format!("survey `{}` leaves out {names} of {}", self.survey().id, self.named());
        let finding = Finding::new(codes::HOLES_NOT_MEASURED, message, self.list(), "not among these");
        let finding = finding.label(plate.record.field("holes"), "the holes of its drawing");
        Some(finding.help("measure these holes too: nothing proves them"))
    }

    fn renamed(&self, plate: &Plate) -> Option<Finding> {
        let (measured, hole) = *self.examined.renamed.first()?;
        let said = self.survey().holes[measured].name.as_deref().unwrap_or_default();
        let lies = &plate.holes[hole].name;
        let message = format!(
            "the hole named `{said}` in survey `{}` lies where `{lies}` of `{}` belongs",
            self.survey().id,
            plate_names(self.model, self.examined.against.as_slice(), "or")
        );
        let finding = Finding::new(codes::HOLE_UNDER_OTHER_NAME, message, self.place_of(measured), "named otherwise");
        let finding = finding.label(plate.record.field("holes"), "the holes of its drawing");
        Some(finding.help(format!("call it `{lies}`: it was taken for that hole, by its place")))
    }
}
