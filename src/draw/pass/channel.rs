//! Pass 4: vertical runs between two columns, each on a track of its own where it must be.

use super::graph::Graph;
use super::order::Rows;
use super::place::Heights;

/// A vertical run of one net in one channel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trunk {
    /// Net.
    pub net: usize,
    /// Where lines leave it to the left.
    pub left: Vec<i32>,
    /// Where lines leave it to the right.
    pub right: Vec<i32>,
    /// The other half of a net that had to be split, joined to this one by a line at a half-grid height.
    pub twin: Option<(usize, i32)>,
    /// Track, from the left.
    pub track: usize,
}

impl Trunk {
    /// Everywhere that a line leaves it.
    fn touches(&self) -> impl Iterator<Item = i32> + '_ {
        self.left
            .iter()
            .chain(&self.right)
            .copied()
            .chain(self.twin.map(|twin| twin.1))
    }
    /// Top and bottom.
    pub fn span(&self) -> (i32, i32) {
        let low = self.touches().min().unwrap_or(0);
        let high = self.touches().max().unwrap_or(0);
        (low, high)
    }
}

/// Vertical runs of a channel; nets that run straight have none.
#[derive(Clone, Debug, Default)]
pub struct Channel {
    /// The runs.
    pub trunks: Vec<Trunk>,
    /// Nets that run straight, and where.
    pub straight: Vec<(usize, i32)>,
    /// How many tracks they take.
    pub tracks: usize,
}

/// Two lines would lie on each other.
const FORBIDDEN: i64 = 1_000_000;

/// Routes every channel.
pub fn route(graph: &Graph, rows: &Rows, heights: &Heights) -> Vec<Channel> {
    let columns = rows.layers.len();
    (0..=columns)
        .map(|channel| {
            let mut sides: Vec<(Vec<i32>, Vec<i32>)> =
                vec![(Vec::new(), Vec::new()); graph.nets.len()];
            if channel > 0 {
                for &item in &rows.layers[channel - 1] {
                    for &(net, y) in &rows.items[item].east {
                        sides[net].0.push(heights[item] + y);
                    }
                }
            }
            if channel < columns {
                for &item in &rows.layers[channel] {
                    for &(net, y) in &rows.items[item].west {
                        sides[net].1.push(heights[item] + y);
                    }
                }
            }
            one(sides)
        })
        .collect()
}

fn one(sides: Vec<(Vec<i32>, Vec<i32>)>) -> Channel {
    let mut channel = Channel::default();
    for (net, (mut left, mut right)) in sides.into_iter().enumerate() {
        if left.len() + right.len() < 2 {
            continue;
        }
        left.sort_unstable();
        right.sort_unstable();
        let trunk = Trunk {
            net,
            left,
            right,
            twin: None,
            track: 0,
        };
        let (low, high) = trunk.span();
        if low == high {
            channel.straight.push((net, low));
        } else {
            channel.trunks.push(trunk);
        }
    }
    let mut order = arrange(&mut channel.trunks);
    // Every round splits one net, and a net is split once at most.
    while let Some(index) = clash(&channel.trunks, &order) {
        split(&mut channel.trunks, index);
        order = arrange(&mut channel.trunks);
    }
    pack(&mut channel.trunks, &order);
    channel.tracks = channel
        .trunks
        .iter()
        .map(|trunk| trunk.track + 1)
        .max()
        .unwrap_or(0);
    channel
}

/// Crossings when `a` stands left of `b`; forbidden where two of their lines would lie on each other.
fn cost(trunks: &[Trunk], a: usize, b: usize) -> i64 {
    let (first, second) = (&trunks[a], &trunks[b]);
    if first.net == second.net {
        // The half with the lines to the left stands left, else its link would run under them.
        return if first.right.is_empty() && !first.left.is_empty() {
            0
        } else {
            FORBIDDEN / 2
        };
    }
    let inside = |y: i32, span: (i32, i32)| span.0 < y && y < span.1;
    let (a_span, b_span) = (first.span(), second.span());
    // A split net's link lies between its halves; where it lies is known only once they stand, so it is not counted.
    let mut sum = second.left.iter().filter(|&&y| inside(y, a_span)).count() as i64
        + first.right.iter().filter(|&&y| inside(y, b_span)).count() as i64;
    if first.right.iter().any(|y| second.left.contains(y)) {
        sum += FORBIDDEN;
    }
    sum
}

