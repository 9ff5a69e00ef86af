//! Runs of edge points that lie on one great circle: the straight lines of the scene.

use super::edges::EdgePoint;

/// The shortest run that is kept, in degrees. Shorter ones are grain, leaves and lettering.
const SHORTEST_DEG: f64 = 2.5;

/// How far points may stray from their great circle, root mean square, in pixels.
const LARGEST_STRAY_PX: f64 = 0.5;

/// Neighbours belong to one edge if their great circles differ by less than this (the cosine of 15°).
const SAME_WAY: f64 = 0.965_925_8;

/// A straight line of the scene.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    /// The normal of its great circle.
    pub normal: [f64; 3],
    /// Its middle.
    pub middle: [f64; 3],
    /// From end to end, in radians.
    pub length: f64,
    /// How well its direction at its middle is known: one standard deviation in radians.
    pub turn_error: f64,
}

/// Gathers edge points into lines, in the order of their first points.
pub(super) fn lines(rows: &[Vec<EdgePoint>], width: usize) -> Vec<Line> {
    let pixel = std::f64::consts::TAU / width.max(1) as f64;
    let mut found = Vec::new();
    for mut run in runs(rows, width) {
        split_into_lines(&mut run, pixel, &mut found);
    }
    found
}

/// Points joined to their neighbours, over ±180° too, where both run the same way.
fn runs(rows: &[Vec<EdgePoint>], width: usize) -> Vec<Vec<EdgePoint>> {
    let points: Vec<EdgePoint> = rows.iter().flatten().copied().collect();
    let mut starts = Vec::with_capacity(rows.len() + 1);
    starts.push(0);
    rows.iter().for_each(|row| starts.push(starts[starts.len() - 1] + row.len()));
    let mut joined = Joined::new(points.len());
    let mut at_column = Columns::new(width);
    for y in 0..rows.len() {
        for below in 0..=2 {
            let Some(row) = rows.get(y + below) else { break };
            at_column.set(row, starts[y + below]);
            for index in starts[y]..starts[y + 1] {
                let point = &points[index];
                // One row may be skipped: a lone pixel that is not the steepest must not cut a line in two.
                let columns = if below == 0 { 1..=1 } else { -1..=1 };
                for other in columns.filter_map(|step| at_column.get(point.x, step)) {
                    if dot(point.normal, points[other].normal) > SAME_WAY {
                        joined.join(index, other);
                    }
                }
            }
        }
    }
    joined.groups().into_iter().map(|group| group.into_iter().map(|index| points[index]).collect()).collect()
}

/// Which point of a row lies in which column.
struct Columns {
    index: Vec<usize>,
    filled: Vec<usize>,
}

impl Columns {
    fn new(width: usize) -> Self {
        Columns { index: vec![usize::MAX; width], filled: Vec::new() }
    }

    fn set(&mut self, row: &[EdgePoint], start: usize) {
        self.filled.drain(..).for_each(|x| self.index[x] = usize::MAX);
        for (offset, point) in row.iter().enumerate() {
            self.index[point.x] = start + offset;
            self.filled.push(point.x);
        }
    }

    fn get(&self, x: usize, step: isize) -> Option<usize> {
        let column = (x as isize + step).rem_euclid(self.index.len() as isize) as usize;
        Some(self.index[column]).filter(|&index| index != usize::MAX)
    }
}

/// Disjoint sets of points (Tarjan 1975), the smallest index standing for each.
struct Joined(Vec<usize>);

impl Joined {
    fn new(count: usize) -> Self {
        Joined((0..count).collect())
    }

    fn leader(&mut self, mut index: usize) -> usize {
        while self.0[index] != index {
            self.0[index] = self.0[self.0[index]];
            index = self.0[index];
        }
        index
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.leader(a), self.leader(b));
        self.0[a.max(b)] = a.min(b);
    }

    /// The sets, each in rising order, in the order of their first members.
    fn groups(mut self) -> Vec<Vec<usize>> {
        let mut group_of = vec![usize::MAX; self.0.len()];
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for index in 0..self.0.len() {
            let leader = self.leader(index);
            if group_of[leader] == usize::MAX {
                group_of[leader] = groups.len();
                groups.push(Vec::new());
            }
            groups[group_of[leader]].push(index);
        }
        groups
    }
}

