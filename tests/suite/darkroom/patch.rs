//! Patches: only what was painted on a flat view is laid back, and it lies where it was painted. Pictures are painted with the
//! `image` crate; profiles are made by `moxcms`, after the primaries that their standards publish.

use super::retouch::{HEIGHT, WIDTH, detailed, direction, on, rows, spot};
use enfilade::darkroom::recipe::Tone;
use enfilade::darkroom::retouch::{FlatView, PatchError, Repair, RepairKind, RetouchError, retouch};
use enfilade::darkroom::{DevelopError, Files, Recipe, develop, flat_view};
use enfilade::picture::linear::{LinearPicture, LinearRows};
use enfilade::picture::{Chroma, flat_png};
use enfilade::sphere::Spot;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage, Rgba, RgbaImage};
use moxcms::ColorProfile;
use std::io::Cursor;

type Deep = image::ImageBuffer<Rgb<u16>, Vec<u16>>;

/// Pixels beyond what was painted that may change: what is covered, the feather, and what sampling reaches.
const REACH_PX: f64 = 2.0 + 4.0 + 2.0;

/// Middles and widths of views: ahead, at the nadir, the zenith, across ±180°, on an edge of the cube, and the narrowest and widest.
const VIEWS: [(f64, f64, f64); 7] = [
    (20.0, 5.0, 40.0),
    (0.0, -90.0, 50.0),
    (77.0, 90.0, 30.0),
    (180.0, -10.0, 30.0),
    (45.0, 35.0, 20.0),
    (-100.0, -20.0, 120.0),
    (60.0, 10.0, 1.0),
];

fn twin_of(sphere: &dyn LinearRows, middle: Spot, field_deg: f64) -> Vec<u8> {
    let view = FlatView::without_loss(middle.direction(), field_deg / 2.0, WIDTH);
    flat_png(view.side_px, &view.look(sphere).pixels).unwrap()
}

fn open(file: &[u8]) -> DynamicImage {
    image::load_from_memory(file).unwrap()
}

fn png(picture: &DynamicImage) -> Vec<u8> {
    written(picture, ImageFormat::Png)
}

fn written(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut file = Vec::new();
    picture.write_to(&mut Cursor::new(&mut file), format).unwrap();
    file
}

/// A square in the middle third, painted over.
fn with_square(twin: &[u8], colour: [u16; 3]) -> Deep {
    let mut picture = open(twin).to_rgb16();
    let side = picture.width();
    for (x, y) in (side / 3..side - side / 3).flat_map(|x| (side / 3..side - side / 3).map(move |y| (x, y))) {
        picture.put_pixel(x, y, Rgb(colour));
    }
    picture
}

fn patch(middle: Spot, field_of_view_deg: f64) -> Repair {
    on(RepairKind::Patch { painted: 0, twin: 1, middle, field_of_view_deg })
}

fn laid(sphere: &dyn LinearRows, middle: Spot, field_deg: f64, files: &[Vec<u8>]) -> Vec<[Vec<f32>; 3]> {
    rows(&retouch(sphere, &[patch(middle, field_deg)], files).unwrap().altered.unwrap())
}

/// Pixels of the sphere that changed.
fn changed(before: &[[Vec<f32>; 3]], after: &[[Vec<f32>; 3]]) -> usize {
    let differs = |x: usize, y: usize| (0..3).any(|channel| before[y][channel][x] != after[y][channel][x]);
    (0..HEIGHT).map(|y| (0..WIDTH).filter(|&x| differs(x, y)).count()).sum()
}

/// By how many of the view's pixels a pixel of the sphere lies outside of the painted square: negative inside. `None` behind.
fn outside_px(view: &FlatView, x: usize, y: usize) -> Option<f64> {
    let third = (view.side_px as u32 / 3) as f64;
    let last = view.side_px as f64 - 1.0 - third;
    let at = view.pixel(direction(x, y))?;
    Some(at.into_iter().map(|at| (third - at).max(at - last)).fold(f64::MIN, f64::max))
}

/// sRGB 200, 40, 60 is this much light (IEC 61966-2-1), in BT.2020's primaries.
const PAINT: [u16; 3] = [200 * 257, 40 * 257, 60 * 257];

