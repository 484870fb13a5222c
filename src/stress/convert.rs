//! From parts to plain numbers: what the circuit needs of an assembly.
//!
//! Chooses nothing and judges nothing. A part that lacks a rating the circuit needs cannot be converted.

use crate::{
    catalog::{
        Choke, Transformer,
        family::rectifier::ForwardPoint,
        family::transformer::{Primary, Secondary},
    },
    circuit,
    circuit::{
        spec::Topology,
        supply::{Air, Bank, ChokeNumbers, Drawn, HeatPath, Rectifier, Source, Span, Supply},
    },
    numeric::few::{Few, MOST},
    physics::{
        copper,
        diode::{Line, WarmLine},
        domain::DomainError,
        heat,
        transformer::resistance::{PRIMARY_SHARE_ASSUMED, RatedSecondary, from_regulation, referred},
    },
    quantity::{Celsius, Ohms, Ratio, Volts},
    requirement::Requirement,
};

use super::{
    assembly::{Assembly, Cooling, RectifierPart, Reservoir, Section, Wiring},
    bench::Asked,
    position::Position,
    resistor,
    seat::seated,
};

/// Junction temperatures up to this count as the cold end of a forward characteristic, °C.
const COLD_JUNCTION_MAX_C: f64 = 60.0;

/// Why parts cannot become numbers.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unbuildable {
    /// The part does not state what is needed.
    #[error("the {} states no {rating}", position.words())]
    Missing {
        /// Where.
        position: Position,
        /// Which rating.
        rating: &'static str,
    },
    /// The parts do not fit each other.
    #[error("the {} does not fit: {why}", position.words())]
    Misfit {
        /// Where.
        position: Position,
        /// Why.
        why: &'static str,
    },
    /// A law refuses a value.
    #[error("the {}: {error}", position.words())]
    Law {
        /// Where.
        position: Position,
        /// What the law says.
        error: DomainError,
    },
}

/// Own resistance of one secondary and the primary's, both at rated temperature, Ω; and the primary's referred to one
/// secondary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindingResistances {
    /// Own resistance of one secondary.
    pub secondary: Ohms,
    /// The primary's referred to one secondary.
    pub referred: Ohms,
}

/// Resistances of a transformer in one primary connection, seen from the secondary at `place`: as stated, or from regulation
/// with the stated assumption.
pub fn winding_resistances(
    part: &Transformer,
    primary: &Primary,
    place: usize,
) -> Result<WindingResistances, Unbuildable> {
    let law = |error| Unbuildable::Law { position: Position::Transformer, error };
    let one = part
        .secondaries
        .get(place)
        .ok_or(Unbuildable::Missing { position: Position::Transformer, rating: "secondary" })?;
    let open = open_v(one);
    if let (Some(own), Some(of_primary)) = (one.resistance_hot, primary.resistance_hot) {
        return Ok(WindingResistances {
            secondary: own,
            referred: referred(of_primary, open, primary.rated),
        });
    }
    let rated: Vec<RatedSecondary> = part
        .secondaries
        .iter()
        .map(|winding| RatedSecondary {
            voltage: winding.rated,
            current: winding.current,
            k: Ratio(1.0 + winding.regulation.0),
        })
        .collect();
    let derived = from_regulation(primary.rated, &rated, PRIMARY_SHARE_ASSUMED).map_err(law)?;
    let own = derived.secondaries.get(place).copied().unwrap_or(Ohms(0.0));
    Ok(WindingResistances { secondary: own, referred: referred(derived.primary, open, primary.rated) })
}

/// Open-circuit voltage of a secondary at the rated voltage of its primary.
fn open_v(winding: &Secondary) -> Volts {
    winding.rated * (1.0 + winding.regulation.0)
}

