//! One question, asked of the sound project and of the slipped one.

use crate::ask::{Opened, Said};
use crate::lines;
use crate::projects::Sound;
use crate::questions::{Form, Question};
use crate::rows::{self, Fault};
use crate::slip::{Kind, Slip};
use serde_json::Value;

/// What comparing two answers came to.
#[derive(Clone, Debug, Default)]
pub(crate) struct Judged {
    /// Rows of the sound answer.
    pub rows: usize,
    pub marked: usize,
    /// Rows of the sound answer that are changed or gone in silence.
    pub silent: usize,
    /// The question could not be put at all, and it was said why.
    pub refused: bool,
    /// Standard output and exit code are those of the sound project.
    pub same: bool,
    pub faults: Vec<Fault>,
    /// Both answers as JSON, where there is one.
    pub json: Option<(Value, Value)>,
    about: About,
}

/// How what is said of the slip itself is known.
#[derive(Clone, Debug, Default)]
pub(crate) struct About {
    /// Every line of the struck record, as findings name it: `type/parts.ron:7:`.
    lines: Vec<String>,
    /// What the slip wrote, if it is a word or a name that the sound project has not.
    new: Option<String>,
    /// The name that a misspelt definition had: now nothing bears it.
    gone: Option<String>,
}

impl About {
    pub(crate) fn new(sound: &Sound, slip: &Slip) -> About {
        let dossier = &sound.dossiers[slip.dossier];
        let tokens = &dossier.tokens[slip.record.tokens.clone()];
        let (first, last) = (tokens.first().map_or(0, |t| t.at.start), tokens.last().map_or(0, |t| t.at.end));
        let lines = (dossier.line(first)..=dossier.line(last)).map(|line| format!("{}:{line}:", dossier.path));
        let known = |new: &str| (0..dossier.tokens.len()).any(|token| dossier.inner(token) == new);
        let new = Some(slip.by.trim_matches('"')).filter(|new| !new.is_empty() && !known(new));
        let gone = (slip.kind == Kind::DefinitionMisspelt).then(|| dossier.text.get(slip.at.clone())).flatten();
        About { lines: lines.collect(), new: new.map(str::to_owned), gone: gone.map(str::to_owned) }
    }

    /// The old and the new name of a misspelt definition.
    fn renamed(&self) -> Option<(&str, &str)> {
        self.gone.as_deref().zip(self.new.as_deref())
    }

    /// Whether a line of a finding speaks of the slip itself: it stands in the struck record, or the line names what the
    /// slip wrote, or the name that nothing bears any more.
    fn is_of_slip(&self, finding: &str, line: &str) -> bool {
        let stands = |at: &str| self.lines.iter().any(|line| at.contains(&format!("[{line}")));
        let first = finding.lines().find(|line| line.contains('╭'));
        let named = [&self.new, &self.gone].into_iter().flatten().any(|name| has_word(line, name));
        named || first.is_some_and(stands)
    }
}

/// The answers to one question.
#[derive(Clone, Debug)]
pub(crate) struct Answers {
    /// As JSON, where the question is asked so.
    json: Option<Said>,
    text: Said,
}

impl Answers {
    pub(crate) fn of(opened: &Opened, question: &Question) -> Answers {
        let args: Vec<&str> = question.args.iter().map(String::as_str).collect();
        let both = question.form == Form::Both;
        let json = both.then(|| opened.ask(&[&*args, &["--format", "json"]].concat()));
        Answers { json, text: opened.ask(&args) }
    }

    /// Whether the sound project can be asked this.
    pub(crate) fn answered(&self) -> bool {
        self.text.code != 2 && !self.text.panicked && !self.text.out.is_empty()
    }
}

