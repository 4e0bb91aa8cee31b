//! The reader and `ron` agree on every text, however it is damaged.

use crate::{SAMPLE, read};
use modstate::finding::{FileId, Place, PlaceStep, RecordRef};
use modstate::schema::Record;
use rayon::prelude::*;
use ron::extensions::Extensions;

/// A small fixed stream of numbers (xorshift64, shifts from memory), so that each run is the same.
struct Stream(u64);

impl Stream {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(end).expect("small")).expect("small")
    }
}

/// `ron`'s own answer.
fn by_ron(text: &str) -> Option<Vec<Record>> {
    let extensions = Extensions::UNWRAP_VARIANT_NEWTYPES | Extensions::IMPLICIT_SOME;
    ron::Options::default().with_default_extension(extensions).from_str(text).ok()
}

/// A text with one byte changed, dropped or added; where, and the new text if it is still UTF-8.
fn mutate(stream: &mut Stream, text: &str) -> (usize, Option<String>) {
    const BYTES: &[u8] = b"()[]{},:\"'\\/*# \nr#bPart0.-_xS";
    let mut bytes = text.as_bytes().to_vec();
    let at = stream.below(bytes.len());
    let byte = BYTES[stream.below(BYTES.len())];
    match stream.below(3) {
        0 => bytes[at] = byte,
        1 => bytes.insert(at, byte),
        _ => drop(bytes.remove(at)),
    }
    (at, String::from_utf8(bytes).ok())
}

/// A record of the sample between two short ones.
struct Piece {
    text: String,
    /// Where each record begins.
    starts: [usize; 3],
    records: Vec<Record>,
}

const FIRST: &str = "[\n    Jig(name: \"J\", frame: \"F\", stations: []),\n    ";
const LAST: &str = "Part(number: \"L\", description: \"last\", source: Made),\n]\n";

/// Every record of the sample with the comments behind it.
fn pieces() -> Vec<Piece> {
    let reading = read(&[("sample.ron", SAMPLE)]);
    let starts = reading.records.iter().map(|(at, _)| reading.sources.span(&at.place()).1.start);
    let mut starts: Vec<usize> = starts.collect();
    starts.push(SAMPLE.rfind(']').expect("the sample is a list"));
    let piece = |window: &[usize]| {
        let record = SAMPLE.get(window[0]..window[1]).expect("records begin on characters").trim_end();
        let text = format!("{FIRST}{record}\n    {LAST}");
        let starts = [FIRST.find('J').expect("a jig"), FIRST.len(), text.len() - LAST.len()];
        let records = by_ron(&text).expect("a piece of the sample is well-formed");
        Piece { text, starts, records }
    };
    starts.windows(2).map(piece).collect()
}

/// How many mutations `ron` accepted and refused, and how many records the refused ones cost.
#[derive(Default)]
struct Tally {
    accepted: usize,
    refused: usize,
    lost: usize,
}

const PATHS: &[&[PlaceStep]] = &[
    &[],
    &[PlaceStep::Field("number")],
    &[
        PlaceStep::Field("positions"),
        PlaceStep::Item(0),
        PlaceStep::Field("candidates"),
        PlaceStep::Item(1),
        PlaceStep::Field("when"),
        PlaceStep::Item(1),
    ],
    &[PlaceStep::Field("line"), PlaceStep::Item(1), PlaceStep::Item(0)],
    &[PlaceStep::Item(0)],
];

#[test]
fn forty_thousand_mutations_are_accepted_exactly_when_ron_accepts_them() {
    let pieces = pieces();
    let each = 40_000_usize.div_ceil(pieces.len());
    let tallies = pieces.par_iter().enumerate().map(|(index, piece)| {
        let mut stream = Stream(0x5EED_0060_2201 + u64::try_from(index).expect("small"));
        let mut tally = Tally::default();
        for _ in 0..each {
            if let (at, Some(text)) = mutate(&mut stream, &piece.text) {
                check(piece, at, &text, &mut stream, &mut tally);
            }
        }
        tally
    });
    let all = tallies.reduce(Tally::default, |a, b| Tally {
        accepted: a.accepted + b.accepted,
        refused: a.refused + b.refused,
        lost: a.lost + b.lost,
    });
    assert!(all.accepted > 5_000 && all.refused > 5_000, "{} accepted, {} refused", all.accepted, all.refused);
    assert!(all.lost * 100 < all.refused * 110, "{} records lost in {} refusals", all.lost, all.refused);
}

/// Checks one mutation, made at a byte of a piece.
fn check(piece: &Piece, at: usize, text: &str, stream: &mut Stream, tally: &mut Tally) {
    let reading = read(&[("sample.ron", text)]);
    let records: Vec<&Record> = reading.records.iter().map(|(_, record)| record).collect();
    if let Some(wanted) = by_ron(text) {
        assert_eq!(reading.findings, vec![], "{text}");
        assert!(records.into_iter().eq(&wanted), "{text}");
        assert_eq!(reading.sources.file(FileId(0)).record_count(), wanted.len(), "{text}");
        tally.accepted += 1;
    } else {
        assert!(!reading.findings.is_empty(), "{text}");
        let before = piece.starts.partition_point(|start| *start <= at).saturating_sub(1);
        let kept = records.iter().take(before).copied();
        assert!(kept.eq(&piece.records[..before]), "records before the damage are lost: {text}");
        tally.lost += piece.records.iter().filter(|record| !records.contains(record)).count();
        tally.refused += 1;
    }
    let record = RecordRef { file: FileId(0), index: u32::try_from(stream.below(4)).expect("small") };
    let path = PATHS[stream.below(PATHS.len())];
    check_span(&reading.sources, &Place::Record(record, path.to_vec()), text);
    for label in reading.findings.iter().flat_map(|finding| &finding.labels) {
        check_span(&reading.sources, &label.place, text);
    }
}

fn check_span(sources: &modstate::source::Sources, place: &Place, text: &str) {
    let (_, span) = sources.span(place);
    assert!(text.get(span.clone()).is_some(), "{place:?} gives {span:?} in {text}");
}
