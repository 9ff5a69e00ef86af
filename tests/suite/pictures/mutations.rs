//! Any bytes at all: small valid files, changed and cut at random. Nothing may panic, no decoder's panic may have to
//! be caught, and what is decoded must be a picture of its own size.
//!
//! proptest prints the seed of a failure and the smallest mutation that still fails.

use super::files::*;
use enfilade::picture::{Chroma, decode, read_header_from};
use image::{DynamicImage, ImageFormat, RgbImage};
use mozjpeg_rs::Subsampling;
use proptest::prelude::*;
use std::sync::OnceLock;

/// One small file of every kind.
fn seeds() -> &'static [Vec<u8>] {
    static SEEDS: OnceLock<Vec<Vec<u8>>> = OnceLock::new();
    SEEDS.get_or_init(|| {
        let small = RgbImage::from_fn(32, 16, |x, y| image::Rgb([(x * 8) as u8, (y * 16) as u8, (x * y) as u8]));
        let profile = moxcms::ColorProfile::new_display_p3().encode().unwrap();
        let packet = xmp(&[
            ("FullPanoWidthPixels", "64"),
            ("FullPanoHeightPixels", "32"),
            ("CroppedAreaImageWidthPixels", "32"),
            ("CroppedAreaImageHeightPixels", "16"),
            ("CroppedAreaLeftPixels", "8"),
            ("CroppedAreaTopPixels", "4"),
        ]);
        let icc = [b"ICC_PROFILE\0\x01\x01".as_slice(), &profile].concat();
        let base = jpeg(&small, false, Subsampling::S420);
        let whole = DynamicImage::from(small.clone());
        vec![
            base.clone(),
            with_segment(&base, 0xE1, &[b"Exif\0\0".as_slice(), &exif(4)].concat()),
            with_segment(&with_segment(&base, 0xE2, &icc), 0xE1, &xmp_segment(&packet)),
            jpeg(&small, true, Subsampling::S444),
            encoded(small.clone(), ImageFormat::Png),
            encoded(whole.to_rgba16(), ImageFormat::Png),
            png_patches(&[(b"iCCP", [b"p\0\0".as_slice(), &zlib(&profile)].concat())]),
            encoded(small.clone(), ImageFormat::Tiff),
            encoded(whole.to_luma16(), ImageFormat::Tiff),
            tiff_patches(&[(34675, 7, profile.clone()), (700, 1, packet.clone())]),
            encoded(whole.to_rgba8(), ImageFormat::WebP),
            webp(&small, Some(&profile), &[(b"EXIF", exif(2)), (b"XMP ", packet)]),
        ]
    })
}

/// What is done to a file: some bytes are set, a stretch may be taken out or doubled, the end may be cut.
#[derive(Clone, Debug)]
struct Mutation {
    seed: prop::sample::Index,
    bytes: Vec<(prop::sample::Index, u8)>,
    stretch: Option<(prop::sample::Index, usize, bool)>,
    cut: Option<prop::sample::Index>,
}

fn mutation() -> impl Strategy<Value = Mutation> {
    let index = || any::<prop::sample::Index>();
    // Half of the values are those that lengths and markers break on.
    let value = prop_oneof![any::<u8>(), prop::sample::select(vec![0u8, 1, 0x7F, 0x80, 0xD9, 0xDA, 0xFE, 0xFF])];
    (
        index(),
        prop::collection::vec((index(), value), 0..6),
        prop::option::weighted(0.3, (index(), 1usize..64, any::<bool>())),
        prop::option::weighted(0.3, index()),
    )
        .prop_map(|(seed, bytes, stretch, cut)| Mutation { seed, bytes, stretch, cut })
}

impl Mutation {
    fn apply(&self) -> Vec<u8> {
        let mut file = seeds()[self.seed.index(seeds().len())].clone();
        for (at, value) in &self.bytes {
            let at = at.index(file.len());
            file[at] = *value;
        }
        if let Some((start, length, doubled)) = &self.stretch {
            let start = start.index(file.len());
            let range = start..(start + length).min(file.len());
            let again = if *doubled { file[range.clone()].repeat(2) } else { Vec::new() };
            file.splice(range, again);
        }
        if let Some(cut) = &self.cut {
            file.truncate(cut.index(file.len() + 1));
        }
        file
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, max_shrink_iters: 200, ..ProptestConfig::default() })]

    #[test]
    fn no_bytes_make_it_panic(mutation in mutation()) {
        let file = mutation.apply();
        let header = read_header_from(&file);
        match decode(&file, Chroma::Half) {
            Ok(picture) => {
                let frame = header.expect("decoded, so the headers are good").sphere;
                let size = (frame.full_width as usize, frame.full_height as usize);
                prop_assert_eq!((picture.width, picture.height), size);
                prop_assert_eq!(picture.y.len(), size.0 * size.1);
                let (chroma_width, chroma_height) = picture.chroma_size();
                prop_assert_eq!(picture.cb.len(), chroma_width * chroma_height);
                prop_assert_eq!(picture.cr.len(), chroma_width * chroma_height);
            }
            Err(error) => {
                prop_assert!(!error.to_string().contains("make no sense"), "a decoder panicked: {}", error);
                prop_assert!(!error.remedy().is_empty());
            }
        }
    }
}
