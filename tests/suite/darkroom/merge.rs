//! Merging brackets: against OpenCV's exposure fusion, against known light, and on whole spheres.

use enfilade::darkroom::merge::{Exposed, FusionSettings, MergeError, examine, fuse, radiance};
use enfilade::picture::linear::{
    BT2020_TO_SRGB, LinearPicture, LinearRows, SRGB_TO_BT2020, empty_row, light_to_srgb, srgb_to_light, through,
};
use enfilade::sphere::{Direction, Rotation};
use half::f16;

/// A picture from what is seen in each direction, as linear BT.2020.
pub(super) fn picture(width: usize, seen: impl Fn(Direction) -> [f32; 3]) -> LinearPicture {
    let mut picture = LinearPicture::black(width, width / 2);
    for y in 0..width / 2 {
        for x in 0..width {
            let longitude = 360.0 * ((x as f64 + 0.5) / width as f64 - 0.5);
            let latitude = 90.0 - 360.0 * (y as f64 + 0.5) / width as f64;
            let colour = seen(Direction::from_degrees(longitude, latitude));
            for (plane, value) in picture.planes.iter_mut().zip(colour) {
                plane[y * width + x] = f16::from_f32(value);
            }
        }
    }
    picture
}

/// What a camera writes at so many stops: cut off at white, rounded to 8 bits of sRGB.
pub(super) fn exposed(scene: &LinearPicture, stops: f64) -> LinearPicture {
    let mut shot = scene.clone();
    let gain = 2f64.powf(stops) as f32;
    for i in 0..scene.planes[0].len() {
        let light = [0, 1, 2].map(|channel| scene.planes[channel][i].to_f32() * gain);
        let written = through(&BT2020_TO_SRGB, light).map(|value| {
            let value = (light_to_srgb(f64::from(value.clamp(0.0, 1.0))) * 255.0).round() / 255.0;
            srgb_to_light(value) as f32
        });
        let colour = through(&SRGB_TO_BT2020, written);
        (0..3).for_each(|channel| shot.planes[channel][i] = f16::from_f32(colour[channel]));
    }
    shot
}

/// Waves of many lengths, from 1/100 to 10 of white, warm on one side and cool on the other.
pub(super) fn room(d: Direction) -> [f32; 3] {
    let waves = [
        (3.0, [1.0, 0.3, -0.5]),
        (7.0, [-0.4, 1.0, 0.6]),
        (15.0, [0.8, -0.7, 0.5]),
        (29.0, [0.2, 0.9, -0.8]),
        (53.0, [-0.9, 0.1, 0.7]),
    ];
    let wave = |(rate, along): &(f64, [f64; 3])| {
        (rate * (along[0] * d.right + along[1] * d.up + along[2] * d.ahead) + rate).sin() / rate.sqrt()
    };
    let sum: f64 = waves.iter().map(wave).sum();
    let light = 0.15 * (2.2 * sum + 1.3 * d.ahead).exp();
    [light * (1.0 + 0.2 * d.right), light, light * (1.0 - 0.2 * d.right)].map(|value| value as f32)
}

fn shots<'a>(pictures: &'a [LinearPicture]) -> Vec<Exposed<'a>> {
    pictures.iter().map(|rows| Exposed { rows, ev100: None }).collect()
}

fn bracket(scene: &LinearPicture) -> Vec<LinearPicture> {
    [-2.0, 0.0, 2.0].map(|stops| exposed(scene, stops)).to_vec()
}

fn rolled(picture: &LinearPicture, columns: usize) -> LinearPicture {
    let mut rolled = picture.clone();
    for plane in &mut rolled.planes {
        plane.chunks_exact_mut(picture.width).for_each(|row| row.rotate_right(columns));
    }
    rolled
}

/// Largest difference of the display's values.
fn difference(a: &LinearPicture, b: &LinearPicture) -> f64 {
    let shown = |value: &f16| light_to_srgb(value.to_f64().clamp(0.0, 1.0));
    let both = a.planes.iter().flatten().zip(b.planes.iter().flatten());
    both.map(|(a, b)| (shown(a) - shown(b)).abs()).fold(0.0, f64::max)
}

fn display_grey(picture: &LinearPicture) -> Vec<f64> {
    let mut row = empty_row(picture.width);
    let mut grey = Vec::new();
    for y in 0..picture.height {
        picture.read(y, &mut row);
        grey.extend((0..picture.width).map(|x| {
            let [r, g, b] = through(&BT2020_TO_SRGB, [row[0][x], row[1][x], row[2][x]])
                .map(|value| light_to_srgb(f64::from(value.clamp(0.0, 1.0))));
            0.299 * r + 0.587 * g + 0.114 * b
        }));
    }
    grey
}

