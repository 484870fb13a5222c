//! A small dossier made by hand, for the looks of reports; its design and its makers are invented.

use railwright::quantity::{Currency, Money};
use railwright::review::choice::{
    Alternative, Binding, Choice, Outcome, Relaxation, SearchNote, TopologyRow,
};
use railwright::review::dossier::{
    Assumption, Caution, Conclusion, Dossier, FactRow, Finding, HeatRow, NominalRow, PartRow, PointRow,
    RailSummary, SCHEMA_VERSION, StressRow, Summary, TextbookRow, Tightest, Totals, Weight, WhyLine,
    WorkingRow,
};
use railwright::review::pictures::model::{
    Curves, Drawing, DrawnPart, RailPictures, Series, SupplyHarmonics, Waves,
};
use railwright::review::{Figure, Infeasible, Unit};

fn fig(value: f64, unit: Unit) -> Figure {
    Figure::new(value, unit).expect("finite")
}

fn eur(text: &str) -> Money {
    Money { amount: text.parse().expect("decimal"), currency: Currency::new("EUR").expect("code") }
}

/// Text for every place of the dossier that a stranger may fill: `plain`, or something hostile.
pub(crate) fn dossier(foreign: &str) -> Dossier {
    let rail = || String::from("main");
    Dossier {
        schema_version: SCHEMA_VERSION,
        tool: String::from("railwright 0.1.0"),
        supply: format!("bench supply {foreign}"),
        description: format!("A 12 V supply for a small mixer. {foreign}"),
        conclusion: Conclusion::Findings,
        cautions: vec![
            Caution {
                id: String::from("mains"),
                title: String::from("Mains voltage"),
                text: String::from(
                    "The primary side carries 230 V rms mains (up to 253 V). Contact can kill. Disconnect and lock out \
                     before opening.",
                ),
                standards: vec![String::from("IEC 62368-1"), String::from("IEC 61558-1")],
            },
            Caution {
                id: String::from("hot"),
                title: String::from("Hot surfaces"),
                text: String::from("At the hottest corner: regulator heat sink 83.1 °C, winding 96.4 °C."),
                standards: Vec::new(),
            },
        ],
        summary: Summary {
            mains: String::from("230 V −10 % +10 %, 50 Hz ±1 %"),
            ambient: String::from("0 °C to 45 °C, inside 5 K above"),
            policy: format!("House policy ({foreign})"),
            policy_note: String::from("Common practice, no source."),
            build_quantity: 25,
            rails: vec![RailSummary {
                rail: rail(),
                voltage: fig(12.0, Unit::Volts),
                current_min: fig(0.05, Unit::Amps),
                current_max: fig(1.5, Unit::Amps),
                ripple_pp: fig(0.005, Unit::Volts),
                regulation: String::from("regulated"),
                topology: String::from("bridge"),
                wiring: String::from("parallel"),
                tightest: Some(Tightest {
                    position: String::from("reservoir capacitor"),
                    stress: String::from("reservoir-ripple-current"),
                    utilisation: Some(fig(1.042, Unit::Percent)),
                }),
            }],
            checks: 4,
            vertices: 256,
        },
        findings: vec![
            Finding {
                weight: Weight::Finding,
                code: String::from("reservoir-ripple-current"),
                rail: rail(),
                position: String::from("reservoir"),
                text: String::from("applied 2.501 A, limit 2.400 A: 104 % used"),
            },
            Finding {
                weight: Weight::Note,
                code: String::from("single-source"),
                rail: rail(),
                position: String::from("transformer"),
                text: format!("only one supplier offers `{foreign}`"),
            },
        ],
        parts: vec![
            PartRow {
                rail: rail(),
                designators: vec![String::from("T1")],
                position: String::from("mains transformer"),
                part: format!("HRT-060-15D {foreign}"),
                value: String::from("60 VA, 2 × 15 V"),
                maker: format!("Harrow {foreign}"),
                count: 1,
                unit_cost: Some(eur("18.40")),
                batch_cost: Some(eur("478.40")),
                ordered: Some(26),
                supplier: Some(format!("Tidewater Parts {foreign}")),
                ordered_with: None,
            },
            PartRow {
                rail: rail(),
                designators: vec![String::from("C1"), String::from("C2")],
                position: String::from("reservoir capacitor"),
                part: String::from("KEL-4700-35"),
                value: String::from("4700 µF, 35 V"),
                maker: String::from("Kelmark"),
                count: 2,
                unit_cost: Some(eur("1.245")),
                batch_cost: Some(eur("66.00")),
                ordered: Some(53),
                supplier: Some(String::from("Tidewater Parts")),
                ordered_with: None,
            },
            PartRow {
                rail: rail(),
                designators: vec![String::from("R1")],
                position: String::from("bleeder"),
                part: String::from("VAN-2W"),
                value: String::from("3.30 kΩ, 2 W"),
                maker: String::from("Vannick"),
                count: 1,
                unit_cost: None,
                batch_cost: None,
                ordered: None,
                supplier: None,
                ordered_with: None,
            },
        ],
        totals: Totals {
            batch_cost: Some(eur("544.40")),
            unit_cost: Some(eur("21.776")),
            unpriced: vec![String::from("R1")],
            output: Some(fig(18.0, Unit::Watts)),
            loss: Some(fig(13.7, Unit::Watts)),
            volume: Some(fig(612e-6, Unit::CubicMetres)),
            mass: Some(fig(1.12, Unit::Kilograms)),
            without_mass: 1,
        },
        why: vec![WhyLine {
            rail: rail(),
            position: String::from("mains transformer"),
            text: String::from("tightest stress transformer-winding-temperature, 91.2 % used, at hot M+ L+"),
        }],
        choice: Some(Choice {
            topologies: vec![
                TopologyRow {
                    rail: rail(),
                    topology: String::from("bridge"),
                    outcome: Outcome::Best {
                        cost: eur("21.776"),
                        loss: fig(13.7, Unit::Watts),
                        volume: fig(612e-6, Unit::CubicMetres),
                        rating: fig(60.0, Unit::VoltAmps),
                        utilisation: fig(0.52, Unit::Percent),
                        parts: vec![String::from("HRT-060-15D"), String::from("KEL-4700-35")],
                        chosen: true,
                    },
                },
                TopologyRow {
                    rail: rail(),
                    topology: String::from("centre-tap"),
                    outcome: Outcome::Impossible {
                        position: String::from("transformer"),
                        stress: String::from("transformer-winding-temperature"),
                        by: String::from("121 °C against 115 °C"),
                    },
                },
                TopologyRow {
                    rail: rail(),
                    topology: String::from("half-wave"),
                    outcome: Outcome::NotAllowed,
                },
            ],
            alternatives: vec![Alternative {
                rail: rail(),
                differs: vec![format!("transformer: HRT-080-15D instead of HRT-060-15D {foreign}")],
                gains: vec![String::from("winding 11 K cooler")],
                losses: vec![String::from("3.10 EUR more")],
                cost: eur("24.88"),
                loss: fig(13.1, Unit::Watts),
                volume: fig(700e-6, Unit::CubicMetres),
                mass: None,
            }],
            notes: vec![SearchNote { text: String::from("1204 trains were solved exactly.") }],
        }),
        points: vec![
            PointRow {
                rail: rail(),
                corner: String::from("mains low, cold"),
                mains_rms: fig(207.0, Unit::Volts),
                load: Some(fig(1.52, Unit::Amps)),
                reservoir_min: Some(fig(14.123, Unit::Volts)),
                reservoir_mean: Some(fig(15.4, Unit::Volts)),
                reservoir_max: fig(16.6, Unit::Volts),
                ripple_pp: Some(fig(2.477, Unit::Volts)),
                diode_peak: Some(fig(6.2, Unit::Amps)),
                winding_rms: Some(fig(2.61, Unit::Amps)),
                winding: Some(fig(0.0, Unit::Celsius)),
            },
            PointRow {
                rail: rail(),
                corner: String::from("no load"),
                mains_rms: fig(253.0, Unit::Volts),
                load: None,
                reservoir_min: None,
                reservoir_mean: None,
                reservoir_max: fig(26.4, Unit::Volts),
                ripple_pp: None,
                diode_peak: None,
                winding_rms: None,
                winding: None,
            },
        ],
        stresses: vec![
            stress("transformer", "T1", "transformer-primary-voltage", (253.0, 264.0, Unit::Volts), 0.958),
            stress("reservoir", "C1", "reservoir-ripple-current", (2.501, 2.4, Unit::Amps), 1.042),
            StressRow {
                at_least: true,
                utilisation: None,
                holds: false,
                vertex: None,
                ..stress("regulator", "U1", "regulator-headroom", (-0.21, 0.5, Unit::Volts), 0.0)
            },
        ],
        facts: vec![FactRow {
            rail: rail(),
            position: String::from("transformer"),
            stress: String::from("transformer-insulation"),
            holds: true,
            text: String::from("reinforced, 4.0 kV; reinforced asked"),
        }],
        not_applicable: vec![FactRow {
            rail: rail(),
            position: String::from("transformer"),
            stress: String::from("transformer-dc-magnetisation"),
            holds: true,
            text: String::from("full-wave"),
        }],
        margins: None,
        reliability: None,
        heat: vec![HeatRow {
            rail: rail(),
            place: String::from("regulator heat sink"),
            power: Some(fig(9.87, Unit::Watts)),
            temperature: fig(83.1, Unit::Celsius),
            rise: Some(fig(33.1, Unit::Kelvins)),
            vertex: Some(String::from("hot M+ L+ f+ E+ C+ R− D−")),
        }],
        nominal: vec![NominalRow {
            rail: rail(),
            figure: String::from("energy balance residual"),
            value: fig(3.2e-15, Unit::Residual),
        }],
        lesson: Vec::new(),
        textbook: vec![TextbookRow {
            rail: rail(),
            figure: String::from("winding rms current"),
            expression: String::from("1.8 I"),
            textbook: fig(2.7, Unit::Amps),
            exact: fig(2.55, Unit::Amps),
            ratio: Some(fig(0.944, Unit::Ratio)),
        }],
        workings: vec![WorkingRow {
            rail: rail(),
            formula: String::from("stored-energy"),
            purpose: String::from("Energy in the reservoir without load at mains high"),
            equation: String::from("E = C V² / 2"),
            substituted: String::from("E = (11280 µF) (26.40 V)² / 2 = 3.93 J"),
            result: String::from("3.93 J"),
            symbols: vec![
                (String::from("C"), String::from("capacitance at upper tolerance")),
                (String::from("V"), String::from("peak voltage")),
            ],
            domain: String::from("any"),
            source: String::from("derived: work of charging"),
        }],
        pictures: pictures(foreign),
        grid: SupplyHarmonics::default(),
        assumptions: vec![Assumption {
            key: String::from("mains.frequency_tolerance"),
            value: String::from("1 %"),
            why: String::from("public supplies keep it in normal operation"),
        }],
        notes: vec![format!("A note. {foreign}")],
        deferral: String::from("This report says what was checked. Local codes come first."),
    }
}

