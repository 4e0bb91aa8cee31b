//! Single surveys, one for each kind of error and remedy, with their numbers.

use modstate::metrology::error_kind::{
    Datums, DiagnoseError, Diagnosis, ErrorKind, ErrorVerdict, HoleSurvey, PitchLaw, Remedy, ScatterSource, Size,
    SurveyedHole, diagnose,
};
use modstate::metrology::fit::level;
use modstate::metrology::point::{Motion, Point3};
use modstate::metrology::robust::{Dimension, robust_fit};
use modstate::quantity::Config;

use crate::random::Random;

const NOISE: f64 = 0.02;

/// Four dowels and four legs of two rows of five holes, with a little scatter.
fn survey(datums: Datums) -> HoleSurvey {
    let mut random = Random::new(3);
    let mut places: Vec<Point3> =
        [(0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)].map(|(x, y)| Point3::new(x, y, 0.0)).to_vec();
    let (mut members, mut rows) = (Vec::new(), Vec::new());
    for leg in 0..4u8 {
        let mut member = Vec::new();
        for row in 0..2u8 {
            let y = 60.0 + 80.0 * f64::from(leg) + 30.0 * f64::from(row);
            rows.push((places.len()..places.len() + 5).collect::<Vec<_>>());
            member.extend(places.len()..places.len() + 5);
            // Steps of 20, 40, 20 and 60 mm: scale and step errors differ.
            places.extend([0.0, 20.0, 60.0, 80.0, 140.0].map(|x| Point3::new(100.0 + x, y, 0.0)));
        }
        members.push(member);
    }
    let holes = places
        .into_iter()
        .map(|nominal| {
            let error = Point3::new(random.normal(), random.normal(), 0.0) * NOISE;
            SurveyedHole { nominal, measured: nominal + error, zone: 0.3 }
        })
        .collect();
    HoleSurvey {
        holes,
        members,
        rows,
        datums,
        dimension: Dimension::Plane,
        instrument: 2.0 * NOISE,
        odds: Config::built_in().survey_limits().odds,
    }
}

fn dowels() -> Datums {
    Datums::Holes(vec![0, 1, 2, 3])
}

fn shift(survey: &mut HoleSurvey, holes: &[usize], by: Point3) {
    for &h in holes {
        survey.holes[h].measured = survey.holes[h].measured + by;
    }
}

fn kinds(found: &Diagnosis) -> Vec<ErrorKind> {
    found.errors.iter().map(|e| e.kind).collect()
}

#[test]
fn good_work_asks_for_nothing() {
    let found = diagnose(&survey(dowels())).expect("a sound survey");
    assert_eq!((found.outcome, found.scatter.source), (ErrorVerdict::ScatterOnly, ScatterSource::Instrument));
    assert_eq!(found.scatter.remedy, Remedy::Nothing);
    assert!((found.scatter.standard / NOISE - 1.0).abs() < 0.2);
}

/// Common practice, no source: the holes of one member all 0.055 in out the same way are one layout error of it.
#[test]
fn a_leg_all_out_the_same_way_is_moved_back() {
    let mut survey = survey(dowels());
    let leg = survey.members[2].clone();
    shift(&mut survey, &leg, Point3::new(1.397, 0.0, 0.0));
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!((kinds(&found), found.outcome), (vec![ErrorKind::Member(2)], ErrorVerdict::Explained));
    let Remedy::MoveMember { member: 2, shift, turn, .. } = found.errors[0].remedy else {
        panic!("{:?}", found.errors[0])
    };
    let Size::Motion { shift_uncertainty, turn_uncertainty, .. } = found.errors[0].size else { panic!("a motion") };
    assert!((shift - Point3::new(-1.397, 0.0, 0.0)).norm() < 1.5 * shift_uncertainty.norm(), "{shift:?}");
    assert!(turn.z.abs() < 1.5 * turn_uncertainty.z && shift_uncertainty.x < NOISE);
    // On the datums every hole of the leg is out by what was done to it; nothing else is.
    assert!((found.deviations[leg[0]].x - 1.397).abs() < 5.0 * NOISE && found.deviations[4].norm() < 5.0 * NOISE);
}