/// Refuses a wiring that the windings of a part do not make.
fn wired(assembly: &Assembly<'_>) -> Result<(), Unbuildable> {
    let misfit = |why| Err(Unbuildable::Misfit { position: Position::Transformer, why });
    let part = assembly.transformer;
    let one_of_several = matches!(assembly.wiring, Wiring::First | Wiring::Second | Wiring::Third);
    if !assembly.is_alone() {
        let all = assembly.mates.iter().map(|mate| mate.wiring).chain([assembly.wiring]);
        return match (part.secondaries.len() == assembly.mates.len() + 1, seated(part, all)) {
            (false, _) => misfit("the wiring needs another number of secondaries"),
            (true, true) => Ok(()),
            (true, false) if part.has_equal_windings() && one_of_several && part.secondaries.len() == 2 => {
                misfit("its two windings are alike: neither is the first or the second")
            }
            (true, false) => misfit(
                "its windings are unlike: each feeds a rail by itself, as the first, the second or the third; only two alike \
                 at the head of the list make a tap",
            ),
        };
    }
    if one_of_several {
        return misfit("one of several unlike windings feeds a rail only beside other rails");
    }
    if part.secondaries.len() != if assembly.wiring == Wiring::Single { 1 } else { 2 } {
        return misfit("the wiring needs another number of secondaries");
    }
    if !part.has_equal_windings() {
        return misfit(
            "its two windings are unlike: each feeds a rail by itself, as the first or the second winding",
        );
    }
    Ok(())
}

/// Refuses a second section where none can stand: behind a doubler, on a shared transformer, before pass transistors; a choke
/// input also behind a half-wave rectifier and before any regulator.
fn sectioned(assembly: &Assembly<'_>) -> Result<(), Unbuildable> {
    let Some(section) = assembly.section else { return Ok(()) };
    let misfit = |position, why| Err(Unbuildable::Misfit { position, why });
    let alone = assembly.is_alone();
    let full_wave = matches!(assembly.topology, Topology::Bridge | Topology::CentreTap);
    let regulation = assembly.regulation.as_ref();
    let position = match section {
        Section::ChokeInput(_) if regulation.is_some() => {
            return misfit(Position::SectionChoke, "a choke input feeds an unregulated rail");
        }
        Section::ChokeInput(_) if full_wave && alone => return Ok(()),
        Section::ChokeInput(_) => {
            let why = "a choke input follows a bridge or a tapped winding that feeds one rail alone";
            return misfit(Position::SectionChoke, why);
        }
        Section::Crc(..) => Position::SectionResistor,
        Section::Clc(..) => Position::SectionChoke,
    };
    if !(full_wave || assembly.topology == Topology::HalfWave) || !alone {
        return misfit(
            position,
            "a second section follows one winding that feeds one rail alone, no doubler",
        );
    }
    if regulation.is_some_and(|stage| stage.pass.is_some()) {
        return misfit(position, "pass transistors stand behind a reservoir alone, no second section");
    }
    Ok(())
}

/// The transformer as the rectifier sees it.
pub fn source_of(requirement: &Requirement, assembly: &Assembly<'_>) -> Result<Source, Unbuildable> {
    let part = assembly.transformer;
    let missing = |rating| Unbuildable::Missing { position: Position::Transformer, rating };
    let primary = part.primaries.get(assembly.primary).ok_or(missing("primary connection"))?;
    let first = part.primaries.first().ok_or(missing("primary connection"))?;
    let one = assembly.winding().ok_or(missing("secondary"))?;
    wired(assembly)?;
    sectioned(assembly)?;
    let place = assembly.wiring.place();
    let resistances = winding_resistances(part, primary, place)?;
    let rated_c = Celsius(part.rise_ambient.0 + part.rated_rise.0);
    let k = 1.0 + one.regulation.0;
    let open_one = Volts(one.rated.0 * k * (requirement.mains.voltage / primary.rated));
    // What the halves of a ± pair share is counted with the circuit of both.
    let wiring = match assembly.wiring {
        Wiring::Complementary => Wiring::CentreTap,
        other => other,
    };
    let secondary_20 = copper::resistance_20(wiring.resistance(resistances.secondary, Ohms(0.0)), rated_c);
    let primary_20 = copper::resistance_20(wiring.resistance(Ohms(0.0), resistances.referred), rated_c);
    let turns = wiring.emf(one.rated).0 * k / primary.rated.0;
    let leakage = one.leakage.map_or(0.0, |own| wiring.resistance(Ohms(own.0), Ohms(0.0)).0);
    // The catalog's no-load current stands for the first connection; ampere-turns are the same in the others.
    let connection = first.rated / primary.rated;
    let mut other_turns = [1.0; MOST];
    for (turns, mate) in other_turns.iter_mut().zip(assembly.mates) {
        let other = part.secondaries.get(mate.wiring.place()).unwrap_or(one);
        *turns = open_v(other) / open_v(one);
    }
    let copper_w = |winding: &Secondary| winding.regulation.0 * (winding.rated.0 * winding.current.0);
    Ok(Source {
        emf_rms_v: wiring.emf(open_one).0,
        emf_tolerance: one.tolerance.0,
        secondary_20_ohm: secondary_20.0,
        primary_20_ohm: primary_20.0,
        mains_ohm: requirement.mains.source_resistance.map_or(0.0, |ohms| ohms.0 * turns * turns),
        leakage_h: leakage,
        primary_per_path: turns,
        other_turns,
        copper_rated_w: part.secondaries.iter().map(copper_w).sum(),
        iron_rated_w: part.iron_loss.0,
        primary_rated_v: primary.rated.0,
        iron_frequency_hz: primary.frequency_min.0,
        rated_rise_k: part.rated_rise.0,
        no_load_a: part.no_load_current.0 * connection,
        no_load_high_a: part.no_load_current_high.0 * connection,
    })
}

