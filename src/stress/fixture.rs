//! Parts, a requirement and a policy made by hand, for the tests of the rules.
//!
//! A test changes a field and asks for the bench anew. Round figures, so that stresses can be computed by hand.

mod parts;
mod rail;
mod stage;

use std::collections::BTreeMap;

use super::{
    assembly::{
        Assembly, Cooling, Pass, RectifierPart, Regulation, Reservoir, ResistorChoice, Section, Wiring,
    },
    bench::{Asked, Bench},
    convert::supply_of,
    registry::Rule,
    stage::{Auxiliary, Output, load_span},
    verdict::{Stress, Verdict},
};
use crate::{
    catalog::{
        BridgePart, Choke, Common, CutOut, DiodePart, Electrolytic, Fuse, HeatSink, InrushLimiter,
        InterfacePad, PartId, Regulator, ResistorSeries, SmallCapacitor, Transformer, Transistor,
        part::Lifecycle,
    },
    circuit::{
        corner::Vertex,
        spec::Topology,
        supply::{Drawn, Supply},
    },
    policy::{Known, Limit, LimitKind, Policy},
    quantity::{Celsius, Metres},
    requirement::Requirement,
};

/// Everything on the bench, owned; `None` and `false` where the rail goes without.
#[expect(clippy::struct_excessive_bools, reason = "what a rail may go without is there or not")]
pub(crate) struct Fixture {
    pub(crate) requirement: Requirement,
    pub(crate) policy: Policy,
    pub(crate) inside_rise_k: f64,
    pub(crate) transformer: Transformer,
    pub(crate) wiring: Wiring,
    pub(crate) topology: Topology,
    pub(crate) bridge: BridgePart,
    pub(crate) diode: DiodePart,
    pub(crate) rectifier_cooled: bool,
    pub(crate) choke: Option<Choke>,
    /// Resistor of a CRC section with a second bank like the first.
    pub(crate) crc: Option<f64>,
    pub(crate) capacitor: Electrolytic,
    pub(crate) count: u32,
    pub(crate) bleeder: Option<f64>,
    pub(crate) regulator: Option<Regulator>,
    pub(crate) regulator_cooled: bool,
    pub(crate) set: Option<(f64, f64)>,
    pub(crate) minimum_load: Option<f64>,
    /// Pass transistors: how many, ballast and drive resistor.
    pub(crate) pass: Option<(u32, f64, f64)>,
    pub(crate) transistor: Transistor,
    pub(crate) small: SmallCapacitor,
    pub(crate) reverse_diode: bool,
    pub(crate) clamp_diode: bool,
    pub(crate) sink: HeatSink,
    pub(crate) pad: InterfacePad,
    pub(crate) resistors: ResistorSeries,
    pub(crate) fuse: Option<Fuse>,
    pub(crate) limiter: Option<InrushLimiter>,
    pub(crate) cut_out: Option<CutOut>,
    pub(crate) secondary_fuse: Option<Fuse>,
    /// Output of the regulator stage; taken where there is a regulator.
    pub(crate) output: Output,
    pub(crate) auxiliary: Auxiliary,
}

