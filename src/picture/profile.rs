//! From a picture's own colours to sRGB or to light, by its embedded ICC profile.
//!
//! Profiles of the usual kind (three curves and a matrix, or one curve for grey) are computed here from the parsed
//! profile with plain arithmetic, so that every machine gets the same bytes; the rare profiles with look-up tables go
//! through the colour-management crate. Either way relative colorimetric: white stays white. On the way to sRGB, colours
//! outside it are clipped.

use super::contain;
use super::shaper::{Curves, Shaper};
use moxcms::{
    ColorProfile, DataColorSpace, Layout, LocalizableString, ProfileText, RenderingIntent, Transform16BitExecutor,
    TransformOptions,
};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a picture file says of its colours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProfileKind {
    /// Nothing: taken as sRGB.
    Absent,
    /// A profile that is sRGB in effect: no 8-bit colour changes by more than one step.
    Srgb,
    /// Another one, with its own description. The colours are brought to sRGB.
    Other(String),
    /// One that cannot be used, and why. The colours are taken as sRGB.
    Broken(String),
}

/// A way from a picture's colours to sRGB that changes them.
pub(super) enum Conversion {
    Curves(Box<Curves>),
    Lookup {
        to_srgb: Arc<Transform16BitExecutor>,
        /// To the primaries of BT.2020 with sRGB's curve.
        to_wide: Arc<Transform16BitExecutor>,
    },
}

/// Understands a profile. No conversion where none is needed or none is possible.
pub(super) fn read(bytes: Option<&[u8]>) -> (ProfileKind, Option<Conversion>) {
    let Some(bytes) = bytes else { return (ProfileKind::Absent, None) };
    // The parser is given bytes from anywhere; should it fail in an unforeseen way, the profile is broken.
    let read = contain::contained(|| read_usable(bytes));
    match read.unwrap_or_else(|| Err("it cannot be read".to_owned())) {
        Ok((_, conversion)) if conversion.changes_nothing() => (ProfileKind::Srgb, None),
        Ok((description, conversion)) => (ProfileKind::Other(description), Some(conversion)),
        Err(why) => (ProfileKind::Broken(why), None),
    }
}

fn read_usable(bytes: &[u8]) -> Result<(String, Conversion), String> {
    let profile = ColorProfile::new_from_slice(bytes).map_err(|error| error.to_string())?;
    let conversion = match profile.color_space {
        DataColorSpace::Rgb if has_tables(&profile) => Conversion::lookup(&profile)?,
        DataColorSpace::Rgb => Conversion::Curves(Box::new(Curves::rgb(&profile)?)),
        DataColorSpace::Gray => Conversion::Curves(Box::new(Curves::grey(&profile)?)),
        _ => return Err("it is not for RGB or grey".to_owned()),
    };
    Ok((description(&profile), conversion))
}

/// The primaries of BT.2020 with sRGB's curve, whose steps of 16 bits are fine enough everywhere.
fn wide() -> ColorProfile {
    let (mut wide, srgb) = (ColorProfile::new_bt2020(), ColorProfile::new_srgb());
    (wide.red_trc, wide.green_trc, wide.blue_trc) = (srgb.red_trc, srgb.green_trc, srgb.blue_trc);
    wide.cicp = None;
    wide
}

/// The first of January 2000, midnight: year, month, day, hour, minute, second of 16 bits each.
const PROFILE_MADE: [u8; 12] = [7, 208, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0];

/// A profile that says sRGB, as a file embeds it.
pub fn srgb_profile() -> Vec<u8> {
    let mut profile = ColorProfile::new_srgb();
    // What it says beyond the curves and primaries is meant for video, and its range is not ours.
    profile.cicp = None;
    written(&profile)
}

/// A profile that says BT.2020's primaries with sRGB's curve, as a file embeds it.
pub(super) fn wide_profile() -> Vec<u8> {
    let mut profile = wide();
    let name = "BT.2020 with the sRGB curve".to_owned();
    let text = LocalizableString { language: "en".to_owned(), country: "US".to_owned(), value: name };
    profile.description = Some(ProfileText::Localizable(vec![text]));
    written(&profile)
}

fn written(profile: &ColorProfile) -> Vec<u8> {
    // All parts of the profile are set in the crate and can be written.
    let mut bytes = profile.encode().unwrap_or_default();
    // ICC.1:2022 section 7.2.8: the moment of making. The same bytes whenever a file is made.
    if let Some(moment) = bytes.get_mut(24..36) {
        moment.copy_from_slice(&PROFILE_MADE);
    }
    // Section 7.2.16: the light of the connection space, which is D50 and nothing else.
    if let Some(light) = bytes.get_mut(68..80) {
        light.copy_from_slice(&D50);
    }
    aligned(&bytes).unwrap_or(bytes)
}

/// X, Y and Z of D50 as ICC.1 section 7.2.16 writes them.
const D50: [u8; 12] = [0, 0, 0xf6, 0xd6, 0, 1, 0, 0, 0, 0, 0xd3, 0x2d];

