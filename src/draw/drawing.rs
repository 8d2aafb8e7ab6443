//! A finished drawing: sheets of lines, shapes and texts as plain data. One unit is a quarter of a millimetre on paper at
//! full scale.

/// A point, right and down from the top left corner of the sheet.
pub type Point = (f64, f64);

/// A drawing.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Drawing {
    /// Name of the vehicle.
    pub title: String,
    /// Its sheets, in order.
    pub sheets: Vec<Sheet>,
}

/// One sheet.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Sheet {
    /// What it shows, for people who cannot see it.
    pub describes: String,
    /// Width in units.
    pub width: f64,
    /// Height in units.
    pub height: f64,
    /// Width and height on paper, in millimetre.
    pub paper_mm: (f64, f64),
    /// What is drawn, in order: later lies over earlier.
    pub items: Vec<Item>,
    /// Where things are, for whoever needs to know without looking: tests, links, overlays.
    pub plan: Plan,
}

impl Sheet {
    /// How large it is drawn on its paper; one is full scale, a quarter of a millimetre a unit.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.paper_mm.0 * 4.0 / self.width
    }
}

/// What an item is about.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum About {
    /// The sheet itself.
    #[default]
    Sheet,
    /// A part, by name.
    Part(String),
    /// A wire, by its id.
    Wire(String),
    /// A run that several wires share.
    Shared,
}

/// Something drawn.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// What it is about.
    pub about: About,
    /// The shape.
    pub shape: Shape,
}

/// A colour.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// Black.
    pub const BLACK: Self = Self(0, 0, 0);
    /// White.
    pub const WHITE: Self = Self(255, 255, 255);
    /// For what is of less weight.
    pub const GREY: Self = Self(90, 90, 90);
    /// For marks; dark enough to be read in black and white.
    pub const MARK: Self = Self(176, 0, 32);
}

/// How a line is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ink {
    /// Width.
    pub width: f64,
    /// Colour.
    pub colour: Colour,
    /// Length of dashes and of gaps.
    pub dash: Option<(f64, f64)>,
}

/// A symbol's body.
pub const BODY: Ink = Ink::solid(1.4);
/// Leads inside a symbol.
pub const LEAD: Ink = Ink::solid(1.2);
/// Outlines and mechanical links.
pub const THIN: Ink = Ink::solid(0.8);
/// Dashed outlines and mechanical links.
pub const DASHED: Ink = Ink {
    dash: Some((4.0, 2.5)),
    ..THIN
};

impl Ink {
    /// A black line.
    #[must_use]
    pub const fn solid(width: f64) -> Self {
        Self {
            width,
            colour: Colour::BLACK,
            dash: None,
        }
    }
    /// The same in another colour.
    #[must_use]
    pub const fn coloured(self, colour: Colour) -> Self {
        Self { colour, ..self }
    }
}

/// Which point of a text is given.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Anchor {
    /// Its left end.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// A shape.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// A line through points; corners are rounded with this radius.
    Line {
        /// The points.
        points: Vec<Point>,
        /// The line.
        ink: Ink,
        /// Radius of corners.
        round: f64,
    },
    /// A closed area.
    Area {
        /// The corners.
        points: Vec<Point>,
        /// Its edge.
        ink: Option<Ink>,
        /// Its filling.
        fill: Option<Colour>,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: Point,
        /// Radius.
        radius: f64,
        /// Its edge.
        ink: Option<Ink>,
        /// Its filling.
        fill: Option<Colour>,
    },
    /// Part of a circle, turning clockwise on paper from one point to another, less than half.
    Arc {
        /// Start.
        from: Point,
        /// End.
        to: Point,
        /// Radius.
        radius: f64,
        /// The line.
        ink: Ink,
    },
    /// A line of text.
    Text {
        /// Its base line at the anchor.
        at: Point,
        /// The words.
        text: String,
        /// Size.
        size: f64,
        /// Bold.
        bold: bool,
        /// Which end is given.
        anchor: Anchor,
        /// Colour.
        colour: Colour,
    },
}

