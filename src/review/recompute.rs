//! Every rail rebuilt from its recorded parts and solved at every vertex of its box; no number of the record is believed.
//!
//! Set-resistor, minimum-load and bleeder values are parts and taken as recorded. Knows no page.

use super::{
    dossier::{Finding, Weight},
    findings::code,
};
use crate::{
    catalog::Catalog,
    circuit::operate::{OperatingPoint, operate_nominal},
    policy::Policy,
    record::{RailRecord, Record, assemble_all, couple::host},
    requirement::{Rail, Requirement},
    stress::{
        assembly::Assembly,
        bench::{Asked, Bench},
        loss, registry,
        verdict::Verdict,
    },
};

/// What a review is made from.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// What is asked.
    pub requirement: &'a Requirement,
    /// SHA-256 of the requirements file.
    pub requirement_digest: &'a str,
    /// The record.
    pub record: &'a Record,
    /// What can be bought.
    pub catalog: &'a Catalog,
    /// What is allowed.
    pub policy: &'a Policy,
    /// Day of the review, `YYYY-MM-DD`, for last-order dates; without one each such part is a finding.
    pub today: Option<&'a str>,
}

/// One rail, solved and judged.
#[derive(Clone, Debug)]
pub struct RailReview<'a> {
    /// Its record.
    pub record: &'a RailRecord,
    /// Record of the rail on whose transformer it hangs, if any.
    pub host: Option<&'a RailRecord>,
    /// Its bench, solved at every vertex.
    pub bench: Bench<'a>,
    /// Everything nominal; `None` where that has no steady state.
    pub nominal: Option<OperatingPoint>,
    /// What the rules say.
    pub verdicts: Vec<Verdict>,
}

/// All rails, and what kept a rail from being solved.
#[derive(Clone, Debug, Default)]
pub struct Recomputed<'a> {
    /// Rails that could be solved, in the order of the requirement.
    pub rails: Vec<RailReview<'a>>,
    /// Why others could not.
    pub findings: Vec<Finding>,
    /// Rise of the air inside over the room, K.
    pub inside_rise_k: f64,
}

/// Rebuilds, solves and judges every rail.
pub fn recompute<'a>(inputs: Inputs<'a>) -> Recomputed<'a> {
    let mut findings = unmatched(inputs);
    let all_parts = assemble_all(inputs.record, inputs.requirement, inputs.catalog);
    let mut assembled: Vec<(&'a Rail, &'a RailRecord, Assembly<'a>)> = Vec::new();
    for rail in &inputs.requirement.rails {
        let known = inputs.record.rails.iter().zip(&all_parts).find(|(record, _)| record.rail == rail.name);
        let Some((record, parts)) = known else {
            findings.push(at_rail(code::RAIL_MISSING, &rail.name, "the record has no such rail".to_owned()));
            continue;
        };
        match parts {
            Ok(assembly) => assembled.push((rail, record, *assembly)),
            Err(all) => {
                findings.extend(all.iter().map(|one| at_rail(code::UNRESOLVED, &rail.name, one.to_string())));
            }
        }
    }
    let inside_rise_k = inside_rise(inputs, &assembled, &mut findings);
    let mut rails = Vec::with_capacity(assembled.len());
    for (rail, record, assembly) in assembled {
        let asked = Asked { requirement: inputs.requirement, rail, policy: inputs.policy, inside_rise_k };
        match Bench::build_whole(asked, assembly) {
            Ok(bench) => {
                let verdicts = registry::judge(&bench);
                let nominal = operate_nominal(&bench.supply).ok();
                let host = host(inputs.record, record);
                rails.push(RailReview { record, host, bench, nominal, verdicts });
            }
            Err(refusal) => {
                findings.push(at_rail(code::UNSOLVED, &rail.name, refusal.to_string()));
            }
        }
    }
    Recomputed { rails, findings, inside_rise_k }
}

/// Rails of the record that nobody asked for.
fn unmatched(inputs: Inputs<'_>) -> Vec<Finding> {
    inputs
        .record
        .rails
        .iter()
        .filter(|record| !inputs.requirement.rails.iter().any(|rail| rail.name == record.rail))
        .map(|record| {
            at_rail(code::RAIL_UNKNOWN, &record.rail, "the requirement has no such rail".to_owned())
        })
        .collect()
}

fn at_rail(code: &str, rail: &str, text: String) -> Finding {
    Finding {
        weight: Weight::Finding,
        code: code.to_owned(),
        rail: rail.to_owned(),
        position: String::new(),
        text,
    }
}

/// Rise of the air inside: as stated, or at its fixed point; a rise that does not come to rest is found.
fn inside_rise(
    inputs: Inputs<'_>,
    assembled: &[(&Rail, &RailRecord, Assembly<'_>)],
    findings: &mut Vec<Finding>,
) -> f64 {
    let rails: Vec<(&Rail, Assembly<'_>)> =
        assembled.iter().map(|&(rail, _, assembly)| (rail, assembly)).collect();
    let (rise_k, rests) = loss::inside_rise(inputs.requirement, inputs.policy, &rails);
    if !rests {
        findings.push(at_rail(
            code::UNSOLVED,
            "",
            "the air inside does not come to rest: loss and temperature drive each other up".to_owned(),
        ));
    }
    rise_k
}

impl Recomputed<'_> {
    /// Rise of the air inside, K, with one rail asked or built otherwise and the others as they are; `None` where it does not
    /// come to rest.
    pub(super) fn rise_with(
        &self,
        requirement: &Requirement,
        own: &str,
        rail: &Rail,
        assembly: &Assembly<'_>,
    ) -> Option<f64> {
        let policy = self.rails.first()?.bench.asked.policy;
        let rails: Vec<(&Rail, Assembly<'_>)> = self
            .rails
            .iter()
            .map(|one| {
                if one.record.rail == own {
                    (rail, *assembly)
                } else {
                    (one.bench.asked.rail, one.bench.assembly)
                }
            })
            .collect();
        let (rise_k, rests) = loss::inside_rise(requirement, policy, &rails);
        rests.then_some(rise_k)
    }
}
