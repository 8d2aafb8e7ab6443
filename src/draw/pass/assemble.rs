//! Pass 5: columns side by side, and the runs of each net joined to a tree of segments.

use super::channel::Channel;
use super::graph::{Align, Columns, GRID, Graph, Layout, Segment, Side};
use super::order::{Kind, Rows};
use super::place::{Heights, height};

/// Puts everything where it goes.
pub fn assemble(
    graph: &Graph,
    rows: &Rows,
    heights: &Heights,
    channels: &[Channel],
    common: Option<&Columns>,
) -> Layout {
    let count = rows.layers.len();
    let mut columns = widths(graph, rows, channels);
    if let Some(common) = common {
        for (own, other) in columns.column.iter_mut().zip(&common.column) {
            *own = (*own).max(*other);
        }
        for (own, other) in columns.channel.iter_mut().zip(&common.channel) {
            for (own, other) in own.iter_mut().zip(other) {
                *own = (*own).max(*other);
            }
        }
    }

    let mut column_x = Vec::with_capacity(count);
    let mut tracks_x = Vec::with_capacity(count + 1);
    let mut x = 0;
    for (index, zones) in columns.channel.iter().enumerate() {
        tracks_x.push(x + zones[0] + GRID);
        x += zones.iter().sum::<i32>();
        if let Some(width) = columns.column.get(index) {
            column_x.push(x);
            x += width;
        }
    }

    let mut layout = Layout {
        corners: vec![(0, 0); graph.nodes.len()],
        layers: vec![0; graph.nodes.len()],
        width: x,
        columns,
        ..Layout::default()
    };
    for (index, item) in rows.items.iter().enumerate() {
        layout.height = layout
            .height
            .max(heights[index] + height(graph, rows, index));
        if let Kind::Box(node) = item.kind {
            let spare = layout.columns.column[item.layer] - graph.nodes[node].width;
            let off = match graph.nodes[node].align {
                Align::Left => 0,
                Align::Middle => spare / 2 / GRID * GRID,
                Align::Right => spare,
            };
            layout.corners[node] = (column_x[item.layer] + off, heights[index]);
            layout.layers[node] = item.layer;
        }
    }

    let mut raw: Vec<Vec<Segment>> = vec![Vec::new(); graph.nets.len()];
    for (index, channel) in channels.iter().enumerate() {
        for trunk in &channel.trunks {
            let x = tracks_x[index] + GRID * trunk.track as i32;
            let (low, high) = trunk.span();
            raw[trunk.net].push(Segment::new((x, low), (x, high)));
            if let Some((other, y)) = trunk.twin {
                let to = tracks_x[index] + GRID * channel.trunks[other].track as i32;
                raw[trunk.net].push(Segment::new((x, y), (to, y)));
            }
        }
    }
    // The track that a line at this height comes from or goes to.
    let meets = |channel: usize, net: usize, y: i32, left: bool| -> Option<i32> {
        channels[channel]
            .trunks
            .iter()
            .find(|trunk| {
                trunk.net == net && (if left { &trunk.left } else { &trunk.right }).contains(&y)
            })
            .map(|trunk| tracks_x[channel] + GRID * trunk.track as i32)
    };
    for (index, item) in rows.items.iter().enumerate() {
        let top = heights[index];
        match item.kind {
            Kind::Through(net) => {
                let left = column_x[item.layer];
                let right = left + layout.columns.column[item.layer];
                let from = meets(item.layer, net, top, false).unwrap_or(left);
                let to = meets(item.layer + 1, net, top, true).unwrap_or(right);
                raw[net].push(Segment::new((from, top), (to, top)));
            }
            Kind::Box(node) => {
                let (x, _) = layout.corners[node];
                for &(net, y) in &item.west {
                    let edge = column_x[item.layer];
                    let from = meets(item.layer, net, top + y, false).unwrap_or(edge);
                    raw[net].push(Segment::new((from, top + y), (x, top + y)));
                }
                for &(net, y) in &item.east {
                    let right = x + graph.nodes[node].width;
                    let edge = column_x[item.layer] + layout.columns.column[item.layer];
                    let to = meets(item.layer + 1, net, top + y, true).unwrap_or(edge);
                    raw[net].push(Segment::new((right, top + y), (to, top + y)));
                }
            }
        }
    }
    // A net that runs straight through a channel crosses it whole.
    for (index, channel) in channels.iter().enumerate() {
        for &(net, y) in &channel.straight {
            let left = if index == 0 {
                0
            } else {
                column_x[index - 1] + layout.columns.column[index - 1]
            };
            let right = column_x.get(index).copied().unwrap_or(layout.width);
            raw[net].push(Segment::new((left, y), (right, y)));
        }
    }

    let merged: Vec<Vec<Segment>> = raw.into_iter().map(merge).collect();
    layout.crossings = crossings(&merged);
    layout.routes = merged
        .iter()
        .enumerate()
        .map(|(net, runs)| {
            let ports: Vec<(i32, i32)> = graph.nets[net]
                .ends
                .iter()
                .map(|&(node, port)| layout.port(graph, node, port))
                .collect();
            cut(runs, &ports)
        })
        .collect();
    layout
}

