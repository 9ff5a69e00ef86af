//! Regions of a picture: discs and polygons on the sphere.

use super::{Direction, Spot};

/// No region reaches further than this from its middle: a flat view of it would be stretched beyond use.
const FURTHEST_DEG: f64 = 60.0;
/// What is smaller than this square of a degree's tangent is a line or a point.
const SMALLEST_AREA: f64 = 1e-7;

/// A part of a picture, in the picture's own frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    shape: Shape,
    middle: Direction,
    reach_deg: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Shape {
    Disc {
        radius_deg: f64,
    },
    /// Corners in order, and each as it lies on the plane that touches the sphere at the middle.
    Polygon {
        corners: Vec<Direction>,
        flat: Vec<[f64; 2]>,
    },
}

/// Why some numbers make no region.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RegionError {
    /// Fewer than three corners, or all on one line.
    #[error("has no area")]
    Empty,
    /// A corner lies more than 60° from the middle of all.
    #[error("covers most of what is seen")]
    TooLarge,
}

impl Region {
    /// All that is seen within `radius_deg` of a spot. The radius is kept within 0 to 60 degrees.
    pub fn disc(middle: Spot, radius_deg: f64) -> Region {
        let radius_deg = radius_deg.clamp(0.0, FURTHEST_DEG);
        Region { shape: Shape::Disc { radius_deg }, middle: middle.direction(), reach_deg: radius_deg }
    }

    /// What is seen within corners that are joined, in order, by straight lines as a camera sees them. Where lines cross, what is
    /// enclosed twice is outside.
    ///
    /// # Errors
    /// Corners that enclose nothing, or that lie too far apart.
    pub fn polygon(corners: &[Spot]) -> Result<Region, RegionError> {
        let corners: Vec<Direction> = corners.iter().map(|corner| corner.direction()).collect();
        let sum = |part: fn(&Direction) -> f64| corners.iter().map(part).sum::<f64>();
        let (right, up, ahead) = (sum(|d| d.right), sum(|d| d.up), sum(|d| d.ahead));
        let length = libm::sqrt(right * right + up * up + ahead * ahead);
        if corners.len() < 3 {
            return Err(RegionError::Empty);
        }
        // Corners that surround the camera have no middle.
        if length < 0.1 * corners.len() as f64 {
            return Err(RegionError::TooLarge);
        }
        let middle = Direction::normalized(right, up, ahead);
        let reach_deg = corners.iter().map(|corner| middle.angle_to(*corner)).fold(0.0, f64::max);
        if reach_deg > FURTHEST_DEG {
            return Err(RegionError::TooLarge);
        }
        let axes = axes_at(middle);
        let flat: Vec<[f64; 2]> = corners.iter().filter_map(|corner| on_plane(&axes, *corner)).collect();
        let area = edges(&flat).map(|([ax, ay], [bx, by])| ax * by - ay * bx).sum::<f64>() / 2.0;
        if area.abs() < SMALLEST_AREA {
            return Err(RegionError::Empty);
        }
        Ok(Region { shape: Shape::Polygon { corners, flat }, middle, reach_deg })
    }

    /// The middle of the disc; the mean direction of the corners.
    pub fn middle(&self) -> Direction {
        self.middle
    }

    /// The angle from the middle to what lies furthest from it, 0 to 60 degrees.
    pub fn reach_deg(&self) -> f64 {
        self.reach_deg
    }

    /// All numbers that make it what it is: as many as no other region of another shape has, or others.
    pub fn numbers(&self) -> Vec<f64> {
        let of = |direction: &Direction| [direction.right, direction.up, direction.ahead];
        match &self.shape {
            Shape::Disc { radius_deg } => of(&self.middle).into_iter().chain([*radius_deg]).collect(),
            Shape::Polygon { corners, .. } => corners.iter().flat_map(of).collect(),
        }
    }

    /// Degrees from a direction to the region's edge: below 0 inside, above 0 outside.
    pub fn distance_deg(&self, direction: Direction) -> f64 {
        match &self.shape {
            Shape::Disc { radius_deg } => self.middle.angle_to(direction) - radius_deg,
            Shape::Polygon { corners, flat } => {
                let around = corners.iter().zip(corners.iter().cycle().skip(1));
                let nearest = around.map(|(a, b)| from_arc_deg(direction, *a, *b)).fold(180.0, f64::min);
                let point = on_plane(&axes_at(self.middle), direction);
                if point.is_some_and(|point| encloses(flat, point)) { -nearest } else { nearest }
            }
        }
    }
}

/// Right and down on the plane that touches the sphere at a direction, and that direction. At the poles, where right is
/// anywhere, it is the centre column's right.
pub fn axes_at(middle: Direction) -> [Direction; 3] {
    let is_pole = libm::hypot(middle.right, middle.ahead) < 1e-9;
    let longitude = if is_pole { 0.0 } else { middle.longitude().to_radians() };
    let latitude = middle.latitude().to_radians();
    let (sine, cosine) = (libm::sin(longitude), libm::cos(longitude));
    let right = Direction { right: cosine, up: 0.0, ahead: -sine };
    let (low, high) = (libm::sin(latitude), libm::cos(latitude));
    let down = Direction { right: low * sine, up: -high, ahead: low * cosine };
    [right, down, middle]
}

/// Where a direction lies on the plane that touches the sphere at the third of `axes`; `None` behind it.
pub fn on_plane(axes: &[Direction; 3], direction: Direction) -> Option<[f64; 2]> {
    let [across, down, ahead] = axes.map(|axis| dot(axis, direction));
    (ahead > 1e-9).then(|| [across / ahead, down / ahead])
}

fn edges(flat: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    flat.iter().copied().zip(flat.iter().copied().cycle().skip(1))
}

