//! Flat views: square windows on a sphere, and what is seen through them.

use super::band::Band;
use super::flat_light::FlatLight;
use crate::picture::linear::LinearRows;
use crate::sphere::{Direction, axes_at, on_plane};
use rayon::prelude::*;

/// A square rectilinear window on a picture, upright: its columns point to the picture's zenith. At the nadir and the zenith
/// its right is the right of the centre column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatView {
    axes: [Direction; 3],
    /// Tangent of half the angle that it shows.
    half: f64,
    /// Columns and rows.
    pub side_px: usize,
}

impl FlatView {
    /// Looks at `middle`, `half_deg` to each side, at most 75 degrees.
    pub fn new(middle: Direction, half_deg: f64, side_px: usize) -> FlatView {
        FlatView { axes: axes_at(middle), half: libm::tan(half_deg.clamp(0.01, 75.0).to_radians()), side_px }
    }

    /// The same with as many pixels as lose nothing of a sphere of that width: as fine in its middle as the sphere is, and
    /// finer elsewhere.
    pub fn without_loss(middle: Direction, half_deg: f64, sphere_width: usize) -> FlatView {
        let view = FlatView::new(middle, half_deg, 1);
        let side = 2.0 * view.half * sphere_width as f64 / std::f64::consts::TAU;
        FlatView { side_px: (side.ceil() as usize).max(8), ..view }
    }

    /// The same with no more pixels than that each way.
    pub fn at_most(self, side_px: usize) -> FlatView {
        self.with_side(self.side_px.min(side_px))
    }

    /// The same with so many columns and rows.
    pub fn with_side(self, side_px: usize) -> FlatView {
        FlatView { side_px, ..self }
    }

    /// The same, turned clockwise about its middle, as seen by who looks through it.
    pub fn turned(self, clockwise_deg: f64) -> FlatView {
        let (sine, cosine) = (libm::sin(clockwise_deg.to_radians()), libm::cos(clockwise_deg.to_radians()));
        let [right, down, ahead] = self.axes;
        let mixed = |a: f64, b: f64| {
            Direction::normalized(
                a * right.right + b * down.right,
                a * right.up + b * down.up,
                a * right.ahead + b * down.ahead,
            )
        };
        FlatView { axes: [mixed(cosine, sine), mixed(-sine, cosine), ahead], ..self }
    }

    /// Pixels to the tangent of one radian, which is as many as there are to a radian in its middle.
    pub fn pixels_to_a_radian(&self) -> f64 {
        self.side_px as f64 / (2.0 * self.half)
    }

    /// Where a pixel looks, `x` and `y` counted from the first pixel's centre. Not brought to length 1.
    #[inline(always)]
    pub fn ray(&self, x: f64, y: f64) -> [f64; 3] {
        let along = |pixel: f64| (2.0 * (pixel + 0.5) / self.side_px as f64 - 1.0) * self.half;
        let (a, b) = (along(x), along(y));
        let [right, down, ahead] = &self.axes;
        [
            ahead.right + a * right.right + b * down.right,
            ahead.up + a * right.up + b * down.up,
            ahead.ahead + a * right.ahead + b * down.ahead,
        ]
    }

    /// Which pixel shows a direction, counted from the first one's centre; `None` behind the window. It may lie outside.
    #[inline(always)]
    pub fn pixel(&self, direction: Direction) -> Option<[f64; 2]> {
        let [a, b] = on_plane(&self.axes, direction)?;
        let pixel = |along: f64| (along / self.half + 1.0) / 2.0 * self.side_px as f64 - 0.5;
        Some([pixel(a), pixel(b)])
    }

    /// The direction in the middle.
    pub fn middle(&self) -> Direction {
        self.axes[2]
    }

    /// The angle from the middle to a corner, degrees.
    pub fn reach_deg(&self) -> f64 {
        libm::atan(self.half * std::f64::consts::SQRT_2).to_degrees()
    }

    /// What is seen through it.
    pub fn look(&self, rows: &dyn LinearRows) -> FlatLight {
        self.look_where(rows, &|_| true)
    }

    /// The same for some of its pixels, counted row by row; the others stay black.
    pub fn look_where(&self, rows: &dyn LinearRows, is_wanted: &(dyn Fn(usize) -> bool + Sync)) -> FlatLight {
        let band = Band::around(rows, self.middle(), self.reach_deg());
        let mut pixels = vec![[0.0; 3]; self.side_px * self.side_px];
        pixels.par_chunks_mut(self.side_px).enumerate().for_each(|(y, row)| {
            for (x, pixel) in row.iter_mut().enumerate().filter(|(x, _)| is_wanted(y * self.side_px + x)) {
                *pixel = band.sample(self.ray(x as f64, y as f64));
            }
        });
        FlatLight { width: self.side_px, height: self.side_px, pixels }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::linear::Row;

    /// Light that tells its own direction: (right, up, ahead) + 2.
    struct Told(usize);

    impl LinearRows for Told {
        fn size(&self) -> (usize, usize) {
            (self.0, self.0 / 2)
        }

        fn read(&self, y: usize, row: &mut Row) {
            for x in 0..self.0 {
                let longitude = ((x as f64 + 0.5) / self.0 as f64 - 0.5) * 360.0;
                let d = Direction::from_degrees(longitude, 90.0 - (y as f64 + 0.5) * 360.0 / self.0 as f64);
                for (channel, value) in row.iter_mut().zip([d.right, d.up, d.ahead]) {
                    channel[x] = value as f32 + 2.0;
                }
            }
        }
    }

    #[test]
    fn a_view_shows_what_lies_in_each_direction() {
        let sphere = Told(1024);
        for (longitude, latitude) in [(0.0, 0.0), (180.0, 5.0), (-179.9, -60.0), (30.0, 88.0), (0.0, -90.0)] {
            let view = FlatView::new(Direction::from_degrees(longitude, latitude), 40.0, 64).turned(20.0);
            let seen = view.look(&sphere);
            for (index, light) in seen.pixels.iter().enumerate() {
                let [right, up, ahead] = view.ray((index % 64) as f64, (index / 64) as f64);
                let expected: [f64; 3] = Direction::normalized(right, up, ahead).into();
                for (got, expected) in light.iter().zip(expected) {
                    assert!((f64::from(*got) - 2.0 - expected).abs() < 2e-5, "{longitude} {latitude} {index}");
                }
            }
        }
    }

    #[test]
    fn pixels_and_rays_undo_each_other() {
        let view = FlatView::without_loss(Direction::from_degrees(-151.0, -22.0), 15.0, 4096).turned(-33.0);
        let [right, up, ahead] = view.ray(12.25, 200.5);
        let [x, y] = view.pixel(Direction::normalized(right, up, ahead)).unwrap();
        assert!((x - 12.25).abs() < 1e-9 && (y - 200.5).abs() < 1e-9);
        // 4096 columns are 651.9 to a radian, and half the view is the tangent of 15°.
        assert_eq!(view.side_px, (2.0 * 15f64.to_radians().tan() * 651.8986).ceil() as usize);
    }

    #[test]
    fn turning_a_view_turns_what_is_seen_the_other_way() {
        // The top of a view turned a quarter clockwise is what was on its right.
        let view = FlatView::new(Direction::from_degrees(0.0, 0.0), 10.0, 101);
        let turned = view.turned(90.0);
        let top = turned.ray(50.0, 0.0);
        assert!(top[0] > 0.1 && top[1].abs() < 1e-9, "{top:?}");
    }
}
