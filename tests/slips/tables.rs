//! What was counted, and how it is printed.

use crate::judge::Judged;
use crate::projects::Sound;
use crate::questions::Question;
use crate::reach::{Reach, Share};
use crate::rows::Fault;
use crate::slip::{Kind, Slip};
use std::collections::BTreeMap;
use std::fmt;

/// One line of a table.
#[derive(Clone, Copy, Debug, Default)]
struct Counts {
    slips: usize,
    another: usize,
    answers: usize,
    rows: usize,
    marked: usize,
    refused: usize,
    bad: usize,
}

/// An unsafe answer, reported so that it can be had again.
#[derive(Clone, Debug)]
pub(crate) struct Example(String);

impl Example {
    pub(crate) fn new((sound, slip): (&Sound, &Slip), question: &Question, fault: &Fault) -> Example {
        let dossier = &sound.dossiers[slip.dossier];
        let line = dossier.line(slip.at.start);
        let nth = |text: &str| text.lines().nth(line - 1).unwrap_or_default().trim().to_owned();
        let (before, after) = (nth(&dossier.text), nth(&slip.text(dossier)));
        Example(format!(
            "    {}: {}:{line}: {}\n      before: {}\n      after:  {}\n      asked:  {}\n      {}: {}\n      sound:   {}\n      slipped: {}",
            sound.name,
            dossier.path,
            slip.kind.name(),
            cut(&before),
            cut(&after),
            question.args.join(" "),
            fault.why,
            cut(&fault.row),
            cut(&fault.sound),
            cut(&fault.slipped),
        ))
    }
}

fn cut(text: &str) -> String {
    text.chars().take(160).collect()
}

/// A verb, a kind of record, a kind of slip, what is wrong.
type Group = (&'static str, String, Kind, &'static str);

/// Everything that a run counts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tables {
    by_slip: BTreeMap<Kind, Counts>,
    by_verb: BTreeMap<&'static str, Counts>,
    groups: BTreeMap<Group, (usize, Example)>,
    reach: Reach,
}

/// How many groups of unsafe answers are printed with an example, unless `MODSTATE_SLIPS_SHOWN` says another number.
const EXAMPLES: usize = 40;

impl Tables {
    /// Counts a slip; `breaks`: it left a project that is not sound.
    pub(crate) fn slip(&mut self, kind: Kind, breaks: bool) {
        let counts = self.by_slip.entry(kind).or_default();
        counts.slips += 1;
        counts.another += usize::from(!breaks);
    }

    /// Counts an answer.
    pub(crate) fn answer(&mut self, kind: Kind, verb: &'static str, judged: &Judged, reach: &Reach) {
        for counts in [self.by_slip.entry(kind).or_default(), self.by_verb.entry(verb).or_default()] {
            counts.answers += 1;
            counts.rows += judged.rows;
            counts.marked += judged.marked;
            counts.refused += usize::from(judged.refused);
            counts.bad += usize::from(!judged.faults.is_empty());
        }
        self.reach.add(reach);
    }

    /// Keeps an unsafe answer.
    pub(crate) fn unsafe_answer(&mut self, group: Group, example: Example) {
        self.groups.entry(group).or_insert((0, example)).0 += 1;
    }

    /// Adds what another count came to.
    pub(crate) fn add(&mut self, other: &Tables) {
        for (kind, counts) in &other.by_slip {
            self.by_slip.entry(*kind).or_default().add(counts);
        }
        for (verb, counts) in &other.by_verb {
            self.by_verb.entry(verb).or_default().add(counts);
        }
        for (group, (count, example)) in &other.groups {
            self.groups.entry(group.clone()).or_insert((0, example.clone())).0 += count;
        }
        self.reach.add(&other.reach);
    }

    /// How many slips were made.
    pub(crate) fn slips(&self) -> usize {
        self.by_slip.values().map(|counts| counts.slips).sum()
    }

    /// How many answers were compared.
    pub(crate) fn answers(&self) -> usize {
        self.by_verb.values().map(|counts| counts.answers).sum()
    }

    /// How many answers were unsafe.
    pub(crate) fn unsafe_answers(&self) -> usize {
        self.by_verb.values().map(|counts| counts.bad).sum()
    }
}

impl Counts {
    fn add(&mut self, other: &Counts) {
        self.slips += other.slips;
        self.another += other.another;
        self.answers += other.answers;
        self.rows += other.rows;
        self.marked += other.marked;
        self.refused += other.refused;
        self.bad += other.bad;
    }

