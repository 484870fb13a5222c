//! A record as it is read: every fault at once, each at its place.
//!
//! Looks up no part and judges none: words that mean nothing here are for a review to find.

use std::collections::BTreeMap;

use crate::document::{self, Fault, Faults, Source, Value};

use super::model::{Inputs, RECORD_VERSION, RailRecord, Record, RecordedPart};

/// Most supplies built at a time, and most pieces of a part in one supply.
pub const MOST: u32 = 1_000_000;

/// Reads a record.
pub fn read(source: &Source) -> Result<Record, Faults> {
    document::read(source, |root| {
        let mut map = root.fields()?;
        // What another layout calls its keys is not known here.
        let record = map.required("record", layout)?;
        let tool = map.required("tool", Value::text);
        let supply = map.required("supply", Value::text);
        let build_quantity = map.required("build_quantity", |value| value.count(1..=MOST));
        let inputs = map.required("inputs", inputs);
        let rails = map.required("rails", rails);
        map.finish();
        Some(Record {
            record,
            tool: tool?,
            supply: supply?,
            build_quantity: build_quantity?,
            inputs: inputs?,
            rails: rails?,
        })
    })
}

fn layout(value: Value<'_>) -> Option<u32> {
    let found = value.count(0..=u32::MAX)?;
    if found == RECORD_VERSION {
        return Some(found);
    }
    let hint = "make the record anew with `design`, or read it with the version of the tool that wrote it";
    value.refuse(
        format!("the record is of layout {found}"),
        format!("layout {RECORD_VERSION}: `record: {RECORD_VERSION}`"),
        Some(hint),
    );
    None
}

fn digests(value: Value<'_>) -> Option<BTreeMap<String, String>> {
    Some(value.entries()?.filter_map(|(name, digest)| Some((name.text()?, digest.text()?))).collect())
}

fn inputs(value: Value<'_>) -> Option<Inputs> {
    let mut map = value.fields()?;
    let requirements = map.required("requirements", Value::text);
    let policy = map.required("policy", digests);
    let catalog = map.required("catalog", digests);
    map.finish();
    Some(Inputs { requirements: requirements?, policy: policy?, catalog: catalog? })
}

fn rails(value: Value<'_>) -> Option<Vec<RailRecord>> {
    let mut all: Vec<RailRecord> = Vec::new();
    let mut whole = true;
    for item in value.items()? {
        match rail(item) {
            Some(one) if all.iter().any(|other| other.rail == one.rail) => {
                let message = format!("the rail `{}` stands in this record twice", one.rail);
                let fault = Fault::new(item.first_span(), message).found(format!("`{}` again", one.rail));
                item.report(fault.allowed("each rail once").hint("take one of the two out"));
                whole = false;
            }
            Some(one) => all.push(one),
            None => whole = false,
        }
    }
    whole.then_some(all)
}

fn rail(value: Value<'_>) -> Option<RailRecord> {
    let mut map = value.fields()?;
    let rail = map.required("rail", Value::text);
    let topology = map.required("topology", Value::text);
    let wiring = map.required("wiring", Value::text);
    let primary = map.required("primary", Value::text);
    let transformer_of = map.optional("transformer_of", Value::text);
    let parts = map.required("parts", |value| value.list(part));
    map.finish();
    Some(RailRecord {
        rail: rail?,
        topology: topology?,
        wiring: wiring?,
        primary: primary?,
        transformer_of,
        parts: parts?,
    })
}

