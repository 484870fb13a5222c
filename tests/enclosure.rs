//! An enclosure stated by its thermal resistance: the air inside is as warm as the design's own loss makes it.

use railwright::{
    flow::{Answer, Asked, design},
    quantity::Kelvins,
    record::{Record, assemble},
    requirement::{Enclosure, Requirement},
    stress::loss,
};

use crate::support::world;

/// 5 V at 0.5 A behind a linear regulator in a closed box.
fn asked(kelvins_per_watt: f64, ambient_max: f64) -> Requirement {
    world::asked(&format!(
        "
name: closed box
description: a small regulator in a box without vents
mains: {{ voltage: 230 V, frequency: 50 Hz }}
ambient: {{ max: {ambient_max} °C, enclosure_resistance: {kelvins_per_watt} K/W }}
rails:
  - name: logic
    voltage: 5 V
    current: 500 mA
    ripple_pp: 5 mV
"
    ))
}

fn designed(requirement: &Requirement) -> Option<Record> {
    let (catalog, policy) = (world::demo(), world::policy(&requirement.policy));
    let asked = Asked { requirement, requirement_digest: "", catalog: &catalog, policy: &policy };
    match design(asked) {
        Answer::Designed { record, .. } => Some(*record),
        Answer::Infeasible(_) => None,
    }
}

/// Rise of the air inside that a record's loss brings about, K.
fn rise_k(requirement: &Requirement, record: &Record) -> f64 {
    let (catalog, policy) = (world::demo(), world::policy(&requirement.policy));
    let assembly = assemble(&record.rails[0], &catalog).expect("parts of the catalog");
    let (rise_k, rests) = loss::inside_rise(requirement, &policy, &[(&requirement.rails[0], assembly)]);
    assert!(rests);
    rise_k
}

fn with_rise(requirement: &Requirement, kelvins: f64) -> Requirement {
    let mut stated = requirement.clone();
    stated.ambient.enclosure = Enclosure::Rise(Kelvins(kelvins));
    stated
}

/// Second method: the rise is R times the loss at its worst, and a stated rise just above it leads to the same parts.
#[test]
fn a_design_rests_at_the_rise_its_own_loss_brings_about() {
    let requirement = asked(2.0, 40.0);
    let record = designed(&requirement).expect("a design");
    let rise_k = rise_k(&requirement, &record);
    // A 5 V rail behind a linear regulator loses more than it delivers: 2 K/W at 2.5 W would be 5 K.
    assert!(rise_k > 5.0 && rise_k < 30.0, "{rise_k} K");
    let stated = designed(&with_rise(&requirement, rise_k * 1.005)).expect("a design");
    assert_eq!(record.rails, stated.rails);
}
