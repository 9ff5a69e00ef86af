//! The pyramid: closed-form geometry first, then seams, aliasing and file sizes.

use crate::reference::reference;
use crate::spheres::{marker, smooth, sphere};
use enfilade::picture::Chroma;
use enfilade::sphere::{Direction, Face, Rotation};
use enfilade::tiles::layout::BORDER_PX;
use enfilade::tiles::{Encoding, FIRST_LIGHT_BYTES, Layout, Source, StillView, Tile, TileId, cut, first_light, still};
use image::RgbImage;
use std::collections::BTreeMap;

const USUAL: Encoding = Encoding { quality: 85, small: false };
const FINEST: Encoding = Encoding { quality: 100, small: false };

/// A finished pyramid, decoded by the `image` crate, sampled as a viewer does: bilinear, from one tile at a time.
struct Pyramid {
    layout: Layout,
    tiles: BTreeMap<TileId, RgbImage>,
}

impl Pyramid {
    fn new(source: &Source, level: Rotation, encoding: Encoding) -> Pyramid {
        let layout = Layout::for_width(source.width() as u32);
        let decode = |tile: Tile| (tile.id, image::load_from_memory(&tile.jpeg).unwrap().to_rgb8());
        let tiles = cut(source, level, &layout, encoding).into_iter().map(decode).collect();
        Pyramid { layout, tiles }
    }

    /// The colour at pixel coordinates of a face (0 to its size), taken from one given file. The coordinates may lie up to a
    /// border's width less half a pixel outside that file's square.
    fn in_tile(&self, id: TileId, x: f64, y: f64) -> [f64; 3] {
        let level = self.layout.levels[usize::from(id.level)];
        let local = |v: f64, index: u16| v - f64::from(level.span(u32::from(index)).0) + f64::from(BORDER_PX) - 0.5;
        let (x, y) = (local(x, id.column), local(y, id.row));
        let tile = &self.tiles[&id];
        let (left, top) = (x.floor(), y.floor());
        let (fx, fy) = (x - left, y - top);
        std::array::from_fn(|channel| {
            let at = |dx: f64, dy: f64| f64::from(tile.get_pixel((left + dx) as u32, (top + dy) as u32)[channel]);
            (at(0.0, 0.0) * (1.0 - fx) + at(1.0, 0.0) * fx) * (1.0 - fy)
                + (at(0.0, 1.0) * (1.0 - fx) + at(1.0, 1.0) * fx) * fy
        })
    }

    /// The colour in a direction, at one level.
    fn towards(&self, level: u8, direction: Direction) -> [f64; 3] {
        let (face, s, t) = Face::of(direction);
        let shape = self.layout.levels[usize::from(level)];
        let (x, y) = (s * f64::from(shape.face_px), t * f64::from(shape.face_px));
        let index = |v: f64| ((v / f64::from(shape.content_px)) as u32).min(shape.files - 1) as u16;
        self.in_tile(TileId { level, face, row: index(y), column: index(x) }, x, y)
    }
}

/// Where the bright disc near a place of a face really lies, in that face's pixels: the centroid of what is clearly brighter
/// than the ground, within `reach` pixels.
fn centroid(pyramid: &Pyramid, level: u8, face: Face, near: (f64, f64), reach: f64) -> (f64, f64) {
    let shape = pyramid.layout.levels[usize::from(level)];
    let range = |middle: f64| ((middle - reach).max(0.0) as u32)..((middle + reach) as u32 + 1).min(shape.face_px);
    let (mut sum, mut sum_x, mut sum_y) = (0.0, 0.0, 0.0);
    for row in range(near.1) {
        for column in range(near.0) {
            let index = |v: u32| (v / shape.content_px) as u16;
            let id = TileId { level, face, row: index(row), column: index(column) };
            let local = |v: u32, index: u16| v - shape.span(u32::from(index)).0 + BORDER_PX;
            let value = f64::from(pyramid.tiles[&id].get_pixel(local(column, id.column), local(row, id.row))[0]);
            let weight = (value - 60.0).max(0.0);
            sum += weight;
            sum_x += weight * (f64::from(column) + 0.5);
            sum_y += weight * (f64::from(row) + 0.5);
        }
    }
    (sum_x / sum, sum_y / sum)
}