fn stress(
    position: &str,
    reference: &str,
    code: &str,
    (applied, limit, unit): (f64, f64, Unit),
    used: f64,
) -> StressRow {
    StressRow {
        rail: String::from("main"),
        position: position.to_owned(),
        designators: vec![reference.to_owned()],
        stress: code.to_owned(),
        applied: fig(applied, unit),
        rating: Some(fig(limit / 0.8, unit)),
        limit: fig(limit, unit),
        at_least: false,
        utilisation: Some(fig(used, Unit::Percent)),
        holds: used <= 1.0,
        vertex: Some(String::from("hot M+ L+ f+ E+ C+ R− D−")),
        clause: String::from("house, electrolytics: 80 % of the rating"),
        known: String::from("common practice, no source"),
        note: String::new(),
        waived: None,
    }
}

/// An answer that nothing fits.
pub(crate) fn infeasible(foreign: &str) -> Infeasible {
    Infeasible {
        supply: format!("tight supply {foreign}"),
        bindings: vec![Binding {
            rail: String::from("main"),
            position: String::from("regulator"),
            stress: String::from("regulator-junction-temperature"),
            best_part: format!("RG-12-15 {foreign}"),
            misses_by: String::from("141 °C against 125 °C, 116 % used"),
            chain: vec![
                String::from("drop-out 2.5 V asks for 15.0 V at the valley"),
                String::from("so the mean is 21.9 V at mains high"),
            ],
        }],
        relaxations: vec![Relaxation {
            key: String::from("ambient.max"),
            from: String::from("45 °C"),
            to: String::from("33.5 °C"),
            feasible: true,
        }],
        ..Infeasible::default()
    }
}

