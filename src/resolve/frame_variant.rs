//! The variants of a frame: which segments, openings and splice points go together, and what selects each.

use super::Resolver;
use crate::history::{condition_expr, of_form_var, rewrite};
use crate::ids::{FrameId, ModId};
use crate::proof::allowed::Allowed;
use crate::prop::{Decider, Expr, Var};
use crate::schema::Form;
use std::collections::BTreeSet;

/// One way in which a frame may be made up. Indices are of the frame's lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrameVariant {
    /// The segments fitted, in the frame's order; none: the frame is not fitted.
    pub segments: Vec<usize>,
    /// The openings that are there.
    pub openings: Vec<usize>,
    /// The splice points and edges at which a fitted segment ends, in order round the girth.
    pub points: Vec<usize>,
    /// When, over state variables.
    pub when: Expr,
}

/// More variants than this are not listed.
const MOST: usize = 64;

impl Resolver<'_> {
    /// Every variant of a frame that some state can give which the rules allow, on this serial or on another with its
    /// serial conditions, in the frame's order of segments; `None` if forms of modifications could give more than 64,
    /// or if something of the frame was not read.
    /// Claims and dates are not looked at.
    #[must_use]
    pub fn frame_variants(&self, frame: FrameId) -> Option<Vec<FrameVariant>> {
        let history = self.history();
        if !history.not_read_of_frame(frame).is_empty() {
            return None;
        }
        let serial = &history.airframe().serial;
        let entry = &history.model.frames[frame];
        let segments: Vec<Expr> = entry.segments.iter().map(|segment| self.fitted(segment.part)).collect();
        let openings: Vec<Expr> = entry.openings.iter().map(|opening| condition_expr(&opening.when, serial)).collect();
        let parts: Vec<Expr> = segments.iter().chain(&openings).cloned().collect();
        let mut variants = Vec::new();
        for signs in distinct(&parts)? {
            let when =
                Expr::all(parts.iter().zip(&signs).map(|(part, on)| if *on { part.clone() } else { !part.clone() }));
            let on = |at: usize| signs[at];
            let fitted: Vec<usize> = (0..segments.len()).filter(|at| on(*at)).collect();
            let ends: BTreeSet<usize> =
                fitted.iter().flat_map(|at| [entry.segments[*at].from, entry.segments[*at].to]).collect();
            let mut points: Vec<usize> = ends.into_iter().collect();
            points.sort_by(|a, b| {
                let girth = |point: &usize| entry.splice_points[*point].girth_mm;
                girth(a).total_cmp(&girth(b)).then(a.cmp(b))
            });
            let open = (0..openings.len()).filter(|at| on(segments.len() + at)).collect();
            variants.push(FrameVariant { segments: fitted, openings: open, points, when });
        }
        // Without serial blocks no state is known to be allowed, or not to be.
        if !history.model.blocks.is_empty() {
            let mut allowed = Allowed::new(history.model, history.graph);
            variants.retain(|variant| allowed.is_possible(&variant.when) != Ok(false));
        }
        variants.sort_by(|a, b| (&a.segments, &a.openings).cmp(&(&b.segments, &b.openings)));
        Some(variants)
    }
}

/// Every way in which these expressions can be true and false together, one form of a modification at a time.
fn distinct(parts: &[Expr]) -> Option<Vec<Vec<bool>>> {
    let mut named: BTreeSet<ModId> = BTreeSet::new();
    for part in parts {
        part.each_var(&mut |var| {
            named.insert(of_form_var(var).0);
        });
    }
    let mods: Vec<ModId> = named.into_iter().collect();
    let compact = |var: Var| {
        let (m, form) = of_form_var(var);
        let index = mods.binary_search(&m).expect("every modification of the expressions was listed");
        let index = u32::try_from(index).expect("a slice holds fewer than 2^31 modifications");
        2 * index + u32::from(form == Form::Retrospective)
    };
    let parts: Vec<Expr> = parts.iter().map(|part| rewrite(part, &|var| Expr::var(compact(var)))).collect();
    let pairs = u32::try_from(mods.len()).expect("a slice holds fewer than 2^31 modifications");
    let mut decider = Decider::new(2 * pairs);
    for pair in 0..pairs {
        decider.require(&Expr::any([!Expr::var(2 * pair), !Expr::var(2 * pair + 1)]));
    }
    let mut found = Vec::new();
    while decider.possible(&[]).ok()? {
        if found.len() == MOST {
            return None;
        }
        let signs: Vec<bool> = parts.iter().map(|part| part.value(&|var| decider.value(var))).collect();
        let same = parts.iter().zip(&signs).map(|(part, on)| if *on { part.clone() } else { !part.clone() });
        decider.require(&!Expr::all(same));
        found.push(signs);
    }
    Some(found)
}