/// FITS WCS Paper II (Calabretta and Greisen 2002), TSC projection, as computed by wcslib: `projection.csv` says for each
/// direction which face it falls on and where. A small disc put there must be found there, at every level.
#[test]
fn markers_lie_where_the_published_cube_projection_says() {
    let all: Vec<_> = reference("projection.csv")
        .into_iter()
        .map(|row| {
            let towards = Direction::from_degrees(row.number("lon_deg"), row.number("lat_deg"));
            (towards, row.text("gl_face"), row.number("tile_u"), row.number("tile_v"))
        })
        // A disc that crosses an edge of the face has its centroid elsewhere.
        .filter(|(_, _, s, t)| (0.06..=0.94).contains(s) && (0.06..=0.94).contains(t))
        .collect();
    let alone = |towards: Direction| all.iter().filter(|other| other.0.angle_to(towards) < 5.0).count() == 1;
    let directions: Vec<_> = all.iter().filter(|direction| alone(direction.0)).collect();
    assert!(directions.len() >= 15, "{} directions", directions.len());
    const DISC_DEG: f64 = 0.6;
    let discs = |direction: Direction| {
        let off = directions.iter().map(|disc| disc.0.angle_to(direction)).fold(f64::MAX, f64::min) / DISC_DEG;
        [20.0 + 220.0 * (-off * off).exp(), 128.0, 128.0]
    };
    let pyramid = Pyramid::new(&Source::new(sphere(2048, Chroma::Half, discs)), Rotation::IDENTITY, FINEST);
    for (towards, gl_face, s, t) in &directions {
        let face = Face::of(*towards).0;
        assert_eq!(face.name(), gl_face.replace('+', "p").replace('-', "n").to_lowercase());
        for (level, shape) in pyramid.layout.levels.iter().enumerate() {
            let size = f64::from(shape.face_px);
            let expected = (s * size, t * size);
            let (x, y) = centroid(&pyramid, level as u8, face, expected, 0.03 * size);
            let off = (x - expected.0).hypot(y - expected.1);
            assert!(off < 0.2, "{gl_face} at {s}, {t}, level {level}: off by {off} pixels");
        }
    }
}

/// The intrinsic heading, pitch, roll order (scipy's `from_euler('ZXY')`), `rotation.csv`: what the tilted camera sees at
/// longitude 40, latitude 10 lies in the level frame where the file says, less its heading.
#[test]
fn tilt_is_taken_out_in_the_same_sampling() {
    let source = Source::new(sphere(1024, Chroma::Half, marker(Direction::from_degrees(40.0, 10.0), 2.0)));
    for row in reference("rotation.csv") {
        let number = |name: &str| row.number(name);
        let level = Rotation::from_tilt(number("pitch"), number("roll"));
        let expected = Direction::from_degrees(number("probe_lon") - number("heading"), number("probe_lat"));
        let pyramid = Pyramid::new(&source, level, FINEST);
        let brightness = |direction| pyramid.towards(0, direction)[0];
        assert!(brightness(expected) > 230.0, "pitch {}, roll {}", number("pitch"), number("roll"));
        // A disc of two degrees has faded four degrees away, whichever way one looks.
        for turn in [0.0, 90.0, 180.0, 270.0_f64] {
            let beside = Direction::from_degrees(
                expected.longitude() + 6.0 * turn.to_radians().cos() / expected.latitude().to_radians().cos(),
                (expected.latitude() + 6.0 * turn.to_radians().sin()).min(89.0),
            );
            if beside.angle_to(expected) > 5.0 {
                assert!(brightness(beside) < 30.0);
            }
        }
    }
}

/// On a smooth picture, at default JPEG settings, the step across any edge, less the step just inside it, is at most 2 of
/// 255 in each of red, green and blue, at every level.
///
/// A line shows because it runs on: steps are means over sixteen pixels along the edge, the side of a 4:2:0 block. Single pixels
/// cannot be held to 2: luma and chroma are whole numbers in any JPEG, and where both change by one in the same place, a
/// wall without any edge has a step of 1 + 1.77 in blue.
#[test]
fn no_line_shows_across_tiles_faces_the_meridian_or_a_pole() {
    for chroma in [Chroma::Half, Chroma::Full] {
        let source = Source::new(sphere(4096, chroma, smooth));
        let pyramid = Pyramid::new(&source, Rotation::IDENTITY, USUAL);
        for level in 0..pyramid.layout.levels.len() as u8 {
            let worst = worst_step(tile_crossings(&pyramid, level).chain(face_crossings(&pyramid, level)));
            assert!(worst.iter().all(|&step| step <= 2.0 + 1e-9), "{chroma:?}, level {level}: steps of {worst:.2?}");
        }
    }
}

/// How many neighbours along an edge are looked at together.
const RUN: u32 = 16;

/// Mean colours one and a half pixels before an edge, half a pixel before it, half a pixel after it.
type Crossing = [[f64; 3]; 3];

