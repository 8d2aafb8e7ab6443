//! What is to be drawn, before it has a place: devices with terminals, and what joins them.

use super::drawing::Colour;
use super::pass::Side;

/// Devices and what joins them.
#[derive(Clone, Debug, Default)]
pub struct Schematic {
    /// Devices in the order of the record, tags and ground ends after them.
    pub devices: Vec<Device>,
    /// What joins them.
    pub joints: Vec<Joint>,
}

/// Something that is drawn as one symbol.
#[derive(Clone, Debug)]
pub struct Device {
    /// Name of the part; of a tag or ground end, of the terminal that it belongs to.
    pub name: String,
    /// Its symbol.
    pub symbol: Symbol,
    /// Designation and rating, the bold line.
    pub title: String,
    /// What it is, in words; then other lines.
    pub notes: Vec<String>,
    /// What is wrong with it, as the numbers of the marks.
    pub marks: Vec<usize>,
    /// Terminals on its left and right edge.
    pub pins: Vec<Pin>,
    /// Terminals that go to ground or home under it.
    pub leads: Vec<Lead>,
    /// Stands in the first column.
    pub first: bool,
    /// Stands in the last column.
    pub last: bool,
    /// Current flows through it, or it is live: drawn as on.
    pub live: bool,
}

impl Device {
    /// A pin by its short name.
    #[must_use]
    pub fn pin(&self, name: &str) -> Option<usize> {
        self.pins.iter().position(|pin| pin.name == name)
    }
    /// Whether it is a part (and not a tag or a ground end).
    #[must_use]
    pub const fn is_part(&self) -> bool {
        !matches!(self.symbol, Symbol::Tag { .. } | Symbol::List)
    }
}

/// A terminal on an edge.
#[derive(Clone, Debug)]
pub struct Pin {
    /// In full: `K1.30`.
    pub label: String,
    /// Short: `30`.
    pub name: String,
    /// Edge.
    pub side: Side,
    /// Places for wires, with the width of text that each needs beside it.
    pub slots: Vec<i32>,
    /// When it is live by itself, without a switch or relay being operated.
    pub heat: Heat,
    /// Voltage, where one situation is shown.
    pub volts: Option<String>,
    /// It takes control only: a coil, an input.
    pub control: bool,
    /// Wires that end beside it: at ground, or at a terminal that is drawn elsewhere.
    pub ends: Vec<Beside>,
}

/// A wire that ends beside a terminal.
#[derive(Clone, Debug)]
pub struct Beside {
    /// Its place on the pin.
    pub slot: usize,
    /// Where it goes.
    pub row: Row,
    /// Upper and lower line of its text.
    pub text: [String; 2],
}

/// A terminal whose wires end under the device.
#[derive(Clone, Debug)]
pub struct Lead {
    /// In full: `WORK.-`.
    pub label: String,
    /// Short: `-`.
    pub name: String,
    /// Its wires.
    pub rows: Vec<Row>,
}

/// One wire under a device.
#[derive(Clone, Debug)]
pub struct Row {
    /// Wire id.
    pub wire: String,
    /// Its text.
    pub text: String,
    /// Where it goes.
    pub to: RowEnd,
    /// Paint of the wire.
    pub paint: Paint,
    /// Name of the place of this row, for what refers to it from another sheet.
    pub anchor: String,
}

/// Where a lead goes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum RowEnd {
    /// To the chassis, or to the ground point of this name.
    Ground(Option<String>),
    /// To the terminal of this name, where it is drawn too.
    Point(String),
    /// To the chassis, taken for granted: no wire of the record.
    Assumed,
}

/// When something is live.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Heat {
    /// At all times.
    Always,
    /// With the key.
    Ignition,
    /// Otherwise: shore power, a running engine, behind a switch or relay.
    Other,
    /// Nobody says.
    #[default]
    Unknown,
}

