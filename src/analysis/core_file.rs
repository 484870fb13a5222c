//! The circuit file of a core with several windings, each with its rectifier.
//!
//! Knows no solution. The keys are listed in `README.md`, "Analyse".

use super::{
    core_spread::{self, CoreBounds},
    file::{self, CircuitFile, Rectifier, VERSION, Windings, rectifier},
    ripple::{self, RippleRating},
};
use crate::{
    circuit::{general::core::Core, spec::Spec},
    document::{self, Fault, Faults, Source, Value},
    quantity::{Ohms, Volts},
};

/// One rail of a core.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreRail {
    /// What it is called.
    pub name: String,
    /// Its circuit.
    pub spec: Spec,
    /// Load voltages, the negative one second, below which a load of constant current or power is a resistance; half the EMF
    /// peak where none is stated.
    pub knees: [Option<Volts>; 2],
    /// Voltage left on its capacitors where it is switched on.
    pub residual: Volts,
    /// Ripple ratings of the first and the second capacitor.
    pub ripple_ratings: [Option<RippleRating>; 2],
}

/// Several rails on one core.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreFile {
    /// What it is called.
    pub name: String,
    /// The rails, at least one.
    pub rails: Vec<CoreRail>,
    /// Resistance of primary and source, referred to one half of the first rail's winding.
    pub primary_resistance: Ohms,
    /// Mains rms behind the primary.
    pub mains_rms: Option<Volts>,
    /// Inrush limiter, referred to one half of the first rail's winding: cold and hot.
    pub limiter: Option<(Ohms, Ohms)>,
    /// Tolerances and limits.
    pub bounds: CoreBounds,
}

/// A circuit file of either kind.
#[derive(Clone, Debug, PartialEq)]
pub enum AnyFile {
    /// One winding.
    One(Box<CircuitFile>),
    /// Several on a core.
    Core(CoreFile),
}

/// Reads a circuit file of either kind, or returns every fault it has.
pub fn read_any(source: &Source) -> Result<AnyFile, Faults> {
    let mut several = false;
    let core = document::read(source, |from| {
        several = from.is_map() && from.entries()?.any(|(key, _)| key.str() == Some("rails"));
        // The other reader tells what is wrong with what has no rails.
        if several { core(from).map(Some) } else { Some(None) }
    });
    match core {
        Ok(Some(core)) => Ok(AnyFile::Core(core)),
        Err(faults) if several => Err(faults),
        Ok(None) | Err(_) => file::read(source).map(|one| AnyFile::One(Box::new(one))),
    }
}

fn core(from: Value<'_>) -> Option<CoreFile> {
    let mut fields = from.fields()?;
    let version = fields.required("circuit", |value| value.count(VERSION..=VERSION));
    let name = fields.optional("name", Value::text);
    let shared = fields.required("core", shared);
    let mut names: Vec<String> = Vec::new();
    let rails = fields.required("rails", |value| {
        value.list_of_some(|item| {
            let rail = rail(item)?;
            if names.contains(&rail.name) {
                let fault = Fault::new(item.first_span(), format!("duplicate rail `{}`", rail.name));
                item.report(fault.found("the name a second time").allowed("a name of its own"));
            }
            names.push(rail.name.clone());
            Some(rail)
        })
    });
    let (tolerance, limits) = (fields.take("tolerance"), fields.take("limits"));
    fields.finish();
    version?;
    let (primary_resistance, mains_rms, limiter) = shared?;
    let mut file = CoreFile {
        name: name.unwrap_or_else(|| "core".to_owned()),
        rails: rails?,
        primary_resistance,
        mains_rms,
        limiter,
        bounds: CoreBounds::default(),
    };
    file.bounds = core_spread::bounds(tolerance, limits, &file.rails, &file.core());
    Some(file)
}

/// Resistance of the primary, mains behind it, limiter before it.
type Shared = (Ohms, Option<Volts>, Option<(Ohms, Ohms)>);

fn shared(from: Value<'_>) -> Option<Shared> {
    let mut fields = from.fields()?;
    let ohms = fields.required("primary_resistance", |value| value.quantity(Ohms(0.0)..=Ohms(1e6)));
    let mains = fields.optional("mains_rms", file::mains);
    let limiter = fields.optional("limiter", file::limiter);
    fields.finish();
    Some((ohms?, mains, limiter))
}

fn rail(from: Value<'_>) -> Option<CoreRail> {
    let mut fields = from.fields()?;
    let name = fields.required("name", Value::text);
    let one = rectifier(from, &mut fields, Windings::OneOfSeveral);
    let residual = fields.optional("residual", file::residual);
    let ripple_ratings = [ripple::FIRST, ripple::SECOND].map(|which| ripple::read(&mut fields, which));
    fields.finish();
    let Rectifier { spec, knees, .. } = one?;
    Some(CoreRail { name: name?, spec, knees, residual: residual.unwrap_or_default(), ripple_ratings })
}

impl CoreFile {
    /// The core as the engine takes it.
    pub fn core(&self) -> Core {
        Core {
            rails: self.rails.iter().map(|rail| rail.spec).collect(),
            primary_resistance: self.primary_resistance,
        }
    }
}
