//! Small catalogs: the parts of a kept design with some of their neighbours, at other prices and with other ratings.

use std::{collections::BTreeMap, path::Path};

use rust_decimal::Decimal;

use railwright::candidate::price::admissible;
use railwright::catalog::{Catalog, Common, PartId};
use railwright::record::{RailRecord, Record};
use railwright::requirement::{Objective, Requirement, Topology};

use super::dice::Dice;
use crate::support::world;

/// What a round starts from: a rail of a kept design.
pub(super) struct Seed {
    requirement: Requirement,
    rail: RailRecord,
}

/// The demo catalog without transformers of unlike windings, which feed no rail alone.
pub(super) fn whole() -> Catalog {
    let mut whole = world::demo();
    whole.transformers.retain(railwright::catalog::Transformer::has_equal_windings);
    whole
}

/// Every rail of every kept design, but those on a transformer whose windings are unlike.
pub(super) fn seeds() -> Vec<Seed> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("designs");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("shipped folder")
        .map(|entry| entry.expect("entry").path())
        .collect();
    paths.sort();
    let mut found = Vec::new();
    for path in paths {
        let Ok(text) = std::fs::read_to_string(path.join("record.yaml")) else { continue };
        let record: Record = serde_yaml::from_str(&text).expect("a kept record");
        let asked = std::fs::read_to_string(path.join("requirements.yaml")).expect("a shipped file");
        let whole = world::asked(&asked);
        let host = |rail: &RailRecord| rail.transformer_of.clone().unwrap_or_else(|| rail.rail.clone());
        let unlike: Vec<String> =
            record.rails.iter().filter(|rail| rail.wiring.ends_with("-winding")).map(host).collect();
        for (rail, asked) in record.rails.into_iter().zip(&whole.rails) {
            let sectioned = rail.parts.iter().any(|part| part.position.starts_with("section-"));
            if sectioned || unlike.contains(&host(&rail)) {
                continue;
            }
            let requirement = Requirement { rails: vec![asked.clone()], ..whole.clone() };
            found.push(Seed { requirement, rail });
        }
    }
    found
}

impl Seed {
    /// The requirement of the rail as it stands; `None` where its topology takes more than one reservoir.
    pub(super) fn as_asked(&self) -> Option<Requirement> {
        let single = matches!(self.rail.topology.as_str(), "half-wave" | "centre-tap" | "bridge");
        single.then(|| self.requirement.clone())
    }

    /// The requirement of the rail with some of its numbers drawn anew.
    pub(super) fn requirement(&self, dice: &mut Dice) -> Requirement {
        let mut asked = self.requirement.clone();
        let rail = &mut asked.rails[0];
        rail.current_max.0 =
            (rail.current_max.0 * dice.pick(&[0.6, 0.8, 1.0, 1.0, 1.1])).max(rail.current_min.0);
        rail.ripple.0.0 *= dice.pick(&[0.7, 1.0, 1.0, 2.0]);
        asked.ambient.max.0 =
            (asked.ambient.max.0 - dice.pick(&[0.0, 0.0, 5.0])).max(asked.ambient.nominal.0);
        let none = Objective { cost: 0.0, loss: 0.0, volume: 0.0, mass: 0.0 };
        asked.objective = dice.pick(&[
            Objective { cost: 1.0, ..none },
            Objective { cost: 1.0, ..none },
            Objective { cost: 1.0, loss: 0.3, ..none },
            Objective { loss: 1.0, ..none },
            Objective { volume: 1.0, ..none },
        ]);
        let own = match self.rail.topology.as_str() {
            "half-wave" => Topology::HalfWave,
            "centre-tap" => Topology::CentreTap,
            _ => Topology::Bridge,
        };
        let other = dice.pick(&[Topology::CentreTap, Topology::Bridge, own, own]);
        asked.topologies = if other == own { vec![own] } else { vec![own, other] };
        asked.preferences.parallel_max = 2;
        asked
    }

    fn ids(&self, positions: &[&str]) -> Vec<&str> {
        let parts = self.rail.parts.iter().filter(|part| positions.contains(&part.position.as_str()));
        parts.map(|part| part.part.as_str()).collect()
    }

