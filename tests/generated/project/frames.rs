//! Frames with variants, and the plates of the jigs that they are built on.

use super::mods::{Catalogue, Form};
use super::random::Random;
use super::structure::{Candidate, Condition, Position, Source, Structure};
use super::{Spec, pick};

/// The path of a frame.
pub(crate) enum Girth {
    Circle(f64),
    Ellipse(f64, f64),
    Polyline(Vec<(f64, f64)>, bool),
}

/// Where a splice point is.
#[derive(Clone)]
pub(crate) enum At {
    Angle(f64),
    Girth(f64),
}

pub(crate) struct Splice {
    pub name: &'static str,
    pub at: At,
    pub joined_by: Vec<usize>,
}

pub(crate) struct Segment {
    pub part: usize,
    pub from: &'static str,
    pub to: &'static str,
    /// Whether it laps over its neighbours at its ends.
    pub laps: (bool, bool),
}

pub(crate) struct Opening {
    pub name: &'static str,
    pub from: &'static str,
    pub to: &'static str,
    pub when: Condition,
    pub bridged_by: usize,
}

pub(crate) struct Frame {
    pub name: String,
    pub title: String,
    pub assembly: usize,
    pub station: f64,
    pub girth: Girth,
    pub splices: Vec<Splice>,
    pub segments: Vec<Segment>,
    pub openings: Vec<Opening>,
    pub plates: Vec<Plate>,
    /// The modifications that its variants hang on.
    pub mods: Vec<usize>,
}

pub(crate) struct Hole {
    pub name: String,
    pub x: f64,
    pub y: f64,
    pub dowel: bool,
}

pub(crate) struct Plate {
    pub number: String,
    pub station: String,
    pub locates: Vec<usize>,
    /// When a part that it locates is fitted.
    pub when: Option<Condition>,
    pub holes: Vec<Hole>,
}

pub(crate) fn frames(random: &mut Random, spec: &Spec, catalogue: &Catalogue, structure: &mut Structure) -> Vec<Frame> {
    let ids = || 0..catalogue.mods.len();
    let both: Vec<usize> =
        ids().filter(|m| catalogue.mods[*m].has_both_forms() && !catalogue.is_exactly_one_of(*m)).collect();
    let any: Vec<usize> = ids().filter(|m| !catalogue.is_exactly_one_of(*m)).collect();
    let mut frames = Vec::new();
    for nth in 0..spec.frames {
        let name = format!("F{}", nth + 1);
        let assembly = structure.drawn(random, format!("Frame {}, assembly", nth + 1), &[]);
        let makers = Making { random, structure, nth: nth + 1, name, assembly, positions: Vec::new(), find: 10 };
        let k = *pick(makers.random, &any);
        let frame = if nth % 4 == 3 {
            makers.beam(k)
        } else {
            let m = *pick(makers.random, &both);
            makers.ring(m, if k == m { any[0].min(both[0]) } else { k })
        };
        frames.push(frame);
    }
    frames
}

/// A frame in the making.
struct Making<'a> {
    random: &'a mut Random,
    structure: &'a mut Structure,
    nth: usize,
    name: String,
    assembly: usize,
    positions: Vec<Position>,
    find: usize,
}

