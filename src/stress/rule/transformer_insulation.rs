//! Insulation between primary and secondaries against what is required.

use crate::{
    catalog::family::transformer::Insulation,
    requirement::{ProtectionClass, RequiredInsulation},
    stress::{
        bench::Bench,
        position::Position,
        registry::{Group, Page, Rule},
        tell,
        verdict::Verdict,
    },
};

/// The rule.
pub(super) const RULE: Rule = Rule {
    page: Page {
        code: "transformer-insulation",
        asks: "the transformer has the insulation required, by class and by dielectric test voltage",
        why: "it is all that stands between the mains and whoever touches the output",
        worst: "none; a part has it or not",
        limits: "says nothing of distances on the board, wiring, earth bonding or the transformer's approval",
        source: "the requirement; class II equipment needs reinforced insulation: local codes and current standards decide",
    },
    group: Group::Transformer,
    judge,
};

fn judge(bench: &Bench<'_>, verdicts: &mut Vec<Verdict>) {
    let part = bench.assembly.transformer;
    let asked = bench.asked.requirement;
    let reinforced =
        asked.insulation == RequiredInsulation::Reinforced || asked.protection == ProtectionClass::II;
    let class_holds = !reinforced || part.insulation == Insulation::Reinforced;
    let voltage_holds = part.test_voltage >= asked.test_voltage;
    let text = format!(
        "{} insulation tested at {} V; required: {} at {} V",
        if part.insulation == Insulation::Reinforced { "reinforced" } else { "basic" },
        part.test_voltage.0,
        if reinforced { "reinforced" } else { "basic" },
        asked.test_voltage.0,
    );
    verdicts.push(tell::fact(RULE.page.code, Position::Transformer, class_holds && voltage_holds, text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{quantity::Volts, stress::fixture::Fixture};

    #[test]
    fn reinforced_at_4200_v_serves_where_reinforced_at_3000_v_is_asked() {
        assert!(Fixture::regulated().holds(&RULE));
    }

    #[test]
    fn basic_insulation_is_refused_for_class_ii_and_where_reinforced_is_asked() {
        let mut fixture = Fixture::regulated();
        fixture.transformer.insulation = Insulation::Basic;
        fixture.requirement.insulation = RequiredInsulation::Basic;
        assert!(!fixture.holds(&RULE));
        fixture.requirement.protection = ProtectionClass::I;
        assert!(fixture.holds(&RULE));
        fixture.requirement.insulation = RequiredInsulation::Reinforced;
        assert!(!fixture.holds(&RULE));
    }

    #[test]
    fn too_low_a_test_voltage_is_refused() {
        let mut fixture = Fixture::regulated();
        fixture.requirement.test_voltage = Volts(4201.0);
        assert!(!fixture.holds(&RULE));
    }
}
