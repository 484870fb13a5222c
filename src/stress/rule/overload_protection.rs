//! What protects the rail with its output shorted.

use crate::stress::{
    bench::Bench,
    fault, overload,
    position::Position,
    registry::{Group, Page, Rule},
    tell,
    verdict::Verdict,
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "overload-protection",
        asks: "regulator and transformer each have a named means against a lasting short of the output",
        why: "most supplies die of their overloads",
        worst: "output shorted, mains +",
        limits: "a raw rail has the means of a shorted reservoir; of a second section the heat of a choke is told, not judged, its resistor has a rule of its own; says nothing of a lasting overload too small to open a fuse",
        source: "common practice, no source",
    },
    group: Group::Protection,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let code = RULE.page.code;
    let Some(found) = overload::shorted_output(bench) else {
        let means = fault::means(bench, fault::shorted_reservoir(bench));
        let text = means.map_or_else(
            || "nothing acts on a shorted output".to_owned(),
            |means| format!("shorted output: {}", means.text()),
        );
        return verdicts.push(tell::fact(code, Position::Transformer, means.is_some(), text));
    };
    let limit = bench.assembly.transformer.overload_limit.0;
    let bears = found.point.is_some_and(|point| point.winding_c <= limit);
    let means = fault::means(bench, found.fault);
    let transformer = if bears {
        format!("the windings bear the limited {:.2} A", found.load_a)
    } else {
        means.map_or_else(|| "nothing protects the windings".to_owned(), fault::Means::text)
    };
    let section = overload::shorted_section_w(bench).map(|watts| {
        let what = if bench.assembly.choke().is_some() { "choke" } else { "section resistor" };
        format!("the {what} takes {watts:.1} W until something opens; ")
    });
    let section = section.unwrap_or_default();
    let Some(stage) = &bench.assembly.regulation else {
        let text = format!("shorted output: {section}{transformer}");
        return verdicts.push(tell::fact(code, Position::Transformer, bears || means.is_some(), text));
    };
    let shutdown = stage.part.thermal_shutdown;
    let regulator = if shutdown { "thermal shutdown" } else { "nothing" };
    let text = format!("shorted output: {regulator} protects the regulator; {section}{transformer}");
    verdicts.push(tell::fact(code, Position::Transformer, shutdown && (bears || means.is_some()), text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        quantity::{Amps, Celsius},
        stress::fixture::Fixture,
    };

    #[test]
    fn regulator_and_windings_each_need_a_means() {
        let mut fixture = Fixture::regulated();
        fixture.regulator.as_mut().unwrap().limit_max = Amps(2.5);
        assert!(fixture.holds(&RULE));
        fixture.regulator.as_mut().unwrap().thermal_shutdown = false;
        assert!(!fixture.holds(&RULE));
        fixture.regulator.as_mut().unwrap().thermal_shutdown = true;
        fixture.transformer.overload_limit = Celsius(70.0);
        fixture.fuse = None;
        assert!(!fixture.holds(&RULE));
    }

    /// By hand: at most the no-load peak, 26.44 V, over 10 Ω less 1.125 %: 70.7 W; at least nine tenths of what the loaded rail has.
    #[test]
    fn a_short_behind_a_section_resistor_is_told_with_its_heat() {
        let found = Fixture::smoothed(10.0).judged(&RULE);
        let [Verdict::Fact { text, .. }] = found.as_slice() else { panic!("{found:?}") };
        let watts: f64 = text
            .split("takes ")
            .nth(1)
            .and_then(|rest| rest.split(' ').next())
            .and_then(|number| number.parse().ok())
            .unwrap();
        assert!(watts < 26.44_f64.powi(2) / (10.0 * 0.98875) && watts > 35.0, "{text}");
    }

    #[test]
    fn a_raw_rail_is_protected_as_a_shorted_reservoir_is() {
        let mut fixture = Fixture::raw();
        assert!(fixture.holds(&RULE));
        fixture.fuse = None;
        assert!(!fixture.holds(&RULE));
        assert!(fixture.with_cut_out().holds(&RULE));
    }
}