/// Takes a run for a line if its points lie on a great circle, else tries its two halves.
fn split_into_lines(run: &mut [EdgePoint], pixel: f64, found: &mut Vec<Line>) {
    let shortest = SHORTEST_DEG.to_radians();
    // Points come one a pixel: too few cannot be long enough.
    if (run.len() as f64) < 0.5 * shortest / pixel || run.len() < 6 {
        return;
    }
    let Some(circle) = GreatCircle::through(run) else { return };
    run.sort_by(|a, b| circle.along(a).total_cmp(&circle.along(b)));
    let length = circle.along(&run[run.len() - 1]) - circle.along(&run[0]);
    if length < shortest {
        return;
    }
    if circle.stray <= LARGEST_STRAY_PX * pixel {
        return found.push(circle.line(length, run.len(), pixel));
    }
    let (near, far) = run.split_at_mut(run.len() / 2);
    split_into_lines(near, pixel, found);
    split_into_lines(far, pixel, found);
}

/// The great circle nearest to some points.
struct GreatCircle {
    normal: [f64; 3],
    middle: [f64; 3],
    /// Square to both.
    along: [f64; 3],
    /// Root mean square distance of the points, radians.
    stray: f64,
}

impl GreatCircle {
    /// The plane through the centre with the least sum of squared distances: its normal is the eigenvector of the points' second
    /// moments with the least eigenvalue, found by inverse iteration from the edge's own normals. The adjugate does the
    /// inverse's work, and does it for points that lie on a circle exactly, too.
    fn through(points: &[EdgePoint]) -> Option<GreatCircle> {
        let mut moments = [[0.0; 3]; 3];
        let (mut start, mut middle) = ([0.0; 3], [0.0; 3]);
        for point in points {
            for i in 0..3 {
                start[i] += point.normal[i];
                middle[i] += point.at[i];
                moments[i].iter_mut().zip(point.at).for_each(|(sum, part)| *sum += point.at[i] * part);
            }
        }
        let inverse = adjugate(&moments);
        let mut normal = unit(start)?;
        for _ in 0..4 {
            normal = unit(inverse.map(|row| dot(row, normal)))?;
        }
        let squares = dot(normal, moments.map(|row| dot(row, normal))).max(0.0);
        let along = unit(cross(normal, unit(middle)?))?;
        let middle = cross(along, normal);
        Some(GreatCircle { normal, middle, along, stray: libm::sqrt(squares / points.len() as f64) })
    }

    /// How far along the circle a point lies from the middle, radians.
    fn along(&self, point: &EdgePoint) -> f64 {
        libm::atan2(dot(point.at, self.along), dot(point.at, self.middle))
    }

    /// The error of a fitted line's slope: the points' scatter times √12 over their spread, by √count. Scatter is never
    /// taken for less than a tenth of a pixel, which is how well an edge can be placed.
    fn line(&self, length: f64, count: usize, pixel: f64) -> Line {
        let scatter = self.stray.max(0.1 * pixel);
        let turn_error = scatter * libm::sqrt(12.0 / count as f64) / length;
        Line { normal: self.normal, middle: self.middle, length, turn_error }
    }
}

/// The transposed matrix of cofactors of a symmetric matrix.
fn adjugate(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    [cross(m[1], m[2]), cross(m[2], m[0]), cross(m[0], m[1])]
}

/// The sum of products.
pub(super) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector square to both.
pub(super) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// A vector brought to length 1, unless it has none.
pub(super) fn unit(v: [f64; 3]) -> Option<[f64; 3]> {
    let length = libm::sqrt(dot(v, v));
    (length > 0.0).then(|| v.map(|part| part / length))
}
