//! Corners of recorded rails as circuits: every rail of every kept design at every corner.

use std::{fs, path::Path};

use railwright::{
    analysis::{AnyFile, Wish, analyse, analyse_core, core_study::CoreWish, read_any, write},
    circuit::{figures::Figures, operate::OperatingPoint, spec::Topology},
    document::Source,
    flow::corner::{Corner, circuit_at},
    record,
    record::write::sha256,
    requirement,
    review::{Inputs, recompute::recompute},
    stress::{position::Position, ripple},
};

use crate::support::world;

const CORNERS: [Corner; 10] = [
    Corner::Nominal,
    Corner::WorstHeadroom,
    Corner::HeadroomCold,
    Corner::HeadroomHot,
    Corner::MainsHighCold,
    Corner::MainsHighHot,
    Corner::RippleCurrent,
    Corner::WindingHot,
    Corner::JunctionHot,
    Corner::DiodePeak,
];

/// Figures of the rail asked for, which stands first.
fn figures(file: &AnyFile) -> Figures {
    match file {
        AnyFile::One(one) => analyse(one, &Wish::default(), &|_| ()).unwrap().study.figures,
        AnyFile::Core(core) => analyse_core(core, &CoreWish::default(), &|_| ()).unwrap().rails[0],
    }
}

/// Share of its ripple rating that the bank of the rail asked for uses.
fn ripple_use(file: &AnyFile) -> f64 {
    let uses = match file {
        AnyFile::One(one) => analyse(one, &Wish::default(), &|_| ()).unwrap().ripple_uses,
        AnyFile::Core(core) => {
            analyse_core(core, &CoreWish::default(), &|_| ()).unwrap().ripple_uses.swap_remove(0)
        }
    };
    let one = uses[0].as_ref().unwrap();
    one.equivalent_a / one.rated_a
}

fn agree(found: &Figures, point: &OperatingPoint, topology: Topology, at: &str) {
    let out = &found.output;
    // What the closed form of a doubler finds of one of its halves; and the winding of two halves.
    let second = out.c2_ripple_current_rms_a.filter(|_| out.c1_ripple_current_rms_a.is_none());
    let capacitor = out.c1_ripple_current_rms_a.or(second).unwrap_or(f64::NAN);
    let mut pairs = vec![
        ("mean", out.load_mean_v, point.mean_v),
        ("valley", out.load_min_v, point.valley_v),
        ("crest", out.load_max_v, point.crest_v),
        ("diode average", out.diode_avg_a, point.diode_avg_a),
        ("diode rms", out.diode_rms_a, point.diode_rms_a),
        ("diode peak", out.diode_peak_a, point.diode_peak_a),
        ("conduction", out.diode_conduction_deg, point.conduction_deg),
        ("capacitor rms", capacitor, point.bank_rms_a),
        ("winding rms", found.winding_rms_a, point.path_rms_a),
    ];
    if let Some(section) = point.section {
        if let Some([_, peak]) = section.choke_a {
            pairs.push(("choke rms", out.choke_rms_a.unwrap(), section.rms_a));
            pairs.push(("choke peak", out.choke_max_a.unwrap(), peak));
        }
        if let Some(second) = section.second_rms_a {
            pairs.push(("second capacitor rms", out.c2_ripple_current_rms_a.unwrap(), second));
        }
    }
    for (name, one, other) in pairs {
        // A bank of a rail at no load carries nothing but rounding.
        let floor = 1e-12 * point.emf_peak_v;
        assert!(
            (one - other).abs() <= 1e-9 * other.abs() + floor,
            "{at} ({topology:?}), {name}: {one} in the circuit, {other} in the audit"
        );
    }
}

