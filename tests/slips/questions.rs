//! What is asked of a project: every verb that answers, about everything that the project has.

use crate::project::random::Random;
use crate::projects::Sound;
use crate::slip::Slip;

/// How the answer to a question is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// As JSON and as text.
    Both,
    Csv,
    Picture,
    Drawing,
}

/// One command line.
#[derive(Clone, Debug)]
pub(crate) struct Question {
    /// What it is called in the tables.
    pub verb: &'static str,
    pub args: Vec<String>,
    pub form: Form,
    /// The one airframe that it is about, if it names one.
    pub airframe: Option<String>,
    /// The state is named on the command line.
    pub state_named: bool,
    /// What it is about, beside the airframe.
    pub subject: Option<String>,
}

/// All questions of a project, by verb.
pub(crate) struct Questions {
    pub by_verb: Vec<Vec<Question>>,
}

/// What a project has to ask about.
struct Has {
    /// Each airframe with ways to name a state: none, by name, by day.
    states: Vec<(String, Vec<String>)>,
    frames: Vec<String>,
    jigs: Vec<String>,
    surveys: Vec<String>,
    plates: Vec<String>,
    parts: Vec<String>,
    mods: Vec<String>,
    assemblies: Vec<String>,
    positions: Vec<String>,
}

/// The day of questions about a day; any would do.
const DAY: &str = "1945-06-01";

impl Has {
    fn of(sound: &Sound) -> Has {
        let all = |kind: &str| -> Vec<String> {
            let records = sound.dossiers.iter().flat_map(|dossier| &dossier.records);
            let of_kind = records.filter(|record| record.kind == kind);
            of_kind.filter_map(|record| record.defines.first()).map(|name| name.text.clone()).collect()
        };
        let records = || sound.dossiers.iter().flat_map(|dossier| &dossier.records);
        let states = all("Airframe").into_iter().map(|serial| {
            let of_it = records().filter(|r| r.kind == "BuildState" && r.airframe.as_deref() == Some(&*serial));
            let names = of_it.filter_map(|record| record.defines.first()).map(|name| name.text.clone()).collect();
            (serial, names)
        });
        Has {
            states: states.collect(),
            frames: all("Frame"),
            jigs: all("Jig"),
            surveys: all("Survey"),
            plates: all("Plate"),
            parts: all("Part"),
            mods: all("Modification"),
            assemblies: all("Assembly"),
            positions: sound.defined.iter().filter(|name| name.contains('/')).cloned().collect(),
        }
    }
}

/// Builds the lists of [`Questions`].
struct Asking<'a> {
    has: &'a Has,
    found: Vec<Vec<Question>>,
}

impl Questions {
    pub(crate) fn of(sound: &Sound) -> Questions {
        let has = Has::of(sound);
        let mut asking = Asking { has: &has, found: Vec::new() };
        for verb in ["state", "rack", "todo", "tools", "drawings", "decisions", "seek"] {
            asking.of_airframe(verb, &[verb], Form::Both);
        }
        for (verb, layout) in BILLS {
            asking.of_airframe(verb, &["bill", "--layout", layout], Form::Both);
        }
        asking.of_airframe("bill csv", &["bill", "--layout", "flat", "--format", "csv"], Form::Csv);
        asking.of_airframe("bill csv tree", &["bill", "--format", "csv"], Form::Csv);
        for (verb, of) in [
            ("variant frame", &has.frames),
            ("variant position", &has.positions),
            ("variant part", &has.parts),
            ("why modification", &has.mods),
            ("why position", &has.positions),
            ("why plate", &has.plates),
            ("seek", &has.frames),
        ] {
            asking.of_subject(verb, of, Form::Both);
        }
        asking.of_subject("picture frame", &has.frames, Form::Picture);
        asking.alone("jig", &has.jigs, true);
        asking.alone("rework", &has.jigs, true);
        asking.alone("survey", &has.surveys, true);
        asking.alone("flat", &has.parts, false);
        asking.alone("made", &has.parts, true);
        asking.forms();
        asking.files();
        asking.of_many();
        Questions { by_verb: asking.found.into_iter().filter(|list| !list.is_empty()).collect() }
    }

    /// For each of so many verbs one question, more often than not about what the slip touches.
    pub(crate) fn draw(&self, random: &mut Random, slip: &Slip, verbs: usize) -> Vec<&Question> {
        let count = verbs.min(self.by_verb.len());
        let chosen = random.choose(self.by_verb.len(), count);
        chosen.into_iter().map(|verb| Self::one(random, slip, &self.by_verb[verb])).collect()
    }

    fn one<'a>(random: &mut Random, slip: &Slip, list: &'a [Question]) -> &'a Question {
        let touched: Vec<&Question> = list.iter().filter(|question| touches(slip, question)).collect();
        if !touched.is_empty() && random.below(3) > 0 {
            return touched[random.below(touched.len())];
        }
        &list[random.below(list.len())]
    }
}

/// The bill in each layout.
const BILLS: [(&str, &str); 5] = [
    ("bill tree", "tree"),
    ("bill flat", "flat"),
    ("bill make", "make"),
    ("bill buy", "buy"),
    ("bill material", "material"),
];