/// Whether a point lies inside: a ray to the right crosses an odd number of edges.
fn encloses(flat: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    let crossed = |([ax, ay], [bx, by]): &([f64; 2], [f64; 2])| {
        (*ay > y) != (*by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
    };
    edges(flat).filter(crossed).count() % 2 == 1
}

/// Degrees from a direction to the nearest place of the shorter arc between two others.
fn from_arc_deg(direction: Direction, a: Direction, b: Direction) -> f64 {
    let to_ends = direction.angle_to(a).min(direction.angle_to(b));
    let [right, up, ahead] = cross(a, b);
    if libm::sqrt(right * right + up * up + ahead * ahead) < 1e-12 {
        return to_ends;
    }
    let pole = Direction::normalized(right, up, ahead);
    let [x, y, z] = cross(pole, direction);
    // The foot on the great circle lies between the ends if it is on the same side of both.
    let foot = cross(Direction { right: x, up: y, ahead: z }, pole);
    let foot = Direction::normalized(foot[0], foot[1], foot[2]);
    let is_between = triple(a, foot, pole) >= 0.0 && triple(foot, b, pole) >= 0.0;
    if !is_between {
        return to_ends;
    }
    (90.0 - pole.angle_to(direction)).abs().min(to_ends)
}

fn dot(a: Direction, b: Direction) -> f64 {
    a.right * b.right + a.up * b.up + a.ahead * b.ahead
}

fn cross(a: Direction, b: Direction) -> [f64; 3] {
    [a.up * b.ahead - a.ahead * b.up, a.ahead * b.right - a.right * b.ahead, a.right * b.up - a.up * b.right]
}

fn triple(a: Direction, b: Direction, pole: Direction) -> f64 {
    let [right, up, ahead] = cross(a, b);
    dot(Direction { right, up, ahead }, pole)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(longitude: f64, latitude: f64) -> Spot {
        Spot::new(longitude, latitude).unwrap()
    }

    fn at(longitude: f64, latitude: f64) -> Direction {
        Direction::from_degrees(longitude, latitude)
    }

    #[test]
    fn a_disc_is_as_far_as_its_edge_everywhere() {
        for middle in [spot(0.0, 0.0), spot(180.0, 30.0), spot(12.0, -90.0)] {
            let disc = Region::disc(middle, 10.0);
            assert!((disc.distance_deg(middle.direction()) + 10.0).abs() < 1e-9);
        }
        let over_the_edge = Region::disc(spot(178.0, 0.0), 5.0);
        assert!((over_the_edge.distance_deg(at(-175.0, 0.0)) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_polygon_holds_what_lies_within_its_corners() {
        let square = [spot(170.0, -5.0), spot(-170.0, -5.0), spot(-170.0, 5.0), spot(170.0, 5.0)];
        let region = Region::polygon(&square).unwrap();
        assert!(region.distance_deg(at(180.0, 0.0)) < 0.0);
        assert!(region.distance_deg(at(-171.0, 4.0)) < 0.0);
        assert!(region.distance_deg(at(168.0, 0.0)) > 0.0);
        assert!(region.distance_deg(at(0.0, 0.0)) > 90.0);
        // A meridian is a great circle, so the edge at longitude 170 is one degree from 171 on the equator.
        assert!((region.distance_deg(at(171.0, 0.0)) + 1.0).abs() < 1e-9);
        assert!((region.distance_deg(at(168.0, 0.0)) - 2.0).abs() < 1e-9);
    }

    #[test]
    fn the_nadir_may_lie_inside() {
        let around: Vec<Spot> = [0.0, 90.0, 180.0, -90.0].map(|longitude| spot(longitude, -70.0)).into();
        let region = Region::polygon(&around).unwrap();
        assert!((region.middle().latitude() + 90.0).abs() < 1e-9);
        assert!(region.distance_deg(at(45.0, -90.0)) < -10.0);
        // Straight lines between corners 20° from the nadir pass nearer to it: tan 20° / √2 away on the floor.
        let nearest = libm::atan(libm::tan(20f64.to_radians()) / 2f64.sqrt()).to_degrees();
        assert!((region.distance_deg(at(45.0, -90.0 + nearest))).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_region_is_refused() {
        let line = [spot(0.0, 0.0), spot(5.0, 0.0), spot(10.0, 0.0)];
        assert_eq!(Region::polygon(&line), Err(RegionError::Empty));
        assert_eq!(Region::polygon(&line[..2]), Err(RegionError::Empty));
        let wide = [spot(-80.0, 0.0), spot(80.0, 0.0), spot(0.0, 80.0)];
        assert_eq!(Region::polygon(&wide), Err(RegionError::TooLarge));
        let belt = [spot(0.0, 0.0), spot(120.0, 0.0), spot(-120.0, 0.0)];
        assert_eq!(Region::polygon(&belt), Err(RegionError::TooLarge));
    }

    #[test]
    fn axes_are_a_right_handed_view() {
        for (longitude, latitude) in [(0.0, 0.0), (180.0, 0.0), (-151.0, -22.0), (0.0, -90.0), (40.0, 90.0)] {
            let [right, down, ahead] = axes_at(at(longitude, latitude));
            for (a, b) in [(right, down), (right, ahead), (down, ahead)] {
                assert!(dot(a, b).abs() < 1e-12);
            }
            assert!((triple(right, down, ahead).abs() - 1.0).abs() < 1e-12);
        }
        let [right, down, _] = axes_at(at(0.0, -90.0));
        assert!((right.right - 1.0).abs() < 1e-12 && (down.ahead + 1.0).abs() < 1e-12);
        let [_, down, _] = axes_at(at(0.0, 0.0));
        assert!((down.up + 1.0).abs() < 1e-12);
    }
}
