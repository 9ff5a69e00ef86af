//! Differences of colours, against the published pairs.

use crate::reference::reference;
use enfilade::darkroom::colour_difference::ciede2000;

/// All 34 pairs of Sharma, Wu and Dalal (2005), table 1: `ciede2000.csv` has the values as published, with four places.
#[test]
fn every_published_pair_has_its_difference() {
    let pairs = reference("ciede2000.csv");
    assert_eq!(pairs.len(), 34);
    for pair in pairs {
        let colour = |index: u32| ["L", "a", "b"].map(|axis| pair.number(&format!("{axis}{index}")));
        for (one, other) in [(colour(1), colour(2)), (colour(2), colour(1))] {
            let got = ciede2000(one, other);
            assert!((got - pair.number("published")).abs() < 1e-4, "pair {}: {got}", pair.text("pair"));
        }
        assert_eq!(ciede2000(colour(1), colour(1)), 0.0);
    }
}
