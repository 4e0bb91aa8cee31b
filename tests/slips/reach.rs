//! How far a loss reached.

use crate::judge::Judged;
use crate::projects::Sound;
use crate::questions::Question;
use crate::slip::Slip;
use serde_json::Value;
use std::collections::BTreeMap;

/// So many of so many.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Share {
    pub stayed: usize,
    pub of: usize,
}

impl Share {
    fn add(&mut self, stayed: usize, of: usize) {
        self.stayed += stayed;
        self.of += of;
    }
}

/// What stayed as it was.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reach {
    /// Answers about one airframe after a slip in another's dossier, by verb.
    pub other_airframe: BTreeMap<&'static str, Share>,
    /// Answers on state, bill and variant (without its jigs) after a slip in the shop dossier, by verb.
    pub shop: BTreeMap<&'static str, Share>,
    /// Rows that do not list a part, after its record was struck.
    pub part: Share,
    /// Rows still answered, by kind of the record that was struck.
    pub rows: BTreeMap<String, Share>,
}

impl Reach {
    /// Counts one answer.
    pub(crate) fn count(&mut self, (sound, slip): (&Sound, &Slip), question: &Question, judged: &Judged) {
        let path = &sound.dossiers[slip.dossier].path;
        let whole = usize::from(judged.same);
        if let (Some(owner), Some(asked)) = (owner(sound, slip), &question.airframe)
            && owner != *asked
        {
            self.other_airframe.entry(question.verb).or_default().add(whole, 1);
        }
        if path.starts_with("shop/") && question.state_named {
            if question.verb == "state" || question.verb.starts_with("bill") {
                self.shop.entry(question.verb).or_default().add(whole, 1);
            } else if question.verb.starts_with("variant") {
                self.shop.entry(question.verb).or_default().add(usize::from(structure_stayed(judged)), 1);
            }
        }
        let of = judged.rows;
        let lost = if judged.json.is_none() { of } else { judged.marked + judged.silent };
        self.rows.entry(slip.record.kind.clone()).or_default().add(of - lost.min(of), of);
        if slip.record.kind == "Part"
            && let (Some(part), Some((a, b))) = (slip.record.defines.first(), &judged.json)
        {
            self.rows_without(&part.text, a, b);
        }
    }

    /// Counts the rows of the sound answer that do not list a part, and those of them that stand in the slipped one.
    fn rows_without(&mut self, part: &str, sound: &Value, slipped: &Value) {
        let listed = format!("\"{part}\"");
        let theirs: Vec<String> = top_rows(slipped).iter().map(ToString::to_string).collect();
        let ours = top_rows(sound).into_iter().map(ToString::to_string).filter(|row| !row.contains(&listed));
        for row in ours {
            self.part.add(usize::from(theirs.contains(&row)), 1);
        }
    }

    /// Adds what another count came to.
    pub(crate) fn add(&mut self, other: &Reach) {
        for (into, from) in [(&mut self.other_airframe, &other.other_airframe), (&mut self.shop, &other.shop)] {
            for (verb, share) in from {
                into.entry(verb).or_default().add(share.stayed, share.of);
            }
        }
        for (kind, share) in &other.rows {
            self.rows.entry(kind.clone()).or_default().add(share.stayed, share.of);
        }
        self.part.add(other.part.stayed, other.part.of);
    }
}

/// The airframe that all records of the struck file are of.
fn owner(sound: &Sound, slip: &Slip) -> Option<String> {
    let mut owners = sound.dossiers[slip.dossier].records.iter().map(|record| match &*record.kind {
        "Airframe" => record.defines.first().map(|name| name.text.clone()),
        "Claim" | "Assumption" | "Evidence" | "BuildState" => record.airframe.clone(),
        _ => None,
    });
    let first = owners.next()??;
    owners.all(|owner| owner.as_ref() == Some(&first)).then_some(first)
}

/// Whether two answers are equal but for what they say of jigs.
fn structure_stayed(judged: &Judged) -> bool {
    let bare = |value: &Value| {
        let mut value = value.clone();
        if let Some(fields) = value.as_object_mut() {
            fields.retain(|name, _| !matches!(&**name, "jigs" | "not_read"));
        }
        value
    };
    judged.json.as_ref().is_some_and(|(a, b)| bare(a) == bare(b))
}

/// The rows of the lists that stand at the top of an answer.
fn top_rows(answer: &Value) -> Vec<&Value> {
    let lists = match answer {
        Value::Object(fields) => fields.iter().filter(|(name, _)| *name != "not_read").map(|(_, v)| v).collect(),
        Value::Array(_) => vec![answer],
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    };
    lists.into_iter().filter_map(Value::as_array).flatten().filter(|row| row.is_object()).collect()
}
