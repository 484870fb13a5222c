//! Laws of a second section before a regulator, on parts of the demo catalog.

use approx::assert_relative_eq;
use railwright::catalog::{Catalog, Common};
use railwright::circuit::spec::Topology;
use railwright::physics::choke::clc_crests;
use railwright::policy::Policy;
use railwright::quantity::{Farads, Henries, Ohms, Volts};
use railwright::requirement::Requirement;
use railwright::selection::choose::Inputs;
use railwright::selection::vertices::DISSIPATION;
use railwright::stress::assembly::{
    Assembly, Cooling, RectifierPart, Regulation, Reservoir, ResistorChoice, Section, Wiring,
};
use railwright::stress::bench::Bench;
use railwright::stress::overload::{shorted_second_w, shorted_section_w};
use railwright::stress::registry::judge;
use railwright::stress::regulator_point::RegulatorStage;
use railwright::stress::verdict::{Stress, Verdict};

use crate::support::world;

const ASKED: &str = include_str!("../designs/oral-history/requirements.yaml");

/// What stands between the banks.
#[derive(Clone, Copy)]
enum Between {
    Nothing,
    Ohms(f64),
    Choke(&'static str),
}

struct World {
    requirement: Requirement,
    catalog: Catalog,
    policy: Policy,
}

fn by_id<'a, T>(list: &'a [T], id: &str, common: fn(&T) -> &Common) -> &'a T {
    list.iter().find(|one| common(one).id.0 == id).expect("in the demo catalog")
}

impl World {
    fn new() -> Self {
        Self { requirement: world::asked(ASKED), catalog: world::demo(), policy: world::policy("house") }
    }

    /// 12 V from 15 V through a bridge, 2200 µF, and as much again behind what stands between; no bleeder.
    fn bench(&self, between: Between) -> Bench<'_> {
        let catalog = &self.catalog;
        let bank =
            Reservoir { part: by_id(&catalog.electrolytics, "TG50-2200", |one| &one.common), count: 1 };
        let small = |id| Some(by_id(&catalog.small_capacitors, id, |one| &one.common));
        let series = by_id(&catalog.resistors, "GMO2", |one| &one.common);
        let assembly = Assembly {
            transformer: by_id(&catalog.transformers, "PB16-15", |one| &one.common),
            primary: 0,
            wiring: Wiring::Single,
            topology: Topology::Bridge,
            rectifier: RectifierPart::Bridge(by_id(&catalog.bridges, "DM05-600", |one| &one.common)),
            rectifier_cooling: None,
            reservoir: bank,
            section: match between {
                Between::Nothing => None,
                Between::Ohms(ohms) => Some(Section::Crc(ResistorChoice { series, value: Ohms(ohms) }, bank)),
                Between::Choke(id) => Some(Section::Clc(by_id(&catalog.chokes, id, |one| &one.common), bank)),
            },
            bleeder: None,
            regulation: Some(Regulation {
                part: by_id(&catalog.regulators, "TL30-12V0", |one| &one.common),
                cooling: Some(Cooling {
                    sink: by_id(&catalog.sinks, "WB9R2", |one| &one.common),
                    pad: by_id(&catalog.pads, "WG-50", |one| &one.common),
                }),
                set: None,
                minimum_load: None,
                input: small("XR0R47-50"),
                output: small("ML68-35"),
                reverse_diode: None,
                clamp_diode: None,
                pass: None,
            }),
            primary_fuse: None,
            limiter: None,
            secondary_fuse: None,
            cut_out: None,
            mates: railwright::numeric::few::Few::NONE,
        };
        let (requirement, policy) = (&self.requirement, &self.policy);
        let asked = Inputs { requirement, catalog, policy }.asked(0).expect("one rail");
        Bench::build(asked, assembly, std::iter::once(DISSIPATION)).expect("it can be solved")
    }
}

fn stress(bench: &Bench<'_>, code: &str) -> Stress {
    let found = judge(bench).into_iter().find_map(|verdict| match verdict {
        Verdict::Stress(stress) if stress.code == code => Some(stress),
        _ => None,
    });
    found.expect("judged by a number")
}