/// Mean structural similarity (Wang, Bovik, Sheikh and Simoncelli, IEEE Trans. Image Processing 13(4), 2004) with the paper's constants on
/// windows of 8×8, so many pixels away from the borders.
fn ssim(a: &[f64], b: &[f64], width: usize, margin: usize) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for top in margin..a.len() / width - margin - 8 {
        for left in margin..width - margin - 8 {
            let window = || (0..64).map(move |i| (top + i / 8) * width + left + i % 8);
            let mean = |f: &dyn Fn(usize) -> f64| window().map(f).sum::<f64>() / 64.0;
            let (ma, mb) = (mean(&|i| a[i]), mean(&|i| b[i]));
            let (va, vb) = (mean(&|i| (a[i] - ma).powi(2)), mean(&|i| (b[i] - mb).powi(2)));
            let both = mean(&|i| (a[i] - ma) * (b[i] - mb));
            let (c1, c2) = (0.0001, 0.0009);
            sum += (2.0 * ma * mb + c1) * (2.0 * both + c2) / ((ma * ma + mb * mb + c1) * (va + vb + c2));
            count += 1.0;
        }
    }
    sum / count
}

fn read_png(name: &str) -> LinearPicture {
    let path = format!("{}/tests/fixtures/darkroom/merge/{name}.png", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).unwrap();
    LinearPicture::of(&enfilade::picture::decode(&bytes, enfilade::picture::Chroma::Full).unwrap())
}

/// OpenCV's `createMergeMertens(1, 1, 1)` on the same three pictures (tests/fixtures/darkroom/make_merge.py). It is
/// planar: the borders of the picture differ, where ours goes on around the sphere.
#[test]
fn with_the_papers_settings_the_fusion_is_opencvs() {
    let pictures = ["shot-1", "shot-2", "shot-3"].map(read_png);
    let fused = fuse(&shots(&pictures), &FusionSettings::paper()).unwrap();
    let (ours, theirs) = (display_grey(&fused), display_grey(&read_png("opencv-mertens-1-1-1")));
    let similarity = ssim(&ours, &theirs, fused.width, 16);
    assert!(similarity >= 0.98, "SSIM {similarity}");
    // The measure tells: a single exposure is further off, the darkest far.
    let alone = pictures.each_ref().map(|shot| ssim(&display_grey(shot), &theirs, fused.width, 16));
    assert!(alone[0] < 0.9 && alone.iter().all(|&alone| alone < similarity), "{similarity}, alone {alone:?}");
}

#[test]
fn a_rolled_bracket_gives_the_rolled_picture() {
    let pictures = bracket(&picture(256, room));
    let settings = FusionSettings { suppress_ghosts: false, align: false, ..FusionSettings::default() };
    let fused = fuse(&shots(&pictures), &settings).unwrap();
    for columns in [128, 64, 37, 1] {
        let turned: Vec<_> = pictures.iter().map(|shot| rolled(shot, columns)).collect();
        let found = difference(&fuse(&shots(&turned), &settings).unwrap(), &rolled(&fused, columns));
        // Coarse grids meet other columns where the roll is no power of two.
        let allowed = if columns.is_power_of_two() && columns >= 64 { 0.02 } else { 0.04 };
        assert!(found <= allowed, "rolled by {columns}: {found}");
    }
}

#[test]
fn the_poles_stay_smooth() {
    let smooth = picture(256, |d| [(0.3 + 0.2 * d.right + 0.1 * d.up) as f32; 3]);
    let fused = fuse(&shots(&bracket(&smooth)), &FusionSettings::default()).unwrap();
    let grey = display_grey(&fused);
    for row in [0, fused.height - 1] {
        let row = &grey[row * fused.width..][..fused.width];
        let (low, high) = row.iter().fold((1.0f64, 0.0f64), |(low, high), &v| (low.min(v), high.max(v)));
        assert!(high - low < 0.02, "around the pole from {low} to {high}");
    }
}