    fn line(&self, f: &mut fmt::Formatter<'_>, name: &str) -> fmt::Result {
        let Counts { slips, another, answers, rows, marked, refused, bad } = self;
        writeln!(f, "{name:26} {slips:6} {another:8} {answers:8} {rows:9} {marked:8} {refused:8} {bad:7}")
    }
}

impl fmt::Display for Tables {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let head = format!(
            "{:26} {:>6} {:>8} {:>8} {:>9} {:>8} {:>8} {:>7}",
            "", "slips", "another", "answers", "rows", "marked", "refused", "unsafe"
        );
        writeln!(f, "By kind of slip (another: the slip leaves a sound project, only another one)\n{head}")?;
        let mut all = Counts::default();
        for (kind, counts) in &self.by_slip {
            counts.line(f, kind.name())?;
            all.add(counts);
        }
        all.line(f, "all")?;
        writeln!(f, "\nBy verb\n{head}")?;
        for (verb, counts) in &self.by_verb {
            counts.line(f, verb)?;
        }
        self.unsafe_by_record(f)?;
        self.unsafe_by_fault(f)?;
        self.examples(f)?;
        self.reach_lines(f)
    }
}

impl Tables {
    /// Unsafe answers by verb (down) and kind of record (across).
    fn unsafe_by_record(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut cells: BTreeMap<(&str, &str), usize> = BTreeMap::new();
        let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
        for ((verb, kind, _, _), (count, _)) in &self.groups {
            *cells.entry((verb, kind)).or_default() += count;
            *kinds.entry(kind).or_default() += count;
        }
        writeln!(f, "\nUnsafe answers by verb and kind of record")?;
        write!(f, "{:18}", "")?;
        for kind in kinds.keys() {
            write!(f, " {kind:>7.7}")?;
        }
        writeln!(f)?;
        for verb in self.by_verb.keys() {
            write!(f, "{verb:18}")?;
            for kind in kinds.keys() {
                write!(f, " {:>7}", cells.get(&(*verb, *kind)).copied().unwrap_or(0))?;
            }
            writeln!(f)?;
        }
        Ok(())
    }

    /// Unsafe answers by what is wrong with them.
    fn unsafe_by_fault(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut faults: BTreeMap<&str, usize> = BTreeMap::new();
        for ((_, _, _, why), (count, _)) in &self.groups {
            *faults.entry(why).or_default() += count;
        }
        writeln!(f, "\nUnsafe answers by what is wrong")?;
        faults.iter().try_for_each(|(why, count)| writeln!(f, "  {why:70} {count:6}"))
    }

    fn examples(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut groups: Vec<_> = self.groups.iter().collect();
        groups.sort_by_key(|(_, (count, _))| std::cmp::Reverse(*count));
        if !groups.is_empty() {
            writeln!(f, "\nUnsafe, {} groups; an example of each of the largest", groups.len())?;
        }
        let shown = std::env::var("MODSTATE_SLIPS_SHOWN").ok().and_then(|said| said.parse().ok()).unwrap_or(EXAMPLES);
        for ((verb, kind, slip, _), (count, Example(example))) in groups.into_iter().take(shown) {
            writeln!(f, "  {count} x {verb}, {kind}, {}\n{example}", slip.name())?;
        }
        Ok(())
    }

    fn reach_lines(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "\nReach: what stayed as it was")?;
        for (verb, share) in &self.reach.other_airframe {
            line(f, &format!("slip in another airframe's dossier: {verb}"), share)?;
        }
        for (verb, share) in &self.reach.shop {
            line(f, &format!("slip in the shop dossier: {verb}"), share)?;
        }
        line(f, "lost part: rows that do not list it", &self.reach.part)?;
        let mut all = Share::default();
        for (kind, share) in &self.reach.rows {
            line(f, &format!("rows answered after a slip in: {kind}"), share)?;
            all = Share { stayed: all.stayed + share.stayed, of: all.of + share.of };
        }
        line(f, "rows answered, all", &all)
    }
}

fn line(f: &mut fmt::Formatter<'_>, name: &str, share: &Share) -> fmt::Result {
    #[expect(clippy::cast_precision_loss, reason = "a share to one decimal")]
    let percent = if share.of == 0 { 100.0 } else { 100.0 * share.stayed as f64 / share.of as f64 };
    writeln!(f, "  {name:60} {:8} of {:8} {percent:6.1} %", share.stayed, share.of)
}