/// Straight lines through the points at the low and at the high junction temperature.
fn warm_line(points: &[ForwardPoint]) -> Result<WarmLine, Unbuildable> {
    let law = |error| Unbuildable::Law { position: Position::Rectifier, error };
    let line = |cold: bool| {
        let chosen: Vec<&ForwardPoint> =
            points.iter().filter(|point| (point.junction.0 <= COLD_JUNCTION_MAX_C) == cold).collect();
        if chosen.len() < 2 {
            return Err(Unbuildable::Missing {
                position: Position::Rectifier,
                rating: if cold { "two forward points at 25 °C" } else { "two forward points hot" },
            });
        }
        let mean_c = chosen.iter().map(|point| point.junction.0).sum::<f64>() / chosen.len() as f64;
        let pairs: Vec<_> = chosen.iter().map(|point| (point.current, point.voltage)).collect();
        Ok((Celsius(mean_c), Line::through(&pairs).map_err(law)?))
    };
    WarmLine::new(line(true)?, line(false)?).map_err(law)
}

/// How the heat of one package leaves through a sink; altitude included.
pub fn sink_path(
    junction_case: f64,
    package: &str,
    cooling: &Cooling<'_>,
    requirement: &Requirement,
    position: Position,
) -> Result<HeatPath, Unbuildable> {
    if !cooling.sink.mounts.iter().any(|mount| mount == package) {
        return Err(Unbuildable::Misfit { position, why: "the sink does not take the package" });
    }
    let Some(pad) = cooling.pad.resistance.get(package) else {
        return Err(Unbuildable::Misfit { position, why: "the pad does not take the package" });
    };
    let altitude = heat::altitude_factor(requirement.ambient.altitude)
        .map_err(|error| Unbuildable::Law { position, error })?;
    Ok(HeatPath::Sink {
        to_sink: junction_case + pad.0,
        sink: cooling.sink.resistance.0 / altitude.0,
        rise_k: cooling.sink.rise.0,
        exponent: cooling.sink.exponent,
    })
}

/// The rectifier.
pub fn rectifier_of(asked: Asked<'_>, assembly: &Assembly<'_>) -> Result<Rectifier, Unbuildable> {
    let (element, thermal, elements_per_package) = match assembly.rectifier {
        RectifierPart::Bridge(part) => (&part.element, &part.thermal, 4),
        RectifierPart::Diodes(part) => (&part.element, &part.thermal, 1),
    };
    let package = assembly.rectifier.common().package.as_str();
    let missing = |rating| Unbuildable::Missing { position: Position::Rectifier, rating };
    let path = match &assembly.rectifier_cooling {
        Some(cooling) => {
            let junction_case = thermal.junction_case.ok_or(missing("junction-to-case resistance"))?;
            sink_path(junction_case.0, package, cooling, asked.requirement, Position::RectifierSink)?
        }
        None => HeatPath::Direct(thermal.junction_air.ok_or(missing("junction-to-air resistance"))?.0),
    };
    Ok(Rectifier {
        line: warm_line(&element.forward)?,
        drop_low_factor: asked.policy.parameters.diode_drop_low_factor,
        path,
        elements_per_package,
        leakage_hot_a: element.leakage_hot.map_or(0.0, |amps| amps.0),
    })
}

