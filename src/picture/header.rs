//! What the facts of a file amount to: a sphere or a part of one, its pose, its colours; and what is refused.

use super::facts::{self, Facts};
use super::gpano::{Crop, GPano};
use super::profile::Conversion;
use super::{Header, LARGEST_HEIGHT, LARGEST_WIDTH, PictureError, ProfileKind, SphereFrame, profile};
use std::io::{BufRead, Seek};

/// Reads and judges the headers of a file of `bytes` bytes.
pub(super) fn read<R: BufRead + Seek>(reader: R, bytes: u64) -> Result<Header, PictureError> {
    Ok(judge(&Facts::read(reader, bytes)?, bytes)?.0)
}

/// Judges a file of `bytes` bytes by its facts. Also says how to bring its colours to sRGB, where that is needed.
pub(super) fn judge(facts: &Facts, bytes: u64) -> Result<(Header, Option<Conversion>), PictureError> {
    check_size(u64::from(facts.width), u64::from(facts.height))?;
    let (width, height) = facts.orientation.seen_size((facts.width, facts.height));
    if bytes < facts.least_bytes {
        return Err(PictureError::Implausible { width, height, bytes });
    }
    let mut warnings = Vec::new();
    let gpano = facts.xmp.as_deref().map(GPano::parse).transpose().unwrap_or_else(|why| {
        warnings.push(format!("its XMP metadata cannot be read and are left out ({why})"));
        None
    });
    let gpano = gpano.unwrap_or_default();
    if let Some(name) = &gpano.projection
        && !name.eq_ignore_ascii_case("equirectangular")
    {
        return Err(PictureError::Projection { name: name.clone() });
    }
    let sphere = frame((width, height), gpano.crop)?;
    if bytes < facts::evidence_for(sphere.full_width, sphere.full_height) && !sphere.is_whole((width, height)) {
        let (width, height) = (sphere.full_width, sphere.full_height);
        return Err(PictureError::Implausible { width, height, bytes });
    }
    let (profile, conversion) = profile::read(facts.profile.as_deref());
    if let ProfileKind::Broken(why) = &profile {
        warnings.push(format!("its colour profile cannot be used ({why}); its colours are taken as sRGB"));
    }
    let header = Header {
        format: facts.format,
        width,
        height,
        channels: facts.channels,
        bits_per_channel: facts.bits_per_channel,
        profile,
        sphere,
        pose_heading: gpano.pose_heading,
        pose_pitch_deg: gpano.pose_pitch_deg,
        pose_roll_deg: gpano.pose_roll_deg,
        warnings,
    };
    Ok((header, conversion))
}

/// Judges a flat picture, whose sides may have any proportion and are at most so long, by its facts.
pub(super) fn judge_flat(
    facts: &Facts,
    bytes: u64,
    longest: u32,
) -> Result<(ProfileKind, Option<Conversion>), PictureError> {
    let (width, height) = facts.orientation.seen_size((facts.width, facts.height));
    if width.max(height) > longest {
        return Err(PictureError::TooLargeFlat { width, height });
    }
    if width == 0 || height == 0 || bytes < facts.least_bytes {
        return Err(PictureError::Implausible { width, height, bytes });
    }
    Ok(profile::read(facts.profile.as_deref()))
}

/// Neither side longer than those of the largest sphere, whichever way up the file lies.
fn check_size(width: u64, height: u64) -> Result<(), PictureError> {
    let (long, short) = (width.max(height), width.min(height));
    if long > u64::from(LARGEST_WIDTH) || short > u64::from(LARGEST_HEIGHT) {
        return Err(PictureError::TooLarge { width, height });
    }
    Ok(())
}

/// Where a picture of that size lies in its sphere.
fn frame((width, height): (u32, u32), crop: Option<Crop>) -> Result<SphereFrame, PictureError> {
    let whole = |crop: &Crop| crop.full_width == crop.width && crop.full_height == crop.height;
    match crop {
        Some(crop) if !whole(&crop) => part(width, height, crop),
        _ if height > 0 && u64::from(width) == 2 * u64::from(height) => {
            Ok(SphereFrame { full_width: width, full_height: height, left: 0, top: 0 })
        }
        _ => Err(PictureError::NotTwoToOne { width, height }),
    }
}

