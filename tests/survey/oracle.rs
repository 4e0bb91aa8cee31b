//! Against scipy's rotation alignment, where a Python with scipy is at hand: set `MODSTATE_ORACLES` to that interpreter.

use std::io::Write as _;

use modstate::metrology::fit::fit;
use modstate::metrology::point::{Motion, Point3};
use serde_json::{Value, json};

use crate::random::Random;

fn rows(points: &[Point3]) -> Value {
    points.iter().map(|p| json!([p.x, p.y, p.z])).collect()
}

/// A thousand fits: solid, plane and nearly mirrored patterns, exact and with scatter up to the size of the pattern.
fn fits() -> Value {
    let mut random = Random::new(77);
    (0..1000)
        .map(|i| {
            let depth = [300.0, 0.0, 20.0][i % 3];
            let n = 4 + random.below(40);
            let mut draw = |x: f64, y: f64, z: f64| {
                Point3::new(random.between(-x, x), random.between(-y, y), random.between(-z, z))
            };
            let from: Vec<Point3> = (0..n).map(|_| draw(500.0, 300.0, depth)).collect();
            let stand = Motion::turn(draw(1.7, 1.7, 1.7), draw(2000.0, 2000.0, 2000.0));
            let scatter = [0.0, 0.05, 1.0, 60.0][i % 4];
            let mirror = if i % 7 == 0 { -1.0 } else { 1.0 };
            let to: Vec<Point3> = from
                .iter()
                .map(|p| stand.apply(Point3::new(p.x, p.y, mirror * p.z)) + draw(scatter, scatter, scatter))
                .collect();
            let found = fit(&from, &to).expect("points in general position");
            let (shift, residuals) = (rows(&[found.motion.shift]), rows(&found.residuals));
            json!({
                "from": rows(&from), "to": rows(&to), "rotation": found.motion.rotation, "shift": shift[0],
                "residuals": residuals, "rms": found.rms, "angle": crate::worked::turn(&found.motion),
            })
        })
        .collect()
}

#[test]
fn rigid_fits_agree_with_scipy() {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
    serde_json::to_writer(&mut file, &fits()).expect("numbers");
    file.flush().expect("a temporary file");
    if let Some(Err(said)) = crate::python::ask("fit_oracle.py", &[file.path()]) {
        panic!("{said}");
    }
}