/// ESR or capacitance at the least ambient over that at 20 °C: straight in the logarithm between 20 °C and the part's least
/// temperature, one above 20 °C. Common practice, no source.
fn cold_ratio(at_t_min: f64, t_min_c: f64, air_c: f64) -> f64 {
    if air_c >= 20.0 || t_min_c >= 20.0 {
        return 1.0;
    }
    at_t_min.powf(((20.0 - air_c) / (20.0 - t_min_c)).min(1.0))
}

/// The bank.
pub fn bank_of(asked: Asked<'_>, reservoir: &Reservoir<'_>) -> Bank {
    let part = reservoir.part;
    let count = f64::from(reservoir.count);
    let parameters = &asked.policy.parameters;
    let farad = part.capacitance.0 * count;
    let esr = part.esr.0 / count;
    let loss = part.end_capacitance_loss.0;
    let cold_c = asked.requirement.ambient.min.0;
    Bank {
        farad: Span {
            low: farad * (1.0 - part.tolerance_minus.0) * (1.0 - loss),
            nominal: farad,
            high: farad * (1.0 + part.tolerance_plus.0),
        },
        esr_ohm: Span { low: esr * parameters.esr_low_factor, nominal: esr, high: esr * part.end_esr_factor },
        esr_cold_ratio: cold_ratio(part.esr_cold_ratio.0, part.t_min.0, cold_c),
        farad_cold_ratio: cold_ratio(part.capacitance_cold_ratio.0, part.t_min.0, cold_c),
    }
}

/// The choke.
///
/// Its inductance is the rated one less its tolerance at the low end, that without direct current and its tolerance at the high end.
pub fn choke_of(choke: &Choke) -> ChokeNumbers {
    let henry = choke.inductance.0;
    ChokeNumbers {
        henry: Span {
            low: henry * (1.0 - choke.tolerance.0),
            nominal: henry,
            high: henry * choke.swing.0 * (1.0 + choke.tolerance.0),
        },
        ohm_20: choke.resistance.0,
        rise_per_a2: choke.rise.0 / (choke.current.0 * choke.current.0),
    }
}

/// The second section.
pub fn section_of(asked: Asked<'_>, section: Section<'_>) -> circuit::supply::Section {
    use circuit::supply::Section as Numbers;
    match section {
        Section::ChokeInput(choke) => Numbers::ChokeInput(choke_of(choke)),
        Section::Crc(resistor, second) => {
            let (low, high) = (resistor::least_ohm(asked, resistor), resistor::greatest_ohm(asked, resistor));
            let ohm = Span { low, nominal: resistor.value.0, high };
            Numbers::Crc(ohm, bank_of(asked, &second))
        }
        Section::Clc(choke, second) => Numbers::Clc(choke_of(choke), bank_of(asked, &second)),
    }
}

/// Air around the parts.
pub fn air_of(asked: Asked<'_>) -> Air {
    let ambient = &asked.requirement.ambient;
    Air {
        cold_c: ambient.min.0,
        nominal_c: ambient.nominal.0 + asked.inside_rise_k,
        hot_c: ambient.max.0 + asked.inside_rise_k,
    }
}

/// All of a rail as plain numbers; `load_a` is what is drawn from the reservoir, auxiliaries included.
pub fn supply_of(asked: Asked<'_>, assembly: &Assembly<'_>, load_a: Drawn) -> Result<Supply, Unbuildable> {
    let mains = &asked.requirement.mains;
    let nominal = mains.voltage.0;
    let frequency = mains.frequency.0;
    Ok(Supply {
        topology: assembly.topology,
        mains_v: Span { low: nominal * (1.0 - mains.low.0), nominal, high: nominal * (1.0 + mains.high.0) },
        peak_factor: mains.peak_factor.0,
        frequency_hz: Span {
            low: frequency * (1.0 - mains.frequency_tolerance.0),
            nominal: frequency,
            high: frequency * (1.0 + mains.frequency_tolerance.0),
        },
        source: source_of(asked.requirement, assembly)?,
        rectifier: rectifier_of(asked, assembly)?,
        bank: bank_of(asked, &assembly.reservoir),
        section: assembly.section.map(|section| section_of(asked, section)),
        load_a,
        air: air_of(asked),
        beside: Few::NONE,
    })
}
