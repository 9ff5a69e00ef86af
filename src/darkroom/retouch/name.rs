//! What names a repair in the store.

use super::{Repair, RepairKind};
use crate::sphere::{Region, Spot};

impl Repair {
    /// Adds everything that decides what comes out to a name. What is not of fixed length says how long it is.
    pub(in crate::darkroom) fn name(&self, key: &mut blake3::Hasher) {
        let number = |key: &mut blake3::Hasher, number: f64| _ = key.update(&(number + 0.0).to_bits().to_le_bytes());
        let spot = |key: &mut blake3::Hasher, spot: Option<Spot>| {
            key.update(&[u8::from(spot.is_some())]);
            let (longitude, latitude) = spot.map_or((0.0, 0.0), |spot| (spot.longitude(), spot.latitude()));
            number(key, longitude);
            number(key, latitude);
        };
        key.update(&[u8::from(self.is_private)]);
        match &self.kind {
            RepairKind::FillTripod { radius_deg, with_shadow } => {
                key.update(&[0, u8::from(*with_shadow), u8::from(radius_deg.is_some())]);
                number(key, radius_deg.unwrap_or(0.0));
            }
            RepairKind::Fill(region) => {
                key.update(&[1]);
                region_name(region, key);
            }
            RepairKind::Clone { onto, from, from_shot, turned_clockwise_deg } => {
                key.update(&[2]).update(&from_shot.map_or(u64::MAX, |index| index as u64).to_le_bytes());
                region_name(onto, key);
                spot(key, *from);
                number(key, *turned_clockwise_deg);
            }
            RepairKind::Patch { painted, twin, middle, field_of_view_deg } => {
                key.update(&[3]);
                [painted, twin].into_iter().for_each(|index| _ = key.update(&(*index as u64).to_le_bytes()));
                spot(key, Some(*middle));
                number(key, *field_of_view_deg);
            }
            RepairKind::Blur(region) => {
                key.update(&[4]);
                region_name(region, key);
            }
            RepairKind::PlainDisc { radius_deg, colour } => {
                key.update(&[5]).update(colour);
                number(key, *radius_deg);
            }
            RepairKind::PictureDisc { radius_deg, picture } => {
                key.update(&[6]).update(&(*picture as u64).to_le_bytes());
                number(key, *radius_deg);
            }
        }
    }
}

fn region_name(region: &Region, key: &mut blake3::Hasher) {
    let numbers = region.numbers();
    key.update(&(numbers.len() as u64).to_le_bytes());
    numbers.iter().for_each(|number| _ = key.update(&(number + 0.0).to_bits().to_le_bytes()));
}
