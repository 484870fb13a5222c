//! Heat of the regulator and of the pass transistors beside it, and the temperatures it makes.
//!
//! Knows no limit. All of them stand on one sink.

use crate::{
    circuit::{
        corner::{End, Thermal},
        operate::OperatingPoint,
        supply::{Body, HeatPath},
    },
    physics::regulator::heat,
    quantity::{Amps, Volts},
};

use super::{
    bench::{Bench, Worst, worst_of},
    convert::{Unbuildable, sink_path},
    position::Position,
    regulator_point::{RegulatorStage, greatest_hot},
};

impl RegulatorStage<'_> {
    /// Heat of the regulator itself at a point, W: mean input, output at its low accuracy.
    pub fn dissipation_w(&self, point: &OperatingPoint) -> f64 {
        self.dissipation_of_w(Body::Instant, point)
    }

    /// The same at a point solved with the load that a body counts, W.
    pub fn dissipation_of_w(&self, body: Body, point: &OperatingPoint) -> f64 {
        let (own_a, before_v) = self.own_share(body, point.vertex.load);
        heat::dissipation(
            Volts(point.mean_v - before_v),
            Volts(self.output.low_v),
            Amps(own_a),
            Amps(self.auxiliary.ground_a),
        )
        .0
        .max(0.0)
    }

    /// Greatest current of the regulator itself, A, and the voltage that the drive resistor takes before it there, V.
    pub fn own_share(&self, body: Body, load: End) -> (f64, f64) {
        let through_a = self.through_of_a(body, load);
        self.pass.map_or((through_a, 0.0), |pass| pass.regulator(through_a))
    }

    /// Heat that the stage gives to its sink, W: the regulator's, and with pass transistors that of all less what the ballast
    /// and drive resistors take at the least.
    pub fn sink_heat_w(&self, body: Body, point: &OperatingPoint) -> f64 {
        let Some(pass) = self.pass else { return self.dissipation_of_w(body, point) };
        let through_a = self.through_of_a(body, point.vertex.load);
        heat::dissipation(
            Volts(point.mean_v - pass.resistors_v(through_a)),
            Volts(self.output.low_v),
            Amps(through_a),
            Amps(self.auxiliary.ground_a),
        )
        .0
        .max(0.0)
    }

    /// Heat of the most loaded pass transistor, W; nothing without.
    pub fn pass_heat_w(&self, body: Body, point: &OperatingPoint) -> f64 {
        let through_a = self.through_of_a(body, point.vertex.load);
        self.pass
            .map_or(0.0, |pass| pass.most_loaded(through_a).0 * (point.mean_v - self.output.low_v).max(0.0))
    }

    /// How the part's heat leaves: through its sink, or from its case to the air.
    pub fn heat_path(&self, bench: &Bench<'_>) -> Result<HeatPath, Unbuildable> {
        let part = self.part();
        match &self.regulation.cooling {
            Some(cooling) => sink_path(
                part.junction_case.0,
                &part.common.package,
                cooling,
                bench.asked.requirement,
                Position::RegulatorSink,
            ),
            None if self.pass.is_some() => Err(Unbuildable::Misfit {
                position: Position::RegulatorSink,
                why: "pass transistors need a sink",
            }),
            None => part.junction_air.map(|to_air| HeatPath::Direct(to_air.0)).ok_or(Unbuildable::Missing {
                position: Position::Regulator,
                rating: "junction-to-air resistance without a sink",
            }),
        }
    }

    /// Junction to sink and case to sink of a pass transistor, K/W; `None` where it stands on no sink or none is needed.
    pub fn pass_to_sink(&self) -> Option<(f64, f64)> {
        let pass = self.regulation.pass.as_ref()?;
        let cooling = self.regulation.cooling.as_ref()?;
        let package = &pass.part.common.package;
        let mounted = cooling.sink.mounts.iter().any(|mount| mount == package);
        let pad =
            cooling.pad.resistance.get(package).filter(|_| mounted && cooling.pad.isolation.is_some())?.0;
        Some((pass.part.junction_case.0 + pad, pad))
    }

    /// Greatest junction temperature over the load's profile; `None` where no warm point was solved.
    ///
    /// With a sink `T_air + ΔT_sink(P_heavy) + R_js P_peak`: the sink warms as a heavy body, junction to sink counts the peak as
    /// if it lasted. In free air `T_air + R_ja P_light`. Source: first-order bodies, derived in [`crate::physics::duty`].
    pub fn greatest_junction(&self, bench: &Bench<'_>, path: &HeatPath) -> Option<Worst> {
        if bench.lasting.is_none() {
            return greatest_hot(bench, Body::Instant, |point| self.junction_c(path, point));
        }
        let fast = if matches!(path, HeatPath::Direct(_)) { Body::Light } else { Body::Instant };
        greatest_over_profile(bench, fast, |lasting, peak| {
            let watts = self.dissipation_of_w(Body::Heavy, lasting);
            // Where the peak lowers the input so far that it heats less, the lasting load counts.
            let at_peak_w = self.dissipation_of_w(fast, peak).max(watts);
            match *path {
                HeatPath::Direct(_) => path.junction_c(at_peak_w, lasting.air_c),
                HeatPath::Sink { to_sink, .. } => {
                    let sink_k = path.sink_rise_k(self.sink_heat_w(Body::Heavy, lasting));
                    lasting.air_c + sink_k + to_sink * at_peak_w
                }
            }
        })
    }

    /// Greatest junction temperature of the most loaded pass transistor; `None` where none was solved warm or none stands there.
    ///
    /// `T_air + ΔT_sink(P_all) + (R_jc + R_cs) P_1`, a peak as in [`Self::greatest_junction`].
    pub fn greatest_pass_junction(&self, bench: &Bench<'_>, path: &HeatPath) -> Option<Worst> {
        let (to_sink, _) = self.pass_to_sink()?;
        greatest_over_profile(bench, Body::Instant, |lasting, peak| {
            let own_w = self.pass_heat_w(Body::Instant, peak).max(self.pass_heat_w(Body::Heavy, lasting));
            lasting.air_c + path.sink_rise_k(self.sink_heat_w(Body::Heavy, lasting)) + to_sink * own_w
        })
    }

    /// Junction temperature of the regulator at a point, °C: that of the air in the cold state, else self-heated.
    pub fn junction_c(&self, path: &HeatPath, point: &OperatingPoint) -> f64 {
        let own_w = match point.vertex.thermal {
            Thermal::Cold => return point.air_c,
            Thermal::Hot => self.dissipation_w(point),
        };
        match *path {
            HeatPath::Sink { to_sink, .. } if self.pass.is_some() => {
                point.air_c + path.sink_rise_k(self.sink_heat_w(Body::Instant, point)) + to_sink * own_w
            }
            _ => path.junction_c(own_w, point.air_c),
        }
    }
}

/// The greatest of a figure of a warm point as a heavy body sees its load, and as a faster one does.
fn greatest_over_profile(
    bench: &Bench<'_>,
    fast: Body,
    figure: impl Fn(&OperatingPoint, &OperatingPoint) -> f64,
) -> Option<Worst> {
    let pairs = bench.points_of(Body::Heavy).iter().zip(bench.points_of(fast));
    let hot = pairs.filter(|(point, _)| point.vertex.thermal == Thermal::Hot);
    worst_of(hot.map(|(lasting, peak)| (figure(lasting, peak), lasting.vertex)))
}