#[test]
fn a_leg_turned_by_one_degree_is_turned_back() {
    let mut survey = survey(dowels());
    let leg = survey.members[0].clone();
    let about = Point3::centroid(&leg.iter().map(|&h| survey.holes[h].nominal).collect::<Vec<_>>());
    let turn = Motion::in_plane(1f64.to_radians(), Point3::default());
    for &h in &leg {
        let arm = survey.holes[h].nominal - about;
        survey.holes[h].measured = survey.holes[h].measured + turn.rotate(arm) - arm;
    }
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!(kinds(&found), [ErrorKind::Member(0)]);
    let Size::Motion { turn, turn_uncertainty, .. } = found.errors[0].size else { panic!("a motion") };
    assert!((turn.z - 1f64.to_radians()).abs() < 1.5 * turn_uncertainty.z);
}

#[test]
fn a_wrong_datum_is_reset_and_a_best_fit_would_hide_it() {
    let mut survey = survey(dowels());
    let holes: Vec<usize> = (4..survey.holes.len()).collect();
    shift(&mut survey, &holes, Point3::new(0.0, 0.6, 0.0));
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!(kinds(&found), [ErrorKind::Datum]);
    let Remedy::ResetDatum { shift: back, .. } = found.errors[0].remedy else { panic!("{:?}", found.errors[0]) };
    assert!((back - Point3::new(0.0, -0.6, 0.0)).norm() < 3.0 * NOISE, "{back:?}");
    survey.datums = Datums::None;
    let (nominal, measured): (Vec<Point3>, Vec<Point3>) =
        survey.holes[4..].iter().map(|h| (h.nominal, h.measured)).unzip();
    let hidden = robust_fit(&nominal, &measured, Dimension::Plane, NOISE).expect("many holes");
    assert!(hidden.fit.rms < 2.0 * NOISE && hidden.bad.is_empty());
}

#[test]
fn pitch_errors_tell_their_law() {
    for (by_steps, law) in [(false, PitchLaw::Scale), (true, PitchLaw::Steps)] {
        let mut survey = survey(dowels());
        let row = survey.rows[3].clone();
        let first = survey.holes[row[0]].nominal;
        for (k, &h) in row.iter().enumerate() {
            let distance = (survey.holes[h].nominal - first).norm();
            let off = if by_steps { 0.5 * f64::from(u8::try_from(k).expect("few")) } else { 0.01 * distance };
            shift(&mut survey, &[h], Point3::new(off, 0.0, 0.0));
        }
        let found = diagnose(&survey).expect("a sound survey");
        assert_eq!(kinds(&found), [ErrorKind::Pitch(3)]);
        let Size::Pitch { law: said, each, uncertainty, .. } = found.errors[0].size else { panic!("a pitch error") };
        assert_eq!(said, law);
        assert!((each - if by_steps { 0.5 } else { 0.01 }).abs() < 1.5 * uncertainty, "{each} {uncertainty}");
        let Remedy::PlugAndRedrill { holes } = &found.errors[0].remedy else { panic!("holes are out") };
        assert!(holes.iter().all(|h| row.contains(h)) && !holes.contains(&row[0]));
    }
}

#[test]
fn single_holes_are_plugged_only_where_they_are_out_of_their_zone() {
    let mut survey = survey(dowels());
    shift(&mut survey, &[9], Point3::new(0.0, 0.8, 0.0));
    shift(&mut survey, &[31], Point3::new(-0.5, 0.0, 0.0));
    survey.holes[31].zone = 2.0;
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!(kinds(&found), [ErrorKind::Hole(9), ErrorKind::Hole(31)]);
    assert_eq!(found.errors[0].remedy, Remedy::PlugAndRedrill { holes: vec![9] });
    assert_eq!(found.errors[1].remedy, Remedy::Nothing);
}

