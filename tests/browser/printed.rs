//! Pages printed on A4 and on Letter: how many sheets, cautions on the first, nothing cut at an edge.

use std::process::Command;

use super::pages::{each, folder, pages};
use super::{browse, browser, found, write};

/// Paper: its name, and its width and height in points.
const PAPERS: [(&str, f64, f64); 2] = [("A4", 595.0, 842.0), ("Letter", 612.0, 792.0)];
/// Least distance of a word from the edge of the paper, points: 12 mm are asked of the printer, less what rounding takes.
const EDGE: f64 = 30.0;

fn reader() -> bool {
    found("PDF reader `pdftotext`", Command::new("pdftotext").arg("-v").output().is_ok())
}

/// Sheets that a page may take: the more of A4 and Letter, measured, and a tenth more.
///
/// A ceiling and no exact number: another version of the browser breaks a line elsewhere, and one line may push a figure, which is
/// never cut, to the next sheet. What the tenth must not hide is a table or a derivation that grows with each rail.
fn ceiling(name: &str) -> usize {
    match name {
        // Three rails, 29 measured; below them one rail under two policies with all that an audit can add.
        "modular-rack" | "sluice-gate" => 32,
        // Two rails alike, 20 measured.
        "mixer-15v" => 22,
        // Two rails unlike: 22 measured, as what is derived once for rails alike is worked for each.
        "tide-gauge" => 24,
        "audit" => 38,
        "order" | "ratings" => 5,
        name if name.starts_with("circuit-") => 7,
        _ => 18,
    }
}

/// An attribute of a tag as a number.
fn number(tag: &str, name: &str) -> Option<f64> {
    tag.split(&format!("{name}=\"")).nth(1)?.split('"').next()?.parse().ok()
}

/// The first text of a drawing.
fn first_lettering(svg: &str) -> &str {
    let after = svg.split("<text").nth(1).unwrap_or("");
    after.split('>').nth(1).and_then(|rest| rest.split('<').next()).unwrap_or("")
}

#[test]
fn every_page_prints_whole_on_a4_and_on_letter_with_its_cautions_first() {
    if !browser() || !reader() {
        return;
    }
    each(pages(), |(name, text)| {
        for (paper, wide, high) in PAPERS {
            let text = text.replacen("@page{", &format!("@page{{size:{paper};"), 1);
            let file = write(&format!("print-{name}-{paper}.html"), &text);
            let pdf = folder().join(format!("{name}-{paper}.pdf"));
            browse(&["--no-pdf-header-footer", &format!("--print-to-pdf={}", pdf.display())], &file);
            let read = Command::new("pdftotext").arg("-bbox").arg(&pdf).arg("-").output().expect("read");
            let boxes = String::from_utf8_lossy(&read.stdout).into_owned();
            let sheets: Vec<&str> = boxes.split("<page ").skip(1).collect();
            let most = ceiling(name);
            assert!(
                (1..=most).contains(&sheets.len()),
                "{name} on {paper}: {} sheets, at most {most}",
                sheets.len()
            );
            for (index, sheet) in sheets.iter().enumerate() {
                let (w, h) = (number(sheet, "width").expect("w"), number(sheet, "height").expect("h"));
                assert!((w - wide).abs() < 2.0 && (h - high).abs() < 2.0, "{name}: {w} x {h} on {paper}");
                for word in sheet.split("<word ").skip(1) {
                    let tag = word.split("</word>").next().unwrap_or("");
                    let edges = ["xMin", "xMax", "yMin", "yMax"].map(|edge| number(tag, edge).unwrap_or(0.0));
                    let [left, right, top, bottom] = edges;
                    let inside = left > EDGE && right < w - EDGE && top > EDGE && bottom < h - EDGE;
                    assert!(inside, "{name} on {paper}, sheet {}: {tag}", index + 1);
                }
            }
            for (svg, lettering) in text.split("<svg").skip(1).map(first_lettering).enumerate() {
                let word = lettering.split_whitespace().next().unwrap_or("");
                assert!(
                    boxes.contains(&format!(">{word}<")),
                    "{name} on {paper}: figure {svg} lacks `{word}`"
                );
            }
            // Of several reports in one file each begins a sheet of its own.
            if text.matches("<article>").count() == 1 {
                let first = sheets.first().expect("a sheet");
                let told = first.matches(">▲<").count();
                let heads = text.matches("class=\"caution\"").count();
                assert_eq!(told, heads, "{name} on {paper}: cautions on the first sheet");
            }
        }
    });
}
