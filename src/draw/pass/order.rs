//! Pass 2: who stands above whom in each column.

use super::fenwick::Fenwick;
use super::graph::{Graph, Side};

/// Something that takes a row in a column.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A box.
    Box(usize),
    /// A net on its way through the column.
    Through(usize),
}

/// A box or a passing net, with its joints on both sides.
#[derive(Clone, Debug)]
pub struct Item {
    /// What it is.
    pub kind: Kind,
    /// Column.
    pub layer: usize,
    /// Net and distance from the top of each terminal on the left, from top to bottom.
    pub west: Vec<(usize, i32)>,
    /// The same on the right.
    pub east: Vec<(usize, i32)>,
}

/// All items, by column, and what each channel joins.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// All items; boxes first, in the order of the graph.
    pub items: Vec<Item>,
    /// Items of each column in the order given: boxes, then passing nets.
    pub layers: Vec<Vec<usize>>,
    /// Edges of each channel: item and distance on the left, item and distance on the right, net.
    pub edges: Vec<Vec<Edge>>,
}

/// A pair of terminals of one net on the two sides of a channel.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    /// Item on the left.
    pub left: usize,
    /// Distance from its top.
    pub left_y: i32,
    /// Item on the right.
    pub right: usize,
    /// Distance from its top.
    pub right_y: i32,
    /// Net.
    pub net: usize,
}

/// Items of each column from top to bottom.
pub type Order = Vec<Vec<usize>>;

impl Rows {
    /// Gathers the items: every box, and one passing item for each net and column between its ends.
    pub fn new(graph: &Graph, layer: &[usize]) -> Self {
        let columns = layer.iter().copied().max().map_or(0, |last| last + 1);
        let mut items: Vec<Item> = graph
            .nodes
            .iter()
            .enumerate()
            .map(|(node, _)| Item {
                kind: Kind::Box(node),
                layer: layer[node],
                west: Vec::new(),
                east: Vec::new(),
            })
            .collect();
        for (index, net) in graph.nets.iter().enumerate() {
            let mut low = usize::MAX;
            let mut high = 0;
            for &(node, port) in &net.ends {
                let port = graph.nodes[node].ports[port];
                let channel = match port.side {
                    Side::West => {
                        items[node].west.push((index, port.y));
                        layer[node]
                    }
                    Side::East => {
                        items[node].east.push((index, port.y));
                        layer[node] + 1
                    }
                };
                low = low.min(channel);
                high = high.max(channel);
            }
            for passed in low..high.max(low) {
                items.push(Item {
                    kind: Kind::Through(index),
                    layer: passed,
                    west: vec![(index, 0)],
                    east: vec![(index, 0)],
                });
            }
        }
        let mut layers = vec![Vec::new(); columns];
        for (index, item) in items.iter_mut().enumerate() {
            item.west.sort_by_key(|joint| joint.1);
            item.east.sort_by_key(|joint| joint.1);
            layers[item.layer].push(index);
        }

        let mut edges = vec![Vec::new(); columns + 1];
        for (channel, edges) in edges.iter_mut().enumerate() {
            let mut left: Vec<(usize, usize, i32)> = Vec::new();
            if channel > 0 {
                for &item in &layers[channel - 1] {
                    left.extend(items[item].east.iter().map(|&(net, y)| (net, item, y)));
                }
            }
            left.sort_unstable();
            let mut right: Vec<(usize, usize, i32)> = Vec::new();
            if channel < columns {
                for &item in &layers[channel] {
                    right.extend(items[item].west.iter().map(|&(net, y)| (net, item, y)));
                }
            }
            right.sort_unstable();
            for &(net, l, left_y) in &left {
                let from = right.partition_point(|one| one.0 < net);
                for &(_, r, right_y) in right[from..].iter().take_while(|one| one.0 == net) {
                    edges.push(Edge {
                        left: l,
                        left_y,
                        right: r,
                        right_y,
                        net,
                    });
                }
            }
        }
        Self {
            items,
            layers,
            edges,
        }
    }
}

/// How many pairs of boxes in a column stand the other way round than declared.
pub fn disorder(rows: &Rows, order: &Order) -> i64 {
    let mut pairs = 0;
    for column in order {
        let boxes: Vec<usize> = column
            .iter()
            .filter_map(|&item| match rows.items[item].kind {
                Kind::Box(node) => Some(node),
                Kind::Through(_) => None,
            })
            .collect();
        for (index, upper) in boxes.iter().enumerate() {
            pairs += boxes[index + 1..]
                .iter()
                .filter(|lower| *lower < upper)
                .count() as i64;
        }
    }
    pairs
}