impl Fixture {
    /// The rail's parts.
    pub(crate) fn assembly(&self) -> Assembly<'_> {
        let cooling = Cooling { sink: &self.sink, pad: &self.pad };
        let choice =
            |ohms: f64| ResistorChoice { series: &self.resistors, value: crate::quantity::Ohms(ohms) };
        let reservoir = Reservoir { part: &self.capacitor, count: self.count };
        Assembly {
            transformer: &self.transformer,
            primary: 0,
            wiring: self.wiring,
            topology: self.topology,
            rectifier: if self.topology == Topology::Bridge {
                RectifierPart::Bridge(&self.bridge)
            } else {
                RectifierPart::Diodes(&self.diode)
            },
            rectifier_cooling: self.rectifier_cooled.then_some(cooling),
            reservoir,
            section: match (&self.choke, self.crc) {
                (Some(choke), _) => Some(Section::ChokeInput(choke)),
                (None, Some(ohms)) => Some(Section::Crc(choice(ohms), reservoir)),
                (None, None) => None,
            },
            bleeder: self.bleeder.map(choice),
            regulation: self.regulator.as_ref().map(|part| Regulation {
                part,
                cooling: self.regulator_cooled.then_some(cooling),
                set: self.set.map(|(upper, lower)| (choice(upper), choice(lower))),
                minimum_load: self.minimum_load.map(choice),
                input: Some(&self.small),
                output: Some(&self.small),
                reverse_diode: self.reverse_diode.then_some(&self.diode),
                clamp_diode: self.clamp_diode.then_some(&self.diode),
                pass: self.pass.map(|(count, ballast, drive)| Pass {
                    part: &self.transistor,
                    count,
                    ballast: choice(ballast),
                    drive: choice(drive),
                    limiter: &self.transistor,
                }),
            }),
            primary_fuse: self.fuse.as_ref(),
            limiter: self.limiter.as_ref(),
            secondary_fuse: self.secondary_fuse.as_ref(),
            cut_out: self.cut_out.as_ref(),
            mates: crate::numeric::few::Few::NONE,
        }
    }

    /// What is asked and allowed.
    pub(crate) fn asked(&self) -> Asked<'_> {
        Asked {
            requirement: &self.requirement,
            rail: &self.requirement.rails[0],
            policy: &self.policy,
            inside_rise_k: self.inside_rise_k,
        }
    }

    /// The rail as plain numbers.
    pub(crate) fn supply(&self) -> Supply {
        let rail = &self.requirement.rails[0];
        let greatest = rail.current_max.0 + self.auxiliary.total_a();
        let load = if rail.peak.is_some() {
            load_span(self.asked(), &self.auxiliary)
        } else {
            Drawn { low: rail.current_min.0, ..Drawn::steady(greatest) }
        };
        supply_of(self.asked(), &self.assembly(), load).unwrap()
    }

    /// The rail solved at every vertex of its box.
    pub(crate) fn bench(&self) -> Bench<'_> {
        let supply = self.supply();
        let leakage = supply.source.leakage_h > 0.0;
        let output = self.regulator.as_ref().map(|_| self.output);
        let vertices = Vertex::all(leakage, false);
        Bench::solve(self.asked(), self.assembly(), supply, output, self.auxiliary, vertices).unwrap()
    }

    /// What a rule says of the rail.
    pub(crate) fn judged(&self, rule: &Rule) -> Vec<Verdict> {
        let mut verdicts = Vec::new();
        (rule.judge)(&self.bench(), &mut verdicts);
        assert!(!verdicts.is_empty(), "a rule says at least one thing");
        assert!(verdicts.iter().all(|verdict| verdict.code() == rule.page.code));
        verdicts
    }

    /// The one stress a rule finds.
    pub(crate) fn stress(&self, rule: &Rule) -> Stress {
        let verdicts = self.judged(rule);
        match verdicts.as_slice() {
            [Verdict::Stress(stress)] => stress.clone(),
            other => panic!("not one stress: {other:?}"),
        }
    }

    /// Whether all that a rule says holds.
    pub(crate) fn holds(&self, rule: &Rule) -> bool {
        self.judged(rule).iter().all(Verdict::holds)
    }

    /// Whether a rule misses a rating, and nothing else.
    pub(crate) fn misses(&self, rule: &Rule) -> bool {
        matches!(self.judged(rule).as_slice(), [Verdict::MissingRating { .. }])
    }

    /// Whether a rule has nothing to judge.
    pub(crate) fn idle(&self, rule: &Rule) -> bool {
        matches!(self.judged(rule).as_slice(), [Verdict::NotApplicable { .. }])
    }

    /// Sets a limit of the policy.
    pub(crate) fn limit(&mut self, code: &str, kind: LimitKind) {
        let limit = Limit {
            kind,
            condition: String::new(),
            clause: "house 1".to_owned(),
            known: Known::CommonPractice,
        };
        self.policy.limits.insert(code.to_owned(), limit);
    }
}

/// What every part has, with an id and a package.
pub(crate) fn common(id: &str, package: &str) -> Common {
    Common {
        id: PartId(id.to_owned()),
        maker: "Hollin Test Parts".to_owned(),
        package: package.to_owned(),
        lifecycle: Lifecycle::Active,
        approvals: Vec::new(),
        mass: None,
        envelope: [Metres(0.02), Metres(0.02), Metres(0.02)],
        temperature_min: Celsius(-25.0),
        temperature_max: Celsius(150.0),
        offers: Vec::new(),
    }
}

/// A policy without limits, with parameters that change nothing.
pub(crate) fn plain_policy() -> Policy {
    Policy {
        id: "plain".to_owned(),
        title: "Ratings as they are".to_owned(),
        source: "test".to_owned(),
        note: String::new(),
        limits: BTreeMap::new(),
        parameters: crate::policy::Parameters {
            transient_factor: 1.5,
            discharge_voltage: crate::quantity::Volts(10.0),
            discharge_time: crate::quantity::Seconds(60.0),
            fuse_pulse_factor: 1.0,
            typical_rejection_allowance_db: 6.0,
            end_capacitance_loss: crate::quantity::Ratio(0.2),
            end_esr_factor: 2.0,
            parallel_imbalance: 1.1,
            diode_drop_low_factor: 0.8,
            esr_low_factor: 0.5,
            touch_temperature: Celsius(60.0),
            fault_time: crate::quantity::Seconds(60.0),
        },
        digest: String::new(),
    }
}
