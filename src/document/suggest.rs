//! Which known word was probably meant.
//!
//! Knows nothing of what the words mean.

/// The nearest candidate, if it is near enough to be meant; the earlier of two equally near ones.
pub fn suggestion<'a>(found: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let count = found.chars().count();
    // A word far longer than any of ours is never meant, and the distance costs time.
    if count > 64 {
        return None;
    }
    let plain = fold(found);
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let other = fold(candidate);
        let distance = if lacks_part(&plain, &other) || lacks_part(&other, &plain) {
            0
        } else {
            strsim::damerau_levenshtein(&plain, &other)
        };
        if best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    // One slip in three characters may be a slip; more is another word.
    best.filter(|(distance, candidate)| *distance <= (count.min(candidate.chars().count()) / 3).max(1))
        .map(|(_, word)| word)
}

/// Whether `short` is `long` without its last parts: `ripple` for `ripple_pp` is meant before any slip.
fn lacks_part(short: &str, long: &str) -> bool {
    !short.is_empty() && long.strip_prefix(short).is_some_and(|rest| rest.starts_with('-'))
}

fn fold(word: &str) -> String {
    word.chars().map(|c| if matches!(c, '_' | ' ') { '-' } else { c.to_ascii_lowercase() }).collect()
}

#[cfg(test)]
mod tests {
    use super::suggestion;

    #[test]
    fn a_slip_is_recognised_and_another_word_is_not() {
        let keys = ["voltage", "tolerance", "current", "name"];
        assert_eq!(suggestion("voltge", keys), Some("voltage"));
        assert_eq!(suggestion("Tolerence", keys), Some("tolerance"));
        assert_eq!(suggestion("weight", keys), None);
        assert_eq!(suggestion("nmae", keys), Some("name"));
        assert_eq!(suggestion("ripple", ["name", "ripple_pp"]), Some("ripple_pp"));
        assert_eq!(suggestion("load_min", ["load-min"]), Some("load-min"));
    }
}