/// Orders worth routing, the one with the fewest crossings first.
pub fn candidates(graph: &Graph, rows: &Rows) -> Vec<Order> {
    // Found by trial: more starts find fewer crossings, slowly; large graphs get fewer so that they stay quick.
    let starts = if rows.items.len() > 400 { 10 } else { 24 };
    let routed = if rows.items.len() > 400 { 3 } else { 8 };
    let mut found: Vec<(usize, i64, Order)> = Vec::new();
    let mut seed = 0x9E37_79B9_7F4A_7C15_u64;
    for start in 0..starts {
        let mut order: Order = rows.layers.clone();
        match start {
            0 => {}
            1 => order.iter_mut().for_each(|column| column.reverse()),
            _ => order
                .iter_mut()
                .for_each(|column| shuffle(column, &mut seed)),
        }
        let crossings = improve(rows, &mut order);
        straighten(rows, &mut order);
        let disorder = disorder(rows, &order);
        if !found.iter().any(|other| other.2 == order) {
            found.push((crossings, disorder, order));
        }
        if graph.nodes.len() <= 1 || found.len() == 1 && crossings == 0 && disorder == 0 {
            break;
        }
    }
    found.sort_by_key(|one| (one.0, one.1));
    let least = found.first().map_or(0, |one| one.0);
    found.retain(|one| one.0 <= least + 4 && one.0 * 10 <= least * 13 + 20);
    found.truncate(routed);
    found.into_iter().map(|one| one.2).collect()
}

/// A shuffle from a fixed linear congruential generator, so that the same graph always gives the same drawing.
fn shuffle(column: &mut [usize], seed: &mut u64) {
    for at in (1..column.len()).rev() {
        *seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        column.swap(at, (*seed >> 33) as usize % (at + 1));
    }
}

/// Sweeps to and fro until nothing is gained; leaves the best order and gives its crossings.
fn improve(rows: &Rows, order: &mut Order) -> usize {
    let mut position = positions(rows, order);
    let mut best = (total(rows, &position), order.clone());
    let mut idle = 0;
    for sweep in 0..40 {
        let forward = sweep % 2 == 0;
        let reverse_ties = sweep % 4 >= 2;
        let columns: Vec<usize> = if forward {
            (1..order.len()).collect()
        } else {
            (0..order.len().saturating_sub(1)).rev().collect()
        };
        for column in columns {
            by_barycentre(rows, order, &mut position, column, forward, reverse_ties);
        }
        exchange(rows, order, &mut position);
        let crossings = total(rows, &position);
        if crossings < best.0 {
            best = (crossings, order.clone());
            idle = 0;
        } else {
            idle += 1;
        }
        if best.0 == 0 || idle == 5 {
            break;
        }
    }
    *order = best.1;
    best.0
}

fn positions(rows: &Rows, order: &Order) -> Vec<usize> {
    let mut position = vec![0; rows.items.len()];
    for column in order {
        for (at, &item) in column.iter().enumerate() {
            position[item] = at;
        }
    }
    position
}

fn total(rows: &Rows, position: &[usize]) -> usize {
    rows.edges
        .iter()
        .map(|edges| crossings(edges, position))
        .sum()
}

/// Crossings of one channel when every edge is a straight line: inversions, counted with a Fenwick tree.
fn crossings(edges: &[Edge], position: &[usize]) -> usize {
    let mut list: Vec<((usize, i32), (usize, i32))> = edges
        .iter()
        .map(|edge| {
            (
                (position[edge.left], edge.left_y),
                (position[edge.right], edge.right_y),
            )
        })
        .collect();
    list.sort_unstable();
    let mut places: Vec<(usize, i32)> = list.iter().map(|edge| edge.1).collect();
    places.sort_unstable();
    places.dedup();
    let mut tree = Fenwick::new(places.len());
    let mut count = 0;
    let mut seen = 0;
    let mut at = 0;
    while at < list.len() {
        // Edges from one terminal do not cross each other.
        let mut end = at;
        while end < list.len() && list[end].0 == list[at].0 {
            let place = places.partition_point(|one| *one < list[end].1);
            count += seen - tree.up_to(place) as usize;
            end += 1;
        }
        for edge in &list[at..end] {
            tree.add(places.partition_point(|one| *one < edge.1));
        }
        seen += end - at;
        at = end;
    }
    count
}

