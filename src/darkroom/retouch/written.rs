//! Repairs as the tour has them become repairs as data.

use super::{Repair, RepairKind};
use crate::tour::{self, DiscLook};

/// The repairs of a station. Materials are numbered as the files of its repairs come, one after the other.
pub fn repairs(written: &[tour::Repair]) -> Vec<Repair> {
    let mut materials = 0;
    let repair = |repair: &tour::Repair| {
        let first = materials;
        materials += repair.files().len();
        Repair { kind: kind(&repair.kind, first), is_private: !repair.is_alteration() }
    };
    written.iter().map(repair).collect()
}

fn kind(written: &tour::RepairKind, first: usize) -> RepairKind {
    match written {
        &tour::RepairKind::FillTripod { radius_deg, with_shadow } => RepairKind::FillTripod { radius_deg, with_shadow },
        tour::RepairKind::Fill(region) => RepairKind::Fill(region.clone()),
        tour::RepairKind::Clone { onto, from, from_shot, turned_deg } => RepairKind::Clone {
            onto: onto.clone(),
            from: *from,
            from_shot: from_shot.as_ref().map(|_| first),
            turned_clockwise_deg: *turned_deg,
        },
        &tour::RepairKind::Patch { middle, field_of_view_deg, .. } => {
            RepairKind::Patch { painted: first, twin: first + 1, middle, field_of_view_deg }
        }
        tour::RepairKind::Blur(region) => RepairKind::Blur(region.clone()),
        &tour::RepairKind::Disc { radius_deg, look: DiscLook::Colour(colour) } => {
            RepairKind::PlainDisc { radius_deg, colour }
        }
        &tour::RepairKind::Disc { radius_deg, look: DiscLook::Picture(_) } => {
            RepairKind::PictureDisc { radius_deg, picture: first }
        }
    }
}
