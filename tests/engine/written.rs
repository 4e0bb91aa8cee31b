//! Small types as people would write them, some of it illegible.

use crate::small::on;
use modstate::finding::Place;
use modstate::ids::{AirframeId, Id, ModId, PartId, PositionId};
use modstate::model::{Claim, Condition, Model, Modification, Position, Statement};
use modstate::quantity::{Day, SerialSet, Window};
use std::path::PathBuf;

/// What modifications and parts are called where they are written: no slip of the pen makes one name of another.
pub(crate) const MODS: [&str; 5] = ["AB101", "CD202", "EF303", "GH404", "JK505"];
pub(crate) const PARTS: [&str; 6] = ["10-1100", "21-2200", "32-3300", "43-4400", "54-5500", "65-6600"];

/// A record of a small type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Of {
    Type,
    Block,
    Part(PartId),
    Assembly(PartId),
    Modification(ModId),
    Group(usize),
    Airframe,
    Evidence(usize),
    Claim(usize),
    Assumption,
    /// Of the other airframe.
    OtherEvidence(usize),
    OtherClaim(usize),
}

/// A piece of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Piece {
    /// Everything behind the word that says what it is.
    Body,
    /// That word as well.
    All,
    /// That word alone.
    Head,
    /// Everything behind its first fields, its last bracket too.
    Tail,
    /// What it is called.
    Name,
    Airframe,
    /// The word of a statement, and what stands behind it.
    Says,
    About,
    Part,
    ByForm,
    When,
    RestsOn,
    Standing,
    Grade,
    Assumes,
    Member(usize),
    Introduced,
    Exactly,
    /// A modification in a list.
    Requires(usize),
    Excludes(usize),
    Supersedes(usize),
    /// What such a list is called.
    RequiresWord,
    Leaflet,
    Covers,
    Eligible,
    /// A whole position.
    Place(PositionId),
    Candidate(PositionId, usize),
    Quantity(PositionId, usize),
    /// The condition of a candidate, or with no number that of nothing being fitted.
    Condition(PositionId, Option<usize>),
    /// The n-th of the conditions of a position that name a modification: its word, and the name.
    Asks(PositionId, usize),
    AsksFor(PositionId, usize),
}

/// Where something is illegible.
pub(crate) type Spot = (Of, Piece);

/// A small type and what is known of two airframes of it, sound and fit to be written.
#[derive(Clone, Debug)]
pub(crate) struct Written {
    /// Without the claims that an assumption stands for.
    pub model: Model,
    pub airframe: AirframeId,
    /// As of when it is assumed that what no claim speaks of was not embodied.
    pub assumed: Option<Window>,
    /// What an assumption says instead; such a type is judged, and never written.
    pub that: Option<(Statement, Window)>,
    /// The claims about the other airframe.
    pub others: Vec<Claim>,
}

/// The files, and everything in them that can be illegible; what is, is replaced.
pub(crate) fn files(written: &Written, illegible: &[(Spot, &str)]) -> (Vec<(PathBuf, String)>, Vec<Spot>) {
    let mut pen = Pen { written, illegible, of: Of::Type, spots: Vec::new() };
    let of_type = pen.of_type();
    let (this, other) = (pen.dossier("X5"), pen.dossier("X6"));
    let file = |path: &str, records: Vec<String>| (PathBuf::from(path), format!("[\n{}\n]\n", records.join("\n")));
    let files = vec![file("type.ron", of_type), file("airframes/X5.ron", this), file("airframes/X6.ron", other)];
    (files, pen.spots)
}

/// What a position is called.
pub(crate) fn position_name(model: &Model, position: PositionId) -> String {
    format!("{}/{}", PARTS[model.positions[position].assembly.index()], find(position))
}

fn find(position: PositionId) -> String {
    (10 * (position.index() + 1)).to_string()
}

struct Pen<'a> {
    written: &'a Written,
    illegible: &'a [(Spot, &'a str)],
    of: Of,
    spots: Vec<Spot>,
}

