//! A finished drawing as SVG.