/// The same profile with every tag's data at a multiple of four bytes, as ICC.1 section 7.3.4 asks for and some readers insist. `None` for what is no
/// profile.
fn aligned(profile: &[u8]) -> Option<Vec<u8>> {
    const HEADER: usize = 128;
    let number = |bytes: &[u8]| Some(u32::from_be_bytes(bytes.get(..4)?.try_into().ok()?));
    let count = number(profile.get(HEADER..)?)? as usize;
    let table = profile.get(HEADER + 4..)?.get(..12 * count)?;
    let mut out = profile.get(..HEADER + 4 + 12 * count)?.to_vec();
    let mut moved: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for (index, entry) in table.chunks_exact(12).enumerate() {
        let (start, length) = (number(&entry[4..])?, number(&entry[8..])?);
        let data = profile.get(start as usize..)?.get(..length as usize)?;
        let place = *moved.entry((start, length)).or_insert_with(|| {
            out.resize(out.len().next_multiple_of(4), 0);
            let place = out.len() as u32;
            out.extend_from_slice(data);
            place
        });
        out[HEADER + 4 + 12 * index + 4..][..4].copy_from_slice(&place.to_be_bytes());
    }
    out.resize(out.len().next_multiple_of(4), 0);
    let length = (out.len() as u32).to_be_bytes();
    out[..4].copy_from_slice(&length);
    Some(out)
}

/// ICC.1 section 8.3: where there are tables, they come before the matrix.
fn has_tables(profile: &ColorProfile) -> bool {
    profile.lut_a_to_b_perceptual.is_some() || profile.lut_a_to_b_colorimetric.is_some()
}

fn description(profile: &ColorProfile) -> String {
    let text = match &profile.description {
        Some(ProfileText::PlainString(text)) => text.as_str(),
        Some(ProfileText::Localizable(texts)) => texts.first().map_or("", |text| &text.value),
        Some(ProfileText::Description(text)) => &text.ascii_string,
        None => "",
    };
    let text = text.trim_matches(|character: char| character == '\0' || character.is_whitespace());
    if text.is_empty() { "without a name".to_owned() } else { text.to_owned() }
}

impl Conversion {
    fn lookup(profile: &ColorProfile) -> Result<Conversion, String> {
        let options =
            TransformOptions { rendering_intent: RenderingIntent::RelativeColorimetric, ..TransformOptions::default() };
        let transform = |to: &ColorProfile| {
            let made = profile.create_transform_16bit(Layout::Rgb, to, Layout::Rgb, options);
            made.map_err(|error| error.to_string())
        };
        Ok(Conversion::Lookup { to_srgb: transform(&ColorProfile::new_srgb())?, to_wide: transform(&wide())? })
    }

    /// Whether every 8-bit colour of a grid, and every grey, stays within one step of where it is.
    fn changes_nothing(&self) -> bool {
        let steps = || [0u8, 36, 73, 109, 146, 182, 219, 255].into_iter();
        let colours = steps().flat_map(|r| steps().flat_map(move |g| steps().map(move |b| [r, g, b])));
        let mut colours = colours.chain((0..=255).map(|grey| [grey; 3]));
        match self {
            Conversion::Curves(curves) => {
                let stays = |colour: [u8; 3]| {
                    let light = colour.map(|value| f64::from(value) / 255.0);
                    let converted = curves.convert(light);
                    colour.iter().zip(converted).all(|(&before, after)| (f64::from(before) - after).abs() < 1.5)
                };
                colours.all(stays)
            }
            Conversion::Lookup { to_srgb, .. } => colours.all(|colour| {
                let mut converted = [0; 3];
                let fits = to_srgb.transform(&colour.map(widen), &mut converted).is_ok();
                fits && colour.iter().zip(converted).all(|(&before, after)| before.abs_diff(narrow(after)) <= 1)
            }),
        }
    }

    /// Makes ready to convert whole rows.
    pub fn prepare(self) -> ToSrgb {
        match self {
            Conversion::Curves(curves) => ToSrgb::Shaper(Box::new(curves.tabulate())),
            Conversion::Lookup { to_srgb, .. } => ToSrgb::Lookup(to_srgb),
        }
    }
}

/// Brings rows of a picture to sRGB.
pub(super) enum ToSrgb {
    Shaper(Box<Shaper>),
    Lookup(Arc<Transform16BitExecutor>),
}

impl ToSrgb {
    /// Brings RGB triples of 16 bits a channel to sRGB of 8 bits a channel, rounded once. `samples` and `out` have the
    /// same length; `samples` are used up.
    pub fn convert(&self, samples: &mut [u16], out: &mut [u8]) {
        match self {
            ToSrgb::Shaper(shaper) => shaper.convert(samples, out),
            ToSrgb::Lookup(transform) => {
                let source = samples.to_vec();
                // Lengths are equal and multiples of three, the only thing that it refuses.
                if transform.transform(&source, samples).is_err() {
                    samples.copy_from_slice(&source);
                }
                out.iter_mut().zip(samples).for_each(|(to, from)| *to = narrow(*from));
            }
        }
    }
}

/// 0..=255 spread over 0..=65535.
pub(super) fn widen(value: u8) -> u16 {
    u16::from(value) * 257
}

/// The nearest of 0..=255 for a value of 0..=65535.
pub(super) fn narrow(value: u16) -> u8 {
    ((u32::from(value) + 128) / 257) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ICC.1:2022, sections 7.2.16 and 7.3.4: what strict readers look at first.
    #[test]
    fn written_profiles_are_as_strict_readers_want_them() {
        for bytes in [srgb_profile(), wide_profile()] {
            let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
            assert_eq!(number(0), bytes.len());
            assert_eq!(&bytes[68..80], &D50);
            for tag in 0..number(128) {
                let (start, length) = (number(132 + 12 * tag + 4), number(132 + 12 * tag + 8));
                assert!(start % 4 == 0 && start + length <= bytes.len(), "tag {tag} lies at {start}");
            }
            assert!(ColorProfile::new_from_slice(&bytes).is_ok());
        }
    }
}
