//! Saturation, and the way from wide colours to those of sRGB.

use super::logarithm::cube_root;
use crate::picture::linear::LightMatrix;

/// Stronger or weaker colours, lightness and hue kept: distance from grey in Oklab (B. Ottosson, "A perceptual color space for
/// image processing", 2020) times 1 + saturation. At −1 every colour is the grey of its lightness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    strength: f32,
}

/// From linear sRGB to the cone responses of Oklab, and back. Rows add up to 1.
const CONES: LightMatrix = LightMatrix::keeping_white(&[
    [0.412_221_47, 0.536_332_5, 0.051_445_995],
    [0.211_903_5, 0.680_699_5, 0.107_396_96],
    [0.088_302_46, 0.281_718_85, 0.629_978_7],
]);
const FROM_CONES: LightMatrix = LightMatrix::keeping_white(&[
    [4.076_741_7, -3.307_711_6, 0.230_969_94],
    [-1.268_438, 2.609_757_4, -0.341_319_38],
    [-0.004_196_086_3, -0.703_418_6, 1.707_614_7],
]);
/// Weights of the long and the short cones' roots in lightness; the middle one has what is left to 1.
const LIGHTNESS: [f32; 2] = [0.210_454_26, -0.004_072_047];

impl Saturation {
    /// `None` at 0. Clamped to −1..=1.
    pub fn of(saturation: f64) -> Option<Saturation> {
        (saturation != 0.0).then(|| Saturation { strength: 1.0 + saturation.clamp(-1.0, 1.0) as f32 })
    }

    /// A colour of linear sRGB.
    pub fn apply(&self, colour: [f32; 3]) -> [f32; 3] {
        self.of_roots(Saturation::cones(colour).map(cube_root))
    }

    /// The first half of [`Saturation::apply`]: the cone responses of a colour of linear sRGB, whose cube roots go to
    /// [`Saturation::of_roots`]. In halves, so that the roots can be taken of many numbers at a time.
    #[inline(always)]
    pub fn cones(colour: [f32; 3]) -> [f32; 3] {
        CONES.apply(colour)
    }

    /// The second half.
    #[inline(always)]
    pub fn of_roots(&self, [long, middle, short]: [f32; 3]) -> [f32; 3] {
        // In differences, so that equal roots stay exactly equal.
        let lightness = middle + (LIGHTNESS[0] * (long - middle) + LIGHTNESS[1] * (short - middle));
        let stretch = |root: f32| lightness + self.strength * (root - lightness);
        FROM_CONES.apply([long, middle, short].map(stretch).map(|root| root * root * root))
    }
}

/// Takes colours that sRGB does not have to ones that it has, on the straight line to the grey of the same luminance.
///
/// How far a colour lies from that grey is counted as d = (Y − least channel)/Y: 0 for a grey, 1 on the side of sRGB, more beyond. Up
/// to the knee, 0.8, nothing changes; above it d is bent as [`super::light::Shoulder`] bends light, so that the picture's strongest
/// colour comes to lie on the side. A picture without colours beyond it is left as it is. Last, a colour that is too bright in
/// one channel goes towards grey as far as it must.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gamut {
    inverse_square: f32,
}

const GAMUT_KNEE: f32 = 0.8;
/// Colours further out than this are taken to the side with it.
const FURTHEST: f32 = 2.0;
/// Weights of linear sRGB red and blue in luminance (ITU-R BT.709-6 item 3.2, unrounded); green has what is left to 1.
const LUMINANCE: [f32; 2] = [0.212_639, 0.072_192_32];

impl Gamut {
    /// For a picture whose strongest colour lies at `strongest`.
    pub fn for_colours_to(strongest: f32) -> Gamut {
        let reach = ((strongest.clamp(1.0, FURTHEST)) - GAMUT_KNEE) / (1.0 - GAMUT_KNEE);
        Gamut { inverse_square: 1.0 / (reach * reach) }
    }

    /// How far from grey a colour of linear sRGB lies; nothing where it is too dark to tell.
    #[inline(always)]
    pub fn strength(colour: [f32; 3]) -> f32 {
        let (luminance, least) = (luminance(colour), colour[0].min(colour[1]).min(colour[2]));
        if luminance > 1.0 / 512.0 { (luminance - least) / luminance } else { 0.0 }
    }

