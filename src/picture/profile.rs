//! From a picture's own colours to sRGB, by its embedded ICC profile.
//!
//! Profiles of the usual kind (three curves and a matrix, or one curve for grey) are computed here from the parsed
//! profile with plain arithmetic, so that every machine gets the same bytes; the rare profiles with look-up tables go
//! through the colour-management crate. Either way relative colorimetric: white stays white, and colours outside
//! sRGB are clipped.

use super::contain;
use moxcms::{
    ColorProfile, DataColorSpace, Layout, ProfileText, RenderingIntent, ToneReprCurve, Transform16BitExecutor,
    TransformOptions,
};
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

/// Brings rows of a picture to sRGB.
pub(super) enum ToSrgb {
    Shaper(Box<Shaper>),
    Lookup(Arc<Transform16BitExecutor>),
}

/// Understands a profile. No conversion where none is needed or none is possible.
pub(super) fn read(bytes: Option<&[u8]>) -> (ProfileKind, Option<ToSrgb>) {
    let Some(bytes) = bytes else { return (ProfileKind::Absent, None) };
    // The parser is given bytes from anywhere; should it fail in an unforeseen way, the profile is broken.
    let read = contain::contained(|| read_usable(bytes));
    match read.unwrap_or_else(|| Err("it cannot be read".to_owned())) {
        Ok((_, to_srgb)) if to_srgb.changes_nothing() => (ProfileKind::Srgb, None),
        Ok((description, to_srgb)) => (ProfileKind::Other(description), Some(to_srgb)),
        Err(why) => (ProfileKind::Broken(why), None),
    }
}

