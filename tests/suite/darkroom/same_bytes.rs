//! The whole darkroom gives the same bytes on any number of threads and with every vector width.

use super::merge::{about, exposed, picture, room};
use enfilade::darkroom::doorway::{Doorway, Match, matching};
use enfilade::darkroom::retouch::{Repair, RepairKind};
use enfilade::darkroom::upright::{Finding, Grey, upright};
use enfilade::darkroom::{Files, Recipe, Tone, WhiteBalance, develop, develop_deep, radiance};
use enfilade::export::{self, Facts, FileKind, Format, Shape};
use enfilade::picture::linear::{BT2020_TO_SRGB, LinearPicture, light_to_srgb, through};
use enfilade::picture::{Bitmap, Chroma, open_linear};
use enfilade::sphere::{Direction, Region, Rotation, Spot};

const WIDTH: usize = 512;

/// As a camera writes it.
fn jpeg(picture: &LinearPicture) -> Vec<u8> {
    let pixels = image::RgbImage::from_fn(WIDTH as u32, WIDTH as u32 / 2, |x, y| {
        let index = y as usize * WIDTH + x as usize;
        let light = [0, 1, 2].map(|channel| picture.planes[channel][index].to_f32());
        let shown = through(&BT2020_TO_SRGB, light).map(|light| light_to_srgb(f64::from(light.clamp(0.0, 1.0))));
        image::Rgb(shown.map(|value| (value * 255.0).round() as u8))
    });
    let mut file = std::io::Cursor::new(Vec::new());
    pixels.write_to(&mut file, image::ImageFormat::Jpeg).unwrap();
    file.into_inner()
}

/// Three exposures of a room with posts all around, in which a dark ball moves; the camera turned before the last.
fn bracket() -> Vec<Vec<u8>> {
    let seen = |ball_deg: f64| {
        move |d: Direction| {
            if d.angle_to(Direction::from_degrees(ball_deg, -5.0)) < 7.0 {
                return [0.02; 3];
            }
            let post = if (d.longitude() / 9.0).rem_euclid(2.0) < 1.0 && d.latitude().abs() < 40.0 { 0.4 } else { 1.0 };
            room(d).map(|light| light * post)
        }
    };
    let back = about([0.8, -1.1, 0.6]).inverse();
    let last = move |d: Direction| seen(70.0)(back.apply(d));
    let scenes = [(picture(WIDTH, seen(20.0)), -2.0), (picture(WIDTH, seen(45.0)), 0.0), (picture(WIDTH, last), 2.0)];
    scenes.iter().map(|(scene, stops)| jpeg(&exposed(scene, *stops))).collect()
}

/// Every control away from its default, and repairs of several kinds.
fn recipe(matched: Match) -> Recipe {
    let tone = Tone {
        exposure_ev: 0.3,
        white_balance: WhiteBalance::Auto,
        highlights: -0.4,
        shadows: 0.3,
        contrast: 0.1,
        local_contrast: 0.2,
        saturation: 0.1,
        sharpening: 0.3,
    };
    let region = |longitude, latitude| Region::disc(Spot::new(longitude, latitude).unwrap(), 9.0);
    let repair = |kind, is_private| Repair { kind, is_private };
    let retouch = vec![
        repair(RepairKind::Fill(region(0.0, -90.0)), false),
        repair(RepairKind::Blur(region(175.0, 10.0)), true),
        repair(
            RepairKind::Clone {
                onto: region(-60.0, 20.0),
                from: Spot::new(10.0, 20.0).ok(),
                from_shot: None,
                turned_clockwise_deg: 5.0,
            },
            false,
        ),
    ];
    Recipe { retouch, matched: Some(matched), tone }
}

/// All that comes out of the darkroom.
#[derive(PartialEq)]
struct Made {
    matched: Match,
    finding: Finding,
    display: [Vec<u8>; 3],
    deep: Bitmap,
    light: LinearPicture,
    file: Vec<u8>,
}

fn make(shots: &[Vec<u8>]) -> Made {
    let door = |longitude| Doorway { spot: Spot::new(longitude, 0.0).unwrap(), width_deg: 40.0, height_deg: 50.0 };
    let (own, other) = (open_linear(&shots[0]).unwrap(), open_linear(&shots[1]).unwrap());
    let matched = matching((&*own, door(-90.0)), (&*other, door(-90.0))).unwrap();
    let recipe = recipe(matched);
    let files = Files { shots, materials: &[] };
    let display = develop(files, &recipe, Chroma::Half).unwrap().picture;
    let finding = upright(&Grey::of_luma(&display));
    let deep = develop_deep(files, &recipe).unwrap();
    let level = Rotation::from_tilt(finding.pitch_deg(), finding.roll_deg() + 2.0);
    let format = Format { kind: FileKind::Png, depth: export::Depth::Sixteen, quality: 90, chroma: Chroma::Full };
    let facts = Facts::of_sphere(&shots[1], WIDTH as u32, Some(77.0));
    let mut file = Vec::new();
    export::export(&deep, level, Shape::Sphere { width: WIDTH as u32 }, format, &facts, |made| {
        file = made.bytes;
        Ok::<(), std::convert::Infallible>(())
    })
    .unwrap();
    Made {
        matched,
        finding,
        display: [display.y, display.cb, display.cr],
        deep,
        light: radiance(files, &recipe).unwrap(),
        file,
    }
}

#[test]
fn the_whole_darkroom_gives_the_same_bytes_everywhere() {
    let shots = bracket();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| make(&shots))
    };
    let usual = on(1);
    assert!(usual.finding.evidence.lines > 0, "the posts are seen");
    for threads in [2, 5] {
        assert!(on(threads) == usual, "{threads} threads differ");
    }
    enfilade::vectors::narrow(true);
    let plain = on(3);
    enfilade::vectors::narrow(false);
    assert!(plain == usual, "plain code differs from that for wide vectors");
}