#[test]
fn radiance_is_the_light_that_was_there() {
    let scene = picture(128, room);
    let pictures = bracket(&scene);
    let settings = FusionSettings { align: false, ..FusionSettings::default() };
    let merged = radiance(&shots(&pictures), &settings).unwrap();
    let mut errors: Vec<f64> = Vec::new();
    for (merged, truth) in merged.planes.iter().flatten().zip(scene.planes.iter().flatten()) {
        // White of the darkest shot is 4; below 1/50 the lightest shot's rounding shows.
        if (0.02..3.5).contains(&truth.to_f64()) {
            errors.push((merged.to_f64() / truth.to_f64()).log2().abs());
        }
    }
    assert!(errors.len() > 10_000, "only {} pixels are within range", errors.len());
    errors.sort_by(f64::total_cmp);
    let (median, most) = (errors[errors.len() / 2], errors[errors.len() * 99 / 100]);
    assert!(median < 0.01 && most < 0.06, "median {median}, 99 in 100 below {most} stops");
}

#[test]
fn small_turns_are_found_across_exposures() {
    let turns = [[0.3, -0.2, 0.5], [-1.2, 1.0, 0.9], [0.0, 2.0, 0.0]];
    let scene = picture(2048, room);
    for (turn, stops) in turns.into_iter().zip([2.0, -2.0, 2.0]) {
        let rotation = about(turn);
        let back = rotation.inverse();
        let moved = exposed(&picture(2048, |d| room(back.apply(d))), stops);
        let pictures = [exposed(&scene, 0.0), moved];
        let found = examine(&shots(&pictures), &FusionSettings::default()).unwrap();
        let (laid, shot) = (found.rotations[found.reference], found.rotations[1 - found.reference]);
        assert_eq!(laid, Rotation::IDENTITY);
        let expected = if found.reference == 0 { rotation } else { back };
        for d in
            [Direction::from_degrees(0.0, 0.0), Direction::from_degrees(90.0, 0.0), Direction::from_degrees(0.0, 90.0)]
        {
            let off = expected.apply(d).angle_to(shot.apply(d));
            assert!(off < 0.02, "{turn:?} at {stops} stops: off by {off}°");
        }
    }
}

/// Degrees about right, up and ahead, one after the other.
pub(super) fn about([right, up, ahead]: [f64; 3]) -> Rotation {
    let tilt = Rotation::from_tilt(right, ahead);
    let (sine, cosine) = (up.to_radians().sin(), up.to_radians().cos());
    let heading = [[cosine, 0.0, sine], [0.0, 1.0, 0.0], [-sine, 0.0, cosine]];
    Rotation(heading.map(|row| [0, 1, 2].map(|j| (0..3).map(|k| row[k] * tilt.0[k][j]).sum())))
}

#[test]
fn a_turned_bracket_is_as_sharp_as_one_that_kept_still() {
    let scene = picture(512, room);
    let still = bracket(&scene);
    let back = about([0.6, -0.9, 0.4]).inverse();
    let mut moved = still.clone();
    moved[2] = exposed(&picture(512, |d| room(back.apply(d))), 2.0);
    let (still, moved) = (still, moved);
    let settings = FusionSettings::default();
    let expected = display_grey(&fuse(&shots(&still), &settings).unwrap());
    let aligned = display_grey(&fuse(&shots(&moved), &settings).unwrap());
    let left = FusionSettings { align: false, suppress_ghosts: false, ..settings };
    let left = display_grey(&fuse(&shots(&moved), &left).unwrap());
    let (aligned, left) = (ssim(&aligned, &expected, 512, 8), ssim(&left, &expected, 512, 8));
    assert!(aligned > 0.99 && left < aligned - 0.01, "aligned {aligned}, left as it was {left}");
}

/// A dark ball stands elsewhere in each shot.
#[test]
fn what_moved_is_seen_once() {
    let ball = |longitude: f64| {
        let centre = Direction::from_degrees(longitude, -5.0);
        move |d: Direction| if d.angle_to(centre) < 6.0 { [0.03; 3] } else { wall(d) }
    };
    let places = [20.0, 45.0, 70.0];
    let pictures: Vec<_> = places
        .into_iter()
        .zip([-2.0, 0.0, 2.0])
        .map(|(longitude, stops)| exposed(&picture(512, ball(longitude)), stops))
        .collect();
    let settings = FusionSettings { align: false, ..FusionSettings::default() };
    let empty = fuse(&shots(&bracket(&picture(512, wall))), &settings).unwrap();
    let darkening = |settings: &FusionSettings| {
        let fused = fuse(&shots(&pictures), settings).unwrap();
        places.map(|longitude| at(&empty, longitude) - at(&fused, longitude))
    };
    let clean = darkening(&settings);
    for darker in clean {
        assert!(darker.abs() < 0.03 || darker > 0.2, "a half-transparent ball: {clean:?}");
    }
    let doubled = darkening(&FusionSettings { suppress_ghosts: false, ..settings });
    assert!(doubled.iter().any(|darker| (0.03..0.2).contains(&darker.abs())), "nothing to suppress: {doubled:?}");
}