fn read_usable(bytes: &[u8]) -> Result<(String, ToSrgb), String> {
    let profile = ColorProfile::new_from_slice(bytes).map_err(|error| error.to_string())?;
    let to_srgb = match profile.color_space {
        DataColorSpace::Rgb if has_tables(&profile) => ToSrgb::lookup(&profile, Layout::Rgb)?,
        DataColorSpace::Rgb => ToSrgb::Shaper(Box::new(Shaper::rgb(&profile)?)),
        DataColorSpace::Gray => ToSrgb::Shaper(Box::new(Shaper::grey(&profile)?)),
        _ => return Err("it is not for RGB or grey".to_owned()),
    };
    Ok((description(&profile), to_srgb))
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

impl ToSrgb {
    fn lookup(profile: &ColorProfile, layout: Layout) -> Result<ToSrgb, String> {
        let options =
            TransformOptions { rendering_intent: RenderingIntent::RelativeColorimetric, ..TransformOptions::default() };
        let srgb = ColorProfile::new_srgb();
        let transform = profile
            .create_transform_16bit(layout, &srgb, Layout::Rgb, options)
            .map_err(|error| error.to_string())?;
        Ok(ToSrgb::Lookup(transform))
    }

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

    /// Whether every 8-bit colour of a grid, and every grey, stays within one step of where it is.
    fn changes_nothing(&self) -> bool {
        let grid = (0..=255u8).step_by(15);
        let colours = grid.clone().flat_map(|r| {
            let grid = grid.clone();
            grid.clone().flat_map(move |g| grid.clone().map(move |b| [r, g, b]))
        });
        let colours: Vec<u8> = colours.chain((0..=255).map(|grey| [grey; 3])).flatten().collect();
        let mut samples: Vec<u16> = colours.iter().map(|&value| widen(value)).collect();
        let mut converted = vec![0; colours.len()];
        self.convert(&mut samples, &mut converted);
        colours.iter().zip(&converted).all(|(&before, &after)| before.abs_diff(after) <= 1)
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

/// Three curves to linear light, a matrix to linear sRGB, and sRGB's own curve back.
pub(super) struct Shaper {
    /// Linear light for each of the 65536 values of each channel.
    linear: [Vec<f32>; 3],
    matrix: [[f32; 3]; 3],
    /// 8-bit sRGB for linear light in steps of 1/65535. At its steepest the curve rises 0.05 counts a step.
    encoded: Vec<u8>,
}

impl Shaper {
    fn rgb(profile: &ColorProfile) -> Result<Shaper, String> {
        if !profile.is_matrix_shaper() {
            return Err("it lacks a curve or a colour".to_owned());
        }
        let matrix = profile.transform_matrix(&ColorProfile::new_srgb()).v;
        let matrix = matrix.map(|row| row.map(|weight| weight as f32));
        let curves = [&profile.red_trc, &profile.green_trc, &profile.blue_trc];
        Shaper::new(curves, matrix)
    }

    fn grey(profile: &ColorProfile) -> Result<Shaper, String> {
        let identity = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        Shaper::new([&profile.gray_trc; 3], identity)
    }

    fn new(curves: [&Option<ToneReprCurve>; 3], matrix: [[f32; 3]; 3]) -> Result<Shaper, String> {
        if matrix.iter().flatten().any(|weight| !weight.is_finite()) {
            return Err("its colours make no space".to_owned());
        }
        let mut linear = [const { Vec::new() }; 3];
        for (table, curve) in linear.iter_mut().zip(curves) {
            let curve = curve.as_ref().ok_or("it lacks a curve")?;
            *table = tabulate(curve)?;
        }
        Ok(Shaper { linear, matrix, encoded: srgb_encoding() })
    }

    fn convert(&self, samples: &[u16], out: &mut [u8]) {
        let [red, green, blue] = &self.linear;
        for (from, to) in samples.chunks_exact(3).zip(out.chunks_exact_mut(3)) {
            let light = [red[usize::from(from[0])], green[usize::from(from[1])], blue[usize::from(from[2])]];
            for (channel, row) in to.iter_mut().zip(&self.matrix) {
                let sum = row[0] * light[0] + row[1] * light[1] + row[2] * light[2];
                // A cast to an integer type clips what lies outside.
                *channel = self.encoded[usize::from((sum * 65535.0 + 0.5) as u16)];
            }
        }
    }
}

/// A curve's value for each of 65536 inputs.
fn tabulate(curve: &ToneReprCurve) -> Result<Vec<f32>, String> {
    let table: Vec<f32> = (0..=u16::MAX).map(|input| evaluate(curve, f64::from(input) / 65535.0) as f32).collect();
    if table.iter().all(|value| value.is_finite()) { Ok(table) } else { Err("its curve has no value".to_owned()) }
}

/// ICC.1 sections 10.6 (table: none is the identity, one entry a power in 1/256) and 10.18 (parametric, types 0 to 4
/// by the number of their parameters).
fn evaluate(curve: &ToneReprCurve, x: f64) -> f64 {
    match curve {
        ToneReprCurve::Lut(table) => match table.as_slice() {
            [] => x,
            [power] => libm::pow(x, f64::from(*power) / 256.0),
            table => interpolate(table, x),
        },
        ToneReprCurve::Parametric(parameters) => {
            let p = |index: usize, otherwise: f64| parameters.get(index).map_or(otherwise, |&value| f64::from(value));
            let (power, a, b) = (p(0, 1.0), p(1, 1.0), p(2, 0.0));
            let curved = |offset: f64| libm::pow((a * x + b).max(0.0), power) + offset;
            match parameters.len() {
                0 => x,
                1 => libm::pow(x, power),
                3 => if x >= -b / a { curved(0.0) } else { 0.0 },
                4 => if x >= -b / a { curved(p(3, 0.0)) } else { p(3, 0.0) },
                _ if x >= p(4, 0.0) => curved(p(5, 0.0)),
                _ => p(3, 0.0) * x + p(6, 0.0),
            }
        }
    }
}

fn interpolate(table: &[u16], x: f64) -> f64 {
    let place = x * (table.len() - 1) as f64;
    let low = (place as usize).min(table.len() - 2);
    let (here, next) = (f64::from(table[low]), f64::from(table[low + 1]));
    (here + (next - here) * (place - low as f64)) / 65535.0
}

/// The curve of IEC 61966-2-1, from linear light to 8 bits.
fn srgb_encoding() -> Vec<u8> {
    let encode = |light: f64| {
        if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::pow(light, 1.0 / 2.4) - 0.055 }
    };
    (0..=u16::MAX).map(|step| (encode(f64::from(step) / 65535.0) * 255.0 + 0.5) as u8).collect()
}
