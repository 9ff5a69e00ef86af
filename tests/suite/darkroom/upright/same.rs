//! What must make no difference: where the picture is cut, its size, the number of cores.

use super::drawn::room;
use super::found;
use super::pictures::{doubled, halved, rolled, shot, tilted};
use enfilade::darkroom::upright::{Grey, upright};
use enfilade::sphere::{Direction, wrap_degrees};

#[test]
fn a_rolled_picture_has_the_upright_turned_with_it() {
    let picture = tilted(&halved(&halved(&shot("kitchen"))), 5.0, -3.0);
    let before = found(&picture).up;
    for columns in [1, 255, 256, 512, 700, 1023] {
        let after = found(&rolled(&picture, columns)).up;
        let turned = before.longitude() + columns as f64 / 1024.0 * 360.0;
        let expected = Direction::from_degrees(wrap_degrees(turned), before.latitude());
        let apart = after.angle_to(expected);
        assert!(apart < 0.02, "{columns} columns: {apart}° apart");
    }
}

#[test]
fn a_picture_of_twice_the_size_has_the_same_upright() {
    let small = tilted(&shot("hall"), 3.0, 4.0);
    assert_eq!(small.width, 4096);
    let (of_small, of_large) = (found(&small), found(&doubled(&small)));
    assert!(of_small.is_sure() && of_large.is_sure());
    let apart = of_small.up.angle_to(of_large.up);
    println!("4096 and 8192 columns: {apart:.4}° apart");
    assert!(apart <= 0.05, "{apart}° apart");
}

#[test]
fn odd_sizes_are_as_good_as_round_ones() {
    for width in [900, 1442, 2050, 3000] {
        let picture = room(width, 4.0, -2.0);
        let finding = found(&picture);
        let error = finding.up.angle_to(super::true_up(4.0, -2.0));
        assert!(finding.is_sure() && error <= 0.1, "{width} columns: {error}° off, {:?}", finding.doubt);
    }
    for width in [0, 2, 4, 8, 16, 64] {
        assert!(!found(&super::pictures::grey(width, vec![9; width * width / 2])).is_sure(), "{width} columns");
    }
}

#[test]
fn one_core_finds_what_many_find() {
    let picture = room(1024, -3.0, 2.0);
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads can be started");
        pool.install(|| found(&picture))
    };
    assert_eq!(with(1), with(4));
}

#[test]
fn light_and_luma_say_the_same() {
    let mut picture = room(1024, 6.0, 1.0);
    picture.chroma = enfilade::picture::Chroma::Full;
    picture.cb = vec![128; picture.y.len()];
    picture.cr = picture.cb.clone();
    let (luma, light) = (found(&picture), upright(&Grey::of_light(&picture)));
    assert!(luma.is_sure() && light.is_sure());
    assert!(luma.up.angle_to(light.up) < 0.01);
}
