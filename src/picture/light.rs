//! From a file's samples to linear BT.2020 at the file's own depth.

use super::ProfileKind;
use super::exif::{Orientation, Walk};
use super::linear::{BT2020_TO_SRGB, LightMatrix, SRGB_TO_BT2020, finite, light_to_srgb, srgb_to_light, through};
use super::place::PLAIN_LIGHT;
use super::profile::Conversion;
use super::rows::{Depth, Kind, Samples};
use super::shaper::Curves;
use moxcms::Transform16BitExecutor;
use std::sync::Arc;

/// A way from a picture's own colours to linear BT.2020.
pub(super) struct ToLight {
    colours: Colours,
    /// From linear light of the samples' primaries, as numbers and ready for use.
    own: [[f64; 3]; 3],
    matrix: LightMatrix,
}

enum Colours {
    /// Linear light for each of 65536 values; which of the tables a channel has; and what floating point means.
    Curves { tables: Vec<Vec<f32>>, of_channel: [usize; 3], floats: Floats },
    /// To 16 bits in BT.2020's primaries with sRGB's curve, whose light the table has.
    Lookup { transform: Arc<Transform16BitExecutor>, table: Vec<f32> },
}

const IDENTITY: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// What numbers in floating point mean.
enum Floats {
    Light,
    Srgb,
    Curves(Box<Curves>),
}

impl ToLight {
    /// Without a conversion the colours are sRGB; in floating point linear light in its primaries, unless a profile says
    /// that they are sRGB.
    pub fn new(conversion: Option<&Conversion>, profile: &ProfileKind) -> ToLight {
        match conversion {
            None if *profile == ProfileKind::Srgb => ToLight::of_srgb(Floats::Srgb),
            None => ToLight::of_srgb(Floats::Light),
            Some(Conversion::Curves(curves)) => ToLight::of_curves(curves),
            Some(Conversion::Lookup { to_wide, .. }) => ToLight {
                colours: Colours::Lookup { transform: Arc::clone(to_wide), table: tabulate(srgb_to_light) },
                own: IDENTITY,
                matrix: LightMatrix::new(IDENTITY),
            },
        }
    }

    fn of_srgb(floats: Floats) -> ToLight {
        let tables = vec![tabulate(srgb_to_light)];
        let colours = Colours::Curves { tables, of_channel: [0; 3], floats };
        let own = SRGB_TO_BT2020.map(|row| row.map(f64::from));
        ToLight { colours, own, matrix: LightMatrix::keeping_white(&SRGB_TO_BT2020) }
    }

    fn of_curves(curves: &Curves) -> ToLight {
        let mut tables: Vec<Vec<f32>> = Vec::new();
        let of_channel = std::array::from_fn(|channel| match (0..channel).find(|&other| curves.same(channel, other)) {
            Some(other) => other,
            None => {
                tables.push(tabulate(|value| curves.light(channel, value)));
                tables.len() - 1
            }
        });
        let colours = Colours::Curves { tables, of_channel, floats: Floats::Curves(Box::new(curves.clone())) };
        let own = keep_white(wide_matrix(curves.matrix()));
        ToLight { colours, own, matrix: LightMatrix::new(own) }
    }

    /// Light of a row of 16-bit RGB triples, which are used up.
    fn convert(&self, samples: &mut [u16], [red, green, blue]: [&mut [f32]; 3]) {
        if let Colours::Lookup { transform, .. } = &self.colours {
            let source = samples.to_vec();
            // Lengths are equal and multiples of three, the only thing that it refuses.
            if transform.transform(&source, samples).is_err() {
                samples.copy_from_slice(&source);
            }
        }
        let tables: [&[f32]; 3] = match &self.colours {
            Colours::Curves { tables, of_channel, .. } => of_channel.map(|table| &tables[table][..]),
            Colours::Lookup { table, .. } => [table; 3],
        };
        for (x, rgb) in samples.chunks_exact(3).enumerate() {
            let light = std::array::from_fn(|channel| tables[channel][usize::from(rgb[channel])]);
            [red[x], green[x], blue[x]] = self.matrix.apply(light);
        }
    }

