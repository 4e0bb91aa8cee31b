//! The reader and `ron` agree on every text, however it is damaged.

use crate::{SAMPLE, read};
use modstate::finding::{FileId, Place, RecordRef, Step};
use modstate::source::raw::Record;
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

/// The sample with one byte changed, dropped or added; where, and the text if it is still UTF-8.
fn mutate(stream: &mut Stream) -> (usize, Option<String>) {
    const BYTES: &[u8] = b"()[]{},:\"'\\/*# \nr#bPart0.-_xS";
    let mut bytes = SAMPLE.as_bytes().to_vec();
    let at = stream.below(bytes.len());
    let byte = BYTES[stream.below(BYTES.len())];
    match stream.below(3) {
        0 => bytes[at] = byte,
        1 => bytes.insert(at, byte),
        _ => drop(bytes.remove(at)),
    }
    (at, String::from_utf8(bytes).ok())
}

const PATHS: &[&[Step]] = &[
    &[],
    &[Step::Field("number")],
    &[
        Step::Field("positions"),
        Step::Item(0),
        Step::Field("candidates"),
        Step::Item(1),
        Step::Field("when"),
        Step::Item(1),
    ],
    &[Step::Field("line"), Step::Item(1), Step::Item(0)],
    &[Step::Item(0)],
];

#[test]
fn forty_thousand_mutations_are_accepted_exactly_when_ron_accepts_them() {
    let original = by_ron(SAMPLE).expect("the sample is well-formed");
    let reading = read(&[("sample.ron", SAMPLE)]);
    let starts: Vec<usize> = reading.records.iter().map(|(at, _)| reading.sources.span(&at.place()).1.start).collect();
    let mut stream = Stream(0x5EED_0060_2201);
    let (mut accepted, mut refused, mut lost) = (0, 0, 0);
    for _ in 0..40_000 {
        let (at, Some(text)) = mutate(&mut stream) else { continue };
        let reading = read(&[("sample.ron", &text)]);
        let records: Vec<&Record> = reading.records.iter().map(|(_, record)| record).collect();
        if let Some(wanted) = by_ron(&text) {
            assert_eq!(reading.findings, vec![], "{text}");
            assert!(records.into_iter().eq(&wanted), "{text}");
            assert_eq!(reading.sources.file(FileId(0)).record_count(), wanted.len(), "{text}");
            accepted += 1;
        } else {
            assert!(!reading.findings.is_empty(), "{text}");
            let before = starts.partition_point(|start| *start <= at).saturating_sub(1);
            assert!(
                records.iter().take(before).copied().eq(&original[..before]),
                "records before the damage are lost: {text}"
            );
            lost += original.iter().filter(|record| !records.contains(record)).count();
            refused += 1;
        }
        for index in 0..=u32::try_from(original.len()).expect("small") {
            let path = PATHS[stream.below(PATHS.len())];
            check_span(&reading.sources, &Place::Record(RecordRef { file: FileId(0), index }, path.to_vec()), &text);
        }
        for label in reading.findings.iter().flat_map(|finding| &finding.labels) {
            check_span(&reading.sources, &label.place, &text);
        }
    }
    assert!(accepted > 5_000 && refused > 5_000, "{accepted} accepted, {refused} refused");
    assert!(lost * 100 < refused * 130, "{lost} records lost in {refused} refusals: a fault should cost one record");
}

fn check_span(sources: &modstate::source::Sources, place: &Place, text: &str) {
    let (_, span) = sources.span(place);
    assert!(text.get(span.clone()).is_some(), "{place:?} gives {span:?} in {text}");
}
