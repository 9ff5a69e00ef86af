//! A first filling out of a few large pieces: each pixel of the hole is copied from as far away as one of the repeats says, and where two
//! pieces meet, they agree as well as can be (He and Sun 2012, section 4; Pritch, Kav-Venaki and Peleg, "Shift-Map Image Editing", ICCV 2009). Solved by
//! expansion moves (Boykov, Veksler and Zabih, "Fast Approximate Energy Minimization via Graph Cuts", IEEE Trans. PAMI 23(11), 2001).

use super::cut::Graph;
use super::level::{Level, State};
use rayon::prelude::*;

/// A pixel that no piece may give: it costs more than any seam.
const IMPOSSIBLE: i64 = 1 << 32;
/// Expansions of every label.
const SWEEPS: usize = 1;

/// For each pixel of the hole, which of the shifts it is copied by.
pub fn choose(level: &Level, shifts: &[[i16; 2]]) -> Option<Vec<Option<u16>>> {
    let map = Map::of(level, shifts);
    if shifts.is_empty() || map.holes.is_empty() {
        return None;
    }
    let mut labels: Vec<u16> = (0..map.holes.len())
        .map(|hole| (0..shifts.len() as u16).min_by_key(|label| map.alone(hole, *label)).unwrap_or(0))
        .collect();
    let mut energy = map.energy(&labels);
    for _ in 0..SWEEPS {
        let before = energy;
        for label in 0..shifts.len() as u16 {
            let moved = map.expanded(&labels, label);
            let cost = map.energy(&moved);
            if cost < energy {
                (labels, energy) = (moved, cost);
            }
        }
        if energy == before {
            break;
        }
    }
    let mut chosen = vec![None; level.colours.len()];
    for (hole, label) in map.holes.iter().zip(labels) {
        chosen[*hole] = Some(label);
    }
    Some(chosen)
}

/// Fills the hole as chosen; a pixel that cannot be copied stays as it is.
pub fn fill(level: &mut Level, chosen: &[Option<u16>], shifts: &[[i16; 2]]) {
    let before = level.colours.clone();
    for (index, label) in chosen.iter().enumerate() {
        let source = label.and_then(|label| shifted(level, index, shifts[usize::from(label)]));
        if let Some(source) = source {
            level.colours[index] = before[source];
        }
    }
}

/// The pixel that lies a shift away, if it may be copied.
fn shifted(level: &Level, index: usize, [dx, dy]: [i16; 2]) -> Option<usize> {
    let (x, y) = ((index % level.width) as isize + dx as isize, (index / level.width) as isize + dy as isize);
    let inside = (0..level.width as isize).contains(&x) && (0..level.height as isize).contains(&y);
    let at = inside.then(|| y as usize * level.width + x as usize)?;
    (level.states[at] == State::Known).then_some(at)
}

struct Map<'a> {
    level: &'a Level,
    /// Pixels of the hole.
    holes: Vec<usize>,
    /// Neighbours to the right and below, both in the hole.
    pairs: Vec<(usize, usize)>,
    /// Source of each pixel by each label, pixel by pixel.
    sources: Vec<Option<usize>>,
    labels: usize,
    /// Cost of each pixel by each label, but for neighbours in the hole.
    alone: Vec<i64>,
}