/// With two members and no datums nothing says which of them moved.
#[test]
fn which_of_two_members_moved_is_not_decidable_without_datums() {
    let mut survey = survey(Datums::None);
    survey.holes.drain(..4);
    survey.holes.truncate(20);
    survey.members = vec![(0..10).collect(), (10..20).collect()];
    survey.rows.clear();
    shift(&mut survey, &(10..20).collect::<Vec<_>>(), Point3::new(0.6, 0.0, 0.0));
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!((found.outcome, kinds(&found)), (ErrorVerdict::NotDecidable, Vec::new()));
    let named: Vec<ErrorKind> =
        found.suspects.iter().flat_map(|s| s.instead.iter().copied().chain([s.error.kind])).collect();
    assert!(named.contains(&ErrorKind::Member(0)) && named.contains(&ErrorKind::Member(1)), "{named:?}");
}

#[test]
fn legs_in_space_are_distinguished_whatever_the_instrument_axes() {
    let mut survey = survey(dowels());
    let mut random = Random::new(8);
    for (h, hole) in survey.holes.iter_mut().enumerate() {
        let depth = f64::from(u8::try_from(h % 3).expect("few")) * 40.0;
        hole.nominal.z += depth;
        hole.measured.z += depth + random.normal() * NOISE;
    }
    survey.dimension = Dimension::Space;
    let leg = survey.members[1].clone();
    shift(&mut survey, &leg, Point3::new(0.0, 0.0, 0.5));
    let pose = Motion::turn(Point3::new(0.4, -0.7, 1.2), Point3::new(900.0, -300.0, 50.0));
    for hole in &mut survey.holes {
        hole.measured = pose.apply(hole.measured);
    }
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!(kinds(&found), [ErrorKind::Member(1)]);
    let Size::Motion { shift, .. } = found.errors[0].size else { panic!("a motion") };
    assert!((shift - Point3::new(0.0, 0.0, 0.5)).norm() < 3.0 * NOISE, "{shift:?}");
}

#[test]
fn a_tilted_plate_is_laid_level_with_its_face_up() {
    let survey = survey(dowels());
    let pose = Motion::turn(Point3::new(2.0, 0.5, -0.3), Point3::new(10.0, 20.0, 30.0));
    let seen: Vec<Point3> = survey.holes.iter().map(|h| pose.apply(h.measured)).collect();
    let up = pose.rotate(Point3::new(0.0, 0.0, 1.0));
    let laid = level(&seen, up).expect("a plane");
    let flat: Vec<Point3> = seen.iter().map(|&p| laid.apply(p)).collect();
    assert!(flat.iter().all(|p| p.z.abs() < 1e-9));
    let nominal: Vec<Point3> = survey.holes.iter().map(|h| h.nominal).collect();
    let right = modstate::metrology::fit::fit_in_plane(&flat, &nominal).expect("many holes");
    assert!(right.rms < 2.0 * NOISE, "{}", right.rms);
    let wrong_side: Vec<Point3> = {
        let laid = level(&seen, -up).expect("a plane");
        seen.iter().map(|&p| laid.apply(p)).collect()
    };
    assert!(modstate::metrology::fit::fit_in_plane(&wrong_side, &nominal).expect("many holes").rms > 50.0);
}

/// Three holes on two dowels: one that lies off could as well be a dowel or the scatter.
#[test]
fn very_few_holes_decide_nothing() {
    let mut survey = survey(dowels());
    survey.holes.truncate(5);
    survey.members.clear();
    survey.rows.clear();
    survey.datums = Datums::Holes(vec![0, 1]);
    shift(&mut survey, &[4], Point3::new(8.0 * NOISE, 0.0, 0.0));
    let found = diagnose(&survey).expect("a sound survey");
    assert_eq!(found.errors, []);
}

#[test]
fn bad_input_is_an_error() {
    let mut bad = survey(dowels());
    bad.members.push(vec![999]);
    assert_eq!(diagnose(&bad), Err(DiagnoseError::NoSuchHole(999)));
    let mut bad = survey(dowels());
    bad.instrument = 0.0;
    assert_eq!(diagnose(&bad), Err(DiagnoseError::NoUncertainty));
    let mut bad = survey(dowels());
    bad.holes[5].measured.y = f64::NAN;
    assert!(matches!(diagnose(&bad), Err(DiagnoseError::Fit(_))));
    let mut bad = survey(dowels());
    bad.holes.clear();
    assert!(diagnose(&bad).is_err());
}
