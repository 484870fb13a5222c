//! What every row states, whatever its family: id, maker, package, lifecycle, size, temperatures, offers.

use super::{
    offers::{self, Terms},
    row::Row,
    text,
};
use crate::{
    catalog::{Common, PartId, part::Lifecycle},
    document::{Span, Value},
    quantity::{Celsius, Kilograms},
};

/// Longest part number.
const LONGEST_ID: usize = 40;
/// Temperatures that a part may be allowed.
const TEMPERATURES: std::ops::RangeInclusive<Celsius> = Celsius(-100.0)..=Celsius(400.0);

/// Reads what every part has, with the place of its id.
pub(super) fn read(row: &mut Row<'_, '_>, terms: &Terms) -> Option<(Common, Span)> {
    let id = row.required("id", |v| id(v).map(|id| (id, v.span())));
    if let Some((id, _)) = id {
        row.call(id);
    }
    let maker = row.required("maker", Value::text);
    let package = row.required("package", Value::text);
    let lifecycle = row.required("lifecycle", lifecycle);
    let approvals = row.optional("approvals", |v| v.list(Value::text));
    let mass = row.optional("mass", |v| v.quantity(Kilograms(1e-6)..=Kilograms(1e3)));
    let envelope = row.required("size", text::sides);
    let temperature = row.required("temperature", |v| text::ends(v, TEMPERATURES));
    let offers = row.optional("offers", |v| offers::read(v, terms));
    let ((id, span), (temperature_min, temperature_max)) = (id?, temperature?);
    let common = Common {
        id: PartId(id.to_owned()),
        maker: maker?,
        package: package?,
        lifecycle: lifecycle?,
        approvals: approvals.unwrap_or_default(),
        mass,
        envelope: envelope?,
        temperature_min,
        temperature_max,
        offers: offers.unwrap_or_default(),
    };
    Some((common, span))
}

fn id(value: Value<'_>) -> Option<&str> {
    let id = value.str()?;
    let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '+' | '/' | '_');
    if id.len() <= LONGEST_ID && id.chars().all(fits) {
        return Some(id);
    }
    let allowed = format!("at most {LONGEST_ID} letters, digits and signs of `. - + / _`");
    value.refuse("`id` is not a part number", allowed, None);
    None
}

fn lifecycle(value: Value<'_>) -> Option<Lifecycle> {
    let found = value.str()?;
    if let Some(date) = found.strip_prefix("last order ").filter(|date| is_date(date)) {
        return Some(Lifecycle::LastOrder(date.to_owned()));
    }
    match found {
        "active" => Some(Lifecycle::Active),
        "nrnd" => Some(Lifecycle::NotForNewDesigns),
        "withdrawn" => Some(Lifecycle::Withdrawn),
        _ => {
            let allowed =
                "`active`, `nrnd`, `withdrawn`, or `last order` with a date, as in `last order 2031-12-31`";
            value.refuse("`lifecycle` is not known", allowed, None);
            None
        }
    }
}

/// `YYYY-MM-DD` with a month and a day that exist in some year.
fn is_date(text: &str) -> bool {
    let number = |part: &str| -> Option<u32> {
        part.bytes().all(|byte| byte.is_ascii_digit()).then(|| part.parse().ok())?
    };
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next(), parts.next(), parts.next());
    let (Some(year), Some(month), Some(day), None) = (year, month, day, parts.next()) else { return false };
    if (year.len(), month.len(), day.len()) != (4, 2, 2) || number(year).is_none() {
        return false;
    }
    let days = match number(month) {
        Some(2) => 29,
        Some(4 | 6 | 9 | 11) => 30,
        Some(1..=12) => 31,
        _ => 0,
    };
    number(day).is_some_and(|day| (1..=days).contains(&day))
}

#[cfg(test)]
mod tests {
    use super::is_date;

    /// Common practice, no source: the calendar.
    #[test]
    fn a_date_has_a_month_and_a_day_that_exist() {
        for good in ["2027-06-30", "2028-02-29", "2030-12-31"] {
            assert!(is_date(good), "{good}");
        }
        for bad in [
            "2027-6-30",
            "2027-13-01",
            "2027-04-31",
            "2027-00-10",
            "30-06-2027",
            "2027-06-30-1",
            "2027-+6-30",
        ] {
            assert!(!is_date(bad), "{bad}");
        }
    }
}
