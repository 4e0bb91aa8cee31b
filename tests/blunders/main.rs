//! Blunders of measuring, drawn from a truth and from what people do with instruments and pencils, and the advice of the
//! program judged against that truth. Nothing here shares code with what judges surveys.

mod cases;
mod dossier;
mod kinds;
mod people;
#[path = "../random.rs"]
mod random;
mod world;

use kinds::{Kind, Size};

#[test]
fn dump() {
    for kind in Kind::ALL {
        let case = cases::case(*kind, Size::Gross, 1);
        let folder = std::path::PathBuf::from(format!("/dev/shm/claude_bl/{}", case.kind as usize));
        dossier::write(&folder, &case.jig, &case.sheets).expect("written");
    }
}
