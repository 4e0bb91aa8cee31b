//! Sheet metal: bends, developed widths, minimum radii, curved flanges, rivets.
//!
//! Pure functions of numbers; lengths are in one unit, whichever, and angles in degrees unless a name says otherwise.
//! Formulas and tables are the published ones named beside them, and nothing else is used as a limit.

mod bend;
mod flange;
mod radius;
mod rivet;
mod section;

pub use bend::{allowance, allowance_mid_plane, deduction, setback, setback_factor};
pub use flange::{edge_strain, strain_percent};
pub use radius::{Published, published_radius};
pub use rivet::{PublishedRivets, lap_needed, published_rivets, rivets_needed};
pub use section::{Developed, developed};