fn widths(graph: &Graph, rows: &Rows, channels: &[Channel]) -> Columns {
    let mut columns = Columns {
        column: vec![0; rows.layers.len()],
        channel: channels
            .iter()
            .enumerate()
            .map(|(index, channel)| {
                // Nothing passes left of the first column or right of the last unless a net turns there.
                let outer = index == 0 || index == rows.layers.len();
                if outer && channel.trunks.is_empty() {
                    [0; 3]
                } else {
                    [0, GRID * (channel.tracks as i32 + 1), 0]
                }
            })
            .collect(),
    };
    for item in &rows.items {
        if let Kind::Box(node) = item.kind {
            let column = &mut columns.column[item.layer];
            *column = (*column).max(graph.nodes[node].width);
        }
    }
    for item in &rows.items {
        let Kind::Box(node) = item.kind else { continue };
        let spare = columns.column[item.layer] - graph.nodes[node].width;
        let (left, right) = match graph.nodes[node].align {
            Align::Left => (0, spare),
            Align::Middle => (spare / 2 / GRID * GRID, spare - spare / 2 / GRID * GRID),
            Align::Right => (spare, 0),
        };
        for port in &graph.nodes[node].ports {
            let (channel, zone, spare) = match port.side {
                Side::West => (item.layer, 2, left),
                Side::East => (item.layer + 1, 0, right),
            };
            let need = (port.room - spare + GRID - 1) / GRID * GRID;
            let zone = &mut columns.channel[channel][zone];
            *zone = (*zone).max(need);
        }
    }
    columns
}

/// Joins runs on one line that touch.
fn merge(mut runs: Vec<Segment>) -> Vec<Segment> {
    runs.retain(|run| run.from != run.to);
    runs.sort_by_key(|run| {
        if run.is_flat() {
            (0, run.from.1, run.from.0, run.to.0)
        } else {
            (1, run.from.0, run.from.1, run.to.1)
        }
    });
    let mut merged: Vec<Segment> = Vec::new();
    for run in runs {
        if let Some(last) = merged.last_mut() {
            let same_line = last.is_flat() == run.is_flat()
                && if run.is_flat() {
                    last.from.1 == run.from.1
                } else {
                    last.from.0 == run.from.0
                };
            if same_line && last.holds(run.from) {
                last.to = last.to.max(run.to);
                continue;
            }
        }
        merged.push(run);
    }
    merged
}

/// How often runs of different nets cross.
fn crossings(nets: &[Vec<Segment>]) -> usize {
    let mut flat: Vec<(usize, Segment)> = Vec::new();
    let mut upright: Vec<(usize, Segment)> = Vec::new();
    for (net, runs) in nets.iter().enumerate() {
        for run in runs {
            if run.is_flat() {
                flat.push((net, *run));
            } else {
                upright.push((net, *run));
            }
        }
    }
    flat.sort_by_key(|one| one.1.from.1);
    let mut count = 0;
    for (net, run) in &upright {
        let from = flat.partition_point(|one| one.1.from.1 <= run.from.1);
        count += flat[from..]
            .iter()
            .take_while(|one| one.1.from.1 < run.to.1)
            .filter(|(other, line)| {
                other != net && line.from.0 < run.from.0 && run.from.0 < line.to.0
            })
            .count();
    }
    count
}

/// Cuts runs where another run of the same net or a terminal meets them.
fn cut(runs: &[Segment], ports: &[(i32, i32)]) -> Vec<Segment> {
    let mut points: Vec<(i32, i32)> = ports.to_vec();
    for run in runs {
        points.push(run.from);
        points.push(run.to);
        // A run across another, both of this net: joined where they cross.
        for other in runs {
            if run.is_flat() && !other.is_flat() {
                let point = (other.from.0, run.from.1);
                if run.holds(point) && other.holds(point) {
                    points.push(point);
                }
            }
        }
    }
    points.sort_unstable();
    points.dedup();
    let mut pieces = Vec::new();
    for run in runs {
        let mut last = run.from;
        for &point in points.iter().filter(|&&point| run.holds(point)) {
            if point != last {
                pieces.push(Segment::new(last, point));
                last = point;
            }
        }
    }
    pieces.sort_unstable();
    pieces.dedup();
    pieces
}