/// Law: the circuit of a corner, written as a file and read again, does what the audit found at that corner; a transformer that
/// feeds two rails stands in it with both, and what the file holds beside the circuit comes back too.
#[test]
fn every_corner_of_every_design_is_the_circuit_that_the_audit_solved() {
    let catalog = world::demo();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("designs");
    let (mut rails, mut cores, mut pairs, mut chokes) = (0, 0, 0, 0);
    for entry in fs::read_dir(folder).unwrap() {
        let folder = entry.unwrap().path();
        let Ok(kept) = fs::read_to_string(folder.join("record.yaml")) else { continue };
        let asked = fs::read_to_string(folder.join("requirements.yaml")).unwrap();
        let record = record::read(&Source::new("record.yaml", &kept)).unwrap();
        let requirement = requirement::read(&Source::new("requirements.yaml", &asked)).unwrap();
        let policy = world::policy(&requirement.policy);
        let digest = sha256(asked.as_bytes());
        let solved = recompute(Inputs {
            requirement: &requirement,
            requirement_digest: &digest,
            record: &record,
            catalog: &catalog,
            policy: &policy,
            today: None,
        });
        assert_eq!(solved.rails.len(), record.rails.len(), "{}", folder.display());
        for rail in &solved.rails {
            rails += 1;
            for corner in CORNERS {
                let at = format!("{} {} {corner:?}", folder.display(), rail.record.rail);
                let found = circuit_at(rail, corner).unwrap_or_else(|why| panic!("{at}: {why}"));
                let point = match corner {
                    Corner::Nominal => rail.nominal.as_ref().unwrap(),
                    _ => rail.bench.points.iter().find(|one| one.vertex.text() == found.vertex).unwrap(),
                };
                let text = write::text(&found.file);
                let again = read_any(&Source::new("corner.yaml", &text))
                    .unwrap_or_else(|why| panic!("{at}: {why:?}"));
                assert_eq!(again, found.file, "{at}: {text}");
                agree(&figures(&again), point, rail.bench.supply.topology, &at);
                let used = ripple_use(&again);
                let part = rail.bench.assembly.reservoir.part;
                let table = ripple::multipliers(part).unwrap();
                let audit = ripple::of_bank((Position::Reservoir, part), &table, point).unwrap()
                    * ripple::share(&rail.bench, &rail.bench.assembly.reservoir)
                    / part.ripple.0;
                // The audit counts twenty harmonics by themselves, an analysis forty.
                assert!(
                    (used - audit).abs() <= 0.01 * audit + 1e-6,
                    "{at}: {used} of the rating, {audit} in the audit"
                );
                match &again {
                    AnyFile::Core(core) => {
                        cores += 1;
                        assert_eq!(core.rails.len(), 2);
                        assert_eq!(core.rails[0].name, rail.record.rail);
                        let mates = &rail.bench.assembly.mates;
                        assert!(mates.iter().any(|mate| mate.rail.name == core.rails[1].name));
                    }
                    AnyFile::One(one) => {
                        pairs += u32::from(one.spec.negative.is_some());
                        chokes += u32::from(point.section.is_some_and(|one| one.choke_a.is_some()));
                    }
                }
            }
        }
    }
    // Unlike windings (a tide gauge), a pair about a tap (a mixer), a choke input (a lamp).
    assert!(rails >= 16 && cores >= 20 && pairs >= 20 && chokes >= 10, "{rails} {cores} {pairs} {chokes}");
}

/// Law: whatever a circuit file says, it says when it is written again.
#[test]
fn a_file_that_is_written_says_all_that_was_read() {
    let output = "filter: {kind: crc, c1: 4700 uF, esr1: 20 mΩ, resistance: 2 Ω, c2: 1 mF}, load: {current: 0.3 A, knee: 7.7 V}";
    let negative = "negative: {filter: {kind: lc, choke: 30 mH, choke_resistance: 0.1 Ω, c2: 1 mF}, load: {power: 3 W, knee: 5.1 V}}";
    let dual = format!(
        "topology: dual-complementary, winding: {{emf_rms: 17.1 V, frequency: 60 Hz, resistance: 0.3 Ω, leakage: 20 uH}}, diode: {{threshold: 0.7 V}}, {output}, {negative}, residual: 3.3 V, c1_ripple: {{rated: 3.2 A, multipliers: [[50 Hz, 0.91], [100 Hz, 1]]}}"
    );
    let limiter = "limiter: {cold: 5 Ω, hot: 0.2 Ω}";
    let one = format!(
        "{{circuit: 1, name: 'a \"b\": c', {dual}, {limiter}, \
         tolerance: {{filter.c1: {{below: -20 %, above: 30 %, distribution: normal}}, negative.load.power: 7 %}}, limits: {{load_min_v: {{min: 17.3}}, neg_ripple_pp_v: {{max: 0.1}}}}}}"
    )
    .replace("leakage: 20 uH", "leakage: 20 uH, common_resistance: 0.1 Ω, mains_rms: 117 V");
    let core = format!(
        "{{circuit: 1, core: {{primary_resistance: 0.17 Ω, mains_rms: 230 V, {limiter}}}, rails: [{{name: 'x: y', {dual}}}, {{name: b, {dual}}}], \
         tolerance: {{core.emf_rms: 10 %, 'x: y.filter.c1': 20 %}}, limits: {{b.load_min_v: {{min: 3}}}}}}"
    );
    for text in [one, core] {
        let read = |text: &str| {
            read_any(&Source::new("all.yaml", text)).unwrap_or_else(|why| panic!("{why:?}\n{text}"))
        };
        let first = read(&text);
        let written = write::text(&first);
        assert_eq!(read(&written), first, "{written}");
        for kept in ["residual", "limiter", "mains_rms", "7.7 V", "5.1 V", "tolerance", "limits"] {
            assert!(written.contains(kept), "no {kept} in {written}");
        }
    }
}