/// Law: what a resistor takes the regulator no longer does, to the milliwatt of what ripples into the second bank: heat of both is
/// the first bank's mean less the output times the current, the regulator's own current at its input apart. More of it moves more.
#[test]
fn a_resistor_takes_heat_out_of_the_regulator_and_adds_none() {
    let world = World::new();
    let plain = world.bench(Between::Nothing);
    let heat_w = |bench: &Bench<'_>| {
        let stage = RegulatorStage::of(bench).expect("regulated").expect("its drop-out is a table");
        stage.dissipation_w(&bench.points[0])
    };
    let mut last_w = heat_w(&plain);
    for ohms in [4.7, 10.0, 18.0] {
        let bench = world.bench(Between::Ohms(ohms));
        let point = &bench.points[0];
        let output_v = bench.output.expect("regulated").low_v;
        let first_v = point.state.figures().output.reservoir_mean_v.expect("a bank before the section");
        let through_a = point.load_a - bench.auxiliary.ground_a;
        let both_w = first_v * point.load_a - output_v * through_a;
        let ripple_a = point.section.and_then(|one| one.second_rms_a).expect("a second bank");
        let rippled_w = point.section.expect("a section").ohm * ripple_a * ripple_a;
        assert_relative_eq!(heat_w(&bench) + point.section_w(), both_w + rippled_w, max_relative = 1e-9);
        assert!(heat_w(&bench) < last_w - 0.05, "{} W behind {ohms} Ω, {last_w} W before", heat_w(&bench));
        last_w = heat_w(&bench);
    }
}

/// By hand: a regulator of at most 6 A starves behind 22 Ω, so its short is that of the second bank: no more than the no-load peak
/// over the least resistance, no less than the rated 15 V, since the winding carries less than its rated current. With a limit of
/// 0.3 A it is 0.3 A and what the regulator draws itself, squared, in the greatest resistance.
#[test]
fn a_shorted_output_draws_the_regulators_limit_or_what_the_section_lets_through() {
    let mut world = World::new();
    let of = |world: &World, ohms: f64| {
        let bench = world.bench(Between::Ohms(ohms));
        let both =
            [shorted_section_w(&bench), shorted_second_w(&bench)].map(|watts| watts.expect("a section"));
        (both, bench.no_load_peak_v(), bench.auxiliary.ground_a)
    };
    let ([output_w, second_w], peak_v, ground_a) = of(&world, 22.0);
    assert_relative_eq!(output_w, second_w, max_relative = 1e-12);
    let least_ohm = 22.0 * 0.94;
    assert!(output_w < peak_v * peak_v / least_ohm && output_w > 15.0 * 15.0 / 22.0, "{output_w} W");
    let part =
        world.catalog.regulators.iter_mut().find(|one| one.common.id.0 == "TL30-12V0").expect("listed");
    part.limit_max.0 = 0.3;
    let ([output_w, again_w], ..) = of(&world, 22.0);
    assert_relative_eq!(again_w, second_w, max_relative = 1e-12);
    let amps = 0.3 + ground_a;
    // 5 % and some hundred millionths a kelvin.
    assert!(output_w > amps * amps * 22.0 * 1.05 && output_w < amps * amps * 22.0 * 1.08, "{output_w} W");
    assert!(output_w < second_w);
}

/// Second method: the law of the ringing banks, its own test in `section.rs`, with the ends of the parts as the catalog states them.
/// A resistor does not ring: the input rises to the no-load peak.
#[test]
fn behind_a_choke_the_regulators_input_rises_above_the_peak() {
    let world = World::new();
    let smoothed = world.bench(Between::Ohms(10.0));
    let peak_v = smoothed.no_load_peak_v();
    assert_relative_eq!(stress(&smoothed, "regulator-input-voltage").applied, peak_v, max_relative = 1e-12);
    let bench = world.bench(Between::Choke("BL30-1"));
    let choke = by_id(&world.catalog.chokes, "BL30-1", |one| &one.common);
    let part = by_id(&world.catalog.electrolytics, "TG50-2200", |one| &one.common);
    let cold = 1.0 - 0.00393 * (20.0 - world.requirement.ambient.min.0);
    let supply = &bench.supply;
    let first = supply.bank.farad.low * supply.bank.farad_cold_ratio.min(1.0);
    let second = part.capacitance.0 * (1.0 + part.tolerance_plus.0);
    let henry = choke.inductance.0 * choke.swing.0 * (1.0 + choke.tolerance.0);
    let ohm = choke.resistance.0 * cold + supply.bank.esr_ohm.low;
    let [_, crest] = clc_crests(Volts(peak_v), (Henries(henry), Ohms(ohm)), (Farads(first), Farads(second)));
    let applied = stress(&bench, "regulator-input-voltage").applied;
    assert_relative_eq!(applied, crest.0, max_relative = 1e-9);
    assert!(applied > 1.05 * peak_v && applied < 2.0 * peak_v, "{applied} V, peak {peak_v} V");
    assert_relative_eq!(stress(&bench, "regulator-input-capacitor").applied, crest.0, max_relative = 1e-9);
}