fn assert_is_paint(light: [f32; 3], tolerance: f32, name: &str) {
    use enfilade::picture::linear::{SRGB_TO_BT2020, srgb_to_light, through};
    let expected = through(&SRGB_TO_BT2020, [200.0, 40.0, 60.0].map(|value| srgb_to_light(value / 255.0) as f32));
    for (got, expected) in light.iter().zip(expected) {
        assert!((got - expected).abs() < tolerance, "{name}: {light:?} for {expected}");
    }
}

#[test]
fn what_was_painted_lies_where_it_was_painted_and_nothing_else_changes() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    for (longitude, latitude, field_deg) in VIEWS {
        let name = format!("{longitude}, {latitude}, {field_deg}° across");
        let middle = spot(longitude, latitude);
        let twin = twin_of(&sphere, middle, field_deg);
        let painted = png(&with_square(&twin, PAINT).into());
        let after = laid(&sphere, middle, field_deg, &[painted, twin]);
        let view = FlatView::without_loss(middle.direction(), field_deg / 2.0, WIDTH);
        let mut covered = 0;
        for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
            let pixel = |rows: &[[Vec<f32>; 3]]| [0, 1, 2].map(|channel| rows[y][channel][x]);
            let outside = outside_px(&view, x, y);
            if outside.is_none_or(|outside| outside > REACH_PX) {
                assert_eq!(pixel(&after).map(f32::to_bits), pixel(&before).map(f32::to_bits), "{name}: {x} {y}");
            } else if outside.is_some_and(|outside| outside < -2.0) {
                assert_is_paint(pixel(&after), 2e-3, &format!("{name}: {x} {y}"));
                covered += 1;
            }
        }
        assert!(covered > 0 || field_deg < 2.0, "{name}");
        assert!(changed(&before, &after) > 0, "{name}");
    }
}

#[test]
fn what_nobody_painted_on_changes_nothing() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    let middle = spot(20.0, 5.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let narrow = open(&twin).to_rgb8();
    let mut state = 5u32;
    let noisy = RgbImage::from_fn(narrow.width(), narrow.height(), |x, y| {
        let noise = |value: u8| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            value.saturating_add_signed((state >> 24) as i8 % 2)
        };
        Rgb(narrow.get_pixel(x, y).0.map(noise))
    });
    let mut speck = open(&twin).to_rgb16();
    speck.put_pixel(40, 40, Rgb(PAINT));
    let double = open(&twin).resize_exact(2 * narrow.width(), 2 * narrow.width(), image::imageops::CatmullRom);
    let half = open(&twin).resize_exact(narrow.width() / 2, narrow.width() / 2, image::imageops::Triangle);
    for (name, picture) in [
        ("the same file", open(&twin)),
        ("8 bits", narrow.clone().into()),
        ("8 bits with noise of one step", noisy.into()),
        ("a single speck", speck.into()),
        ("opaque transparency", open(&twin).to_rgba16().into()),
        ("twice the size", double),
        ("half the size", half),
    ] {
        for format in [ImageFormat::Png, ImageFormat::Tiff] {
            let after = laid(&sphere, middle, 40.0, &[written(&picture, format), twin.clone()]);
            assert_eq!(changed(&before, &after), 0, "{name} as {format:?}");
        }
    }
}

/// A picture's samples brought to another profile, as a paint program saves it, in 8 or 16 bits.
fn saved_in(profile: &ColorProfile, picture: &Deep, is_narrow: bool) -> Vec<u8> {
    let layout = moxcms::Layout::Rgb;
    let from = ColorProfile::new_srgb();
    let transform = from.create_transform_16bit(layout, profile, layout, Default::default()).unwrap();
    let mut samples = vec![0u16; picture.as_raw().len()];
    transform.transform(picture.as_raw(), &mut samples).unwrap();
    let mut file = Vec::new();
    let mut info = png::Info::with_size(picture.width(), picture.height());
    info.color_type = png::ColorType::Rgb;
    info.bit_depth = if is_narrow { png::BitDepth::Eight } else { png::BitDepth::Sixteen };
    info.icc_profile = Some(profile.encode().unwrap().into());
    let bytes: Vec<u8> = match is_narrow {
        true => samples.iter().map(|value| ((u32::from(*value) + 128) / 257) as u8).collect(),
        false => samples.iter().flat_map(|value| value.to_be_bytes()).collect(),
    };
    let mut writer = png::Encoder::with_info(&mut file, info).unwrap().write_header().unwrap();
    writer.write_image_data(&bytes).unwrap();
    writer.finish().unwrap();
    file
}

