//! From records to the model: names first, then what is behind them.
//!
//! All faults are found in one run. A faulty piece is left out and the rest stays; what refers to a record that was
//! left out, or that could not be read, is left out silently, because the record has its finding. Neither the order of files nor that of records
//! matters: tables are in the natural order of their names, and only lists inside a record keep their order.

mod airframes;
mod blocks;
mod built_in;
mod claims;
mod conditions;
mod decisions;
mod dossier;
mod frames;
mod girth;
mod losses;
mod mods;
mod names;
mod near;
mod outline;
mod plates;
mod rack;
mod rivets;
mod say;
mod sheet;
mod shop;
mod structure;
mod surveys;
mod tables;

use crate::finding::{Finding, RecordRef};
use crate::model::{Model, TypeOf};
use crate::quantity::Config;
use crate::schema::Record;
use crate::source::Lost;
use crate::{codes, schema};
use blocks::Known;
use names::Names;
use say::Findings;
pub(crate) use say::{listed, nearest};

/// Checks records and gives them their types; `lost` is what could not be read beside them.
///
/// The findings come sorted by place, each once.
#[must_use]
pub fn lower(records: &[(RecordRef, Record)], lost: &Lost, config: &Config) -> (Model, Vec<Finding>) {
    let mut out = Findings::default();
    let records_by_place = records;
    let records = ByKind::sort(records);
    let config = &tables::lower(&records, lost, config, &mut out);
    let names = Names::collect(&records, lost, &mut out);
    let blocks = blocks::lower(&records.blocks, config, &mut out);
    let known = Known::of(&blocks, blocks.len() < records.blocks.len() || lost.may_be("SerialBlock"));
    let mut model = Model { blocks, survey_limits: config.survey_limits(), config: config.clone(), ..Model::default() };
    let cx = Context { config, names, known, records, lost };

    model.drawings = structure::drawings(&cx, &mut out);
    model.parts = structure::parts(&cx, &model.drawings, &mut out);
    structure::positions(&cx, &mut model, &mut out);
    model.type_of = type_of(&cx, &mut out);
    mods::lower(&cx, &mut model, &mut out);
    model.frames = frames::lower(&cx, &mut out);
    model.skin_joints = rivets::skin_joints(&cx, &mut out);
    model.plates = plates::lower(&cx, &mut out);
    model.airframes = airframes::lower(&cx, &model, &mut out);
    model.jigs = shop::jigs(&cx, &model, &mut out);
    model.surveys = surveys::lower(&cx, &model, &mut out);
    rack::lower(&cx, &mut model, &mut out);
    (model.decisions, model.book) = decisions::lower(&cx, &model, &mut out);
    model.accepted = shop::accepted(&cx, &mut out);
    model.losses = losses::collect(records_by_place, &cx, &model, &out.pieces);
    (model, out.sorted(lost))
}

/// What every step of the second pass may look at.
struct Context<'a> {
    config: &'a Config,
    names: Names<'a>,
    known: Known,
    records: ByKind<'a>,
    /// What could not be read.
    lost: &'a Lost,
}

