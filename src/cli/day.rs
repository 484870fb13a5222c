//! Days: today, and how many lie between two.

use railwright::policy::waiver;

/// Reads a day as a command's argument.
pub(crate) fn day(text: &str) -> Result<String, String> {
    if waiver::is_day(text) {
        Ok(text.to_owned())
    } else {
        Err(String::from("a day is written `2027-06-30`"))
    }
}

/// Today in universal time, `YYYY-MM-DD`; `None` where the clock stands before 1970.
pub(crate) fn today() -> Option<String> {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).ok()?;
    Some(civil(since.as_secs() / 86_400))
}

/// Days from one day to another, `YYYY-MM-DD` both; `None` where the other is earlier.
pub(crate) fn between(from: &str, to: &str) -> Option<u32> {
    u32::try_from(number(to)?.checked_sub(number(from)?)?).ok()
}

fn leap(year: u64) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

/// Days of the months of a year.
fn months(year: u64) -> [u64; 12] {
    [31, if leap(year) { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
}

/// The day of the Gregorian calendar that many days after 1970-01-01.
fn civil(days: u64) -> String {
    let (mut year, mut left) = (1970, days);
    loop {
        let length = if leap(year) { 366 } else { 365 };
        if left < length {
            break;
        }
        left -= length;
        year += 1;
    }
    let mut month = 1;
    for length in months(year) {
        if left < length {
            break;
        }
        left -= length;
        month += 1;
    }
    format!("{year:04}-{month:02}-{:02}", left + 1)
}

/// Days after 1970-01-01; `None` before that, or where the text is no day.
fn number(day: &str) -> Option<u64> {
    if !waiver::is_day(day) {
        return None;
    }
    let mut parts = day.split('-').map(|part| part.parse::<u64>().ok());
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    let years: u64 = (1970..year).map(|year| if leap(year) { 366 } else { 365 }).sum();
    let before: u64 = months(year).into_iter().zip(1..month).map(|(length, _)| length).sum();
    (year >= 1970).then_some(years + before + day - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Unix time 951 782 400 is 2000-02-29, 4 102 444 800 is 2100-01-01 (common knowledge, no source).
    #[test]
    fn days_since_1970_become_days_of_the_calendar_and_back() {
        assert_eq!(civil(0), "1970-01-01");
        assert_eq!(civil(951_782_400 / 86_400), "2000-02-29");
        assert_eq!(civil(4_102_444_800 / 86_400), "2100-01-01");
        assert_eq!(civil(364), "1970-12-31");
        for days in (0..60_000).step_by(7) {
            assert_eq!(number(&civil(days)), Some(days));
        }
    }

    #[test]
    fn an_earlier_day_is_no_number_of_days_away() {
        assert_eq!(between("2027-02-27", "2027-03-01"), Some(2));
        assert_eq!(between("2028-02-27", "2028-03-01"), Some(3));
        assert_eq!(between("2027-03-01", "2027-03-01"), Some(0));
        assert_eq!(between("2027-03-02", "2027-03-01"), None);
    }
}
