//! What a fuse carries steadily in the air inside, and what the policy leaves of it.

use crate::catalog::{Fuse, family::protection::FuseSystem};

use super::bench::{Bench, left_of};

/// Code under which a policy limits fuses of the IEC system.
pub const IEC_CODE: &str = "fuse-steady-current";
/// Code under which it limits those of the UL system.
pub const UL_CODE: &str = "fuse-steady-current-ul";
/// Temperature up to which the whole rating holds, °C. Source: IEC 60127-1 (from memory).
const RATED_AT_C: f64 = 23.0;

/// Rated current in the air inside, A: `I_n (1 − c (T − 23 °C))`.
pub fn warm_rating_a(bench: &Bench<'_>, fuse: &Fuse) -> f64 {
    let over_k = (bench.supply.air.hot_c - RATED_AT_C).max(0.0);
    fuse.rated.0 * (1.0 - fuse.rerating_per_kelvin.0 * over_k).max(0.0)
}

/// The code that limits a fuse: a UL rating has a limit of its own.
pub fn code_of(fuse: &Fuse) -> &'static str {
    if fuse.system == FuseSystem::Ul248 { UL_CODE } else { IEC_CODE }
}

/// Greatest steady current that the policy leaves a fuse, A.
pub fn limit_a(bench: &Bench<'_>, fuse: &Fuse) -> f64 {
    left_of(bench.asked.policy, code_of(fuse), warm_rating_a(bench, fuse))
}