#[test]
fn another_profile_and_depth_show_the_same_paint() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    let middle = spot(20.0, 5.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let untouched = open(&twin).to_rgb16();
    let painted = with_square(&twin, PAINT);
    let view = FlatView::without_loss(middle.direction(), 20.0, WIDTH);
    for (name, profile) in
        [("Display P3", ColorProfile::new_display_p3()), ("Adobe RGB", ColorProfile::new_adobe_rgb())]
    {
        for is_narrow in [false, true] {
            let name = format!("{name}, 8 bits: {is_narrow}");
            let plain = laid(&sphere, middle, 40.0, &[saved_in(&profile, &untouched, is_narrow), twin.clone()]);
            assert_eq!(changed(&before, &plain), 0, "{name}");
            let after = laid(&sphere, middle, 40.0, &[saved_in(&profile, &painted, is_narrow), twin.clone()]);
            for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
                if outside_px(&view, x, y).is_some_and(|outside| outside < -2.0) {
                    // A step of 8 bits of the brightest channel is 0.008 of light.
                    assert_is_paint([0, 1, 2].map(|channel| after[y][channel][x]), 8e-3, &name);
                }
            }
        }
    }
}

#[test]
fn transparency_decides_where_there_is_any() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    let middle = spot(180.0, -10.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let side = open(&twin).width();
    // Painted everywhere, opaque in a small square only; white where it is transparent.
    let painted = RgbaImage::from_fn(side, side, |x, y| match (x.abs_diff(side / 2)).max(y.abs_diff(side / 2)) {
        0..10 => Rgba([200, 40, 60, 255]),
        _ => Rgba([255, 255, 255, 0]),
    });
    let after = laid(&sphere, middle, 40.0, &[png(&painted.into()), twin]);
    let view = FlatView::without_loss(middle.direction(), 20.0, WIDTH);
    for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
        let pixel = |rows: &[[Vec<f32>; 3]]| [0, 1, 2].map(|channel| rows[y][channel][x]);
        let from_middle = view
            .pixel(direction(x, y))
            .map(|at| at.into_iter().map(|at| (at - (side / 2) as f64).abs()).fold(0.0, f64::max));
        match from_middle {
            Some(distance) if distance < 7.0 => assert_is_paint(pixel(&after), 1e-3, &format!("{x} {y}")),
            // No white fringe: what is transparent has no say.
            Some(distance) if distance < 12.0 => {}
            _ => assert_eq!(pixel(&after), pixel(&before), "{x} {y}"),
        }
    }
    assert!(changed(&before, &after) > 300);
}

#[test]
fn a_patch_of_another_size_lies_at_the_same_place() {
    let sphere = LinearPicture::of(&detailed());
    let middle = spot(20.0, 5.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let painted: DynamicImage = with_square(&twin, PAINT).into();
    let side = painted.width();
    let view = FlatView::without_loss(middle.direction(), 20.0, WIDTH);
    let before = rows(&sphere);
    for to in [2 * side, side * 3 / 4] {
        let scaled = painted.resize_exact(to, to, image::imageops::CatmullRom);
        let after = laid(&sphere, middle, 40.0, &[png(&scaled), twin.clone()]);
        for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
            let pixel = |rows: &[[Vec<f32>; 3]]| [0, 1, 2].map(|channel| rows[y][channel][x]);
            match outside_px(&view, x, y) {
                Some(outside) if outside < -4.0 => assert_is_paint(pixel(&after), 4e-3, &format!("{to}: {x} {y}")),
                Some(outside) if outside < 2.0 * REACH_PX => {}
                _ => assert_eq!(pixel(&after), pixel(&before), "{to}: {x} {y}"),
            }
        }
    }
}

