//! Pass 3: how far down each item stands.

use super::graph::{GRID, Graph};
use super::order::{Kind, Order, Rows};

/// Top of each item.
pub type Heights = Vec<i32>;

/// Layouts of so many items are worth the time that pushing takes.
const MOST_PUSHED: usize = 200;

/// A wish: to have `own` of one item level with `other` of another.
#[derive(Clone, Copy)]
struct Wish {
    neighbour: usize,
    /// Wanted top of the item, less the top of the neighbour.
    shift: i32,
    weight: i64,
    /// The neighbour is in the column on the left.
    left: bool,
}

/// Places items so that heavy lines run straight: weighted distances are made small column by column, each by isotonic
/// regression with weighted medians, which keeps order, gaps and the grid exactly.
pub fn place(graph: &Graph, rows: &Rows, order: &Order) -> Heights {
    let wishes = wishes(graph, rows);
    let mut heights = vec![0; rows.items.len()];
    for column in order {
        let mut y = 0;
        for (at, &item) in column.iter().enumerate() {
            if at > 0 {
                y += height(graph, rows, column[at - 1]) + gap(graph, rows, column[at - 1], item);
            }
            heights[item] = y;
        }
    }
    let mut best = (bill(rows, &wishes, &heights), heights.clone());
    let count = order.len();
    for pass in 0..24 {
        let (forward, both) = match pass % 4 {
            0 => (true, false),
            1 => (false, false),
            2 => (true, true),
            _ => (false, true),
        };
        for step in 0..count {
            let column = if forward { step } else { count - 1 - step };
            settle(graph, rows, &order[column], &wishes, &mut heights, |wish| {
                both || wish.left == forward
            });
        }
        let cost = bill(rows, &wishes, &heights);
        if cost < best.0 {
            best = (cost, heights.clone());
        }
    }
    let mut heights = best.1;
    for _ in 0..4 {
        for column in order {
            nudge(graph, rows, column, &wishes, &mut heights);
        }
    }
    if rows.items.len() <= MOST_PUSHED {
        let mut cost = bill(rows, &wishes, &heights);
        for drag in [false, true, false] {
            push(graph, rows, order, &wishes, &mut heights, &mut cost, drag);
        }
    }
    let top = heights.iter().copied().min().unwrap_or(0);
    for y in &mut heights {
        *y -= top;
    }
    heights
}

/// Height of an item: a passing net is a line.
pub fn height(graph: &Graph, rows: &Rows, item: usize) -> i32 {
    match rows.items[item].kind {
        Kind::Box(node) => graph.nodes[node].height,
        Kind::Through(_) => 0,
    }
}

fn gap(graph: &Graph, rows: &Rows, upper: usize, lower: usize) -> i32 {
    match (rows.items[upper].kind, rows.items[lower].kind) {
        (Kind::Box(a), Kind::Box(b)) if !graph.nodes[a].clings && !graph.nodes[b].clings => {
            2 * GRID
        }
        _ => GRID,
    }
}

fn wishes(graph: &Graph, rows: &Rows) -> Vec<Vec<Wish>> {
    let mut fan: Vec<[i64; 2]> = vec![[0; 2]; rows.items.len()];
    for edge in rows.edges.iter().flatten() {
        fan[edge.left][1] += 1;
        fan[edge.right][0] += 1;
    }
    let mut wishes: Vec<Vec<Wish>> = vec![Vec::new(); rows.items.len()];
    for edge in rows.edges.iter().flatten() {
        let through = |item: usize| matches!(rows.items[item].kind, Kind::Through(_));
        let base = match (through(edge.left), through(edge.right)) {
            (true, true) => 8,
            (false, false) => 4,
            _ => 3,
        };
        let clings = |item: usize| match rows.items[item].kind {
            Kind::Box(node) => graph.nodes[node].clings,
            Kind::Through(_) => false,
        };
        let pull = i64::from(graph.nets[edge.net].pull.max(1))
            * if clings(edge.left) || clings(edge.right) {
                6
            } else {
                1
            };
        // A tag follows its device, and never the other way round.
        let follows = |own: usize, other: usize| clings(other) && !clings(own);
        let weight = |fan: i64, own: usize, other: usize| {
            if follows(own, other) {
                1
            } else {
                (24 * base * pull / fan.max(1)).max(2)
            }
        };
        wishes[edge.right].push(Wish {
            neighbour: edge.left,
            shift: edge.left_y - edge.right_y,
            weight: weight(fan[edge.right][0], edge.right, edge.left),
            left: true,
        });
        wishes[edge.left].push(Wish {
            neighbour: edge.right,
            shift: edge.right_y - edge.left_y,
            weight: weight(fan[edge.left][1], edge.left, edge.right),
            left: false,
        });
    }
    wishes
}

/// Weighted offsets; a line that is not straight costs 15 more.
fn bill(rows: &Rows, wishes: &[Vec<Wish>], heights: &Heights) -> i64 {
    (0..rows.items.len())
        .map(|item| price(&wishes[item], heights, heights[item]))
        .sum()
}

fn price(wishes: &[Wish], heights: &Heights, y: i32) -> i64 {
    wishes
        .iter()
        .map(|wish| {
            let off = i64::from((y - heights[wish.neighbour] - wish.shift).abs());
            wish.weight * (off + if off == 0 { 0 } else { 15 })
        })
        .sum()
}