impl Making<'_> {
    /// A position with variants; when none of them is fitted, nothing is.
    fn position(&mut self, name: &str, candidates: Vec<(usize, Option<Condition>)>, nothing: Option<Condition>) {
        let candidates = candidates.into_iter().map(|(part, when)| Candidate { part, when }).collect();
        let position = Position::of(self.find, candidates).called(name);
        self.positions.push(match nothing {
            Some(when) => position.nothing(when),
            None => position,
        });
        self.find += 5;
    }

    fn part(&mut self, name: &str) -> usize {
        let description = format!("Frame {}, {name}", self.name);
        self.structure.drawn(self.random, description, &[])
    }

    /// A part for one side.
    fn sided(&mut self, name: &str, hand: &'static str) -> usize {
        let part = self.part(name);
        self.structure.parts[part].hand = Some(hand);
        part
    }

    /// A closed ring: on the line modification `m` moves the lower splice one way, afterwards the other, and `k` cuts
    /// an opening into the port side.
    fn ring(mut self, m: usize, k: usize) -> Frame {
        let (production, retrospective) = (Condition::By(m, Form::Production), Condition::By(m, Form::Retrospective));
        let (pre, post, closed, opened) =
            (Condition::Pre(m), Condition::Post(m), Condition::Pre(k), Condition::Post(k));
        let not = |when: &Condition| Some(Condition::Not(Box::new(when.clone())));
        let crown = self.part("crown");
        let sides = ["", ", line", ", afterwards"].map(|way| self.sided(&format!("starboard side{way}"), "Starboard"));
        let keels = ["", ", line", ", afterwards"].map(|way| self.part(&format!("keel{way}")));
        let left = self.structure.add(format!("Frame {}, port side", self.name), Source::Made);
        self.structure.parts[left].opposite_of = Some(sides[0]);
        let cut = [self.sided("port lower", "Port"), self.sided("port upper", "Port")];
        let bridge = self.part("opening, bridge piece");
        let joints =
            ["plain joint", "lower joint", "lower joint, line", "lower joint, afterwards"].map(|n| self.part(n));
        let ways = [pre.clone(), production.clone(), retrospective.clone()];
        let variants = |parts: [usize; 3]| parts.into_iter().zip(ways.iter().cloned().map(Some)).collect::<Vec<_>>();
        self.position("Crown", vec![(crown, None)], None);
        self.position("Side, starboard", variants(sides), None);
        self.position("Keel", variants(keels), None);
        self.position("Side, port", vec![(left, Some(closed.clone())), (cut[0], Some(opened.clone()))], None);
        self.position("Side, port, upper", vec![(cut[1], Some(opened.clone()))], Some(closed.clone()));
        self.position("Bridge piece", vec![(bridge, Some(opened.clone()))], Some(closed.clone()));
        self.position("Joints", vec![(joints[0], None)], None);
        self.position("Lower joint", vec![(joints[1], Some(pre.clone()))], Some(post));
        self.position("Lower joint, line", vec![(joints[2], Some(production.clone()))], not(&production));
        let nothing = not(&retrospective);
        self.position("Lower joint, afterwards", vec![(joints[3], Some(retrospective.clone()))], nothing);
        let segment = |part, from, to, laps| Segment { part, from, to, laps };
        let lap = (true, true);
        let segments = vec![
            segment(crown, "S4", "S1", lap),
            segment(sides[0], "S1", "S2", lap),
            segment(sides[1], "S1", "S5", lap),
            segment(sides[2], "S1", "S6", lap),
            segment(keels[0], "S2", "S3", lap),
            segment(keels[1], "S5", "S3", lap),
            segment(keels[2], "S6", "S3", lap),
            segment(left, "S3", "S4", lap),
            segment(cut[0], "S3", "H1", (true, false)),
            segment(cut[1], "H2", "S4", (false, true)),
        ];
        let opening = Opening { name: "Hand hole", from: "H1", to: "H2", when: opened.clone(), bridged_by: bridge };
        // Each of its own size, so that no two plates of two frames are alike.
        let step = f64::from(u8::try_from(self.nth).expect("a type has few frames"));
        let radius = (600.0 + 9.0 * step + self.random.between(0.0, 4.0)).round();
        let girth = match self.nth % 4 {
            1 => Girth::Circle(radius),
            2 => Girth::Ellipse(radius, radius + 150.0),
            _ => {
                let (a, b) = (radius, radius / 2.0);
                let corners = [(b, a), (a, b), (a, -b), (b, -a), (-b, -a), (-a, -b), (-a, b), (-b, a)];
                Girth::Polyline(corners.to_vec(), true)
            }
        };
        let places_round = [
            ("S1", 45.0, vec![joints[0]]),
            ("S2", 135.0, vec![joints[1]]),
            ("S5", 152.0, vec![joints[2]]),
            ("S6", 165.5, vec![joints[3]]),
            ("S3", 225.0, vec![joints[0]]),
            ("H1", 255.0, Vec::new()),
            ("H2", 280.0, Vec::new()),
            ("S4", 315.0, vec![joints[0]]),
        ];
        let splice = |(name, angle, joined_by): (&'static str, f64, Vec<usize>)| {
            let at = match girth {
                Girth::Circle(radius) if name == "S6" => At::Girth(radius * angle.to_radians()),
                Girth::Circle(_) | Girth::Ellipse(..) | Girth::Polyline(..) => At::Angle(angle),
            };
            Splice { name, at, joined_by }
        };
        let splices = places_round.map(splice).into();
        let mut made: Vec<Plate> = Vec::new();
        let mut plate = |station: &str, locates: &[usize], when: Option<&Condition>, (from, to): (f64, f64)| {
            let number = format!("J{}-{:02}", self.nth, made.len() + 1);
            let holes = holes(radius, (from, to), station);
            made.push(Plate {
                number,
                station: station.to_owned(),
                locates: locates.to_vec(),
                when: when.cloned(),
                holes,
            });
        };
        plate("1 crown", &[crown], None, (315.0, 405.0));
        for (way, to) in [(0, 135.0), (1, 152.0), (2, 165.5)] {
            plate("2 starboard", &[sides[way]], Some(&ways[way]), (45.0, to));
            plate("3 keel", &[keels[way]], Some(&ways[way]), (to, 225.0));
        }
        plate("4 port", &[left], Some(&closed), (225.0, 315.0));
        plate("4 port", &cut, Some(&opened), (225.0, 314.0));
        plate("5 opening", &[bridge], Some(&opened), (255.0, 280.0));
        self.finish(girth, splices, segments, vec![opening], made, vec![m, k])
    }

    /// An open path, down one side and up the other, whose bottom modification `k` splits in two.
    fn beam(mut self, k: usize) -> Frame {
        let (closed, split) = (Condition::Pre(k), Condition::Post(k));
        let port = self.sided("port leg", "Port");
        let starboard = self.sided("starboard leg", "Starboard");
        let bottom = self.part("bottom");
        let halves = [self.sided("bottom, port half", "Port"), self.sided("bottom, starboard half", "Starboard")];
        let joints = [self.part("leg joint"), self.part("middle joint")];
        self.position("Leg, port", vec![(port, None)], None);
        self.position("Leg, starboard", vec![(starboard, None)], None);
        self.position("Bottom", vec![(bottom, Some(closed.clone())), (halves[0], Some(split.clone()))], None);
        self.position("Bottom, starboard half", vec![(halves[1], Some(split.clone()))], Some(closed.clone()));
        self.position("Leg joints", vec![(joints[0], None)], None);
        self.position("Middle joint", vec![(joints[1], Some(split.clone()))], Some(closed.clone()));
        let segment = |part, from, to, laps| Segment { part, from, to, laps };
        let segments = vec![
            segment(port, "E1", "S1", (false, true)),
            segment(bottom, "S1", "S3", (true, true)),
            segment(halves[0], "S1", "S2", (true, true)),
            segment(halves[1], "S2", "S3", (true, true)),
            segment(starboard, "S3", "E2", (true, false)),
        ];
        let girth = Girth::Polyline(vec![(-600.0, 300.0), (-600.0, -400.0), (600.0, -400.0), (600.0, 300.0)], false);
        let splice =
            |(name, at, joined_by): (&'static str, f64, Vec<usize>)| Splice { name, at: At::Girth(at), joined_by };
        let splices = [
            ("E1", 0.0, Vec::new()),
            ("S1", 700.0, vec![joints[0]]),
            ("S2", 1300.0, vec![joints[1]]),
            ("S3", 1900.0, vec![joints[0]]),
            ("E2", 2600.0, Vec::new()),
        ];
        // Each beam has a jig of its own width, so that no two of their plates are alike.
        let width = 600.0 + self.random.between(0.0, 90.0);
        let plates = vec![
            Plate {
                number: format!("J{}-01", self.nth),
                station: "1 bottom".to_owned(),
                locates: vec![bottom],
                when: Some(closed),
                holes: holes(width, (150.0, 210.0), "1 bottom"),
            },
            Plate {
                number: format!("J{}-02", self.nth),
                station: "1 bottom".to_owned(),
                locates: halves.to_vec(),
                when: Some(split),
                holes: holes(width, (152.0, 208.0), "1 bottom"),
            },
        ];
        self.finish(girth, splices.map(splice).into(), segments, Vec::new(), plates, vec![k])
    }

    fn finish(
        self,
        girth: Girth,
        splices: Vec<Splice>,
        segments: Vec<Segment>,
        openings: Vec<Opening>,
        plates: Vec<Plate>,
        mods: Vec<usize>,
    ) -> Frame {
        self.structure.assemble(self.assembly, self.positions);
        let station = self.random.between(20.0, 460.0);
        let title = format!("Frame {} of the hull", self.nth);
        Frame {
            name: self.name,
            title,
            assembly: self.assembly,
            station,
            girth,
            splices,
            segments,
            openings,
            plates,
            mods,
        }
    }
}

/// Two dowels outside the part, which all plates of a station share, and holes along it.
fn holes(radius: f64, (from, to): (f64, f64), station: &str) -> Vec<Hole> {
    let at = |name: String, radius: f64, angle: f64, dowel| {
        let (x, y) = angle.to_radians().sin_cos();
        Hole { name, x: radius * x, y: radius * y, dowel }
    };
    let base = 40.0 * f64::from(u8::try_from(station.len()).expect("a short name"));
    let mut holes = vec![at("D1".into(), radius + 60.0, base, true), at("D2".into(), radius + 60.0, base + 30.0, true)];
    for nth in 0..5_u32 {
        let angle = from + 4.0 + (to - from - 8.0) * f64::from(nth) / 4.0;
        holes.push(at(format!("L{}", nth + 1), radius - 20.0, angle, false));
    }
    holes
}