#[test]
fn what_is_no_painted_view_is_refused() {
    let sphere = LinearPicture::of(&detailed());
    let middle = spot(20.0, 5.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let picture = open(&twin);
    let side = picture.width();
    let refused = |files: [Vec<u8>; 2]| match retouch(&sphere, &[patch(middle, 40.0)], &files) {
        Err(RetouchError::Patch { index, source }) => (index, source),
        Err(error) => panic!("{error}"),
        Ok(_) => panic!("nothing is wrong with it"),
    };
    let wide = png(&picture.crop_imm(0, 10, side, side - 10));
    let expected =
        PatchError::OtherProportions { width: side as usize, height: side as usize - 10, side: side as usize };
    assert_eq!(refused([wide.clone(), twin.clone()]), (0, expected));
    let square = png(&picture.crop_imm(20, 20, side - 30, side - 30));
    assert!(matches!(refused([square, twin.clone()]), (0, PatchError::Cropped { .. })));
    let jpeg = written(&picture.to_rgb8().into(), ImageFormat::Jpeg);
    assert!(matches!(refused([jpeg, twin.clone()]), (0, PatchError::Lossy { .. })));
    assert!(matches!(refused([twin.clone(), wide]), (1, PatchError::TwinNotSquare { .. })));
    let broken = retouch(&sphere, &[patch(middle, 40.0)], &[b"no picture".to_vec(), twin]).map(|_| ());
    assert!(matches!(broken, Err(RetouchError::Material { index: 0, .. })));
}

#[test]
fn light_above_white_beside_a_patch_stays() {
    // A lamp four times as bright as white, just beside the paint: within the feather, but painted on by nobody.
    let mut sphere = LinearPicture::black(WIDTH, HEIGHT);
    sphere.planes.iter_mut().flatten().for_each(|light| *light = half::f16::from_f32(4.0));
    let middle = spot(20.0, 5.0);
    let twin = twin_of(&sphere, middle, 40.0);
    let painted = png(&with_square(&twin, PAINT).into());
    let after = laid(&sphere, middle, 40.0, &[painted, twin]);
    let view = FlatView::without_loss(middle.direction(), 20.0, WIDTH);
    for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
        if outside_px(&view, x, y).is_none_or(|outside| outside > 3.0) {
            assert!(after[y][1][x] > 3.9, "{x} {y}: {}", after[y][1][x]);
        }
    }
}

#[test]
fn a_later_patch_sees_an_earlier_one_and_privacy() {
    let shots = [shot()];
    let middle = spot(20.0, 5.0);
    let files = Files { shots: &shots, materials: &[] };
    let first_twin = flat_view(files, &Recipe::default(), middle.direction(), 40.0).unwrap();
    let first_twin = flat_png(first_twin.width, &first_twin.pixels).unwrap();
    let materials = [png(&with_square(&first_twin, PAINT).into()), first_twin];
    let recipe = Recipe { retouch: vec![patch(middle, 40.0)], ..Recipe::default() };
    let seen = flat_view(Files { shots: &shots, materials: &materials }, &recipe, middle.direction(), 40.0).unwrap();
    assert_is_paint(seen.pixels[seen.width * (seen.height / 2) + seen.width / 2], 3e-3, "the second view");
}

/// A detailed shot as a PNG.
fn shot() -> Vec<u8> {
    let picture = detailed();
    let rgb: Vec<u8> =
        (0..WIDTH * HEIGHT).flat_map(|index| [picture.y[index], picture.cb[index], picture.cr[index]]).collect();
    png(&RgbImage::from_raw(WIDTH as u32, HEIGHT as u32, rgb).unwrap().into())
}

