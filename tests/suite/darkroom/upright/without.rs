//! Pictures that say nothing of the upright: the finding must say so.

use super::pictures::{formula, grey};
use super::{found, told};
use enfilade::picture::YccPicture;
use enfilade::sphere::Direction;

const WIDTH: usize = 1024;

/// Numbers 0..1 that look random: the high bits of a linear congruential generator (Numerical Recipes' constants, from memory), seed 1.
fn noise(count: usize) -> Vec<f64> {
    let mut state = 1u32;
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(state >> 8) / f64::from(1u32 << 24)
    };
    (0..count).map(|_| next()).collect()
}

/// Grain as coarse as `size_deg`, the same size everywhere on the sphere, between values that are joined smoothly.
fn grain(size_deg: f64, contrast: f64) -> YccPicture {
    const SIDE: usize = 64;
    let values = noise(SIDE * SIDE * SIDE);
    let scale = 1.0 / size_deg.to_radians();
    let value = move |x: i64, y: i64, z: i64| {
        let [x, y, z] = [x, y, z].map(|part| part.rem_euclid(SIDE as i64) as usize);
        values[(x * SIDE + y) * SIDE + z]
    };
    formula(WIDTH, move |d| {
        let at = <[f64; 3]>::from(d).map(|part| part * scale);
        let low = at.map(|part| part.floor());
        let part: [f64; 3] = std::array::from_fn(|i| {
            let t = at[i] - low[i];
            t * t * (3.0 - 2.0 * t)
        });
        let [x, y, z] = low.map(|part| part as i64);
        let corner = |i: i64, j: i64, k: i64| {
            let weight = |far: i64, t: f64| if far == 1 { t } else { 1.0 - t };
            weight(i, part[0]) * weight(j, part[1]) * weight(k, part[2]) * value(x + i, y + j, z + k)
        };
        let sum: f64 = (0..8).map(|c| corner(c & 1, (c >> 1) & 1, c >> 2)).sum();
        128.0 + contrast * (sum - 0.5)
    })
}

/// Trunks that lean each its own way, by up to 12°.
fn leaning_wood() -> YccPicture {
    let lean = noise(240);
    let trunks: Vec<[f64; 3]> = (0..80)
        .map(|i| {
            let longitude = (i as f64 * 4.5 + lean[i] * 3.0).to_radians();
            let lean = (24.0 * lean[80 + i] - 12.0).to_radians();
            // Normal of the trunk's great circle.
            [longitude.cos() * lean.cos(), lean.sin(), -longitude.sin() * lean.cos()]
        })
        .collect();
    formula(WIDTH, |d| {
        let dark = trunks.iter().any(|n| {
            let off = n[0] * d.right + n[1] * d.up + n[2] * d.ahead;
            // The half of the circle that the trunk stands on.
            off.abs() < 0.01 && d.right * -n[2] + d.ahead * n[0] > 0.0 && d.up > -0.5
        });
        if dark { 60.0 } else { 150.0 }
    })
}

fn stripes(d: Direction, along: [f64; 3], count: f64) -> f64 {
    let [x, y, z] = along;
    128.0 + 80.0 * (count * (x * d.right + y * d.up + z * d.ahead)).sin()
}

fn pictures() -> Vec<(&'static str, YccPicture)> {
    let pixels = WIDTH * WIDTH / 2;
    let longitude = |d: Direction| d.right.atan2(d.ahead);
    vec![
        ("plain grey", grey(WIDTH, vec![128; pixels])),
        ("black", grey(WIDTH, vec![0; pixels])),
        ("white", grey(WIDTH, vec![255; pixels])),
        ("sky", formula(WIDTH, |d| 150.0 + 90.0 * d.up + 20.0 * d.right)),
        ("sensor noise", grey(WIDTH, noise(pixels).iter().map(|v| (v * 255.0) as u8).collect())),
        ("lawn", grain(1.2, 160.0)),
        ("clouds", grain(12.0, 200.0)),
        ("slanting stripes", formula(WIDTH, move |d| 128.0 + 80.0 * (40.0 * (longitude(d) + d.up.asin())).sin())),
        ("parallel stripes", formula(WIDTH, |d| stripes(d, [0.6, 0.64, 0.48], 60.0))),
        ("rings", formula(WIDTH, |d| stripes(d, [0.0, 1.0, 0.0], 60.0))),
        (
            "star on the floor",
            formula(
                WIDTH,
                move |d| {
                    if d.up < -0.35 { 128.0 + 80.0 * (24.0 * longitude(d)).sin().signum() } else { 200.0 }
                },
            ),
        ),
        ("leaning wood", leaning_wood()),
        (
            "tiles under the sky",
            formula(WIDTH, |d| {
                if d.up > -0.05 {
                    return 220.0;
                }
                let (x, z) = (d.right / -d.up, d.ahead / -d.up);
                90.0 + 70.0 * f64::from(((x * 1.5).floor() as i32 + (z * 1.5).floor() as i32) & 1)
            }),
        ),
        (
            "one lamp post",
            formula(
                WIDTH,
                move |d| if (longitude(d) - 0.7).abs() < 0.02 && d.up > -0.3 && d.up < 0.6 { 40.0 } else { 180.0 },
            ),
        ),
    ]
}

#[test]
fn pictures_without_verticals_are_not_sure() {
    for (name, picture) in pictures() {
        let finding = found(&picture);
        println!("{}", told(name, (0.0, 0.0), &finding));
        assert!(!finding.is_sure(), "{name}: {finding:?}");
        assert!(!finding.needs_correcting());
        assert!(finding.up.angle_to(Direction::from_degrees(0.0, 90.0)) <= 31.0, "{name}: {finding:?}");
    }
}
