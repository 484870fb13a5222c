//! YAML (and so JSON) in and out: a tree with places, a cursor that collects every fault, diagnostics.
//!
//! Alone names the YAML libraries. Knows quantities, but neither parts nor requirements; never touches a file.
//!
//! ```
//! use railwright::document::{self, Source};
//! use railwright::quantity::{Amps, Volts};
//!
//! struct Rail { name: String, voltage: Volts, current: Option<Amps> }
//!
//! fn rail(value: document::Value<'_>) -> Option<Rail> {
//!     let mut map = value.fields()?;
//!     let name = map.required("name", |v| v.text());
//!     let voltage = map.required("voltage", |v| v.quantity(Volts(0.5)..=Volts(400.0)));
//!     let current = map.optional("current", |v| v.quantity(Amps(0.0)..=Amps(100.0)));
//!     map.finish(); // reports unknown keys; call it before the first `?`
//!     Some(Rail { name: name?, voltage: voltage?, current })
//! }
//!
//! let source = Source::new("rail.yaml", "name: logic\nvoltage: 5 V\n");
//! let read = document::read(&source, rail).unwrap();
//! assert_eq!((read.name.as_str(), read.voltage, read.current), ("logic", Volts(5.0), None));
//!
//! let source = Source::new("rail.yaml", "name: logic\nvoltge: 5 V\n");
//! let faults = document::read(&source, rail).err().unwrap();
//! let (source, fault) = faults.iter().next().unwrap();
//! assert_eq!(source.line_column(fault.span.start), (2, 1));
//! assert_eq!(fault.hint.as_deref(), Some("did you mean `voltage`?"));
//! println!("{}", faults.render(false));
//! ```
//!
//! A closure returns `None` when it has reported a fault; [`read`] then returns all of them. An optional key
//! yields `None` when absent *or* at fault, which is harmless because any fault makes the whole reading fail.

mod builder;
mod events;
mod fault;
mod fields;
mod neutral;
mod plain_yaml;
mod render;
mod source;
mod suggest;
mod tree;
mod typed;
mod value;

pub use fault::{Fault, Faults};
pub use fields::Fields;
pub use neutral::neutralise;
pub use source::{Source, Span};
pub use suggest::suggestion;
pub use tree::Tree;
pub use typed::{WriteError, from_yaml, to_yaml};
pub use value::{Reader, Value};

/// Reads a file into a typed value, or returns every fault it has.
pub fn read<T>(source: &Source, build: impl FnOnce(Value<'_>) -> Option<T>) -> Result<T, Faults> {
    let tree = Tree::parse(source)?;
    let reader = Reader::new(&tree);
    let built = build(reader.root());
    let mut faults = reader.into_faults();
    match built {
        Some(value) if faults.is_empty() => Ok(value),
        _ => {
            if faults.is_empty() {
                faults.push(Fault::new(Span::default(), "this file does not say what it should"));
            }
            Err(Faults::new(source.clone(), faults))
        }
    }
}

#[cfg(test)]
mod tests;