/// The records of each kind, in file order.
#[derive(Default)]
struct ByKind<'a> {
    types: Vec<(RecordRef, &'a schema::Type)>,
    blocks: Vec<(RecordRef, &'a schema::SerialBlock)>,
    drawings: Vec<(RecordRef, &'a schema::Drawing)>,
    parts: Vec<(RecordRef, &'a schema::Part)>,
    assemblies: Vec<(RecordRef, &'a schema::Assembly)>,
    mods: Vec<(RecordRef, &'a schema::Modification)>,
    one_ofs: Vec<(RecordRef, &'a schema::OneOf)>,
    frames: Vec<(RecordRef, &'a schema::Frame)>,
    skin_joints: Vec<(RecordRef, &'a schema::SkinJoint)>,
    plates: Vec<(RecordRef, &'a schema::Plate)>,
    airframes: Vec<(RecordRef, &'a schema::Airframe)>,
    evidence: Vec<(RecordRef, &'a schema::Evidence)>,
    claims: Vec<(RecordRef, &'a schema::Claim)>,
    assumptions: Vec<(RecordRef, &'a schema::Assumption)>,
    build_states: Vec<(RecordRef, &'a schema::BuildState)>,
    jigs: Vec<(RecordRef, &'a schema::Jig)>,
    surveys: Vec<(RecordRef, &'a schema::Survey)>,
    made_parts: Vec<(RecordRef, &'a schema::MadePart)>,
    /// With whether it is a permit.
    deviations: Vec<(RecordRef, bool, &'a schema::Deviation)>,
    tools: Vec<(RecordRef, &'a schema::FormingTool)>,
    decisions: Vec<(RecordRef, &'a schema::Decision)>,
    accepted: Vec<(RecordRef, &'a schema::Accepted)>,
    gauges: Vec<(RecordRef, &'a schema::WireGauges)>,
    tolerances: Vec<(RecordRef, &'a schema::ToleranceClasses)>,
    stages: Vec<(RecordRef, &'a schema::StagesOfWork)>,
    heat: Vec<(RecordRef, &'a schema::HeatTreatment)>,
    radii: Vec<(RecordRef, &'a schema::BendRadii)>,
    rivets: Vec<(RecordRef, &'a schema::RivetTables)>,
    spacing: Vec<(RecordRef, &'a schema::RivetSpacing)>,
    survey_limits: Vec<(RecordRef, &'a schema::SurveyLimits)>,
}

impl<'a> ByKind<'a> {
    fn sort(records: &'a [(RecordRef, Record)]) -> Self {
        let mut in_order: Vec<&(RecordRef, Record)> = records.iter().collect();
        in_order.sort_by_key(|(at, _)| *at);
        let mut kinds = ByKind::default();
        for (at, record) in in_order {
            let at = *at;
            match record {
                Record::Type(r) => kinds.types.push((at, r)),
                Record::SerialBlock(r) => kinds.blocks.push((at, r)),
                Record::Drawing(r) => kinds.drawings.push((at, r)),
                Record::Part(r) => kinds.parts.push((at, r)),
                Record::Assembly(r) => kinds.assemblies.push((at, r)),
                Record::Modification(r) => kinds.mods.push((at, r)),
                Record::OneOf(r) => kinds.one_ofs.push((at, r)),
                Record::Frame(r) => kinds.frames.push((at, r)),
                Record::SkinJoint(r) => kinds.skin_joints.push((at, r)),
                Record::Plate(r) => kinds.plates.push((at, r)),
                Record::Airframe(r) => kinds.airframes.push((at, r)),
                Record::Evidence(r) => kinds.evidence.push((at, r)),
                Record::Claim(r) => kinds.claims.push((at, r)),
                Record::Assumption(r) => kinds.assumptions.push((at, r)),
                Record::BuildState(r) => kinds.build_states.push((at, r)),
                Record::Jig(r) => kinds.jigs.push((at, r)),
                Record::Survey(r) => kinds.surveys.push((at, r)),
                Record::MadePart(r) => kinds.made_parts.push((at, r)),
                Record::Concession(r) => kinds.deviations.push((at, false, r)),
                Record::DeviationPermit(r) => kinds.deviations.push((at, true, r)),
                Record::FormingTool(r) => kinds.tools.push((at, r)),
                Record::Decision(r) => kinds.decisions.push((at, r)),
                Record::Accepted(r) => kinds.accepted.push((at, r)),
                Record::WireGauges(r) => kinds.gauges.push((at, r)),
                Record::ToleranceClasses(r) => kinds.tolerances.push((at, r)),
                Record::StagesOfWork(r) => kinds.stages.push((at, r)),
                Record::HeatTreatment(r) => kinds.heat.push((at, r)),
                Record::BendRadii(r) => kinds.radii.push((at, r)),
                Record::RivetTables(r) => kinds.rivets.push((at, r)),
                Record::RivetSpacing(r) => kinds.spacing.push((at, r)),
                Record::SurveyLimits(r) => kinds.survey_limits.push((at, r)),
            }
        }
        kinds
    }

    /// A place for what is missing from the whole project: its first record, if it has one.
    fn first(&self) -> Option<RecordRef> {
        let parts = self.parts.iter().map(|(at, _)| *at);
        let mods = self.mods.iter().map(|(at, _)| *at);
        let blocks = self.blocks.iter().map(|(at, _)| *at);
        let airframes = self.airframes.iter().map(|(at, _)| *at);
        parts.chain(mods).chain(blocks).chain(airframes).min()
    }
}

fn type_of(cx: &Context, out: &mut Findings) -> Option<TypeOf> {
    let Some((record, first)) = cx.records.types.first() else {
        if let Some(at) = cx.records.first().filter(|_| !cx.lost.may_be("Type")) {
            out.add(
                Finding::new(codes::NO_TYPE, "no record describes the aircraft type", at.place(), "of which type?")
                    .help("add a `Type` record with the part number of the whole airframe"),
            );
        }
        return None;
    };
    for (again, other) in cx.records.types.iter().skip(1) {
        let message = format!("the type `{}` is described beside the type `{}`", other.name, first.name);
        out.add(
            Finding::new(codes::TWO_TYPES, message, again.place(), "a second type")
                .label(record.place(), "the first, which is kept")
                .help("keep one `Type` record, and give marks and models in the serial blocks"),
        );
    }
    Some(TypeOf {
        record: *record,
        name: first.name.clone(),
        maker: first.maker.clone(),
        airframe: cx.names.part(&first.airframe, &record.field("airframe"), out)?,
        datum: first.datum.clone(),
    })
}
