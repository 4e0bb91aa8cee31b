//! What the demo is meant to show, and nothing else.

use super::{demo_texts, project, shown};

#[test]
fn the_clean_demo_gives_what_it_is_meant_to_show() {
    let project = project(demo_texts());
    insta::assert_snapshot!(shown(&project, &project.findings()));
}