/// Sorts a column by the mean rank of the terminals that its items are joined to in the column before (or after).
fn by_barycentre(
    rows: &Rows,
    order: &mut Order,
    position: &mut [usize],
    column: usize,
    forward: bool,
    reverse_ties: bool,
) {
    let channel = if forward { column } else { column + 1 };
    let mut ends: Vec<(usize, i32)> = rows.edges[channel]
        .iter()
        .map(|edge| {
            if forward {
                (position[edge.left], edge.left_y)
            } else {
                (position[edge.right], edge.right_y)
            }
        })
        .collect();
    ends.sort_unstable();
    ends.dedup();
    let mut sum: Vec<(u64, u64)> = vec![(0, 0); rows.items.len()];
    for edge in &rows.edges[channel] {
        let (own, end) = if forward {
            (edge.right, (position[edge.left], edge.left_y))
        } else {
            (edge.left, (position[edge.right], edge.right_y))
        };
        let rank = ends.partition_point(|one| *one < end) as u64;
        sum[own].0 += rank;
        sum[own].1 += 1;
    }
    let list = &mut order[column];
    let slots: Vec<usize> = (0..list.len()).filter(|&at| sum[list[at]].1 > 0).collect();
    let mut moving: Vec<usize> = slots.iter().map(|&at| list[at]).collect();
    if reverse_ties {
        moving.reverse();
    }
    // Fractions are compared by cross-multiplying, so no rounding decides an order.
    moving.sort_by(|&a, &b| (sum[a].0 * sum[b].1).cmp(&(sum[b].0 * sum[a].1)));
    for (&slot, item) in slots.iter().zip(moving) {
        list[slot] = item;
        position[item] = slot;
    }
}

/// Swaps neighbours while that takes crossings away.
fn exchange(rows: &Rows, order: &mut Order, position: &mut [usize]) {
    let joints = joints(rows);
    for _ in 0..12 {
        let mut swapped = false;
        for column in order.iter_mut() {
            for at in 1..column.len() {
                let (upper, lower) = (column[at - 1], column[at]);
                if gain(&joints, position, upper, lower) > 0 {
                    column.swap(at - 1, at);
                    position[upper] = at;
                    position[lower] = at - 1;
                    swapped = true;
                }
            }
        }
        if !swapped {
            break;
        }
    }
}

/// Puts boxes in their declared order where that costs no crossing.
fn straighten(rows: &Rows, order: &mut Order) {
    let joints = joints(rows);
    let mut position = positions(rows, order);
    for _ in 0..12 {
        let mut swapped = false;
        for column in order.iter_mut() {
            for at in 1..column.len() {
                let (upper, lower) = (column[at - 1], column[at]);
                let reversed = match (rows.items[upper].kind, rows.items[lower].kind) {
                    (Kind::Box(a), Kind::Box(b)) => a > b,
                    _ => false,
                };
                if reversed && gain(&joints, &position, upper, lower) >= 0 {
                    column.swap(at - 1, at);
                    position[upper] = at;
                    position[lower] = at - 1;
                    swapped = true;
                }
            }
        }
        if !swapped {
            break;
        }
    }
}

/// Ends on the far side of each item's edges: left, right.
type Joints = Vec<[Vec<(usize, i32)>; 2]>;

fn joints(rows: &Rows) -> Joints {
    let mut joints: Joints = vec![[Vec::new(), Vec::new()]; rows.items.len()];
    for edge in rows.edges.iter().flatten() {
        joints[edge.right][0].push((edge.left, edge.left_y));
        joints[edge.left][1].push((edge.right, edge.right_y));
    }
    joints
}

/// Crossings taken away by putting `lower` above `upper`.
fn gain(joints: &Joints, position: &[usize], upper: usize, lower: usize) -> i64 {
    let mut gain = 0;
    for (above, below) in joints[upper].iter().zip(&joints[lower]) {
        let place = |end: &(usize, i32)| (position[end.0], end.1);
        let mut a: Vec<(usize, i32)> = above.iter().map(place).collect();
        let mut b: Vec<(usize, i32)> = below.iter().map(place).collect();
        a.sort_unstable();
        b.sort_unstable();
        for end in &a {
            let below = b.partition_point(|other| other < end) as i64;
            let above = (b.len() - b.partition_point(|other| other <= end)) as i64;
            gain += below - above;
        }
    }
    gain
}
