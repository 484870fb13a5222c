//! What is asked: a supply's requirements, typed and checked.
//!
//! Knows nothing of parts. After [`read()`] nobody doubts a value again.
//!
//! Every key of a requirements file; those behind a `#` mark may be left out, and the default that is taken then is
//! listed in [`Requirement::assumed`].
//!
//! ```
//! let text = "
//! name: logic and relays
//! description: two rails for a small controller   # optional
//! mains:
//!   voltage: 230 V
//!   tolerance: 10 %              # or { low: -15 %, high: 10 % }
//!   frequency: 50 Hz             # from 200 V on; below it must be stated
//!   frequency_tolerance: 1 %     #
//!   peak_factor: 97 %            # peak over √2 times rms
//!   source_resistance: 0.4 ohm   #
//!   prospective_current: 1500 A  # short-circuit current at the inlet
//! ambient:                       # all of it
//!   min: 0 °C
//!   nominal: 25 °C
//!   max: 40 °C
//!   altitude: 1000 m
//!   enclosure_rise: 15 K         # or enclosure_resistance: 1.2 K/W
//! rails:
//!   - name: logic
//!     voltage: 5 V
//!     tolerance: 5 %             # must be stated without regulation
//!     polarity: positive         #
//!     current: { min: 10 mA, max: 1 A }   # or the greatest alone
//!     peak: { current: 1.5 A, duration: 20 ms, share: 5 % }   # or period: 400 ms; neither: as if it lasted
//!     ripple_pp: 5 mV
//!     regulation: any            # any, fixed, adjustable, none
//!     hold_up: 20 ms             #
//!     load_capacitance: 100 uF   #
//! life: 20000 h                  #
//! profile:                       # shares of the life
//!   - { share: 60 %, ambient: 25 °C, load: 50 % }
//!   - { share: 40 %, ambient: 40 °C, load: 100 % }
//! insulation: reinforced         # or basic
//! protection_class: I            # or II
//! test_voltage: 3000 V           #
//! topologies: [half-wave, centre-tap, bridge]     #
//! shared_transformer: none       # or plus-and-minus, any-two, any-three
//! second_sections: [crc]         #
//! build: { quantity: 25, currency: EUR, spares: 5 % }   #
//! objective: { cost: 1, loss: 0.5 }   # or one word: cost, loss, volume, mass
//! policy: house                  #
//! catalogs: [demo]               #
//! preferences:                   # all of it
//!   excluded_makers: []
//!   excluded_parts: []
//!   lead_days_max: 60
//!   height_max: 60 mm
//!   allow_not_for_new_designs: false
//!   parallel_max: 4
//!   fuses: iec                   # or ul
//! proven_within: 2 %             # of several rails, above the least there can be
//! ";
//! let source = railwright::document::Source::new("requirements.yaml", text);
//! let asked = railwright::requirement::read(&source).unwrap();
//! assert_eq!(asked.assumed, []);
//! ```

mod assume;
pub mod model;
mod rail;
mod read;
mod relax;
mod surroundings;

pub use model::{
    Ambient, Assumed, Enclosure, Mains, Objective, PeakLoad, Polarity, Preferences, ProfileShare,
    ProtectionClass, Rail, Regulation, RequiredInsulation, Requirement, Ripple, Section, Sharing, Topology,
};
pub use read::read;
pub use relax::Knob;
