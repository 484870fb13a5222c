//! How an analysis looks.

use super::{answered, bench_bridge};

fn page(width: &str) -> String {
    let arguments = ["--switch-on", "--plot", "--samples", "5000", "--width", width];
    answered(&bench_bridge(), &arguments)
}

#[test]
fn an_analysis_at_80_columns() {
    insta::assert_snapshot!(page("80"));
}

#[test]
fn an_analysis_at_120_columns() {
    insta::assert_snapshot!(page("120"));
}

#[test]
fn no_line_of_an_analysis_is_wider_than_the_terminal() {
    for width in [60, 72, 80, 100, 120] {
        let text =
            answered(&bench_bridge(), &["--switch-on", "--samples", "500", "--width", &width.to_string()]);
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{width}: {widest}");
    }
}