/// A picture.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Symbol {
    /// Battery.
    Battery,
    /// Alternator.
    Alternator,
    /// A source with its own supply.
    Charger,
    /// A feed of the vehicle.
    Feed(Heat),
    /// Fuse.
    Fuse,
    /// Fusible link.
    FusibleLink,
    /// Circuit breaker.
    Breaker,
    /// Switch with one contact.
    Switch {
        /// Springs back.
        momentary: bool,
    },
    /// Master battery switch.
    Disconnect,
    /// Diode; pointing left where it stands the other way round.
    Diode {
        /// Points left.
        back: bool,
    },
    /// Isolator.
    Isolator,
    /// Relay.
    Relay {
        /// What is across its coil.
        across: Across,
    },
    /// A load with one supply.
    Load(Glyph),
    /// A box with named pins.
    Unit,
    /// A connector.
    Connector,
    /// A splice with several wires on each side.
    Splice,
    /// A stud.
    Stud,
    /// A bus bar.
    Busbar,
    /// A wire end.
    Stub,
    /// Something on the way home: a ground bar, a stud or splice of returns.
    Home,
    /// A ground point.
    GroundPoint,
    /// A tag: the wire goes on elsewhere.
    Tag {
        /// What it says.
        text: String,
        /// When it is live.
        heat: Heat,
        /// Name of the place where the wire goes on, and of this tag's own place.
        link: Link,
    },
    /// A list of wires that go on elsewhere, on one terminal.
    List,
}

/// A tag's place and the place that it refers to, by names that are the same on both sides.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Link {
    /// This place, by a name for each wire.
    pub here: Vec<String>,
    /// The other.
    pub there: String,
}

/// What is across a coil.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Across {
    /// Nothing that is known.
    #[default]
    Nothing,
    /// A resistor.
    Resistor,
    /// A diode.
    Diode,
}

/// Kind of load.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Glyph {
    /// Filament lamp.
    Lamp,
    /// LED.
    Led,
    /// Motor.
    Motor,
    /// Heater.
    Heater,
    /// Electronics, and whatever is not said.
    #[default]
    Electronics,
}

/// A net: wires around one point. Every wire has at least one end to itself.
#[derive(Clone, Debug)]
pub struct Joint {
    /// The point that they share, where that is a terminal.
    pub centre: Option<End>,
    /// The splice that they share, where that is drawn as a dot.
    pub splice: Option<Splice>,
    /// The wires.
    pub cables: Vec<Cable>,
}

/// A splice that is drawn as a dot.
#[derive(Clone, Debug)]
pub struct Splice {
    /// Name of the part.
    pub name: String,
    /// The name, and what more is to be said.
    pub text: String,
    /// Marks, by number.
    pub marks: Vec<usize>,
}

/// A place for a wire on a device.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct End {
    /// Device.
    pub device: usize,
    /// Pin.
    pub pin: usize,
    /// Place on the pin.
    pub slot: usize,
}

/// A wire of a net.
#[derive(Clone, Debug)]
pub struct Cable {
    /// Its id.
    pub id: String,
    /// The end that is its own.
    pub own: End,
    /// The text stands at this end, which is `own` or (of two ends that are both its own) the better one.
    pub text_at: End,
    /// Upper and lower line of its text.
    pub text: [String; 2],
    /// Paint.
    pub paint: Paint,
    /// It feeds the shared point (else it is fed by it).
    pub feeds: bool,
    /// 2 for the thinnest, 6 for battery cables.
    pub pull: i32,
}

/// How a wire is painted.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Paint {
    /// Width of the line.
    pub width: f64,
    /// Colours: the ground colour, and that of the stripe. None where none is stated.
    pub colours: Vec<Colour>,
    /// Live in the situation shown.
    pub live: bool,
    /// A situation is shown, and it is not live there.
    pub dead: bool,
    /// Taken for granted: not in the record.
    pub assumed: bool,
    /// Has a mark.
    pub marked: bool,
}