impl Shape {
    /// Moved.
    #[must_use]
    pub fn shifted(mut self, by: Point) -> Self {
        let shift = |point: &mut Point| {
            point.0 += by.0;
            point.1 += by.1;
        };
        match &mut self {
            Self::Line { points, .. } | Self::Area { points, .. } => {
                points.iter_mut().for_each(shift)
            }
            Self::Circle { centre, .. } => shift(centre),
            Self::Arc { from, to, .. } => {
                shift(from);
                shift(to);
            }
            Self::Text { at, .. } => shift(at),
        }
        self
    }
}

impl Shape {
    /// Made larger or smaller about the corner of the sheet, lines and lettering too.
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Self {
        let scale = |point: &mut Point| {
            point.0 *= by;
            point.1 *= by;
        };
        let thicken = |ink: &mut Ink| {
            ink.width *= by;
            ink.dash = ink.dash.map(|(dash, gap)| (dash * by, gap * by));
        };
        match &mut self {
            Self::Line { points, ink, round } => {
                points.iter_mut().for_each(scale);
                thicken(ink);
                *round *= by;
            }
            Self::Area { points, ink, .. } => {
                points.iter_mut().for_each(scale);
                ink.iter_mut().for_each(thicken);
            }
            Self::Circle {
                centre,
                radius,
                ink,
                ..
            } => {
                scale(centre);
                *radius *= by;
                ink.iter_mut().for_each(thicken);
            }
            Self::Arc {
                from,
                to,
                radius,
                ink,
            } => {
                scale(from);
                scale(to);
                *radius *= by;
                thicken(ink);
            }
            Self::Text { at, size, .. } => {
                scale(at);
                *size *= by;
            }
        }
        self
    }
}

/// A rectangle.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Frame {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Frame {
    /// Moved.
    #[must_use]
    pub fn shifted(self, by: Point) -> Self {
        Self {
            x: self.x + by.0,
            y: self.y + by.1,
            ..self
        }
    }
    /// Whether two share an area (touching edges do not).
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.x < other.x + other.width
            && other.x < self.x + self.width
            && self.y < other.y + other.height
            && other.y < self.y + self.height
    }
    /// Whether the other lies within.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && other.x + other.width <= self.x + self.width
            && other.y + other.height <= self.y + self.height
    }
}

/// Where the things of a sheet are.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Plan {
    /// Area of the frame that drawing may use.
    pub frame: Frame,
    /// Room taken by each part, its texts and ground leads included. A part's name may come more than once where it is
    /// drawn in pieces.
    pub parts: Vec<(String, Frame)>,
    /// Room taken by tags.
    pub tags: Vec<TagMark>,
    /// Terminals, by label.
    pub terminals: Vec<(String, Point)>,
    /// Runs between boxes.
    pub runs: Vec<RunMark>,
    /// Wires drawn as a lead under a part (to ground, or to a named point), by id.
    pub leads: Vec<LeadMark>,
    /// Texts of wires.
    pub labels: Vec<(String, Frame)>,
    /// Places that other sheets refer to, by name.
    pub anchors: Vec<(String, Point)>,
    /// Junction dots.
    pub dots: Vec<Point>,
    /// Wires whose text found no clear place, so that only the id stands there.
    pub crowded: Vec<String>,
    /// How often wires of different nets cross.
    pub crossings: usize,
    /// How often wires turn a corner or branch off.
    pub bends: usize,
    /// Length of all lines between boxes.
    pub length: i64,
}

/// A tag.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct TagMark {
    /// The wire that it continues.
    pub wire: String,
    /// What it says.
    pub text: String,
    /// When it is live, of a wire that goes on elsewhere.
    pub heat: Option<super::net::Heat>,
    /// Room taken.
    pub frame: Frame,
}

/// One net's lines, or one wire of it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct RunMark {
    /// Wire id.
    pub wire: String,
    /// Number of the net on this sheet.
    pub net: usize,
    /// Its whole way from end to end.
    pub points: Vec<Point>,
    /// Terminals at its ends, by label; a splice that is drawn as a dot, by name.
    pub ends: [String; 2],
}

/// A wire drawn as a lead under a part.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct LeadMark {
    /// Wire id.
    pub wire: String,
    /// Terminal that it starts at.
    pub from: String,
    /// Where it goes, as written there.
    pub to: String,
}