fn wall(d: Direction) -> [f32; 3] {
    [(0.18 + 0.02 * (40.0 * d.right).sin() + 0.02 * (31.0 * d.up).sin()) as f32; 3]
}

/// The display's mean grey about a place at latitude −5.
fn at(picture: &LinearPicture, longitude: f64) -> f64 {
    let grey = display_grey(picture);
    let (x, y) = (((longitude / 360.0 + 0.5) * picture.width as f64) as usize, picture.height * 95 / 180);
    let near = (y - 3..y + 3).flat_map(|y| (x - 3..x + 3).map(move |x| (x, y)));
    near.map(|(x, y)| grey[y * picture.width + x]).sum::<f64>() / 36.0
}

#[test]
fn what_cannot_be_merged_is_refused_with_a_way_out() {
    let scene = picture(256, room);
    let [dark, light] = [-1.0, 1.0].map(|stops| exposed(&scene, stops));
    let settings = FusionSettings::default();
    let refused = |pictures: &[&LinearPicture]| {
        let shots: Vec<_> = pictures.iter().map(|rows| Exposed { rows: *rows, ev100: None }).collect();
        let error = fuse(&shots, &settings).unwrap_err();
        assert!(!error.remedy().is_empty());
        error
    };
    assert_eq!(refused(&[&dark]), MergeError::TooFew { count: 1 });
    assert_eq!(refused(&[&dark; 10]), MergeError::TooMany { count: 10 });
    let small = LinearPicture::black(128, 64);
    assert_eq!(refused(&[&dark, &small]), MergeError::Sizes { shot: 1, size: (128, 64), first: (256, 128) });
    assert_eq!(refused(&[&dark, &dark]), MergeError::SameExposure { count: 2 });
    let elsewhere = exposed(&picture(256, |d| room(about([0.0, 110.0, 0.0]).apply(d))), 1.0);
    assert_eq!(refused(&[&dark, &elsewhere]), MergeError::AnotherPlace { shot: 1, reference: 0 });
    assert!(fuse(&shots(&[dark, light]), &settings).is_ok());
}

#[test]
fn strange_pictures_pass() {
    let plain = |value: f32| picture(16, |_| [value; 3]);
    let strange = picture(16, |d| [f32::NAN, f32::INFINITY, if d.up > 0.0 { -1.0 } else { 70_000.0 }]);
    for pair in [[plain(0.0), plain(0.0)], [plain(1.0), plain(0.0)], [plain(1.0), plain(1.0)], [strange, plain(0.5)]] {
        for merged in
            [fuse(&shots(&pair), &FusionSettings::default()), radiance(&shots(&pair), &FusionSettings::default())]
        {
            let merged = match merged {
                Err(MergeError::SameExposure { .. }) => continue,
                merged => merged.unwrap(),
            };
            assert!(merged.planes.iter().flatten().all(|value| value.is_finite()));
        }
    }
    let black = fuse(&shots(&[plain(0.0), plain(0.0)]), &FusionSettings::default()).unwrap();
    assert!(black.planes.iter().flatten().all(|value| value.to_f32().abs() < 1e-6));
}

/// Sizes that are no multiple of two, four or eight.
#[test]
fn odd_sizes_are_fused_like_others() {
    let settings = FusionSettings { align: false, ..FusionSettings::default() };
    for width in [2, 6, 10, 22, 70, 94] {
        let flat = [0.1f32, 0.4].map(|value| picture(width, |_| [value; 3]));
        let fused = fuse(&shots(&flat), &settings).unwrap();
        let (low, high) = fused.planes[0]
            .iter()
            .fold((1.0f32, 0.0f32), |(low, high), value| (low.min(value.to_f32()), high.max(value.to_f32())));
        assert!(high - low < 0.003 && low > 0.1 && high < 0.4, "{width} wide: {low} to {high}");
    }
}

#[test]
fn any_number_of_cores_gives_the_same_bytes() {
    let pictures = bracket(&picture(256, room));
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| fuse(&shots(&pictures), &FusionSettings::default()).unwrap())
    };
    assert!(run(1) == run(3));
}
