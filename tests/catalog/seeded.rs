//! The demo catalog agrees with itself, and each check notices a wrong figure planted in it.

use railwright::{
    catalog::{Catalog, consistency, family::transformer::ShortCircuitClass},
    quantity::{Amps, Celsius, Farads, Kelvins, KelvinsPerWatt, Kilograms, Metres, Ratio, Volts, Watts},
};

use super::demo;

#[test]
fn the_ratings_of_the_demo_catalog_agree_with_one_another() {
    let findings = consistency(&demo());
    assert!(findings.is_empty(), "{findings:#?}");
}

/// Plants a wrong figure and expects the named check to find it.
fn planted(check: &str, plant: impl FnOnce(&mut Catalog)) {
    let mut catalog = demo();
    plant(&mut catalog);
    let findings = consistency(&catalog);
    assert!(findings.iter().any(|finding| finding.check == check), "{check} finds nothing: {findings:#?}");
}

/// A transformer that states everything.
fn full(catalog: &mut Catalog) -> &mut railwright::catalog::Transformer {
    catalog
        .transformers
        .iter_mut()
        .find(|part| {
            part.inrush.is_some() && part.primaries[0].resistance_hot.is_some() && part.rating.0 > 100.0
        })
        .expect("one that states everything")
}

#[test]
fn wrong_ratings_of_a_transformer_are_found() {
    planted("transformer-rating", |c| full(c).secondaries[0].current = Amps(99.0));
    planted("transformer-spread", |c| full(c).secondaries[0].regulation = Ratio(0.4));
    planted("transformer-resistance", |c| {
        let part = full(c);
        part.secondaries
            .iter_mut()
            .for_each(|one| one.resistance_hot = one.resistance_hot.map(|ohms| ohms * 1.2));
    });
    planted("transformer-rise", |c| full(c).iron_loss = Watts(200.0));
    planted("transformer-rise", |c| full(c).rated_rise = Kelvins(12.0));
    planted("transformer-class", |c| full(c).rated_rise = Kelvins(105.0));
    planted("transformer-cut-out", |c| full(c).cut_out = Some(Celsius(70.0)));
    planted("transformer-no-load", |c| full(c).no_load_current = Amps(1e-4));
    planted("transformer-no-load-high", |c| {
        let part = full(c);
        part.no_load_current_high = part.no_load_current;
    });
    planted("transformer-inrush", |c| {
        let part = full(c);
        part.inrush = part.inrush.map(|mut inrush| {
            inrush.peak = inrush.peak * 3.0;
            inrush
        });
    });
    planted("transformer-density", |c| full(c).common.mass = Some(Kilograms(100.0)));
    planted("transformer-regulation-falls", |c| {
        let part = c
            .transformers
            .iter_mut()
            .filter(|part| part.secondaries.len() == 2)
            .max_by(|a, b| a.rating.0.total_cmp(&b.rating.0));
        part.unwrap().secondaries.iter_mut().for_each(|one| one.regulation = Ratio(0.049));
    });
    planted("transformer-proof", |c| {
        let proof = |part: &&mut railwright::catalog::Transformer| part.rating.0 > 100.0;
        c.transformers.iter_mut().find(proof).unwrap().short_circuit = ShortCircuitClass::InherentlyProof;
    });
}

#[test]
fn wrong_ratings_of_a_rectifier_are_found() {
    planted("rectifier-i2t", |c| {
        c.bridges.iter_mut().for_each(|part| part.element.surge = part.element.surge * 1.1);
    });
    planted("rectifier-reverse-surge", |c| c.bridges[0].element.reverse_surge = Some(Volts(5.0)));
    planted("rectifier-forward", |c| c.diodes[0].element.forward[0].voltage = Volts(5.0));
    planted("rectifier-forward-heat", |c| {
        let forward = &mut c.diodes[0].element.forward;
        forward
            .iter_mut()
            .filter(|point| point.junction.0 > 60.0)
            .for_each(|point| point.voltage = point.voltage * 2.0);
    });
    planted("rectifier-rms", |c| c.bridges[0].element.rms_max = Some(c.bridges[0].output.rated * 0.3));
    planted("rectifier-curve", |c| c.bridges[0].output.zero_at = Celsius(200.0));
    planted("rectifier-heat", |c| {
        c.bridges.iter_mut().for_each(|part| part.thermal.junction_case = Some(KelvinsPerWatt(9.0)));
    });
    planted("rectifier-thermal", |c| {
        c.bridges.iter_mut().for_each(|part| part.thermal.junction_air = Some(KelvinsPerWatt(0.01)));
    });
}