/// The frame of a part, brought to this file's pixels: a file that was scaled after its fields were written is
/// `width` / `crop.width` times as large in everything.
fn part(width: u32, height: u32, crop: Crop) -> Result<SphereFrame, PictureError> {
    let refuse = |detail: String| Err(PictureError::Placement { detail });
    let Crop { full_width, full_height, .. } = crop;
    if !(crop.width >= 1.0 && crop.height >= 1.0 && full_width >= crop.width && full_height >= crop.height) {
        return refuse(format!(
            "a part of {}×{} does not fit into {full_width}×{full_height}",
            crop.width, crop.height
        ));
    }
    if full_width != 2.0 * full_height {
        return refuse(format!("the whole sphere would be {full_width}×{full_height}, not twice as wide as high"));
    }
    let scale = f64::from(width) / crop.width;
    if (crop.height * scale - f64::from(height)).abs() > 1.0 {
        return refuse(format!(
            "its {width}×{height} pixels do not have the shape of the part, {}×{}",
            crop.width, crop.height
        ));
    }
    let full_height = (full_height * scale).round();
    check_size((2.0 * full_height) as u64, full_height as u64)?;
    let full_height = full_height as u32;
    let full_width = 2 * full_height;
    let (Some(left), Some(top)) =
        (fit(crop.left * scale, width, full_width), fit(crop.top * scale, height, full_height))
    else {
        return refuse(format!("at {}, {} it reaches beyond the sphere's edge", crop.left, crop.top));
    };
    Ok(SphereFrame { full_width, full_height, left, top })
}

/// A start in whole pixels, so that `length` pixels end within `full`. Scaling may round one pixel too far.
fn fit(start: f64, length: u32, full: u32) -> Option<u32> {
    let room = f64::from(full) - f64::from(length);
    (room >= 0.0 && (-1.0..=room + 1.0).contains(&start)).then(|| start.round().clamp(0.0, room) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PART: Crop =
        Crop { full_width: 8000.0, full_height: 4000.0, width: 6000.0, height: 3000.0, left: 1000.0, top: 400.0 };

    #[test]
    fn a_part_lies_where_its_fields_say() {
        let expected = SphereFrame { full_width: 8000, full_height: 4000, left: 1000, top: 400 };
        assert_eq!(frame((6000, 3000), Some(PART)).unwrap(), expected);
    }

    #[test]
    fn a_part_that_was_scaled_scales_its_fields() {
        let expected = SphereFrame { full_width: 4000, full_height: 2000, left: 500, top: 200 };
        assert_eq!(frame((3000, 1500), Some(PART)).unwrap(), expected);
        // 1000 / 6000: 8000 becomes 1333.3, 4000 becomes 666.7, and the sphere stays twice as wide as high.
        let expected = SphereFrame { full_width: 1334, full_height: 667, left: 167, top: 67 };
        assert_eq!(frame((1000, 500), Some(PART)).unwrap(), expected);
    }

    #[test]
    fn a_whole_sphere_needs_no_fields() {
        let whole = |width, height| SphereFrame { full_width: width, full_height: height, left: 0, top: 0 };
        assert_eq!(frame((64, 32), None).unwrap(), whole(64, 32));
        let fields = Crop { width: 8000.0, height: 4000.0, left: 0.0, top: 0.0, ..PART };
        assert_eq!(frame((64, 32), Some(fields)).unwrap(), whole(64, 32));
    }

    #[test]
    fn contradictions_are_named() {
        let message = |size, crop| frame(size, Some(crop)).unwrap_err().to_string();
        assert_eq!(
            message((6000, 3000), Crop { left: 2001.5, ..PART }),
            "says where it lies in the sphere, but at 2001.5, 400 it reaches beyond the sphere's edge"
        );
        assert_eq!(
            message((6000, 3000), Crop { full_height: 4200.0, ..PART }),
            "says where it lies in the sphere, but the whole sphere would be 8000×4200, not twice as wide as high"
        );
        assert_eq!(
            message((6000, 2000), PART),
            "says where it lies in the sphere, but its 6000×2000 pixels do not have the shape of the part, 6000×3000"
        );
        assert_eq!(
            message((6000, 3000), Crop { width: 0.0, ..PART }),
            "says where it lies in the sphere, but a part of 0×3000 does not fit into 8000×4000"
        );
    }
}