impl Pen<'_> {
    /// A piece of the record that is being written.
    fn word(&mut self, piece: Piece, legible: &str) -> String {
        self.spots.push((self.of, piece));
        self.blot(piece).unwrap_or(legible).to_owned()
    }
    /// The same in quotes.
    fn text(&mut self, piece: Piece, legible: &str) -> String {
        format!("\"{}\"", self.word(piece, legible))
    }
    fn blot(&self, piece: Piece) -> Option<&str> {
        self.illegible.iter().find(|(spot, _)| *spot == (self.of, piece)).map(|(_, blot)| *blot)
    }
    /// The whole record; `first` of its fields tell which one it is.
    fn record(&mut self, kind: &str, first: usize, fields: &[String]) -> String {
        self.spots.extend([Piece::Body, Piece::All, Piece::Head, Piece::Tail].map(|piece| (self.of, piece)));
        let body = fields.join(", ");
        if let Some(blot) = self.blot(Piece::All) {
            format!("  {blot}({blot}),")
        } else if let Some(blot) = self.blot(Piece::Body) {
            format!("  {kind}({blot}),")
        } else if self.blot(Piece::Tail).is_some() {
            format!("  {kind}({},", fields[..first].join(", "))
        } else if let Some(blot) = self.blot(Piece::Head) {
            let stuck = blot.starts_with(char::is_alphanumeric);
            format!("  {}{blot}({body}),", if stuck { kind } else { "" })
        } else {
            format!("  {kind}({body}),")
        }
    }

    fn of_type(&mut self) -> Vec<String> {
        let written = self.written;
        let model = &written.model;
        let airframe = model.type_of.as_ref().unwrap().airframe;
        let fields =
            ["name: \"T\"".to_owned(), format!("airframe: {}", self.text(Piece::Part, PARTS[airframe.index()]))];
        let mut records = vec![self.record("Type", 1, &fields)];
        self.of = Of::Block;
        records.push(self.record("SerialBlock", 1, &["serials: \"X1..X30\"", "factory: \"F\""].map(str::to_owned)));
        for part in model.parts.ids() {
            self.of = Of::Part(part);
            let number = format!("number: {}", self.text(Piece::Name, PARTS[part.index()]));
            records.push(self.record("Part", 2, &[number, "description: \"d\"".into(), "source: Made".into()]));
        }
        for assembly in model.parts.ids() {
            let of_it: Vec<PositionId> =
                model.positions.iter().filter(|(.., held)| held.assembly == assembly).map(|(id, ..)| id).collect();
            if !of_it.is_empty() {
                self.of = Of::Assembly(assembly);
                let part = format!("part: {}", self.text(Piece::Part, PARTS[assembly.index()]));
                let positions: Vec<String> = of_it.into_iter().map(|position| self.position(position)).collect();
                let positions = format!("positions: [\n{}\n  ]", positions.join("\n"));
                records.push(self.record("Assembly", 1, &[part, positions]));
            }
        }
        for (m, _, modification) in model.mods.iter() {
            self.of = Of::Modification(m);
            let fields = self.modification(m, modification);
            records.push(self.record("Modification", 2, &fields));
        }
        for (n, group) in model.one_ofs.iter().enumerate() {
            self.of = Of::Group(n);
            let members = group.members.iter().enumerate();
            let members: Vec<String> = members.map(|(n, m)| self.text(Piece::Member(n), MODS[m.index()])).collect();
            let fields = [
                format!("name: \"{}\"", group.name),
                format!("modifications: [{}]", members.join(", ")),
                format!("introduced: {}", self.text(Piece::Introduced, &dated(&group.introduced))),
                format!("exactly: {}", self.word(Piece::Exactly, if group.exactly { "true" } else { "false" })),
            ];
            records.push(self.record("OneOf", 1, &fields));
        }
        records
    }

    fn modification(&mut self, m: ModId, modification: &Modification) -> Vec<String> {
        let number = self.text(Piece::Name, MODS[m.index()]);
        let mut fields = vec![format!("number: {number}"), "title: \"t\"".to_owned()];
        let mut list = |field: &str, list: &[(ModId, Place)], piece: fn(usize) -> Piece| {
            let names = list.iter().enumerate();
            let names: Vec<String> = names.map(|(n, (other, _))| self.text(piece(n), MODS[other.index()])).collect();
            if !names.is_empty() {
                let field = if field == "requires" { self.word(Piece::RequiresWord, field) } else { field.to_owned() };
                fields.push(format!("{field}: [{}]", names.join(", ")));
            }
        };
        list("requires", &modification.requires, Piece::Requires);
        list("excludes", &modification.excludes, Piece::Excludes);
        list("supersedes", &modification.supersedes, Piece::Supersedes);
        if let Some(form) = &modification.production {
            fields.push(format!("production: (ranges: [{}])", self.text(Piece::Covers, &range(&form.covers))));
        }
        if let Some(form) = &modification.retrospective {
            let leaflet = self.text(Piece::Leaflet, &dated(&form.leaflet_date));
            let eligible = form.eligible.as_ref();
            let eligible = eligible.map(|set| format!(", eligible: [{}]", self.text(Piece::Eligible, &range(set))));
            fields.push(format!("retrospective: (leaflet_date: {leaflet}{})", eligible.unwrap_or_default()));
        }
        fields
    }

    fn position(&mut self, id: PositionId) -> String {
        let written = self.written;
        let position: &Position = &written.model.positions[id];
        let find = format!("\"{}\"", find(id));
        let (mut candidates, mut asked) = (Vec::new(), 0);
        for (n, candidate) in position.candidates.iter().enumerate() {
            let part = self.text(Piece::Candidate(id, n), PARTS[candidate.part.index()]);
            let when = self.condition(id, &candidate.when, &mut asked);
            let when = self.word(Piece::Condition(id, Some(n)), &when);
            let quantity = self.word(Piece::Quantity(id, n), &candidate.quantity.to_string());
            candidates.push(format!("(part: {part}, when: {when}, quantity: {quantity})"));
        }
        let nothing = position.nothing_when.as_ref().map(|when| self.condition(id, when, &mut asked));
        let nothing = nothing.map(|when| self.word(Piece::Condition(id, None), &when));
        let nothing = nothing.map(|when| format!(", nothing_when: {when}")).unwrap_or_default();
        let body = format!("find: {find}, candidates: [{}]{nothing}", candidates.join(", "));
        format!("    ({}),", self.word(Piece::Place(id), &body))
    }

    fn condition(&mut self, position: PositionId, condition: &Condition, asked: &mut usize) -> String {
        let mut all = |parts: &[Condition]| -> String {
            parts.iter().map(|part| self.condition(position, part, asked)).collect::<Vec<_>>().join(", ")
        };
        let (word, m, by) = match condition {
            Condition::All(parts) => return format!("All([{}])", all(parts)),
            Condition::Any(parts) => return format!("Any([{}])", all(parts)),
            Condition::Not(part) => return format!("Not({})", self.condition(position, part, asked)),
            Condition::Post(m, by) => ("Post", m, *by),
            Condition::Pre(m) => ("Pre", m, None),
            Condition::Serials(_) => unreachable!("the small types select nothing by serial"),
        };
        let n = *asked;
        *asked += 1;
        let word = self.word(Piece::Asks(position, n), word);
        let name = self.text(Piece::AsksFor(position, n), MODS[m.index()]);
        format!("{word}({name}{})", by.map(|form| format!(", {form:?}")).unwrap_or_default())
    }

    /// The dossier of one airframe.
    fn dossier(&mut self, serial: &str) -> Vec<String> {
        let written = self.written;
        let held = &written.model.airframes[written.airframe];
        let is_other = serial != held.serial.text;
        let claims: Vec<&Claim> = if is_other {
            written.others.iter().collect()
        } else {
            held.claims.iter().map(|(_, _, claim)| claim).collect()
        };
        self.of = Of::Airframe;
        let built = if is_other { on(Day(9)) } else { held.built.clone() };
        let fields = [format!("serial: \"{serial}\""), format!("built: \"{}\"", dated(&built))];
        let mut records = vec![self.record("Airframe", 1, &fields)];
        for (n, claim) in claims.iter().enumerate() {
            self.of = if is_other { Of::OtherEvidence(n) } else { Of::Evidence(n) };
            let airframe = format!("airframe: {}", self.text(Piece::Airframe, serial));
            let id = format!("id: {}", self.text(Piece::Name, &format!("E{n}")));
            let grade = claim.grade.map(|grade| format!("{grade:?}")).unwrap();
            let grade = format!("grade: {}", self.word(Piece::Grade, &grade));
            let (kind, reference) = ("kind: \"card\"".to_owned(), "reference: \"r\"".to_owned());
            records.push(self.record("Evidence", 2, &[airframe, id, kind, reference, grade]));
            self.of = if is_other { Of::OtherClaim(n) } else { Of::Claim(n) };
            let fields = [
                format!("airframe: {}", self.text(Piece::Airframe, serial)),
                format!("id: {}", self.text(Piece::Name, &format!("C{n}"))),
                format!("says: {}", self.statement(&claim.says)),
                format!("when: {}", self.text(Piece::When, &dated(&claim.when))),
                format!("rests_on: [{}]", self.text(Piece::RestsOn, &format!("E{n}"))),
                format!("standing: {}", self.word(Piece::Standing, &format!("{:?}", claim.standing))),
            ];
            records.push(self.record("Claim", 2, &fields));
        }
        if let Some(when) = written.assumed.as_ref().filter(|_| !is_other) {
            self.of = Of::Assumption;
            let fields = [
                format!("airframe: \"{serial}\""),
                "id: \"A1\"".to_owned(),
                format!("assumes: {}", self.word(Piece::Assumes, "UnrecordedNotEmbodied")),
                format!("when: {}", self.text(Piece::When, &dated(when))),
                "reason: \"none was found\"".to_owned(),
            ];
            records.push(self.record("Assumption", 2, &fields));
        }
        records
    }

    fn statement(&mut self, says: &Statement) -> String {
        let model = &self.written.model;
        let (word, about, more) = match says {
            Statement::Embodied(m, by) => ("Embodied", MODS[m.index()].to_owned(), by.map(|form| format!("{form:?}"))),
            Statement::NotEmbodied(m) => ("NotEmbodied", MODS[m.index()].to_owned(), None),
            Statement::Removed(m) => ("Removed", MODS[m.index()].to_owned(), None),
            Statement::SeenAt(position, candidate) => {
                let part = candidate.map(|n| PARTS[model.positions[*position].candidates[n].part.index()].to_owned());
                let word = if part.is_some() { "SeenPart" } else { "SeenNothing" };
                (word, position_name(model, *position), part)
            }
            Statement::SeenSplice(..) | Statement::SeenPattern(_) => {
                unreachable!("the small types have neither frames nor plates")
            }
        };
        let (word, about) = (self.word(Piece::Says, word), self.text(Piece::About, &about));
        let is_seen = says.modification().is_none();
        let more =
            more.map(|more| if is_seen { self.text(Piece::Part, &more) } else { self.word(Piece::ByForm, &more) });
        format!("{word}({about}{})", more.map(|more| format!(", {more}")).unwrap_or_default())
    }
}

/// A range of serials as it is written; the small types have one range in a set, closed at both ends.
fn range(set: &SerialSet) -> String {
    let [from, to] = [&set.0[0].from, &set.0[0].to].map(|end| end.as_ref().unwrap().0);
    format!("X{from}..X{to}")
}

/// A date as it is written.
fn dated(window: &Window) -> String {
    match (window.start, window.end) {
        (Some(start), Some(end)) if start == end => start.to_string(),
        (Some(start), Some(end)) => format!("{start}..{end}"),
        (None, Some(end)) => format!("by {end}"),
        (Some(start), None) => format!("not before {start}"),
        (None, None) => unreachable!("no date is wholly open"),
    }
}
