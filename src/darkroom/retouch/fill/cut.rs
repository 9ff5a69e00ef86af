//! The cheapest cut between a source and a sink, by augmenting paths from two trees (Boykov and Kolmogorov, "An Experimental Comparison of
//! Min-Cut/Max-Flow Algorithms for Energy Minimization in Vision", IEEE Trans. PAMI 26(9), 2004).

use std::collections::VecDeque;

const NONE: u32 = u32::MAX;
/// The way to a tree's root is the terminal itself.
const TERMINAL: u32 = u32::MAX - 1;
const ORPHAN: u32 = u32::MAX - 2;

#[derive(Clone, Copy)]
struct Node {
    first: u32,
    /// The arc that leads to the parent.
    parent: u32,
    /// When the distance was last known to be right.
    stamp: u32,
    distance: u32,
    in_sink: bool,
    /// What is left between the node and a terminal: above 0 from the source, below 0 to the sink.
    left: i64,
}

#[derive(Clone, Copy)]
struct Arc {
    head: u32,
    next: u32,
    left: i64,
}

/// A graph of nodes between two terminals. Arcs come in pairs, each the other's way back.
pub struct Graph {
    nodes: Vec<Node>,
    arcs: Vec<Arc>,
    active: VecDeque<u32>,
    is_active: Vec<bool>,
    orphans: VecDeque<u32>,
    time: u32,
}

impl Graph {
    /// So many nodes without arcs.
    pub fn new(nodes: usize) -> Graph {
        let node = Node { first: NONE, parent: NONE, stamp: 0, distance: 0, in_sink: false, left: 0 };
        Graph {
            nodes: vec![node; nodes],
            arcs: Vec::with_capacity(nodes * 4),
            active: VecDeque::new(),
            is_active: vec![false; nodes],
            orphans: VecDeque::new(),
            time: 0,
        }
    }

    /// Adds what it costs to cut a node off from the source, and from the sink.
    pub fn tie(&mut self, node: usize, to_source: i64, to_sink: i64) {
        self.nodes[node].left += to_source - to_sink;
    }

    /// Adds what it costs to have `a` with the source and `b` with the sink, and the other way round.
    pub fn join(&mut self, a: usize, b: usize, forth: i64, back: i64) {
        let index = self.arcs.len() as u32;
        self.arcs.push(Arc { head: b as u32, next: self.nodes[a].first, left: forth });
        self.arcs.push(Arc { head: a as u32, next: self.nodes[b].first, left: back });
        self.nodes[a].first = index;
        self.nodes[b].first = index + 1;
    }

    /// Finds the cheapest cut. True for each node that stays with the source.
    pub fn cut(mut self) -> Vec<bool> {
        for index in 0..self.nodes.len() {
            let node = &mut self.nodes[index];
            if node.left != 0 {
                node.in_sink = node.left < 0;
                node.parent = TERMINAL;
                node.distance = 1;
                self.activate(index as u32);
            }
        }
        while let Some(node) = self.next_active() {
            while let Some(bridge) = self.grow(node) {
                self.time += 1;
                self.augment(bridge);
                while let Some(orphan) = self.orphans.pop_front() {
                    self.adopt(orphan);
                }
                if self.nodes[node as usize].parent == NONE {
                    break;
                }
            }
        }
        self.nodes.iter().map(|node| node.parent != NONE && !node.in_sink).collect()
    }

    fn activate(&mut self, node: u32) {
        if !self.is_active[node as usize] {
            self.is_active[node as usize] = true;
            self.active.push_back(node);
        }
    }

    fn next_active(&mut self) -> Option<u32> {
        while let Some(node) = self.active.pop_front() {
            self.is_active[node as usize] = false;
            if self.nodes[node as usize].parent != NONE {
                return Some(node);
            }
        }
        None
    }

    /// Grows a tree from a node; the arc from the source's tree to the sink's, if they touch.
    fn grow(&mut self, node: u32) -> Option<u32> {
        let here = self.nodes[node as usize];
        let mut arc = here.first;
        while arc != NONE {
            let Arc { head, next, .. } = self.arcs[arc as usize];
            let passable = if here.in_sink { self.arcs[(arc ^ 1) as usize].left } else { self.arcs[arc as usize].left };
            if passable > 0 {
                let there = self.nodes[head as usize];
                if there.parent == NONE {
                    let other = &mut self.nodes[head as usize];
                    other.in_sink = here.in_sink;
                    other.parent = arc ^ 1;
                    other.stamp = here.stamp;
                    other.distance = here.distance + 1;
                    self.activate(head);
                } else if there.in_sink != here.in_sink {
                    // The node may have more to give afterwards.
                    self.activate(node);
                    return Some(if here.in_sink { arc ^ 1 } else { arc });
                } else if there.stamp <= here.stamp && there.distance > here.distance {
                    let other = &mut self.nodes[head as usize];
                    other.parent = arc ^ 1;
                    other.stamp = here.stamp;
                    other.distance = here.distance + 1;
                }
            }
            arc = next;
        }
        None
    }