/// Judges the slipped project's answers by those of the sound one.
pub(crate) fn judge(question: &Question, about: &About, sound: &Answers, slipped: &Answers) -> Judged {
    let mut judged = Judged { same: true, about: about.clone(), ..Judged::default() };
    if let (Some(a), Some(b)) = (&sound.json, &slipped.json) {
        judged.rows = serde_json::from_str(&a.out).map_or(0, |answer| rows::rows_in(&answer));
        judged.one(a, b, Judged::json);
    }
    match question.form {
        Form::Both => judged.one(&sound.text, &slipped.text, |judged, a, b| judged.by_lines(a, b, lines::texts)),
        Form::Csv => judged.one(&sound.text, &slipped.text, |judged, a, b| judged.by_lines(a, b, lines::csvs)),
        Form::Picture => judged.one(&sound.text, &slipped.text, |judged, a, b| judged.by_lines(a, b, lines::pictures)),
        Form::Drawing => judged.one(&sound.text, &slipped.text, |judged, a, b| {
            if a.out != b.out {
                judged.fault("a drawing for the machine shop differs", "", (a, b));
            }
            false
        }),
    }
    if let Some((old, new)) = about.renamed() {
        judged.faults.retain(|fault| !(has_word(&fault.slipped, new) || has_word(&fault.sound, old)));
    }
    judged
}

/// Whether a text has a name as a word of its own.
fn has_word(text: &str, name: &str) -> bool {
    let stuck = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-');
    text.match_indices(name).any(|(at, _)| {
        let (before, behind) = (text.get(..at), text.get(at + name.len()..));
        !stuck(before.and_then(|text| text.chars().next_back())) && !stuck(behind.and_then(|text| text.chars().next()))
    })
}

impl Judged {
    /// One form of the answer; `compare` says whether the answer owns up to a loss.
    fn one(&mut self, sound: &Said, slipped: &Said, compare: impl Fn(&mut Judged, &Said, &Said) -> bool) {
        self.same &= sound.out == slipped.out && sound.code == slipped.code;
        if slipped.panicked {
            return self.fault("panic", "", (sound, slipped));
        }
        let about = self.about.clone();
        self.faults.extend(lines::untruths(&sound.err, &slipped.err, |finding, line| about.is_of_slip(finding, line)));
        if slipped.code == 2 {
            return self.fault("ends as a wrong command", "", (sound, slipped));
        }
        if slipped.out.trim().is_empty() {
            self.refused = true;
            if slipped.code != 1 || !lines::names_a_line(&slipped.err) {
                self.fault("refused, and no line to mend is named", "", (sound, slipped));
            }
            return;
        }
        let owned_up = compare(self, sound, slipped);
        if owned_up && slipped.code != 1 {
            self.fault("something was not read, and the exit code is not 1", "", (sound, slipped));
        }
        if !owned_up && gravity(slipped.code) < gravity(sound.code) {
            self.fault("the exit code says less than the sound one", "", (sound, slipped));
        }
    }

    fn json(&mut self, sound: &Said, slipped: &Said) -> bool {
        let parsed = |said: &Said| serde_json::from_str::<Value>(&said.out);
        let (Ok(a), Ok(b)) = (parsed(sound), parsed(slipped)) else {
            self.fault("not JSON", "", (sound, slipped));
            return false;
        };
        let compared = rows::compare(&a, &b);
        self.marked = compared.marked;
        self.silent = compared.faults.len();
        self.faults.extend(compared.faults);
        let owned_up = rows::owns_up(&b);
        self.json = Some((a, b));
        owned_up
    }

    fn by_lines(&mut self, sound: &Said, slipped: &Said, compare: fn(&str, &str) -> Vec<Fault>) -> bool {
        self.faults.extend(compare(&sound.out, &slipped.out));
        self.faults
            .extend(lines::untruths(&sound.out, &slipped.out, |finding, line| self.about.is_of_slip(finding, line)));
        lines::is_marked(&slipped.out) && !lines::is_marked(&sound.out)
    }

    fn fault(&mut self, why: &'static str, row: &str, (sound, slipped): (&Said, &Said)) {
        let short = |said: &Said| {
            let err = said.err.lines().next().unwrap_or_default();
            format!("exit code {}, {} bytes, `{err}`", said.code, said.out.len())
        };
        self.faults.push(Fault { why, row: row.to_owned(), sound: short(sound), slipped: short(slipped) });
    }
}

/// How much an exit code says against an answer.
fn gravity(code: u8) -> u8 {
    match code {
        0 => 0,
        3 => 1,
        _ => 2,
    }
}
