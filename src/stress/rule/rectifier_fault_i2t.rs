//! What a fault costs the rectifier.

use crate::stress::{
    bench::Bench,
    fault, junction,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "rectifier-fault-i2t",
        asks: "whether the heating integral of the rectifier outlasts the fuse with the reservoir or a raw output shorted",
        why: "the rectifier may be lost with the part that failed, and the reader should know",
        worst: "mains −, EMF −, windings hot for the time; the current of that state",
        limits: "never a failure: a rectifier may be sacrificed where the fault is itself the failure of a part",
        source: "∫i² ≤ I² t over the gate's time; rating: the part's row",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let found = fault::shorted_reservoir(bench);
    let primary = bench.assembly.primary_fuse.and_then(|fuse| fault::opens_within(fuse, found.primary_a));
    let secondary = bench.assembly.secondary_fuse.and_then(|fuse| fault::opens_within(fuse, found.path_a));
    let seconds = match (primary, secondary) {
        (Some(one), Some(other)) => one.min(other),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => {
            let why = "no fuse surely opens on a shorted reservoir";
            return verdicts.push(tell::idle(code, Position::Rectifier, why));
        }
    };
    let Some(rating) = junction::element(bench).i2t else {
        let text =
            "no heating integral is stated: the rectifier may be lost before the fuse opens".to_owned();
        return verdicts.push(tell::fact(code, Position::Rectifier, true, text));
    };
    // One diode carries every other half period.
    let integral = 0.5 * found.path_a * found.path_a * seconds;
    let outcome = if integral <= rating.0 { "it outlasts the fuse" } else { "it may be lost with it" };
    let text = format!(
        "a shorted reservoir gives one diode up to {integral:.0} A²s in {seconds:.2} s against {:.0} A²s: {outcome}",
        rating.0
    );
    verdicts.push(tell::fact(code, Position::Rectifier, true, text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::AmpsSquaredSeconds, stress::fixture::Fixture};

    #[test]
    fn a_sacrificed_rectifier_is_told_and_not_refused() {
        let mut fixture = Fixture::regulated();
        let text = |fixture: &Fixture| match &fixture.judged(&RULE)[..] {
            [Verdict::Fact { holds: true, text, .. }] => text.clone(),
            other => panic!("{other:?}"),
        };
        assert!(text(&fixture).contains("may be lost"), "{}", text(&fixture));
        fixture.bridge.element.i2t = Some(AmpsSquaredSeconds(1e5));
        assert!(text(&fixture).contains("outlasts"));
        fixture.bridge.element.i2t = None;
        assert!(text(&fixture).contains("no heating integral"));
        fixture.fuse = None;
        assert!(fixture.idle(&RULE));
    }
}