    /// A colour of linear sRGB, brought to 0..=1.
    #[inline(always)]
    pub fn apply(&self, colour: [f32; 3]) -> [f32; 3] {
        let grey = luminance(colour).clamp(0.0, 1.0);
        let least = colour[0].min(colour[1]).min(colour[2]);
        let largest = colour[0].max(colour[1]).max(colour[2]);
        let far = (grey - least) / grey.max(1e-9);
        let t = (far - GAMUT_KNEE).max(0.0) * (1.0 / (1.0 - GAMUT_KNEE));
        let bent = GAMUT_KNEE + (1.0 - GAMUT_KNEE) * (t * (1.0 + t * self.inverse_square) / (1.0 + t));
        let keep = if far > GAMUT_KNEE { bent.min(1.0) / far } else { 1.0 };
        let room = (1.0 - grey) / (largest - grey).max(1e-9);
        // Where nothing is to be done the colour itself, to the last bit.
        let keep = if largest > 1.0 { keep.min(room) } else { keep };
        let brought = |channel: f32| (grey + keep * (channel - grey)).clamp(0.0, 1.0);
        let untouched = keep >= 1.0;
        colour.map(|channel| if untouched { channel.clamp(0.0, 1.0) } else { brought(channel) })
    }
}

/// Luminance of a colour of linear sRGB; exactly a grey's own number.
#[inline(always)]
fn luminance([r, g, b]: [f32; 3]) -> f32 {
    g + (LUMINANCE[0] * (r - g) + LUMINANCE[1] * (b - g))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn colours() -> impl Iterator<Item = [f32; 3]> {
        let steps = || (0..=8).map(|step| step as f32 / 8.0);
        steps().flat_map(move |r| steps().flat_map(move |g| steps().map(move |b| [r, g, b])))
    }

    /// Against the colour-management crate's own Oklab.
    #[test]
    fn saturation_scales_chroma_in_oklab() {
        for saturation in [-1.0, -0.5, 0.4] {
            let apply = Saturation::of(saturation).unwrap();
            for colour in colours().filter(|colour| colour.iter().sum::<f32>() > 0.0) {
                let lab = |[r, g, b]: [f32; 3]| moxcms::Oklab::from_linear_rgb(moxcms::Rgb { r, g, b });
                let (before, after) = (lab(colour), lab(apply.apply(colour)));
                let factor = 1.0 + saturation as f32;
                assert!((after.l - before.l).abs() < 2e-3, "{colour:?}: lightness {} to {}", before.l, after.l);
                for (before, after) in [(before.a, after.a), (before.b, after.b)] {
                    assert!((after - factor * before).abs() < 2e-3, "{colour:?}: {before} to {after}");
                }
            }
        }
        assert!(Saturation::of(0.0).is_none());
    }

    #[test]
    fn greys_stay_exactly_grey() {
        for step in 0..=1000 {
            let grey = [step as f32 / 900.0; 3];
            for saturation in [-1.0, -0.3, 0.7, 1.0] {
                let [r, g, b] = Saturation::of(saturation).unwrap().apply(grey);
                assert!(r == g && g == b && (g - grey[0]).abs() < 2e-6, "{grey:?} became {r} {g} {b}");
            }
            let [r, g, b] = Gamut::for_colours_to(1.5).apply(grey);
            assert!(r == g && g == b && g == grey[0].min(1.0), "{grey:?} became {r} {g} {b}");
        }
    }

    #[test]
    fn a_picture_inside_srgb_is_left_as_it_is() {
        let gamut = Gamut::for_colours_to(1.0);
        for colour in colours() {
            for (got, colour) in gamut.apply(colour).into_iter().zip(colour) {
                assert!((got - colour).abs() < 1e-6, "{colour:?} became {got}");
            }
        }
    }

    /// Hue and luminance kept, inside at the end, and the order of strengths as it was.
    #[test]
    fn colours_beyond_srgb_come_in_softly() {
        const GREY: f32 = 0.1;
        let gamut = Gamut::for_colours_to(1.3);
        for direction in [[0.3f32, -0.1, -0.05], [-0.2, 0.08, 0.1], [0.05, -0.1, 0.4], [-0.3, 0.1, -0.1]] {
            let light = luminance(direction);
            let direction = direction.map(|channel| channel - light);
            let mut last = 0.0;
            for step in 0..=200 {
                let far = step as f32 * 1.3 / 200.0;
                let scale = GREY * far / direction.iter().fold(0.0f32, |most, &channel| most.max(-channel));
                let colour = direction.map(|channel| GREY + scale * channel);
                let got = gamut.apply(colour);
                assert!(got.iter().all(|channel| (0.0..=1.0).contains(channel)), "{colour:?}: {got:?}");
                assert!((luminance(got) - GREY).abs() < 1e-5);
                let strength = Gamut::strength(got);
                assert!(strength >= last - 1e-6, "{direction:?} at {far}: {strength} after {last}");
                last = strength;
                if far < GAMUT_KNEE {
                    assert_eq!(got, colour);
                }
                for channel in 0..3 {
                    let (before, after) = (colour[channel] - GREY, got[channel] - GREY);
                    assert!((before * strength - after * far).abs() < 1e-4, "hue of {colour:?}: {got:?}");
                }
            }
        }
    }
}