/// The largest step across, less the step just inside, of each channel.
fn worst_step(crossings: impl Iterator<Item = Crossing>) -> [f64; 3] {
    crossings.fold([0.0; 3], |worst, [inside, before, after]| {
        std::array::from_fn(|c| worst[c].max((after[c] - before[c]).abs() - (before[c] - inside[c]).abs()))
    })
}

/// The mean colour of a run.
fn mean(colour: impl Fn(u32) -> [f64; 3]) -> [f64; 3] {
    (0..RUN).map(colour).fold([0.0; 3], |sum, colour| std::array::from_fn(|c| sum[c] + colour[c] / f64::from(RUN)))
}

/// Across every edge between two tiles of a face, in both directions: from pixel to pixel, and from the one tile's idea of
/// the edge itself to the other's.
fn tile_crossings(pyramid: &Pyramid, level: u8) -> impl Iterator<Item = Crossing> + '_ {
    let shape = pyramid.layout.levels[usize::from(level)];
    let edges = Face::ALL.into_iter().flat_map(move |face| {
        (1..shape.files).flat_map(move |right| {
            (0..shape.files).flat_map(move |row| {
                let (start, length) = shape.span(row);
                (0..length / RUN).map(move |run| (face, right, row, start + run * RUN))
            })
        })
    });
    edges.flat_map(move |(face, right, row, start)| {
        let edge = f64::from(right * shape.content_px);
        let colour = move |upright: bool, column: u32, offset: f64| {
            let (row, column) = if upright { (row, column) } else { (column, row) };
            let id = TileId { level, face, row: row as u16, column: column as u16 };
            mean(|i| {
                let (x, y) = (edge + offset, f64::from(start + i) + 0.5);
                if upright { pyramid.in_tile(id, x, y) } else { pyramid.in_tile(id, y, x) }
            })
        };
        [true, false].into_iter().flat_map(move |upright| {
            let (left, right) = (|offset| colour(upright, right - 1, offset), |offset| colour(upright, right, offset));
            [[left(-1.5), left(-0.5), right(0.5)], [left(0.0), left(0.0), right(0.0)]]
        })
    })
}

/// Along great circles that cross every face edge, ±180° and the poles.
fn face_crossings(pyramid: &Pyramid, level: u8) -> impl Iterator<Item = Crossing> + '_ {
    const PLACES: u32 = 200;
    let pixel_deg = 90.0 / f64::from(pyramid.layout.levels[usize::from(level)].face_px);
    // Given a place along the edge and a distance from it, both in degrees.
    let mut ways: Vec<Box<dyn Fn(f64, f64) -> Direction>> = Vec::new();
    // Edges between side faces, ±180°, and the seams over the top and the bottom.
    for meridian in [45.0, 135.0, -135.0, -45.0, 180.0, 0.0] {
        ways.push(Box::new(move |along, off| Direction::from_degrees(meridian + off, along * 0.7)));
        for pole in [90.0, -90.0_f64] {
            ways.push(Box::new(move |along, off: f64| {
                let beyond = if off > 0.0 { 180.0 } else { 0.0 };
                Direction::from_degrees(meridian + along + beyond, pole - off.abs() * pole.signum())
            }));
        }
    }
    // Edges of the top and bottom face: tan(latitude) = cos(longitude) on the front, and so on around.
    for quarter in [0.0, 90.0, 180.0, 270.0] {
        for side in [1.0, -1.0] {
            ways.push(Box::new(move |along: f64, off| {
                let latitude = along.to_radians().cos().atan().to_degrees();
                Direction::from_degrees(quarter + along, side * latitude + off)
            }));
        }
    }
    ways.into_iter().flat_map(move |way| {
        (0..PLACES).map(move |place| {
            let along = f64::from(place) / f64::from(PLACES) * 90.0 - 45.0;
            [-1.5, -0.5, 0.5].map(|offset| {
                mean(|i| pyramid.towards(level, way(along + f64::from(i) * pixel_deg, offset * pixel_deg)))
            })
        })
    })
}

