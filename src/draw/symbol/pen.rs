//! A pen that gathers shapes.

use crate::draw::drawing::{Anchor, BODY, Colour, Ink, LEAD, Point, Shape};

/// Shapes of one symbol.
#[derive(Clone, Debug, Default)]
pub struct Pen {
    /// What was drawn.
    pub shapes: Vec<Shape>,
}

impl Pen {
    /// A line with sharp corners.
    pub fn line(&mut self, points: &[Point], ink: Ink) {
        self.shapes.push(Shape::Line {
            points: points.to_vec(),
            ink,
            round: 0.0,
        });
    }
    /// A lead.
    pub fn lead(&mut self, from: Point, to: Point) {
        self.line(&[from, to], LEAD);
    }
    /// A circle, white inside.
    pub fn ring(&mut self, centre: Point, radius: f64) {
        self.shapes.push(Shape::Circle {
            centre,
            radius,
            ink: Some(BODY),
            fill: Some(Colour::WHITE),
        });
    }
    /// A filled dot.
    pub fn dot(&mut self, centre: Point, radius: f64) {
        self.shapes.push(Shape::Circle {
            centre,
            radius,
            ink: None,
            fill: Some(Colour::BLACK),
        });
    }
    /// A small open contact.
    pub fn contact(&mut self, centre: Point) {
        self.shapes.push(Shape::Circle {
            centre,
            radius: 2.2,
            ink: Some(LEAD),
            fill: Some(Colour::WHITE),
        });
    }
    /// An area.
    pub fn area(&mut self, points: &[Point], ink: Option<Ink>, fill: Option<Colour>) {
        self.shapes.push(Shape::Area {
            points: points.to_vec(),
            ink,
            fill,
        });
    }
    /// An upright rectangle around a centre.
    pub fn bar(&mut self, centre: Point, width: f64, height: f64, fill: Option<Colour>) {
        let (x, y) = (centre.0 - width / 2.0, centre.1 - height / 2.0);
        self.area(
            &[
                (x, y),
                (x + width, y),
                (x + width, y + height),
                (x, y + height),
            ],
            Some(BODY),
            fill,
        );
    }
    /// A rectangle by its corner, with any line.
    pub fn frame(
        &mut self,
        corner: Point,
        width: f64,
        height: f64,
        ink: Ink,
        fill: Option<Colour>,
    ) {
        let (x, y) = corner;
        self.area(
            &[
                (x, y),
                (x + width, y),
                (x + width, y + height),
                (x, y + height),
            ],
            Some(ink),
            fill,
        );
    }
    /// Part of a circle.
    pub fn arc(&mut self, from: Point, to: Point, radius: f64) {
        self.shapes.push(Shape::Arc {
            from,
            to,
            radius,
            ink: BODY,
        });
    }
    /// Text.
    pub fn text(&mut self, at: Point, text: &str, size: f64, bold: bool, anchor: Anchor) {
        self.write(at, text, size, bold, anchor, Colour::BLACK);
    }
    /// Text in a colour.
    pub fn write(
        &mut self,
        at: Point,
        text: &str,
        size: f64,
        bold: bool,
        anchor: Anchor,
        colour: Colour,
    ) {
        if !text.is_empty() {
            self.shapes.push(Shape::Text {
                at,
                text: text.to_owned(),
                size,
                bold,
                anchor,
                colour,
            });
        }
    }
    /// A ground symbol that hangs down from a point: three bars, each shorter.
    pub fn ground(&mut self, at: Point) {
        for (index, half) in [8.0, 5.0, 2.0].iter().enumerate() {
            let y = at.1 + 3.0 * index as f64;
            self.line(&[(at.0 - half, y), (at.0 + half, y)], BODY);
        }
    }
    /// A ground symbol that points right.
    pub fn ground_right(&mut self, at: Point) {
        for (index, half) in [5.0, 3.5, 1.5].iter().enumerate() {
            let x = at.0 + 2.5 * index as f64;
            self.line(&[(x, at.1 - half), (x, at.1 + half)], BODY);
        }
    }
    /// The same shapes mirrored left to right about an upright line; texts keep their direction and are not moved.
    pub fn mirrored(mut self, about: f64) -> Self {
        let turn = |point: &mut Point| point.0 = 2.0 * about - point.0;
        for shape in &mut self.shapes {
            match shape {
                Shape::Line { points, .. } | Shape::Area { points, .. } => {
                    points.iter_mut().for_each(turn);
                }
                Shape::Circle { centre, .. } => turn(centre),
                Shape::Arc { from, to, .. } => {
                    turn(from);
                    turn(to);
                    std::mem::swap(from, to);
                }
                Shape::Text { .. } => {}
            }
        }
        self
    }
    /// The same shapes turned by a quarter about a point: what points right points down. Texts are not turned.
    pub fn turned(mut self, about: Point) -> Self {
        let turn = |point: &mut Point| {
            *point = (about.0 - (point.1 - about.1), about.1 + (point.0 - about.0));
        };
        for shape in &mut self.shapes {
            match shape {
                Shape::Line { points, .. } | Shape::Area { points, .. } => {
                    points.iter_mut().for_each(turn);
                }
                Shape::Circle { centre, .. } => turn(centre),
                Shape::Arc { from, to, .. } => {
                    turn(from);
                    turn(to);
                }
                Shape::Text { .. } => {}
            }
        }
        self
    }
}