/// Whether a question is about something that the struck record names, or is of its airframe.
fn touches(slip: &Slip, question: &Question) -> bool {
    let named = |subject: &String| {
        slip.names.iter().any(|name| name == subject || subject.split('/').any(|piece| piece == name))
    };
    match &question.subject {
        Some(subject) => named(subject),
        None => slip.record.airframe.is_some() && slip.record.airframe == question.airframe,
    }
}

impl Asking<'_> {
    /// A verb about an airframe, in each way to say the state.
    fn of_airframe(&mut self, verb: &'static str, words: &[&str], form: Form) {
        let mut list = Vec::new();
        for (serial, names) in &self.has.states {
            let mut ways = vec![Vec::new()];
            if !matches!(verb, "decisions") {
                ways.extend(names.iter().map(|name| vec!["--build".to_owned(), name.clone()]));
                ways.push(vec!["--on".to_owned(), DAY.to_owned()]);
            }
            for way in ways {
                let serial_words = if verb == "seek" { vec!["--airframe", serial] } else { vec![&**serial] };
                let args = words.iter().copied().chain(serial_words).map(str::to_owned);
                let (state_named, airframe) = (!way.is_empty(), Some(serial.clone()));
                list.push(Question {
                    verb,
                    args: args.chain(way).collect(),
                    form,
                    airframe,
                    state_named,
                    subject: None,
                });
            }
        }
        self.found.push(list);
    }

    /// A verb about a subject on an airframe; `verb` begins with the verb.
    fn of_subject(&mut self, verb: &'static str, subjects: &[String], form: Form) {
        let mut list = Vec::new();
        for (serial, names) in &self.has.states {
            for subject in subjects {
                let word = verb.split(' ').next().unwrap_or(verb);
                let mut args = [word, subject, "--airframe", serial].map(str::to_owned).to_vec();
                match names.first() {
                    Some(name) => args.extend(["--build".to_owned(), name.clone()]),
                    None => args.extend(["--on", DAY].map(str::to_owned)),
                }
                let (airframe, subject) = (Some(serial.clone()), Some(subject.clone()));
                list.push(Question { verb, args, form, airframe, state_named: true, subject });
            }
        }
        self.found.push(list);
    }

    /// A verb about something that is of no one airframe; with `all`, about all of them at once too.
    fn alone(&mut self, verb: &'static str, subjects: &[String], all: bool) {
        let mut list: Vec<Question> = Vec::new();
        for subject in subjects {
            list.push(plain(verb, &[verb, subject], Form::Both, Some(subject)));
        }
        if all && !subjects.is_empty() {
            list.push(plain(verb, &[verb], Form::Both, None));
        }
        self.found.push(list);
    }

    /// The forms of each jig; what is filled in with a spreadsheet as CSV too.
    fn forms(&mut self) {
        let has = self.has;
        for (verb, kind) in [
            ("form setting", "setting"),
            ("form survey", "survey"),
            ("form resurvey", "resurvey"),
            ("form drilling", "drilling"),
            ("form stamping", "stamping"),
        ] {
            let of_jig = |jig: &String| plain(verb, &["form", kind, jig], Form::Both, Some(jig));
            self.found.push(has.jigs.iter().map(of_jig).collect());
        }
        let csv = |jig: &String| plain("form csv", &["form", "survey", jig, "--format", "csv"], Form::Csv, Some(jig));
        self.found.push(has.jigs.iter().map(csv).collect());
    }

    fn files(&mut self) {
        let has = self.has;
        let pictures = has.surveys.iter().map(|s| plain("picture survey", &["picture", s], Form::Picture, Some(s)));
        let templates = has.plates.iter().map(|p| plain("template", &["template", p], Form::Drawing, Some(p)));
        self.found.extend([pictures.collect(), templates.collect()]);
        self.found.push(vec![plain("records", &["records"], Form::Both, None)]);
    }

    /// Verbs about several airframes or states.
    fn of_many(&mut self) {
        let has = self.has;
        let subjects = has.frames.iter().chain(&has.positions).chain(&has.parts);
        let fleet = subjects.map(|s| plain("fleet", &["fleet", s, "--on", DAY], Form::Both, Some(s))).collect();
        let serials: Vec<&String> = has.states.iter().map(|(serial, _)| serial).collect();
        let pairs = serials.iter().flat_map(|a| serials.iter().filter(move |b| a != *b).map(move |b| (a, b)));
        let differ = pairs.map(|(a, b)| {
            let args = ["differ", "--airframe", a, "--on", DAY, "--with-airframe", b, "--with-on", DAY];
            plain("differ", &args, Form::Both, None)
        });
        let below = has.assemblies.iter().filter_map(|assembly| {
            let (serial, _) = has.states.first()?;
            Some(plain("bill of", &["bill", serial, "--of", assembly, "--on", DAY], Form::Both, Some(assembly)))
        });
        let current = has.states.iter().map(|(serial, _)| {
            plain("current", &["current", "00000000", serial, "--on", DAY], Form::Both, Some(serial))
        });
        self.found.extend([fleet, differ.collect(), below.collect(), current.collect()]);
    }
}

fn plain(verb: &'static str, args: &[&str], form: Form, subject: Option<&String>) -> Question {
    let args = args.iter().map(|&arg| arg.to_owned()).collect();
    Question { verb, args, form, airframe: None, state_named: false, subject: subject.cloned() }
}