    /// A few parts a family.
    pub(super) fn catalog(&self, whole: &Catalog, asked: &Requirement, dice: &mut Dice) -> Catalog {
        let mut small = Catalog {
            transformers: self.near(&whole.transformers, |one| &one.common, &["transformer"], 2, dice),
            diodes: self.near(&whole.diodes, |one| &one.common, &["rectifier", "reverse-diode"], 1, dice),
            bridges: self.near(&whole.bridges, |one| &one.common, &["rectifier"], 1, dice),
            electrolytics: self.near(&whole.electrolytics, |one| &one.common, &["reservoir"], 2, dice),
            small_capacitors: self.near(
                &whole.small_capacitors,
                |one| &one.common,
                &["input-capacitor", "output-capacitor"],
                1,
                dice,
            ),
            regulators: self.near(&whole.regulators, |one| &one.common, &["regulator"], 1, dice),
            transistors: self.near(&whole.transistors, |one| &one.common, &["pass-transistor"], 0, dice),
            chokes: Vec::new(),
            sinks: self.near(&whole.sinks, |one| &one.common, &["regulator-sink", "rectifier-sink"], 1, dice),
            pads: self.near(&whole.pads, |one| &one.common, &["regulator-pad", "rectifier-pad"], 0, dice),
            fuses: self.near(&whole.fuses, |one| &one.common, &["primary-fuse"], 1, dice),
            cut_outs: self.near(&whole.cut_outs, |one| &one.common, &["cut-out"], 1, dice),
            limiters: self.near(&whole.limiters, |one| &one.common, &["inrush-limiter"], 1, dice),
            resistors: self.near(
                &whole.resistors,
                |one| &one.common,
                &["bleeder", "set-upper", "minimum-load", "ballast-resistor", "drive-resistor"],
                1,
                dice,
            ),
            digests: BTreeMap::new(),
        };
        for part in &mut small.electrolytics {
            let factor = dice.pick(&[0.8, 1.0, 1.0, 1.2]);
            part.capacitance.0 *= factor;
            part.ripple.0 *= dice.pick(&[0.8, 1.0, 1.0, 1.3]);
        }
        for part in &mut small.sinks {
            part.resistance.0 *= dice.pick(&[0.8, 1.0, 1.0, 1.25]);
        }
        for part in &mut small.diodes {
            part.element.surge.0 *= dice.pick(&[0.7, 1.0, 1.0, 1.4]);
        }
        for part in &mut small.transformers {
            // With leakage the box has twice the vertices: every fourth round keeps it.
            let keeps = dice.of(4) == 0;
            for winding in &mut part.secondaries {
                winding.leakage = winding.leakage.filter(|_| keeps);
            }
        }
        admit(&mut small, asked, dice);
        small
    }

    /// The seed's own parts of a family, mostly, and up to `more` of their neighbours in the list; at other prices.
    fn near<T: Clone>(
        &self,
        list: &[T],
        common: fn(&T) -> &Common,
        positions: &[&str],
        more: usize,
        dice: &mut Dice,
    ) -> Vec<T> {
        let own = self.ids(positions);
        let mut wanted = Vec::new();
        let mut middle = dice.of(list.len());
        for (index, part) in list.iter().enumerate() {
            if own.contains(&common(part).id.0.as_str()) {
                middle = index;
                if dice.of(12) > 0 {
                    wanted.push(index);
                }
            }
        }
        for _ in 0..more {
            wanted.push((middle + dice.of(13)).saturating_sub(6).min(list.len() - 1));
        }
        wanted.sort_unstable();
        wanted.dedup();
        wanted.iter().map(|&index| list[index].clone()).collect()
    }
}

/// Leaves out what may not be used, and draws prices: some alike, so that part ids decide; some parts twice.
fn family<T: Clone>(
    list: &mut Vec<T>,
    common: fn(&T) -> &Common,
    common_mut: fn(&mut T) -> &mut Common,
    asked: &Requirement,
    dice: &mut Dice,
) {
    list.retain(|part| admissible(common(part), asked));
    let level = dice.of(5) == 0;
    for part in list.iter_mut() {
        let factor = Decimal::new(dice.pick(&[7, 8, 9, 10, 11, 12, 14]), 1);
        for offer in &mut common_mut(part).offers {
            for price in &mut offer.breaks {
                price.each = if level { Decimal::ONE } else { price.each * factor };
            }
        }
    }
    if dice.of(6) == 0
        && let Some(first) = list.first().cloned()
    {
        let mut twin = first;
        let id = format!("{}-TWIN", common(&twin).id.0);
        common_mut(&mut twin).id = PartId(id);
        list.insert(0, twin);
    }
}

fn admit(small: &mut Catalog, asked: &Requirement, dice: &mut Dice) {
    family(&mut small.transformers, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.diodes, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.bridges, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.electrolytics, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.small_capacitors, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.regulators, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.transistors, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.sinks, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.pads, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.fuses, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.cut_outs, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.limiters, |one| &one.common, |one| &mut one.common, asked, dice);
    family(&mut small.resistors, |one| &one.common, |one| &mut one.common, asked, dice);
}
