//! What is known of one airframe, as it is written.

use super::values::{Date, Day, Document, Name, Of, PositionName, PostArguments, Serial, Text};
use super::{Frame, Modification, Part, Plate};
use crate::schema::shapes::shape;

shape! {
    /// An airframe.
    pub struct Airframe {
        /// Its serial.
        pub serial: Serial,
        /// The model or mark, where a record gives it.
        pub model: Option<Text>,
        /// When it was built (left the line).
        pub built: Date,
        /// When it was delivered.
        pub delivered: Option<Date>,
        /// Where it went.
        #[serde(default)]
        pub movements: Vec<Movement>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// Where an airframe went.
    pub struct Movement {
        /// When.
        pub date: Date,
        /// Where to.
        pub to: Text,
        /// Why.
        pub reason: Option<Text>,
    }
}

shape! {
    /// An item of an airframe's evidence register.
    pub struct Evidence {
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// Its name in the register.
        pub id: Name,
        /// What kind of thing it is (a record card, a photograph, a relic).
        pub kind: Text,
        /// What it says on it.
        pub reference: Text,
        /// Its own date.
        pub date: Option<Date>,
        /// Where it is kept.
        pub kept: Option<Text>,
        /// The scans and photographs of it in the project folder.
        #[serde(default)]
        pub shown_in: Vec<PaperPlace>,
        /// How far it is to be trusted.
        pub grade: Grade,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A file that shows an item of evidence, or a page of it.
    pub struct PaperPlace {
        /// The file.
        pub file: Document,
        /// The page that it shows.
        pub page: Option<Text>,
        /// What of it, where it is not all of the page.
        pub place: Option<Text>,
    }
}

shape! {
    /// Where on its evidence a claim is read.
    pub struct ReadingPlace {
        /// The item (default: the only one that the claim rests on).
        pub evidence: Option<Of<Evidence>>,
        /// The scan or photograph that shows it.
        pub file: Option<Document>,
        /// The page.
        pub page: Option<Text>,
        /// Where on the page, or on the picture.
        pub place: Option<Text>,
    }
}

shape! {
    /// How far evidence is to be trusted, the strongest first.
    #[derive(Copy, Eq, PartialOrd, Ord, Hash)]
    pub enum Grade {
        /// The metal itself, or a record made by those who did the work.
        A,
        /// A record of the time made by others, or a clear photograph.
        B,
        /// A copy, an unclear photograph, a later record.
        C,
        /// A recollection or a secondary work.
        D,
    }
}

shape! {
    /// A claim about an airframe.
    pub struct Claim {
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// Its name.
        pub id: Name,
        /// What it says, and no more than its evidence says.
        pub says: Statement,
        /// The date or window that it speaks of. Embodied in a window: not in the day before it, and in at its end;
        /// embodied "by" a day: in at its end. Not embodied, or seen: so at the end of the day.
        pub when: Date,
        /// The evidence that it rests on.
        pub rests_on: Vec<Of<Evidence>>,
        /// Where on it: page and place, and the file that shows them.
        #[serde(default)]
        pub read_on: Vec<ReadingPlace>,
        /// Whether it is firm or doubtful.
        pub standing: Standing,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// How a claim stands.
    #[derive(Copy, Eq)]
    pub enum Standing {
        /// Taken as true unless a contradiction forces it out.
        Firm,
        /// Accepted or not: answers that depend on it are given both ways.
        Doubtful,
    }
}

shape! {
    /// What a claim says.
    pub enum Statement {
        /// The modification was embodied, by any form or by the named one.
        Embodied(modification: PostArguments),
        /// The modification was not embodied.
        NotEmbodied(modification: Of<Modification>),
        /// The modification was taken out again: embodied the day before, and not at the end of the day.
        Removed(modification: Of<Modification>),
        /// A part was seen at a position: `SeenPart("60-2200/10", "60-2205")`.
        SeenPart(position: PositionName, part: Of<Part>),
        /// A position was seen with nothing fitted.
        SeenNothing(position: PositionName),
        /// A splice was seen on a frame: `SeenSplice("F22", "S5")`.
        SeenSplice(frame: Of<Frame>, splice: Name),
        /// A frame was seen to have no splice there.
        SeenNoSplice(frame: Of<Frame>, splice: Name),
        /// The hole pattern of a plate was seen in the metal: `SeenPattern("JP-2204")`.
        SeenPattern(plate: Of<Plate>),
    }
}

shape! {
    /// A named assumption: held as doubtful claims, and printed with every answer that leans on it.
    pub struct Assumption {
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// Its name.
        pub id: Name,
        /// What it assumes.
        pub assumes: Policy,
        /// The day, or the end of the window, as of which it is assumed.
        pub when: Date,
        /// Why it is made.
        pub reason: Text,
    }
}

shape! {
    /// What an assumption assumes.
    pub enum Policy {
        /// Retrospective modifications of which the claims say nothing were not embodied.
        UnrecordedNotEmbodied,
        /// A statement as in a claim.
        That(statement: Statement),
    }
}

shape! {
    /// A named build state.
    pub struct BuildState {
        /// The airframe's serial.
        pub airframe: Of<Airframe>,
        /// Its name.
        pub name: Name,
        /// The date that it rebuilds to.
        pub date: Day,
        /// Modifications that the workshop adds on purpose.
        #[serde(default)]
        pub add: Vec<Choice>,
        /// Modifications that the workshop leaves out on purpose.
        #[serde(default)]
        pub leave_out: Vec<Choice>,
        /// Anything a reader should know.
        pub note: Option<Text>,
    }
}

shape! {
    /// A modification that the workshop adds or leaves out.
    pub struct Choice {
        /// The modification.
        pub modification: Of<Modification>,
        /// Why.
        pub reason: Text,
    }
}
