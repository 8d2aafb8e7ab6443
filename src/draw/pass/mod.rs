//! The layout: boxes with terminals on their left and right edges, and nets between them, in; places and routes, out.
//!
//! An ordered list of passes over whole numbers, none of which knows what the boxes mean:
//!
//! 1. `layer`: which column each box stands in, supply on the left;
//! 2. `order`: who stands above whom in a column, few crossings;
//! 3. `place`: how far down, so that heavy lines run straight;
//! 4. `channel`: which track each vertical run takes between two columns;
//! 5. `assemble`: columns side by side, runs joined to routes.
//!
//! Boxes live in columns, wires in the channels between them or in a row of their own, so no wire can enter a box and no
//! two nets can lie on each other. The method is layered drawing with terminal-aware ordering (barycentre and greedy
//! exchange), placing by isotonic regression, and left-edge packing of tracks.

mod assemble;
mod channel;
mod fenwick;
pub mod graph;
mod layer;
mod order;
mod place;

pub use graph::{Align, Graph, Layout, Net, Node, Port, Segment, Side};

/// Lays a graph out. The result depends on the graph alone.
#[must_use]
pub fn lay_out(graph: &Graph) -> Layout {
    lay_out_in(graph, None)
}

/// Lays a graph out with at least these widths of columns and channels, as [`Layout::columns`] gives them: strips that
/// share a sheet share them.
#[must_use]
pub fn lay_out_in(graph: &Graph, common: Option<&graph::Columns>) -> Layout {
    let layers = layer::assign(graph, common.map_or(0, |columns| columns.column.len()));
    let rows = order::Rows::new(graph, &layers);
    let mut best: Option<(i64, Layout)> = None;
    for order in order::candidates(graph, &rows) {
        let heights = place::place(graph, &rows, &order);
        let channels = channel::route(graph, &rows, &heights);
        let layout = assemble::assemble(graph, &rows, &heights, &channels, common);
        let cost = layout.cost() + 60 * order::disorder(&rows, &order);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, layout));
        }
    }
    best.map(|(_, layout)| layout).unwrap_or_default()
}
