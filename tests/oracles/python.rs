//! How the tests ask a reference outside the project: a script of this folder, run by the Python that has what
//! `requirements.txt` lists.

use std::ffi::OsStr;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

/// What a script says, given these arguments: as `Err` where it ends with a code other than 0. `None`, and a line that
/// says so, where `MODSTATE_ORACLES` names no Python.
pub(crate) fn ask<A: AsRef<OsStr>>(script: &str, arguments: &[A]) -> Option<Result<String, String>> {
    let Some(python) = std::env::var_os("MODSTATE_ORACLES") else {
        writeln!(std::io::stdout(), "skipped: MODSTATE_ORACLES names no Python").expect("stdout");
        return None;
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracles").join(script);
    let run = Command::new(python).arg("-B").arg(script).args(arguments).output().expect("the interpreter runs");
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    writeln!(std::io::stdout(), "{said}").expect("stdout");
    Some(if run.status.success() { Ok(said) } else { Err(said + &String::from_utf8_lossy(&run.stderr)) })
}
