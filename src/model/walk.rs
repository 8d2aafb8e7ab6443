//! Walks over the graph: the next protection, what is downstream, the way home.
