//! Pass 1: the column of each box.

use super::graph::{Graph, Side};

/// Column of each box: supply on the left, each consumer right of what feeds it, lines as short as may be.
///
/// `least` is how many columns there are at least, which matters for what stands in the last one. Longest path from the sources; then every box slides towards the side that pulls harder. Edges that close a ring are
/// left out of account (they are still routed).
pub fn assign(graph: &Graph, least: usize) -> Vec<usize> {
    let count = graph.nodes.len();
    let mut edges = acyclic(graph);
    edges.retain(|&(_, to, _)| !graph.nodes[to].first);

    let mut after: Vec<Vec<(usize, i64)>> = vec![Vec::new(); count];
    let mut before: Vec<Vec<(usize, i64)>> = vec![Vec::new(); count];
    for &(from, to, weight) in &edges {
        after[from].push((to, weight));
        before[to].push((from, weight));
    }

    let mut layer = vec![0_usize; count];
    let mut waiting: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut ready: Vec<usize> = (0..count).rev().filter(|&n| waiting[n] == 0).collect();
    let mut sequence = Vec::with_capacity(count);
    while let Some(node) = ready.pop() {
        sequence.push(node);
        for &(next, _) in &after[node] {
            layer[next] = layer[next].max(layer[node] + 1);
            waiting[next] -= 1;
            if waiting[next] == 0 {
                ready.push(next);
            }
        }
    }

    let longest = layer.iter().copied().max().unwrap_or(0);
    let last = longest.max(least.saturating_sub(1));
    // A few rounds are enough in practice; the bound only guards against a swing between two equal states.
    for round in 0..32 {
        let mut moved = false;
        let steps: Vec<usize> = if round % 2 == 0 {
            sequence.iter().rev().copied().collect()
        } else {
            sequence.clone()
        };
        for node in steps {
            if graph.nodes[node].first || (before[node].is_empty() && after[node].is_empty()) {
                continue;
            }
            let pull: i64 = before[node].iter().map(|edge| edge.1).sum::<i64>()
                - after[node].iter().map(|edge| edge.1).sum::<i64>();
            let earliest = before[node]
                .iter()
                .map(|&(other, _)| layer[other] + 1)
                .max()
                .unwrap_or(0);
            let latest = after[node]
                .iter()
                .map(|&(other, _)| layer[other] - 1)
                .min()
                .unwrap_or(longest);
            let wanted = match pull {
                _ if graph.nodes[node].last && after[node].is_empty() => last,
                1.. => earliest,
                0 => layer[node],
                _ => latest,
            };
            if wanted != layer[node] {
                layer[node] = wanted;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    if least == 0 {
        close_up(&mut layer);
    }
    layer
}

/// Edges from right terminals to left terminals, without those that close a ring.
fn acyclic(graph: &Graph) -> Vec<(usize, usize, i64)> {
    let count = graph.nodes.len();
    let mut after: Vec<Vec<(usize, i64)>> = vec![Vec::new(); count];
    let mut fed = vec![false; count];
    for net in &graph.nets {
        for &(from, out) in &net.ends {
            if graph.nodes[from].ports[out].side != Side::East {
                continue;
            }
            for &(to, entry) in &net.ends {
                if to != from && graph.nodes[to].ports[entry].side == Side::West {
                    let weight = if graph.nodes[from].clings || graph.nodes[to].clings {
                        20
                    } else {
                        2
                    };
                    after[from].push((to, weight));
                    fed[to] = true;
                }
            }
        }
    }

    // Depth first from the sources; an edge back to a box on the current way closes a ring.
    #[derive(Clone, Copy, PartialEq)]
    enum Seen {
        Not,
        OnWay,
        Done,
    }
    let mut seen = vec![Seen::Not; count];
    let mut kept = Vec::new();
    let starts = (0..count)
        .filter(|&n| graph.nodes[n].first)
        .chain((0..count).filter(|&n| !fed[n]))
        .chain(0..count);
    for start in starts {
        if seen[start] != Seen::Not {
            continue;
        }
        seen[start] = Seen::OnWay;
        let mut way = vec![(start, 0_usize)];
        while let Some((node, next)) = way.last_mut() {
            let node = *node;
            if let Some(&(to, weight)) = after[node].get(*next) {
                *next += 1;
                match seen[to] {
                    Seen::OnWay => {}
                    Seen::Done => kept.push((node, to, weight)),
                    Seen::Not => {
                        kept.push((node, to, weight));
                        seen[to] = Seen::OnWay;
                        way.push((to, 0));
                    }
                }
            } else {
                seen[node] = Seen::Done;
                way.pop();
            }
        }
    }
    kept
}

/// Takes out columns that nothing stands in.
fn close_up(layer: &mut [usize]) {
    let mut used: Vec<usize> = layer.to_vec();
    used.sort_unstable();
    used.dedup();
    for one in layer {
        *one = used.partition_point(|other| other < one);
    }
}