#[test]
fn a_patch_outlives_a_change_of_tone() {
    let shots = [shot()];
    let middle = spot(-160.0, -40.0);
    let files = Files { shots: &shots, materials: &[] };
    let view = flat_view(files, &Recipe::default(), middle.direction(), 40.0).unwrap();
    let twin = flat_png(view.width, &view.pixels).unwrap();
    let materials = [png(&with_square(&twin, PAINT).into()), twin];
    let files = Files { shots: &shots, materials: &materials };
    let view = FlatView::without_loss(middle.direction(), 20.0, WIDTH);
    for tone in [Tone::default(), Tone { exposure_ev: 0.7, saturation: 0.3, ..Tone::default() }] {
        let recipe = Recipe { retouch: vec![patch(middle, 40.0)], tone, ..Recipe::default() };
        let made = develop(files, &recipe, Chroma::Full).unwrap();
        let unaltered = made.unaltered.unwrap();
        let mut inside = Vec::new();
        for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
            let at = y * WIDTH + x;
            match outside_px(&view, x, y) {
                Some(outside) if outside < -3.0 => inside.push((made.picture.y[at], made.picture.cr[at])),
                Some(outside) if outside < REACH_PX => {}
                _ => assert_eq!(made.picture.y[at], unaltered.y[at], "{tone:?}: {x} {y}"),
            }
        }
        // One colour all over, and a red one: luma of 200, 40, 60 is 90 and its Cr 206 (ITU-T T.871).
        let (least, most) =
            (inside.iter().map(|pixel| pixel.0).min().unwrap(), inside.iter().map(|pixel| pixel.0).max().unwrap());
        assert!(most - least <= 2, "{tone:?}: {least} to {most}");
        assert!(inside.iter().all(|(luma, cr)| *luma >= 88 && *cr > 195), "{tone:?}: {:?}", inside[0]);
    }
}

#[test]
fn a_cropped_patch_is_said_to_be_one_of_the_materials() {
    let shots = [shot()];
    let twin = png(&RgbImage::new(64, 64).into());
    let materials = [png(&RgbImage::new(64, 60).into()), twin];
    let recipe = Recipe { retouch: vec![patch(spot(0.0, 0.0), 40.0)], ..Recipe::default() };
    let error = develop(Files { shots: &shots, materials: &materials }, &recipe, Chroma::Half).unwrap_err();
    assert!(matches!(error, DevelopError::Patch { index: 1, .. }), "{error}");
}

#[test]
fn one_thread_and_many_lay_the_same_bytes() {
    let sphere = LinearPicture::of(&detailed());
    let middle = spot(180.0, -60.0);
    let twin = twin_of(&sphere, middle, 60.0);
    let files = [png(&with_square(&twin, PAINT).into()), twin];
    let threads = |count| rayon::ThreadPoolBuilder::new().num_threads(count).build().unwrap();
    let made = || laid(&sphere, middle, 60.0, &files);
    assert!(threads(1).install(made) == threads(3).install(made));
}

#[test]
fn a_picture_lies_on_the_floor_with_its_top_ahead() {
    let sphere = LinearPicture::of(&detailed());
    let before = rows(&sphere);
    // Red at its top, blue at its bottom; a hole of transparency on its right.
    let logo = RgbaImage::from_fn(300, 300, |x, y| match (x, y) {
        (200..290, 100..200) => Rgba([255, 255, 255, 0]),
        (_, 0..150) => Rgba([255, 0, 0, 255]),
        _ => Rgba([0, 0, 255, 255]),
    });
    let disc = RepairKind::PictureDisc { radius_deg: 20.0, picture: 0 };
    let after = rows(&retouch(&sphere, &[on(disc)], &[png(&logo.into())]).unwrap().altered.unwrap());
    let pixel = |longitude: f64, latitude: f64, rows: &[[Vec<f32>; 3]]| {
        let (x, y) = ((longitude / 360.0 + 0.5) * WIDTH as f64, (90.0 - latitude) / 180.0 * HEIGHT as f64);
        [0, 1, 2].map(|channel| rows[y as usize][channel][x as usize])
    };
    let [ahead, behind] = [0.0, 179.9].map(|longitude| pixel(longitude, -78.0, &after));
    assert!(ahead[0] > 0.5 && ahead[2] < 0.1 && behind[2] > 0.5 && behind[0] < 0.1, "{ahead:?} {behind:?}");
    // 90° right, ten degrees from the nadir: tan 10° / tan 20° is 0.48 of the way to the edge, column 223 of 300.
    assert_eq!(pixel(90.0, -80.0, &after), pixel(90.0, -80.0, &before));
    assert_ne!(pixel(-90.0, -80.0, &after), pixel(-90.0, -80.0, &before));
    for (x, y) in (0..HEIGHT).flat_map(|y| (0..WIDTH).map(move |x| (x, y))) {
        if direction(x, y).latitude() > -69.0 {
            assert!((0..3).all(|channel| after[y][channel][x] == before[y][channel][x]), "{x} {y}");
        }
    }
}