/// Splits the smaller net of every pair that clashes both ways, then gives the best order from left to right.
fn arrange(trunks: &mut Vec<Trunk>) -> Vec<usize> {
    loop {
        let mut wanted = None;
        'pairs: for a in 0..trunks.len() {
            for b in a + 1..trunks.len() {
                if trunks[a].net != trunks[b].net
                    && cost(trunks, a, b) >= FORBIDDEN
                    && cost(trunks, b, a) >= FORBIDDEN
                {
                    let size = |one: usize| trunks[one].left.len() + trunks[one].right.len();
                    let can = |one: usize| splittable(&trunks[one]);
                    wanted = match (can(a), can(b)) {
                        (true, true) if size(b) < size(a) => Some(b),
                        (true, _) => Some(a),
                        (false, true) => Some(b),
                        (false, false) => None,
                    };
                    if wanted.is_some() {
                        break 'pairs;
                    }
                }
            }
        }
        match wanted {
            Some(index) => split(trunks, index),
            None => break,
        }
    }
    let count = trunks.len();
    let matrix: Vec<i64> = (0..count * count)
        .map(|at| {
            if at / count == at % count {
                0
            } else {
                cost(trunks, at / count, at % count)
            }
        })
        .collect();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_key(|&index| {
        let (low, high) = trunks[index].span();
        // Lines that go up bend late, lines that go down bend early: neighbours nest instead of crossing.
        let falls = trunks[index].left.first() <= trunks[index].right.first();
        (if falls { -low } else { high }, index)
    });
    // Best insertion: take each out and put it back where it costs least.
    for _ in 0..30 {
        let mut moved = false;
        for at in 0..count {
            let one = order[at];
            // Cost change of standing at each place, from the place it is at.
            let mut best = (0_i64, at);
            let mut change = 0;
            for place in (0..at).rev() {
                let other = order[place];
                change += matrix[one * count + other] - matrix[other * count + one];
                if change < best.0 {
                    best = (change, place);
                }
            }
            change = 0;
            for (place, &other) in order.iter().enumerate().skip(at + 1) {
                change += matrix[other * count + one] - matrix[one * count + other];
                if change < best.0 {
                    best = (change, place);
                }
            }
            if best.1 != at {
                order.remove(at);
                order.insert(best.1, one);
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    order
}

fn splittable(trunk: &Trunk) -> bool {
    trunk.twin.is_none() && !trunk.left.is_empty() && !trunk.right.is_empty()
}

/// A trunk that still clashes and can be split.
fn clash(trunks: &[Trunk], order: &[usize]) -> Option<usize> {
    for (at, &a) in order.iter().enumerate() {
        for &b in &order[at + 1..] {
            if trunks[a].net != trunks[b].net && cost(trunks, a, b) >= FORBIDDEN {
                for one in [a, b] {
                    if splittable(&trunks[one]) {
                        return Some(one);
                    }
                }
            }
        }
    }
    None
}

/// Makes two runs of one: the lines to the left on one, those to the right on the other, with a link at a height that no
/// terminal can have.
fn split(trunks: &mut Vec<Trunk>, index: usize) {
    let (low, high) = trunks[index].span();
    let middle = (low + high) / 20 * 10 + 5;
    let taken = |y: i32| {
        trunks
            .iter()
            .any(|trunk| trunk.twin.is_some_and(|twin| twin.1 == y))
    };
    let mut link = middle;
    let mut step = 0;
    while taken(link) {
        step += 1;
        let off = (step + 1) / 2 * 10;
        link = if step % 2 == 0 {
            middle + off
        } else {
            middle - off
        };
    }
    let other = trunks.len();
    let right = std::mem::take(&mut trunks[index].right);
    trunks[index].twin = Some((other, link));
    let net = trunks[index].net;
    trunks.push(Trunk {
        net,
        left: Vec::new(),
        right,
        twin: Some((index, link)),
        track: 0,
    });
}

/// Left-edge packing: each takes the first track right of everything earlier that it overlaps or must follow.
fn pack(trunks: &mut [Trunk], order: &[usize]) {
    for (at, &index) in order.iter().enumerate() {
        let (low, high) = trunks[index].span();
        let mut track = 0;
        for &earlier in &order[..at] {
            let (other_low, other_high) = trunks[earlier].span();
            let overlap = low <= other_high && other_low <= high;
            if overlap
                || trunks[earlier].net == trunks[index].net
                || cost(trunks, earlier, index) != cost(trunks, index, earlier)
            {
                track = track.max(trunks[earlier].track + 1);
            }
        }
        trunks[index].track = track;
    }
}
