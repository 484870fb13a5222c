//! Purchases larger than brute force can check: the proof must still come near.

use railwright::document::Source;
use railwright::purchase::{self, Freedom, terms};

use crate::support::{orders, world};

/// 12 designs of 25 positions with substitutes and charges: the gap is far below the 2 % that larger orders may have, and
/// what is bought serves every design.
#[test]
fn twelve_designs_are_bought_within_half_a_percent_of_the_bound() {
    let catalog = world::demo();
    let pools = orders::pools(&catalog);
    let records = orders::designs(&pools, 12);
    let wanted = orders::wanted(&records);
    let substitutes = orders::substitutes(&pools);
    let supplier_terms = terms::terms(&Source::new("terms.yaml", orders::TERMS)).expect("sound");
    let list = |freedom| {
        purchase::order(&wanted, &catalog, &orders::wishes(), &supplier_terms, freedom).expect("an answer")
    };
    let order = list(Freedom { substitutes: &substitutes, barred: &[] });
    assert!(order.gap_percent.parse::<f64>().is_ok_and(|gap| gap <= 0.5), "{}", order.gap_percent);
    assert!(order.missing.is_empty(), "{:?}", order.missing);
    let needed: u64 = records
        .iter()
        .flat_map(|record| record.rails[0].parts.iter().map(|part| (part.count, record.build_quantity)))
        .map(|(count, quantity)| u64::from(count) * u64::from(quantity))
        .sum();
    let ordered: u64 = order.suppliers.iter().flat_map(|one| &one.lines).map(|line| line.ordered).sum();
    assert!(ordered >= needed, "{ordered} for {needed}");
    // Choices can only help, and the same question has the same answer.
    let plain = list(Freedom::default());
    assert!(order.total.amount < plain.total.amount && order.bound.amount <= plain.bound.amount);
    let again = list(Freedom { substitutes: &substitutes, barred: &[] });
    assert_eq!((again.total, again.bound), (order.total, order.bound));
}
