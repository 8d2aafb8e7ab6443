//! What the layout works on, and what it gives.

use std::collections::BTreeMap;

/// Distance between neighbouring lines; every place is a multiple of it.
pub const GRID: i32 = 10;

/// Edge of a box that a terminal is on. Supply enters on the left and leaves on the right.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Side {
    /// Left.
    West,
    /// Right.
    East,
}

/// Where a box stands in a column that is wider than it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Align {
    /// At the left.
    Left,
    /// In the middle, so that symbols line up.
    #[default]
    Middle,
    /// At the right.
    Right,
}

/// A terminal.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Port {
    /// Edge.
    pub side: Side,
    /// From the top of the box; a multiple of [`GRID`].
    pub y: i32,
    /// Width of text that must find room on the wire beside this terminal.
    pub room: i32,
}

/// A box.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Node {
    /// Width, a multiple of [`GRID`].
    pub width: i32,
    /// Height, a multiple of [`GRID`].
    pub height: i32,
    /// Terminals.
    pub ports: Vec<Port>,
    /// Where in the column.
    pub align: Align,
    /// Stands in the first column.
    pub first: bool,
    /// Stands in the last column.
    pub last: bool,
    /// Pulled to its neighbour as hard as can be: a tag.
    pub clings: bool,
}

/// What is joined. Every terminal is in one net at most.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Net {
    /// Box and terminal.
    pub ends: Vec<(usize, usize)>,
    /// How much it wants to run straight: 2 for the thinnest wire, 6 for a battery cable.
    pub pull: i32,
}

/// Boxes and nets.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Graph {
    /// Boxes, in the order that people expect to find them from top to bottom.
    pub nodes: Vec<Node>,
    /// Nets.
    pub nets: Vec<Net>,
}

/// A straight run of a net, `from` above or left of `to`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Segment {
    /// One end.
    pub from: (i32, i32),
    /// Other end.
    pub to: (i32, i32),
}

impl Segment {
    /// Between two points on one line, in order.
    #[must_use]
    pub fn new(a: (i32, i32), b: (i32, i32)) -> Self {
        if b < a {
            Self { from: b, to: a }
        } else {
            Self { from: a, to: b }
        }
    }
    /// Whether it lies flat.
    #[must_use]
    pub const fn is_flat(&self) -> bool {
        self.from.1 == self.to.1
    }
    /// Length.
    #[must_use]
    pub const fn length(&self) -> i32 {
        (self.to.0 - self.from.0) + (self.to.1 - self.from.1)
    }
    /// Whether a point lies on it, ends included.
    #[must_use]
    pub const fn holds(&self, point: (i32, i32)) -> bool {
        self.from.0 <= point.0
            && point.0 <= self.to.0
            && self.from.1 <= point.1
            && point.1 <= self.to.1
    }
}

/// Widths of columns and channels.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Columns {
    /// Of each column.
    pub column: Vec<i32>,
    /// Left text, tracks, and right text of each channel; channel `c` lies left of column `c`.
    pub channel: Vec<[i32; 3]>,
}

impl Columns {
    /// At least as wide as both.
    #[must_use]
    pub fn joined(&self, other: &Self) -> Self {
        let mut joined = self.clone();
        joined
            .column
            .resize(self.column.len().max(other.column.len()), 0);
        joined
            .channel
            .resize(self.channel.len().max(other.channel.len()), [0; 3]);
        for (own, other) in joined.column.iter_mut().zip(&other.column) {
            *own = (*own).max(*other);
        }
        for (own, other) in joined.channel.iter_mut().zip(&other.channel) {
            for (own, other) in own.iter_mut().zip(other) {
                *own = (*own).max(*other);
            }
        }
        joined
    }

    /// Of everything.
    #[must_use]
    pub fn width(&self) -> i32 {
        self.column.iter().sum::<i32>() + self.channel.iter().flatten().sum::<i32>()
    }
}

/// A finished layout; the top left corner is (0, 0).
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Layout {
    /// Top left corner of each box.
    pub corners: Vec<(i32, i32)>,
    /// Column of each box.
    pub layers: Vec<usize>,
    /// The runs of each net: a tree of segments that touch at their ends only.
    pub routes: Vec<Vec<Segment>>,
    /// Widths that were used.
    pub columns: Columns,
    /// Width of the whole.
    pub width: i32,
    /// Height of the whole.
    pub height: i32,
    /// How often wires of different nets cross.
    pub crossings: usize,
}

impl Layout {
    /// The place of a terminal.
    #[must_use]
    pub fn port(&self, graph: &Graph, node: usize, port: usize) -> (i32, i32) {
        let (x, y) = self.corners[node];
        let port = graph.nodes[node].ports[port];
        match port.side {
            Side::West => (x, y + port.y),
            Side::East => (x + graph.nodes[node].width, y + port.y),
        }
    }

    /// Total length of wire.
    #[must_use]
    pub fn length(&self) -> i64 {
        self.routes
            .iter()
            .flatten()
            .map(|run| i64::from(run.length()))
            .sum()
    }

    /// How often wires turn a corner; a branch counts as a corner too.
    #[must_use]
    pub fn bends(&self) -> usize {
        let mut bends = 0;
        for route in &self.routes {
            let mut meets: BTreeMap<(i32, i32), [usize; 2]> = BTreeMap::new();
            for run in route {
                for end in [run.from, run.to] {
                    meets.entry(end).or_default()[usize::from(run.is_flat())] += 1;
                }
            }
            let turns = meets
                .values()
                .filter(|[upright, flat]| *upright > 0 && *flat > 0);
            bends += turns.count();
        }
        bends
    }

    /// What is to be made small: crossings weigh 400 units of wire.
    #[must_use]
    pub fn cost(&self) -> i64 {
        400 * self.crossings as i64 + self.length()
    }
}