    /// Light of one colour in floating point.
    fn convert_float(&self, colour: [f32; 3]) -> [f32; 3] {
        match &self.colours {
            Colours::Curves { floats: Floats::Light, .. } => self.matrix.apply(colour),
            Colours::Curves { floats: Floats::Srgb, .. } => {
                self.matrix.apply(colour.map(|value| beyond(value, srgb_to_light)))
            }
            Colours::Curves { floats: Floats::Curves(curves), .. } => {
                let light = |channel: usize| beyond(colour[channel], |value| curves.light(channel, value));
                self.matrix.apply([light(0), light(1), light(2)])
            }
            Colours::Lookup { .. } => {
                let mut samples = colour.map(|value| (value.clamp(0.0, 1.0) * 65535.0 + 0.5) as u16);
                let mut light = [[0.0f32]; 3];
                self.convert(&mut samples, light.each_mut().map(|channel| &mut channel[..]));
                light.map(|[channel]| channel)
            }
        }
    }
}

/// The light of a number in floating point by a curve that says what lies between 0 and 1: a number above 1 is scaled down
/// to 1 and its light up again, one below 0 is mirrored.
fn beyond(value: f32, curve: impl Fn(f64) -> f64) -> f32 {
    let size = f64::from(value.abs());
    (curve(size.min(1.0)) * size.max(1.0)).copysign(f64::from(value)) as f32
}

fn tabulate(light: impl Fn(f64) -> f64) -> Vec<f32> {
    (0..=u16::MAX).map(|value| light(f64::from(value) / 65535.0) as f32).collect()
}

/// A matrix to linear sRGB, led on to linear BT.2020.
fn wide_matrix(to_srgb: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    SRGB_TO_BT2020.map(|row| {
        std::array::from_fn(|column| (0..3).map(|inner| f64::from(row[inner]) * to_srgb[inner][column]).sum())
    })
}

/// A profile's numbers have 16 bits behind the point, so its white comes out as nearly white. Rows whose sum is within that
/// of 1 are brought to 1, so that greys stay exactly grey.
fn keep_white(rows: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    const PROFILE_ROUNDING: f64 = 1e-3;
    let sums = rows.map(|row| row.iter().sum::<f64>());
    if sums.iter().any(|sum| (sum - 1.0).abs() > PROFILE_ROUNDING) {
        return rows;
    }
    rows.map(|row| [row[0], 1.0 - row[0] - row[2], row[2]])
}

/// A picture that is read row by row as linear BT.2020.
pub(super) struct LightRows {
    samples: Samples,
    width: usize,
    height: usize,
    orientation: Orientation,
    to_light: ToLight,
    /// One row at 16 bits a channel.
    wide: Vec<u16>,
}

impl LightRows {
    /// `width` and `height` are those of the file, before orientation.
    pub fn new(
        samples: Samples,
        (width, height): (usize, usize),
        orientation: Orientation,
        to_light: ToLight,
    ) -> LightRows {
        LightRows { samples, width, height, orientation, to_light, wide: Vec::new() }
    }

    /// As [`super::linear::LinearRows::full_scale`]: floating point goes on, whole numbers end.
    pub fn full_scale(&self) -> Option<[[f64; 3]; 3]> {
        (self.samples.depth != Depth::Float).then_some(self.to_light.own)
    }

    /// Writes row `y`, as it is seen. What is transparent shows mid grey through it.
    pub fn read(&mut self, y: usize, planes: [&mut [f32]; 3]) {
        let walk = self.orientation.walk(y, self.width, self.height);
        if self.samples.depth == Depth::Float {
            return read_floats(&self.samples, walk, &self.to_light, planes);
        }
        self.wide.resize(3 * planes[0].len(), 0);
        gather(&self.samples, walk, &mut self.wide);
        self.to_light.convert(&mut self.wide, planes);
    }
}

