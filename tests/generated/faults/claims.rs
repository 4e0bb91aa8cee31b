//! Faults in the dossiers of airframes: in single claims, and between claims and rules.

use super::Fault;
use super::folder::{Folder, MARK, Spot};
use modstate::graph::DayRule;
use modstate::history::History;
use modstate::ids::{AirframeId, Id, ModId, PositionId};
use modstate::model::Modification;
use modstate::quantity::Day;

/// An airframe and a modification that meet a test; the dossier is made silent on all that is bound to it.
fn silent(f: &mut Folder<'_>, meets: impl Fn(&Folder<'_>, AirframeId, ModId) -> bool) -> Option<(AirframeId, ModId)> {
    let mut pairs = Vec::new();
    for airframe in f.plain_airframes() {
        let mods = f.model().mods.ids().filter(|m| meets(f, airframe, *m));
        pairs.extend(mods.map(|m| (airframe, m)));
    }
    let (airframe, m) = f.one(pairs)?;
    let bound = f.bound_to(m);
    f.forget(airframe, &bound);
    Some((airframe, m))
}

fn covered(f: &Folder<'_>, airframe: AirframeId, m: ModId) -> bool {
    let serial = &f.model().airframes[airframe].serial;
    f.model().mods[m].production.as_ref().is_some_and(|form| form.covers.contains(serial))
}

/// The day from which the airframe can take it after delivery, if it was built without.
fn afterwards(f: &Folder<'_>, airframe: AirframeId, m: ModId) -> Option<Day> {
    let history = History::new(f.model(), &f.clean.graph, airframe);
    let earliest = history.possible[m.index()].earliest?;
    let form = f.model().mods[m].retrospective.as_ref()?;
    let rivals = f.clean.graph.day_rules_of(m).iter().map(|rule| &f.clean.graph.day_rules()[*rule]);
    let rivals = rivals.filter(|(rule, _)| matches!(rule, DayRule::Excludes(..) | DayRule::OneOf(_)));
    let barred = rivals.flat_map(|(_, mods)| mods).any(|other| covered(f, airframe, *other));
    (!barred && !covered(f, airframe, m)).then(|| earliest.max(form.leaflet_date.last()).after())
}

/// A day so long after the leaflets of all that is bound to a modification that everything can have been done.
const LATE: &str = "1957-06-03";
/// Later still.
const LATER: &str = "1958-02-10";

/// Whether it binds to nothing that would give a second reason.
fn is_plain(m: &Modification) -> bool {
    m.requires.is_empty()
}

/// The one modification that another requires and that nothing serves for.
fn requirement(f: &Folder<'_>, m: ModId) -> Option<ModId> {
    let [(required, _)] = f.model().mods[m].requires.as_slice() else { return None };
    (f.clean.graph.serving_for(*required).len() == 1).then_some(*required)
}

fn embodied(f: &Folder<'_>, m: ModId) -> String {
    format!("Embodied(\"{}\", Retrospective)", f.name(m))
}

fn not_embodied(f: &Folder<'_>, m: ModId) -> String {
    format!("NotEmbodied(\"{}\")", f.name(m))
}

/// The record of an airframe that no jig is set for.
fn airframe(f: &mut Folder<'_>) -> Option<Spot> {
    let plain = f.plain_airframes();
    let id = f.one(plain)?;
    Some(Spot::from(f.model().airframes[id].record))
}

/// A new build state of an airframe.
fn state(f: &mut Folder<'_>, airframe: AirframeId, date: &str, choices: &str) {
    let spot = Spot::from(f.model().airframes[airframe].record);
    let serial = f.model().airframes.name(airframe);
    let text = format!(
        "    BuildState(\n        airframe: \"{serial}\", name: \"rebiuld\",\n        date: \"{date}\",{choices}\n    ),\n"
    );
    f.add(spot, &text);
}

fn added(f: &Folder<'_>, m: ModId) -> String {
    format!("\n        add: [(modification: \"{}\", reason: \"Wanted.\")],{MARK}", f.name(m))
}