#[test]
fn wrong_ratings_of_an_electrolytic_are_found() {
    planted("electrolytic-ripple", |c| c.electrolytics[40].ripple = c.electrolytics[40].ripple * 4.0);
    planted("electrolytic-ripple-grows", |c| {
        c.electrolytics.iter_mut().filter(|part| part.capacitance.0 > 3e-3).for_each(|part| {
            part.ripple = part.ripple * 0.3;
        });
    });
    planted("electrolytic-esr-falls", |c| {
        c.electrolytics
            .iter_mut()
            .filter(|part| part.capacitance.0 > 3e-3)
            .for_each(|part| part.esr = part.esr * 5.0);
    });
    planted("electrolytic-loss-factor", |c| c.electrolytics[0].esr = c.electrolytics[0].esr * 50.0);
    planted("electrolytic-volume", |c| c.electrolytics[0].capacitance = Farads(0.5));
    planted("electrolytic-surge", |c| c.electrolytics[0].surge = Some(Volts(1.0)));
    planted("electrolytic-density", |c| c.electrolytics[0].common.mass = Some(Kilograms(3.0)));
    planted("electrolytic-can", |c| c.electrolytics[0].diameter = Metres(0.4));
}

#[test]
fn wrong_ratings_of_a_regulator_are_found() {
    planted("regulator-drop-out", |c| c.regulators[0].drop_out.retain(|point| point.current.0 < 0.09));
    planted("regulator-drop-out", |c| {
        for part in &mut c.regulators {
            part.output_current = part.output_current * 1.01;
        }
    });
    planted("regulator-limit", |c| c.regulators[0].limit_min = Amps(0.001));
    planted("regulator-ground", |c| c.regulators[0].ground_current_max = Amps(1.9));
    planted("regulator-minimum-load", |c| {
        c.regulators[0].minimum_load_typ = Some(Amps(0.02));
        c.regulators[0].minimum_load_max = Some(Amps(0.01));
    });
    planted("regulator-foldback", |c| {
        for part in c.regulators.iter_mut().filter(|part| !part.foldback.is_empty()) {
            part.input_max = part.input_max.map(|_| Volts(20.0));
        }
    });
    planted("regulator-input", |c| {
        c.regulators.iter_mut().for_each(|part| part.input_max = part.input_max.map(|_| Volts(4.0)));
    });
    planted("regulator-differential", |c| {
        c.regulators
            .iter_mut()
            .for_each(|part| part.differential_max = part.differential_max.map(|_| Volts(1.0)));
    });
    planted("regulator-output", |c| {
        for part in &mut c.regulators {
            if let railwright::catalog::family::regulator::Setting::Adjustable { output_max, .. } =
                &mut part.setting
            {
                *output_max = Volts(0.5);
            }
        }
    });
    planted("regulator-thermal", |c| c.regulators[0].junction_air = Some(KelvinsPerWatt(0.1)));
}

#[test]
fn wrong_ratings_of_the_other_families_are_found() {
    planted("sink-volume", |c| c.sinks[0].resistance = c.sinks[0].resistance * 0.1);
    planted("sink-density", |c| c.sinks[0].common.mass = Some(Kilograms(90.0)));
    planted("sink-power", |c| c.sinks[0].power_max = Some(Watts(1e4)));
    planted("pad-faces", |c| {
        for part in &mut c.pads {
            part.resistance.insert("TO-3".to_owned(), KelvinsPerWatt(9.0));
        }
    });
    planted("fuse-gate", |c| c.fuses[3].melting_i2t = c.fuses[3].melting_i2t * 100.0);
    planted("fuse-melting-grows", |c| c.fuses[3].melting_i2t = c.fuses[3].melting_i2t * 1e-6);
    planted("fuse-resistance-falls", |c| {
        c.fuses.iter_mut().filter(|part| part.rated.0 > 1.0).for_each(|part| {
            part.cold_resistance = part.cold_resistance.map(|ohms| ohms * 1e3);
        });
    });
    planted("fuse-breaking", |c| c.fuses.iter_mut().for_each(|part| part.breaking = Amps(20.0)));
    planted("limiter-heats", |c| c.limiters[0].hot = c.limiters[0].cold);
    planted("limiter-energy", |c| {
        for part in &mut c.limiters {
            part.energy_max = part.energy_max.map(|energy| energy * 2.0);
        }
    });
    planted("resistor-voltage", |c| {
        c.resistors.iter_mut().for_each(|part| part.voltage_max = part.voltage_max * 10.0);
    });
    planted("offer-prices-fall", |c| c.fuses[0].common.offers[0].breaks.reverse());
    planted("offer-sells", |c| c.fuses[0].common.offers[0].pack = 0);
}
