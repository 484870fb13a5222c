use super::*;
use crate::document::events;
use proptest::prelude::*;

/// The tree of the full parser, or `None` if it refuses.
fn full(source: &Source) -> Option<Tree<'_>> {
    let mut builder = Builder::new(source);
    events::feed(source, &mut builder).ok()?;
    let (tree, faults) = builder.finish();
    faults.is_empty().then_some(tree)
}

/// What the quick way accepts, the full parser accepts with the same nodes, texts and places.
fn agree(text: &str) -> bool {
    let source = Source::new("x", text);
    let Some(quick) = tree(&source) else { return false };
    let full = full(&source).unwrap_or_else(|| panic!("only the quick way accepts {text:?}"));
    assert_eq!(quick.nodes.len(), full.nodes.len(), "{text:?}");
    for (at, (a, b)) in quick.nodes.iter().zip(&full.nodes).enumerate() {
        assert_eq!((a.kind, a.span, a.after), (b.kind, b.span, b.after), "node {at} of {text:?}");
        if matches!(a.kind, Kind::Plain | Kind::Quoted) {
            assert_eq!(quick.text_of(a.text), full.text_of(b.text), "node {at} of {text:?}");
        }
    }
    true
}

const SAMPLE: &str = "\
# head
family: electrolytic
'suppliers':   # who
  Corvane Ltd: {pack: 1, minimum: 10, lead: 3 days}
  Brackmill: { pack: 50 , \"price\": \"1: 3.23, 10: 2.94\" }

series:
- maker: Velkmar
  temperature: -40..105 °C
  each: {
    a: [[50 Hz, 0.89], [60 Hz, 0.92]], # inside
    b: -5 µF
  }
  rows:
    - {id: A-1, list: []}
    -
      - x y z
      - - deep
        - 1:2
    - id: 'A 2'
      empty: {}
last: ~
";

#[test]
fn plainly_written_files_take_the_quick_way() {
    assert!(agree(SAMPLE));
    assert!(agree("{\"a\": 1, \"b\": [1, 2, {\"c\": \"d\"}]}"));
    assert!(agree("{\n  \"a\": 1,\n  \"b\": [\n    1\n  ]\n}\n"));
    assert!(agree("- a\n- b: 1\n  c: 2\n- [1, 2]"));
}

/// The start of the program reads them all: a file that needs the full parser would cost tenfold.
#[test]
fn every_file_of_the_demo_catalog_takes_the_quick_way() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("catalogs/demo");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        assert!(agree(&std::fs::read_to_string(&path).unwrap()), "{}", path.display());
        files += 1;
    }
    assert!(files > 0);
}

#[test]
fn what_is_not_plain_goes_to_the_full_parser() {
    for text in [
        "a: |\n  block\n",
        "a: two\n  lines\n",
        "a: \"es\\x41cape\"\n",
        "a: 'it''s'\n",
        "a: &x 1\n",
        "a: *x\n",
        "a: !t 1\n",
        "a:\n",
        "a: 1\n---\nb: 2\n",
        "a: 1\nb\n",
        "a: [1, 2,]\n",
        "a: {b}\n",
        "a: b: c\n",
        "a:\tb\n",
        "a: [x\ny]\n",
        "",
    ] {
        assert!(!agree(text), "{text:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, ..ProptestConfig::default() })]

    #[test]
    fn both_ways_agree_on_signs_thrown_together(text in "([a-b1]|: |:|- |-|, |,|\n|\n  |\n    |\\{|\\}|\\[|\\]|\"|'| |#| #|µ|~|\\.|&|\\||\\?){0,24}") {
        agree(&text);
    }

    #[test]
    fn both_ways_agree_on_lines_thrown_together(lines in proptest::collection::vec(
        ("( ){0,3}", "(- ){0,2}", "(a|b|c|'d'|\"e f\"|g h)", "(:|: |: x|: -1|: \\{a: 1\\}|: \\[x, y\\]|: 'q'| # c|)"), 1..8)) {
        let text: String = lines.iter().map(|(indent, dash, key, rest)| indent.repeat(2) + dash + key + rest + "\n").collect();
        agree(&text);
    }

    #[test]
    fn both_ways_agree_on_a_mangled_file(cuts in proptest::collection::vec((0usize..600, 0usize..24), 1..4)) {
        let mut signs: Vec<char> = SAMPLE.chars().collect();
        for (at, kind) in cuts {
            let at = at % signs.len();
            match ":-,{}[]'\"# \n\tab&*|>?".chars().nth(kind) {
                Some(sign) => signs[at] = sign,
                None => { signs.remove(at); }
            }
        }
        agree(&signs.into_iter().collect::<String>());
    }
}