/// A run of items that touch: their wanted places, and where the run goes.
struct Block {
    wanted: Vec<(i32, i64)>,
    items: usize,
    at: i32,
}

/// Lower weighted median.
fn median(wanted: &mut [(i32, i64)]) -> i32 {
    wanted.sort_unstable();
    let total: i64 = wanted.iter().map(|one| one.1).sum();
    let mut sum = 0;
    for &(place, weight) in wanted.iter() {
        sum += weight;
        if 2 * sum >= total {
            return place;
        }
    }
    0
}

fn settle(
    graph: &Graph,
    rows: &Rows,
    column: &[usize],
    wishes: &[Vec<Wish>],
    heights: &mut Heights,
    counts: impl Fn(&Wish) -> bool,
) {
    // Pool adjacent violators, after the least distances are taken out.
    let mut least = Vec::with_capacity(column.len());
    let mut y = 0;
    for (at, &item) in column.iter().enumerate() {
        if at > 0 {
            y += height(graph, rows, column[at - 1]) + gap(graph, rows, column[at - 1], item);
        }
        least.push(y);
    }
    let mut blocks: Vec<Block> = Vec::new();
    for (at, &item) in column.iter().enumerate() {
        let mut wanted: Vec<(i32, i64)> = wishes[item]
            .iter()
            .filter(|wish| counts(wish))
            .map(|wish| {
                (
                    heights[wish.neighbour] + wish.shift - least[at],
                    wish.weight,
                )
            })
            .collect();
        if wanted.is_empty() {
            wanted.push((heights[item] - least[at], 1));
        }
        let place = median(&mut wanted);
        let mut block = Block {
            wanted,
            items: 1,
            at: place,
        };
        while let Some(above) = blocks.pop() {
            if above.at <= block.at {
                blocks.push(above);
                break;
            }
            block.wanted.extend(above.wanted);
            block.items += above.items;
            block.at = median(&mut block.wanted);
        }
        blocks.push(block);
    }
    let mut at = 0;
    for block in blocks {
        for _ in 0..block.items {
            heights[column[at]] = block.at + least[at];
            at += 1;
        }
    }
}

/// Moves single items inside their slack where that is cheaper.
fn nudge(
    graph: &Graph,
    rows: &Rows,
    column: &[usize],
    wishes: &[Vec<Wish>],
    heights: &mut Heights,
) {
    for (at, &item) in column.iter().enumerate() {
        let low = if at > 0 {
            let above = column[at - 1];
            heights[above] + height(graph, rows, above) + gap(graph, rows, above, item)
        } else {
            i32::MIN
        };
        let high = column.get(at + 1).map_or(i32::MAX, |&below| {
            heights[below] - gap(graph, rows, item, below) - height(graph, rows, item)
        });
        let mut best = (price(&wishes[item], heights, heights[item]), heights[item]);
        for wish in &wishes[item] {
            let y = heights[wish.neighbour] + wish.shift;
            if low <= y && y <= high {
                let cost = price(&wishes[item], heights, y);
                if cost < best.0 {
                    best = (cost, y);
                }
            }
        }
        heights[item] = best.1;
    }
}

/// Makes lines straight that one item alone cannot make so: it takes along what is in its way, and where it is to `drag`, what it
/// runs straight with; kept where all in all that is cheaper.
fn push(
    graph: &Graph,
    rows: &Rows,
    order: &Order,
    wishes: &[Vec<Wish>],
    heights: &mut Heights,
    cost: &mut i64,
    drag: bool,
) {
    let mut above: Vec<Option<usize>> = vec![None; rows.items.len()];
    let mut below = above.clone();
    for pair in order.iter().flat_map(|column| column.windows(2)) {
        above[pair[1]] = Some(pair[0]);
        below[pair[0]] = Some(pair[1]);
    }
    let room = |upper: usize, lower: usize, heights: &Heights| {
        heights[lower]
            - heights[upper]
            - height(graph, rows, upper)
            - gap(graph, rows, upper, lower)
    };
    for item in 0..rows.items.len() {
        for wish in &wishes[item] {
            let by = heights[wish.neighbour] + wish.shift - heights[item];
            if by == 0 {
                continue;
            }
            let mut moved = vec![false; rows.items.len()];
            moved[item] = true;
            let mut waiting = vec![item];
            while let Some(one) = waiting.pop() {
                let in_the_way = if by > 0 {
                    below[one].filter(|&next| room(one, next, heights) < by)
                } else {
                    above[one].filter(|&next| room(next, one, heights) < -by)
                };
                let own = wishes[one]
                    .iter()
                    .filter(|own| drag && one != own.neighbour);
                let straight = own
                    .filter(|own| heights[one] == heights[own.neighbour] + own.shift)
                    .map(|own| own.neighbour);
                let more: Vec<usize> = in_the_way.into_iter().chain(straight).collect();
                for next in more {
                    if !std::mem::replace(&mut moved[next], true) {
                        waiting.push(next);
                    }
                }
            }
            if moved[wish.neighbour] {
                continue;
            }
            let shift = |heights: &mut Heights, by: i32| {
                for (y, _) in heights.iter_mut().zip(&moved).filter(|(_, moved)| **moved) {
                    *y += by;
                }
            };
            shift(heights, by);
            let now = bill(rows, wishes, heights);
            if now < *cost {
                *cost = now;
            } else {
                shift(heights, -by);
            }
        }
    }
}