/// Pictures of one regulated rail.
fn pictures(foreign: &str) -> Vec<RailPictures> {
    let part = |position: &str, designator: &str| DrawnPart {
        position: position.to_owned(),
        designators: vec![designator.to_owned()],
        ratings: vec![String::from("100 V"), foreign.to_owned()],
        part: format!("PN-1 {foreign}"),
        count: 1,
        polarised: false,
    };
    let curves = |name: &str, unit| Curves {
        over: Series::new("mains angle", Unit::Degrees, vec![0.0, 180.0, 360.0]).expect("finite"),
        rows: vec![Series::new(&format!("{name} {foreign}"), unit, vec![1.0, 3.0, 2.0]).expect("finite")],
    };
    vec![RailPictures {
        rail: format!("main {foreign}"),
        drawing: Drawing {
            parts: vec![
                part("primary-fuse", "F1"),
                part("transformer", "T1"),
                part("rectifier", "D1"),
                part("reservoir", "C1"),
                part("bleeder", "R1"),
                part("regulator", "U1"),
            ],
            one_package: true,
            earth: true,
            mains: String::from("230 V, 50 Hz"),
            ..Drawing::default()
        },
        waves: Some(Waves {
            voltages: curves("reservoir", Unit::Volts),
            currents: curves("rectifier", Unit::Amps),
            conducts: vec![(60.0, 100.0), (240.0, 280.0)],
        }),
        ..RailPictures::default()
    }]
}