    /// Sends as much as possible along the path over a bridge.
    fn augment(&mut self, bridge: u32) {
        let mut most = self.arcs[bridge as usize].left;
        let source_end = self.arcs[(bridge ^ 1) as usize].head;
        let sink_end = self.arcs[bridge as usize].head;
        for (end, to_sink) in [(source_end, false), (sink_end, true)] {
            let mut node = end;
            loop {
                let parent = self.nodes[node as usize].parent;
                if parent == TERMINAL {
                    most = most.min(self.nodes[node as usize].left.abs());
                    break;
                }
                let along = if to_sink { parent } else { parent ^ 1 };
                most = most.min(self.arcs[along as usize].left);
                node = self.arcs[parent as usize].head;
            }
        }
        self.arcs[bridge as usize].left -= most;
        self.arcs[(bridge ^ 1) as usize].left += most;
        for (end, to_sink) in [(source_end, false), (sink_end, true)] {
            let mut node = end;
            loop {
                let parent = self.nodes[node as usize].parent;
                if parent == TERMINAL {
                    let left = &mut self.nodes[node as usize].left;
                    *left += if to_sink { most } else { -most };
                    if *left == 0 {
                        self.orphan(node);
                    }
                    break;
                }
                let along = if to_sink { parent } else { parent ^ 1 };
                self.arcs[along as usize].left -= most;
                self.arcs[(along ^ 1) as usize].left += most;
                let next = self.arcs[parent as usize].head;
                if self.arcs[along as usize].left == 0 {
                    self.orphan(node);
                }
                node = next;
            }
        }
    }

    fn orphan(&mut self, node: u32) {
        self.nodes[node as usize].parent = ORPHAN;
        self.orphans.push_front(node);
    }

    /// Finds an orphan another parent in its own tree, or frees it.
    fn adopt(&mut self, orphan: u32) {
        let in_sink = self.nodes[orphan as usize].in_sink;
        let (mut best, mut nearest) = (NONE, u32::MAX);
        let mut arc = self.nodes[orphan as usize].first;
        while arc != NONE {
            let Arc { head, next, .. } = self.arcs[arc as usize];
            let passable = if in_sink { self.arcs[arc as usize].left } else { self.arcs[(arc ^ 1) as usize].left };
            let there = self.nodes[head as usize];
            if passable > 0
                && there.in_sink == in_sink
                && there.parent != NONE
                && let Some(distance) = self.distance(head)
                && distance < nearest
            {
                (best, nearest) = (arc, distance);
            }
            arc = next;
        }
        let node = &mut self.nodes[orphan as usize];
        if best != NONE {
            node.parent = best;
            node.stamp = self.time;
            node.distance = nearest + 1;
            return;
        }
        node.parent = NONE;
        let mut arc = node.first;
        while arc != NONE {
            let Arc { head, next, .. } = self.arcs[arc as usize];
            let there = self.nodes[head as usize];
            if there.in_sink == in_sink && there.parent != NONE {
                let passable = if in_sink { self.arcs[arc as usize].left } else { self.arcs[(arc ^ 1) as usize].left };
                if passable > 0 {
                    self.activate(head);
                }
                if there.parent < ORPHAN && self.arcs[there.parent as usize].head == orphan {
                    self.nodes[head as usize].parent = ORPHAN;
                    self.orphans.push_back(head);
                }
            }
            arc = next;
        }
    }

    /// How far a node is from its tree's root; `None` if it has none any more. Notes what it found on the way.
    fn distance(&mut self, from: u32) -> Option<u32> {
        let (mut node, mut steps) = (from, 0);
        loop {
            let here = self.nodes[node as usize];
            if here.stamp == self.time {
                steps += here.distance;
                break;
            }
            steps += 1;
            match here.parent {
                TERMINAL => {
                    let root = &mut self.nodes[node as usize];
                    root.stamp = self.time;
                    root.distance = 1;
                    break;
                }
                ORPHAN | NONE => return None,
                parent => node = self.arcs[parent as usize].head,
            }
        }
        let (mut node, mut left) = (from, steps);
        while self.nodes[node as usize].stamp != self.time {
            let here = &mut self.nodes[node as usize];
            here.stamp = self.time;
            here.distance = left;
            left -= 1;
            node = self.arcs[here.parent as usize].head;
        }
        Some(steps)
    }
}

#[cfg(test)]
mod tests {
    use super::super::random::hash;
    use super::*;

    /// The cheapest of all cuts of a small graph, by trying each.
    fn cheapest(ties: &[(i64, i64)], joins: &[(usize, usize, i64, i64)]) -> i64 {
        (0..1u32 << ties.len()).map(|sides| cost(ties, joins, |node| sides >> node & 1 == 1)).min().unwrap()
    }

    fn cost(ties: &[(i64, i64)], joins: &[(usize, usize, i64, i64)], with_source: impl Fn(usize) -> bool) -> i64 {
        let of_ties = ties.iter().enumerate().map(|(node, tie)| if with_source(node) { tie.1 } else { tie.0 });
        let of_joins = joins.iter().map(|&(a, b, forth, back)| match (with_source(a), with_source(b)) {
            (true, false) => forth,
            (false, true) => back,
            _ => 0,
        });
        of_ties.sum::<i64>() + of_joins.sum::<i64>()
    }

    #[test]
    fn no_cut_is_cheaper() {
        for seed in 0..400 {
            let number = |index: u32, most: u32| i64::from(hash(seed, index, 7) % most);
            let count = 2 + seed as usize % 9;
            let ties: Vec<(i64, i64)> =
                (0..count as u32).map(|node| (number(2 * node, 20), number(2 * node + 1, 20))).collect();
            let joins: Vec<(usize, usize, i64, i64)> = (0..2 * count as u32)
                .map(|join| {
                    let (a, b) = (number(100 + 4 * join, count as u32), number(101 + 4 * join, count as u32));
                    (a as usize, b as usize, number(102 + 4 * join, 15), number(103 + 4 * join, 15))
                })
                .filter(|(a, b, ..)| a != b)
                .collect();
            let mut graph = Graph::new(count);
            ties.iter().enumerate().for_each(|(node, tie)| graph.tie(node, tie.0, tie.1));
            joins.iter().for_each(|&(a, b, forth, back)| graph.join(a, b, forth, back));
            let sides = graph.cut();
            assert_eq!(cost(&ties, &joins, |node| sides[node]), cheapest(&ties, &joins), "seed {seed}");
        }
    }
}