fn part(value: Value<'_>) -> Option<RecordedPart> {
    let mut map = value.fields()?;
    let position = map.required("position", Value::text);
    let designators = map.required("designators", |value| value.list(Value::text));
    let part = map.required("part", Value::text);
    let stated = map.optional("value", Value::text);
    let maker = map.required("maker", Value::text);
    let count = map.required("count", |value| value.count(1..=MOST));
    let row = map.required("row", Value::text);
    map.finish();
    Some(RecordedPart {
        position: position?,
        designators: designators?,
        part: part?,
        value: stated,
        maker: maker?,
        count: count?,
        row: row?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::to_yaml;

    const RECORD: &str = "\
record: 1
tool: railwright 0.1.0
supply: bench outlet
build_quantity: 25
inputs: {requirements: aa, policy: {house: bb}, catalog: {demo/fuses.yaml: cc}}
rails:
- rail: main
  topology: bridge
  wiring: series
  primary: 230 V
  parts:
  - {position: bleeder, designators: [R1], part: PMF40, value: 5.62 kΩ, maker: Penmore, count: 1, row: dd}
";

    fn told(from: &str, to: &str) -> Vec<(usize, String)> {
        assert!(RECORD.contains(from), "{from}");
        let source = Source::new("record.yaml", RECORD.replacen(from, to, 1));
        let Err(faults) = read(&source) else { return Vec::new() };
        let at = |fault: &Fault| source.line_column(fault.span.start).0;
        faults.iter().map(|(_, fault)| (at(fault), fault.message.clone())).collect()
    }

    #[test]
    fn a_record_that_was_written_is_read_back_as_it_was() {
        let record = read(&Source::new("record.yaml", RECORD)).unwrap();
        assert_eq!(record.rails[0].parts[0].value.as_deref(), Some("5.62 kΩ"));
        let again = to_yaml(&record).unwrap();
        assert_eq!(read(&Source::new("record.yaml", again)).unwrap(), record);
    }

    #[test]
    fn each_fault_stands_at_its_place_in_plain_words() {
        for (from, to, line, message) in [
            ("record: 1", "record: 2", 1, "the record is of layout 2"),
            ("record: 1", "record: one", 1, "`record` is not a whole number"),
            ("supply: bench outlet", "suply: bench outlet", 3, "unknown key `suply`"),
            ("quantity: 25", "quantity: 0", 4, "`build_quantity` is out of range"),
            ("quantity: 25", "quantity: 99999999999999999999", 4, "`build_quantity` is out of range"),
            ("quantity: 25", "quantity: many", 4, "`build_quantity` is not a whole number"),
            ("policy: {house: bb}", "policy: bb", 5, "`policy` is not a map"),
            ("  wiring: series\n", "", 7, "missing key `wiring` in item of `rails`"),
            ("  wiring: series", "  wiring: [series]", 9, "`wiring` is a list"),
            ("designators: [R1]", "designators: R1", 12, "`designators` is not a list"),
            ("count: 1", "count: 0", 12, "`count` is out of range"),
            ("count: 1", "count: -4", 12, "`count` is out of range"),
            ("count: 1", "count: 1.5", 12, "`count` is not a whole number"),
            ("part: PMF40", "part: ", 12, "`part` has no value"),
        ] {
            assert_eq!(told(from, to), [(line, message.to_owned())], "{to}");
        }
        let rail = RECORD.split_once("rails:\n").unwrap().1;
        let twice = Source::new("record.yaml", format!("{RECORD}{rail}"));
        let said = read(&twice).unwrap_err().render(false);
        assert!(
            said.contains("the rail `main` stands in this record twice") && said.contains(":13:3"),
            "{said}"
        );
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let text = RECORD.replace("25", "x").replace("wiring", "wirings").replace("count: 1", "count: 0");
        let faults = read(&Source::new("record.yaml", text)).unwrap_err();
        assert_eq!(faults.iter().count(), 3);
    }

    proptest::proptest! {
        /// Law: whatever a file holds, the reader answers.
        #[test]
        fn any_text_is_answered(at in 0_usize..RECORD.len(), with in "[ -~\n]{0,6}") {
            let at = (0..=at).rev().find(|at| RECORD.is_char_boundary(*at)).unwrap_or(0);
            let (before, after) = RECORD.split_at(at);
            let _ = read(&Source::new("record.yaml", format!("{before}{with}{after}")));
            let _ = read(&Source::new("record.yaml", format!("{before}{with}")));
        }
    }
}