fn read_floats(samples: &Samples, walk: Walk, to_light: &ToLight, [red, green, blue]: [&mut [f32]; 3]) {
    for (x, pixel) in walk.pixels().take(red.len()).enumerate() {
        [red[x], green[x], blue[x]] = light_at(samples, pixel, to_light);
    }
}

fn light_at(samples: &Samples, pixel: usize, to_light: &ToLight) -> [f32; 3] {
    let channels = samples.kind.channels();
    let at = |channel: usize| {
        let bytes = &samples.bytes[4 * (pixel * channels + channel)..][..4];
        f32::from_ne_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
    };
    let light = to_light.convert_float([0, 1, 2].map(|channel| finite(at(channel))));
    if samples.kind != Kind::RgbAlpha {
        return light;
    }
    let alpha = at(3).clamp(0.0, 1.0);
    light.map(|channel| channel * alpha + PLAIN_LIGHT * (1.0 - alpha))
}

/// Light in floating point as RGB triples of 8-bit sRGB, clipped.
pub(super) fn to_bytes(samples: &Samples, walk: Walk, to_light: &ToLight, out: &mut [u8]) {
    for (rgb, pixel) in out.chunks_exact_mut(3).zip(walk.pixels()) {
        let light = through(&BT2020_TO_SRGB, light_at(samples, pixel, to_light));
        for (byte, light) in rgb.iter_mut().zip(light) {
            // A cast to an integer type makes nought of what is not a number.
            *byte = (255.0 * light_to_srgb(f64::from(light).clamp(0.0, 1.0)) + 0.5) as u8;
        }
    }
}

/// RGB triples of 16 bits. Eight bits are spread over them, and Y'CbCr becomes RGB without being rounded to 8 bits again.
fn gather(samples: &Samples, walk: Walk, out: &mut [u16]) {
    let channels = samples.kind.channels();
    let at = |pixel: usize, channel: usize| -> u64 {
        let index = pixel * channels + channel;
        match samples.depth {
            Depth::Sixteen => u64::from(u16::from_ne_bytes([samples.bytes[2 * index], samples.bytes[2 * index + 1]])),
            _ => u64::from(samples.bytes[index]) * 257,
        }
    };
    for (rgb, pixel) in out.chunks_exact_mut(3).zip(walk.pixels()) {
        let colour: [u64; 3] = match samples.kind {
            Kind::Grey => [at(pixel, 0); 3],
            Kind::GreyAlpha => [over_plain(at(pixel, 0), at(pixel, 1)); 3],
            Kind::Rgb => [0, 1, 2].map(|channel| at(pixel, channel)),
            Kind::RgbAlpha => [0, 1, 2].map(|channel| over_plain(at(pixel, channel), at(pixel, 3))),
            Kind::Ycc => to_rgb([0, 1, 2].map(|channel| at(pixel, channel) as i64)),
        };
        rgb.iter_mut().zip(colour).for_each(|(to, from)| *to = from as u16);
    }
}

/// Laid over plain grey as far as `alpha` lets that show, in the file's own values, all of 16 bits.
fn over_plain(value: u64, alpha: u64) -> u64 {
    const PLAIN: u64 = super::place::PLAIN as u64 * 257;
    (value * alpha + PLAIN * (65535 - alpha) + 32767) / 65535
}

/// ITU-T T.871 section 7 for 16 bits, in fixed point of 16 bits.
fn to_rgb([y, cb, cr]: [i64; 3]) -> [u64; 3] {
    let (cb, cr) = (cb - 128 * 257, cr - 128 * 257);
    let round = |sum: i64| (((y << 16) + sum + (1 << 15)) >> 16).clamp(0, 65535) as u64;
    [round(91881 * cr), round(-22554 * cb - 46802 * cr), round(116130 * cb)]
}