/// A position that meets a test.
fn position(f: &mut Folder<'_>, meets: impl Fn(&modstate::model::Position) -> bool) -> Option<PositionId> {
    let all: Vec<PositionId> =
        f.model().positions.iter().filter(|(_, _, position)| meets(position)).map(|(id, ..)| id).collect();
    f.one(all)
}

/// Two that are retrospective and never in together, which the airframe could both take.
fn rivals(f: &mut Folder<'_>, pairs: &[(ModId, ModId)]) -> Option<(AirframeId, ModId, ModId)> {
    let free =
        |f: &Folder<'_>, airframe, m: ModId| afterwards(f, airframe, m).is_some() && is_plain(&f.model().mods[m]);
    let mut found = Vec::new();
    for airframe in f.plain_airframes() {
        let both = pairs.iter().filter(|(a, b)| free(f, airframe, *a) && free(f, airframe, *b));
        found.extend(both.map(|(a, b)| (airframe, *a, *b)));
    }
    let (airframe, a, b) = f.one(found)?;
    for m in [a, b] {
        let bound = f.bound_to(m);
        f.forget(airframe, &bound);
    }
    Some((airframe, a, b))
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("file-120", "a scan that is not in the folder", |f| {
        let item = f.find("Evidence", "kept: ")?;
        f.below(item, "kept: ", &format!("        shown_in: [(file: \"papers/none.jpg\")],{MARK}"));
        Some(())
    }),
    Fault::new("claim-120", "a place on evidence that the claim does not rest on", |f| {
        let claim = f.find("Claim", "rests_on: [\"E1\"],")?;
        f.below(claim, "rests_on: [", &format!("        read_on: [(evidence: \"E99\", page: \"3\")],{MARK}"));
        Some(())
    }),
    Fault::new("claim-302", "a claim entered twice", |f| {
        let claim = f.find("Claim", "says: NotEmbodied(")?;
        f.mark(claim, "says: NotEmbodied(");
        let text = f.text(claim).to_owned();
        let id = text.split("id: \"").nth(1)?.split('"').next()?;
        f.add(claim, &text.replacen(&format!("id: \"{id}\""), "id: \"Z1\"", 1));
        Some(())
    }),
    Fault::new("claim-101", "a claim about an airframe that has no record", |f| {
        let claim = f.find("Claim", "airframe: \"")?;
        f.swap(claim, "airframe: \"", "airframe: \"QD19");
        f.mark(claim, "airframe: ");
        Some(())
    }),
    Fault::new("claim-102", "evidence that is in no register", |f| {
        let claim = f.find("Claim", "rests_on: [\"")?;
        f.swap(claim, "rests_on: [\"", "rests_on: [\"E9");
        f.mark(claim, "rests_on");
        Some(())
    }),
    Fault::new("claim-103", "evidence of another airframe", |f| {
        let plain = f.plain_airframes();
        let [one, other] = [plain.first()?, plain.get(1)?].map(|id| f.model().airframes.name(*id));
        let item = f.find("Evidence", &format!("airframe: \"{other}\""))?;
        let text = f.text(item).replacen("id: \"E", &format!("id: {MARK}\"E77"), 1);
        f.add(item, &text);
        let number = text.split("id: ").nth(1)?.split('"').nth(1)?.to_owned();
        let claim = f.find("Claim", &format!("airframe: \"{one}\""))?;
        f.swap(claim, "rests_on: [", &format!("rests_on: [\"{number}\", "));
        f.mark(claim, "rests_on");
        Some(())
    }),
    Fault::new("claim-104", "a claim without evidence", |f| {
        let claim = f.find("Claim", "says: Embodied")?;
        let list = f.text(claim).split("rests_on: [").nth(1)?.split(']').next()?.to_owned();
        f.swap(claim, &format!("rests_on: [{list}]"), "rests_on: []");
        f.mark(claim, "rests_on");
        Some(())
    }),
    Fault::new("claim-105", "a model that is not that of the block", |f| {
        let spot = airframe(f)?;
        f.below(spot, "serial: ", &format!("        model: \"Mk 3\",{MARK}"));
        Some(())
    }),
    Fault::new("claim-106", "a build date with one end", |f| {
        let spot = airframe(f)?;
        f.swap(spot, "built: \"", "built: \"by ");
        f.mark(spot, "built: ");
        Some(())
    }),
    Fault::new("claim-107", "delivered before it was built", |f| {
        let spot = airframe(f)?;
        f.swap(spot, "delivered: \"19", "delivered: \"18");
        f.mark(spot, "delivered: ");
        Some(())
    }),
    Fault::new("claim-108", "a claim from before the airframe was built", |f| {
        let id = f.plain_airframes().first().copied()?;
        let built = Spot::from(f.model().airframes[id].record);
        f.mark(built, "built: ");
        let m = f.model().mods.ids().next()?;
        let says = not_embodied(f, m);
        f.claim(id, &says, "1931", "Firm");
        Some(())
    }),
    Fault::new("claim-109", "a part seen where it is no candidate", |f| {
        let id = f.plain_airframes().first().copied()?;
        let at = position(f, |position| position.candidates.len() > 1)?;
        let part = f.find("Part", "source: Standard")?;
        let number = f.text(part).split('"').nth(1)?.to_owned();
        let says = format!("SeenPart(\"{}\", \"{number}\")", f.model().positions.name(at));
        f.claim(id, &says, LATE, "Firm");
        Some(())
    }),
    Fault::new("claim-110", "a position seen empty that never is", |f| {
        let id = f.plain_airframes().first().copied()?;
        let at = position(f, |position| position.nothing_when.is_none())?;
        let says = format!("SeenNothing(\"{}\")", f.model().positions.name(at));
        f.claim(id, &says, LATE, "Firm");
        Some(())
    }),
    Fault::new("claim-111", "a build state of a whole year", |f| {
        let id = f.plain_airframes().first().copied()?;
        state(f, id, "1955", &MARK.to_string());
        Some(())
    }),
    Fault::new("claim-112", "a modification both added and left out", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            afterwards(f, airframe, m).is_some() && is_plain(&f.model().mods[m]) && f.bound_to(m).len() == 1
        })?;
        let both = added(f, m);
        let both = format!("{both}{}", both.replace("add: ", "leave_out: "));
        state(f, airframe, LATE, &both);
        Some(())
    }),
    Fault::new("claim-113", "an assumption where everything is recorded", |f| {
        let id = f.plain_airframes().first().copied()?;
        let entry = &f.model().airframes[id];
        let leaflets = f.model().mods.iter().filter_map(|(m, _, entry)| Some((m, entry.retrospective.as_ref()?)));
        let eligible =
            leaflets.filter(|(_, form)| form.eligible.as_ref().is_none_or(|set| set.contains(&entry.serial)));
        let open: Vec<ModId> = eligible.map(|(m, _)| m).filter(|m| !covered(f, id, *m)).collect();
        let serial = f.model().airframes.name(id);
        let spot = Spot::from(f.model().airframes[id].record);
        let recorded = f
            .all("Claim")
            .iter()
            .filter(|c| f.text(**c).contains(&format!("\"{serial}\"")))
            .map(|c| f.text(*c).to_owned())
            .collect::<String>();
        for (nth, m) in open.into_iter().enumerate() {
            let name = f.name(m);
            let said = ["Embodied", "NotEmbodied", "Removed"]
                .iter()
                .any(|verb| recorded.contains(&format!(" {verb}(\"{name}\"")));
            if !said {
                let day = f.model().airframes[id].built.last().after();
                f.add(spot, &format!("    Claim(\n        airframe: \"{serial}\", id: \"D{nth}\", says: NotEmbodied(\"{name}\"), when: \"{day}\",\n        rests_on: [\"E1\"], standing: Firm,\n    ),\n"));
            }
        }
        f.add(spot, &format!("    Assumption(\n        airframe: \"{serial}\", id: \"A1\", assumes: UnrecordedNotEmbodied,{MARK}\n        when: \"{LATE}\", reason: \"No folder tells of more.\",\n    ),\n"));
        Some(())
    }),
    Fault::new("claim-201", "embodied without what is required at two removes", |f| {
        let chain = |f: &Folder<'_>, m| requirement(f, requirement(f, m)?);
        let (airframe, m) = silent(f, |f, airframe, m| {
            let steps = [Some(m), requirement(f, m), chain(f, m)];
            steps.iter().all(|step| step.is_some_and(|m| afterwards(f, airframe, m).is_some()))
        })?;
        let last = chain(f, m)?;
        let (says, against) = (embodied(f, m), not_embodied(f, last));
        f.claim(airframe, &says, LATE, "Firm");
        f.claim(airframe, &against, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-202", "embodied before the leaflet", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let built = f.model().airframes[airframe].built.last();
            let late =
                |m: &Modification| m.retrospective.as_ref().is_some_and(|r| r.leaflet_date.first().0 > built.0 + 60);
            afterwards(f, airframe, m).is_some() && is_plain(&f.model().mods[m]) && late(&f.model().mods[m])
        })?;
        let spot = f.of_mod(m)?;
        f.mark(spot, "leaflet_date");
        let day = Day(f.model().airframes[airframe].built.last().0 + 30);
        let says = embodied(f, m);
        f.claim(airframe, &says, &day.to_string(), "Firm");
        Some(())
    }),
    Fault::new("claim-203", "embodied on a serial that the leaflet is not for", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let entry = &f.model().mods[m];
            let serial = &f.model().airframes[airframe].serial;
            let closed = |set: &modstate::quantity::SerialSet| !set.contains(serial);
            let form = entry.retrospective.as_ref().and_then(|form| form.eligible.as_ref());
            form.is_some_and(closed) && entry.production.is_none() && is_plain(entry)
        })?;
        let says = embodied(f, m);
        f.claim(airframe, &says, LATE, "Firm");
        Some(())
    }),
    Fault::new("claim-203", "embodied afterwards though done on the line only", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let entry = &f.model().mods[m];
            entry.retrospective.is_none() && is_plain(entry) && !covered(f, airframe, m)
        })?;
        let says = format!("Embodied(\"{}\")", f.name(m));
        f.claim(airframe, &says, LATE, "Firm");
        Some(())
    }),
    Fault::new("claim-204", "embodied without what it requires", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let both = [Some(m), requirement(f, m)];
            both.iter().all(|m| m.is_some_and(|m| afterwards(f, airframe, m).is_some()))
        })?;
        let required = requirement(f, m)?;
        if let Some(spot) = f.of_mod(m) {
            f.mark(spot, "requires");
        }
        let (says, against) = (embodied(f, m), not_embodied(f, required));
        f.claim(airframe, &says, LATE, "Firm");
        f.claim(airframe, &against, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-205", "two that exclude each other", |f| {
        let mods = f.model().mods.iter();
        let pairs = mods.flat_map(|(id, _, m)| m.excludes.iter().map(move |(other, _)| (id, *other)));
        let pairs: Vec<_> = pairs.collect();
        let (airframe, a, b) = rivals(f, &pairs)?;
        let (says, also) = (embodied(f, a), embodied(f, b));
        f.claim(airframe, &says, LATE, "Firm");
        f.claim(airframe, &also, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-206", "two of a group of which one is in at a time", |f| {
        let groups = f.model().one_ofs.iter().filter(|group| !group.exactly);
        let pairs: Vec<_> = groups.map(|group| (group.members[0], group.members[1])).collect();
        let (airframe, a, b) = rivals(f, &pairs)?;
        let (says, also) = (embodied(f, a), embodied(f, b));
        f.claim(airframe, &says, LATE, "Firm");
        f.claim(airframe, &also, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-207", "two firm claims that disagree", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| afterwards(f, airframe, m).is_some())?;
        let (says, against) = (embodied(f, m), not_embodied(f, m));
        f.claim(airframe, &says, LATE, "Firm");
        f.claim(airframe, &against, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-208", "not embodied though built with it", |f| {
        let (airframe, m) = silent(f, covered)?;
        let says = not_embodied(f, m);
        f.claim(airframe, &says, LATE, "Firm");
        Some(())
    }),
    Fault::new("claim-209", "built with one and without what it requires", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let required = requirement(f, m).filter(|required| {
                let spot = f.of_mod(*required);
                let line_only = f.model().mods[*required].retrospective.is_none();
                line_only && spot.is_some_and(|spot| f.text(spot).contains(")]),"))
            });
            let only = |of: ModId| {
                let mods = f.model().mods.iter();
                mods.filter(|(_, _, m)| m.requires.iter().any(|(other, _)| *other == of)).count() == 1
            };
            f.of_mod(m).is_some() && covered(f, airframe, m) && required.is_some_and(only)
        })?;
        let required = f.of_mod(requirement(f, m)?)?;
        let serial = f.model().airframes.name(airframe);
        f.swap(required, ")]),", &format!(")], except: [\"{serial}\"]),"));
        f.mark(required, "production: ");
        let spot = f.of_mod(m)?;
        f.mark(spot, "production: ");
        f.mark(spot, "requires: ");
        Some(())
    }),
    Fault::new("claim-210", "a doubtful claim against a firm one", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| afterwards(f, airframe, m).is_some())?;
        let (says, against) = (embodied(f, m), not_embodied(f, m));
        f.claim(airframe, &says, LATE, "Doubtful");
        f.claim(airframe, &against, LATER, "Firm");
        Some(())
    }),
    Fault::new("claim-211", "a dossier copied from two logs that disagree on all", |f| {
        let beside = f.find("Modification", "")?;
        let airframe = f.plain_airframes().first().copied()?;
        let names: Vec<String> = (9001..9011).map(|number| format!("QM{number}")).collect();
        let form = "retrospective: (leaflet_date: \"1945-06-11\"),\n    ),\n";
        for name in &names {
            f.add(beside, &format!("    Modification(\n        number: \"{name}\", title: \"Step moved\", {form}"));
        }
        let all = names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ");
        f.add(
            beside,
            &format!(
                "    Modification(\n        number: \"QM9100\", title: \"All steps moved\", requires: [{all}], {form}"
            ),
        );
        for name in &names {
            f.claim(airframe, &format!("Embodied(\"{name}\")"), LATE, "Doubtful");
            f.claim(airframe, &format!("NotEmbodied(\"{name}\")"), LATER, "Doubtful");
        }
        f.unmark();
        let spot = Spot::from(f.model().airframes[airframe].record);
        f.mark(spot, "serial: ");
        Some(())
    }),
    Fault::new("claim-212", "a build state that adds one without what it requires", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let both = [Some(m), requirement(f, m)];
            both.iter().all(|m| m.is_some_and(|m| afterwards(f, airframe, m).is_some()))
        })?;
        let against = not_embodied(f, requirement(f, m)?);
        let choice = added(f, m);
        f.claim(airframe, &against, LATER, "Firm");
        f.unmark();
        state(f, airframe, LATE, &choice);
        Some(())
    }),
    Fault::new("claim-213", "a build state that adds one while what it requires is open", |f| {
        let (airframe, m) = silent(f, |f, airframe, m| {
            let required = requirement(f, m);
            let open = |m: ModId| afterwards(f, airframe, m).is_some_and(|day| day < Day(-4_800));
            let free = required.is_some_and(|m| is_plain(&f.model().mods[m]));
            free && [Some(m), required].iter().all(|m| m.is_some_and(open))
        })?;
        let choice = added(f, m);
        state(f, airframe, LATE, &choice);
        Some(())
    }),
    Fault::new("claim-214", "a build state that adds what is in anyway", |f| {
        let (airframe, m) = silent(f, covered)?;
        let choice = added(f, m);
        state(f, airframe, LATE, &choice);
        Some(())
    }),
];