impl<'a> Map<'a> {
    fn of(level: &'a Level, shifts: &[[i16; 2]]) -> Map<'a> {
        let holes: Vec<usize> = (0..level.states.len()).filter(|index| level.states[*index] == State::Hole).collect();
        let mut number = vec![usize::MAX; level.states.len()];
        holes.iter().enumerate().for_each(|(hole, index)| number[*index] = hole);
        let mut pairs = Vec::new();
        for (hole, index) in holes.iter().enumerate() {
            for (next, is_inside) in [
                (index + 1, index % level.width + 1 < level.width),
                (index + level.width, index + level.width < number.len()),
            ] {
                if is_inside && number[next] != usize::MAX {
                    pairs.push((hole, number[next]));
                }
            }
        }
        let sources: Vec<Option<usize>> =
            holes.iter().flat_map(|index| shifts.iter().map(|shift| shifted(level, *index, *shift))).collect();
        let mut map = Map { level, holes, pairs, sources, labels: shifts.len(), alone: Vec::new() };
        map.alone = (0..map.holes.len() * shifts.len())
            .into_par_iter()
            .map(|at| map.rim(at / shifts.len(), at % shifts.len(), shifts))
            .collect();
        map
    }

    /// What it costs that a pixel's neighbours outside the hole are not those of its source.
    fn rim(&self, hole: usize, label: usize, shifts: &[[i16; 2]]) -> i64 {
        let index = self.holes[hole];
        if self.sources[hole * self.labels + label].is_none() {
            return IMPOSSIBLE;
        }
        if self.level.depths[index] > 2 {
            return 0;
        }
        let (x, y) = ((index % self.level.width) as isize, (index / self.level.width) as isize);
        let mut cost = 0;
        for dy in -2..=2isize {
            for dx in -2..=2isize {
                let (column, row) = (x + dx, y + dy);
                let inside =
                    (0..self.level.width as isize).contains(&column) && (0..self.level.height as isize).contains(&row);
                if !inside {
                    continue;
                }
                let near = row as usize * self.level.width + column as usize;
                if self.level.states[near] == State::Hole {
                    continue;
                }
                if let Some(theirs) = shifted(self.level, near, shifts[label]) {
                    cost += difference(self.level, near, theirs);
                }
            }
        }
        cost
    }

    fn alone(&self, hole: usize, label: u16) -> i64 {
        self.alone[hole * self.labels + usize::from(label)]
    }

    /// What it costs that two neighbours are copied by different shifts: by how much either's colour would differ by the other's.
    fn seam(&self, (a, b): (usize, usize), left: u16, right: u16) -> i64 {
        if left == right {
            return 0;
        }
        let across = |hole: usize| {
            let source = |label: u16| self.sources[hole * self.labels + usize::from(label)];
            match (source(left), source(right)) {
                (Some(left), Some(right)) => difference(self.level, left, right),
                // Such a label is impossible anyway for one of the two.
                _ => 400,
            }
        };
        across(a) + across(b) + 1
    }

    fn energy(&self, labels: &[u16]) -> i64 {
        let alone: i64 = labels.iter().enumerate().map(|(hole, label)| self.alone(hole, *label)).sum();
        alone + self.pairs.iter().map(|pair| self.seam(*pair, labels[pair.0], labels[pair.1])).sum::<i64>()
    }

    /// The labels, with all pixels that are better off with one of them changed to it.
    fn expanded(&self, labels: &[u16], to: u16) -> Vec<u16> {
        let mut graph = Graph::new(self.holes.len());
        for (hole, label) in labels.iter().enumerate() {
            // With the source it keeps its label; with the sink it changes.
            graph.tie(hole, self.alone(hole, to), self.alone(hole, *label));
        }
        for pair in &self.pairs {
            let (a, b) = *pair;
            let (left, right) = (labels[a], labels[b]);
            let both = self.seam(*pair, left, right);
            let (first_keeps, second_keeps) = (self.seam(*pair, left, to), self.seam(*pair, to, right));
            // Keep and keep, keep and change, change and keep, change and change.
            submodular(&mut graph, (a, b), [both, first_keeps, second_keeps, 0]);
        }
        let keeps = graph.cut();
        labels.iter().zip(keeps).map(|(label, keeps)| if keeps { *label } else { to }).collect()
    }
}

/// Adds a cost of two nodes: both with the source, the first alone, the second alone, none.
fn submodular(graph: &mut Graph, (a, b): (usize, usize), [both, first, second, none]: [i64; 4]) {
    // E(a, b) = none + a·(first − none) + b·(second − none) + a·b·(both + none − first − second), a and b 1 with the source. The last bracket is ≤ 0.
    let bracket = (both + none - first - second).min(0);
    let (of_a, of_b) = (first - none, second - none);
    // a·b·bracket = bracket·a − bracket·a·(1 − b).
    let of_a = of_a + bracket;
    for (node, cost) in [(a, of_a), (b, of_b)] {
        if cost >= 0 { graph.tie(node, 0, cost) } else { graph.tie(node, -cost, 0) }
    }
    graph.join(a, b, -bracket, 0);
}

/// By how much two colours differ. A metric.
fn difference(level: &Level, a: usize, b: usize) -> i64 {
    let (a, b) = (level.colours[a], level.colours[b]);
    (0..3).map(|channel| i64::from((a[channel] - b[channel]).abs())).sum()
}