/// A zone plate on the sphere: rings that grow finer with the distance from a point. Where they are too fine for a level they
/// must vanish into their mean, not come back as other rings; where they are coarse they must stay.
#[test]
fn fine_rings_do_not_come_back_as_coarse_ones() {
    const WIDTH: usize = 4096;
    let centre = Direction::from_degrees(20.0, 15.0);
    // Rings reach the picture's own limit, WIDTH/4π cycles a radian, at 90 degrees.
    let finest = WIDTH as f64 / (4.0 * std::f64::consts::PI);
    let cycles_per_radian = |off: f64| finest * off / std::f64::consts::FRAC_PI_2;
    let rings = |direction: Direction| {
        let off = direction.angle_to(centre).to_radians();
        let phase = std::f64::consts::TAU * finest * off * off / std::f64::consts::PI;
        [128.0 + 100.0 * phase.cos(), 128.0, 128.0]
    };
    let pyramid = Pyramid::new(&Source::new(sphere(WIDTH, Chroma::Full, rings)), Rotation::IDENTITY, FINEST);
    for (index, level) in pyramid.layout.levels.iter().enumerate().skip(1) {
        let (mut vanished, mut kept) = (Vec::new(), Vec::new());
        for face in Face::ALL {
            for i in 0..level.face_px * level.face_px {
                let place = |v: u32| (f64::from(v) + 0.5) / f64::from(level.face_px);
                let (s, t) = (place(i % level.face_px), place(i / level.face_px));
                let (a, b) = (2.0 * s - 1.0, 2.0 * t - 1.0);
                let direction = face.direction(s, t);
                let off = direction.angle_to(centre).to_radians();
                // Beyond that the picture itself holds false rings.
                if off > 1.4 {
                    continue;
                }
                let cycles = cycles_per_radian(off);
                // Half the pixels of a radian at the face's middle; the finest density there is 1 + a² + b² times that.
                let limit = f64::from(level.face_px) / 4.0;
                let contrast = (pyramid.towards(index as u8, direction)[0] - 128.0) / 100.0;
                if cycles > 1.3 * limit * (1.0 + a * a + b * b) {
                    vanished.push(contrast);
                } else if cycles < 0.25 * limit {
                    kept.push(contrast);
                }
            }
        }
        let root_mean_square = |v: &[f64]| (v.iter().map(|c| c * c).sum::<f64>() / v.len() as f64).sqrt();
        assert!(vanished.len() > 1000 && kept.len() > 100, "level {index}: enough places to look at");
        let (vanished, kept) = (root_mean_square(&vanished), root_mean_square(&kept));
        assert!(vanished < 0.08, "level {index}: what is too fine keeps {vanished} of its contrast");
        // A wave of full contrast has a root mean square of 1/√2.
        assert!(kept > 0.9 * std::f64::consts::FRAC_1_SQRT_2, "level {index}: coarse rings keep {kept}");
    }
}

#[test]
fn first_light_is_small_whatever_the_picture() {
    let mut state = 7u32;
    let mut noise = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    };
    let mut picture = sphere(2048, Chroma::Half, smooth);
    picture.y.iter_mut().for_each(|sample| *sample = noise());
    picture.cb.iter_mut().for_each(|sample| *sample = noise());
    for picture in [picture, sphere(2048, Chroma::Half, smooth), sphere(64, Chroma::Full, smooth)] {
        let jpeg = first_light(&Source::new(picture), Rotation::IDENTITY);
        assert!(jpeg.len() <= FIRST_LIGHT_BYTES);
        let decoded = image::load_from_memory(&jpeg).unwrap();
        assert_eq!(decoded.width(), 2 * decoded.height());
    }
}

/// First light lies in the level frame, as the tiles do.
#[test]
fn first_light_and_stills_stand_upright_too() {
    let (pitch, roll) = (12.0, -20.0);
    let level = Rotation::from_tilt(pitch, roll);
    let upright = Direction::from_degrees(70.0, 25.0);
    let source = Source::new(sphere(2048, Chroma::Half, marker(level.inverse().apply(upright), 4.0)));
    let small = image::load_from_memory(&first_light(&source, level)).unwrap().to_luma8();
    let brightest = small.enumerate_pixels().max_by_key(|(_, _, value)| value.0[0]).unwrap();
    let place = |v: u32, size: u32| (f64::from(v) + 0.5) / f64::from(size);
    let longitude = place(brightest.0, small.width()) * 360.0 - 180.0;
    let latitude = 90.0 - place(brightest.1, small.height()) * 180.0;
    assert!(Direction::from_degrees(longitude, latitude).angle_to(upright) < 2.0);

    let view = StillView { longitude_deg: 70.0, elevation_deg: 25.0, field_of_view_deg: 60.0, width: 300, height: 200 };
    let flat = image::load_from_memory(&still(&source, level, view)).unwrap().to_luma8();
    let (mut sum, mut x, mut y) = (0.0, 0.0, 0.0);
    for (column, row, value) in flat.enumerate_pixels() {
        let weight = (f64::from(value.0[0]) - 60.0).max(0.0);
        (sum, x, y) = (sum + weight, x + weight * (f64::from(column) + 0.5), y + weight * (f64::from(row) + 0.5));
    }
    assert!((x / sum - 150.0).abs() < 0.5 && (y / sum - 100.0).abs() < 0.5, "{}, {}", x / sum, y / sum);
}
