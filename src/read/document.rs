//! The record as written: every fact with its place, nothing computed, nothing assumed.

pub use crate::quantity::{Dimension, Origin, WireSize};
use crate::quantity::{Interval, Scalar};
use crate::source::{Sources, Span, Spanned};

/// A vehicle record that could be read without a fault.
#[derive(Clone, Debug)]
pub struct Document {
    /// The texts it was read from.
    pub sources: Sources,
    /// The keys under `vehicle:`.
    pub vehicle: Fields,
    /// Parts in the order of the record, templates from `use:` merged in.
    pub parts: Vec<Part>,
    /// Wires in the order of the record, one for each segment of a `run`.
    pub wires: Vec<Wire>,
    /// Named situations as written; the two that are always there are added by the model.
    pub situations: Vec<Situation>,
    /// Meter readings.
    pub readings: Vec<Reading>,
    /// `rules:` as written: rule and choice.
    pub rules: Vec<(Spanned<String>, Spanned<String>)>,
    /// Findings that are known and wanted.
    pub accept: Vec<Accept>,
    /// What was read in a way worth telling (`12 ga` taken as AWG).
    pub remarks: Vec<Remark>,
    /// Parts by name.
    pub names: super::Names,
}

/// Something read in a way worth telling; not a fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remark {
    /// What it is about, e.g. `size-ambiguous`.
    pub topic: &'static str,
    /// The words.
    pub at: Span,
    /// One sentence.
    pub message: String,
}

/// Index of a part in [`Document::parts`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PartIndex(pub u32);

/// One entry under `parts:`.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name and where that stands.
    pub name: Spanned<String>,
    /// Its kind.
    pub kind: Spanned<Kind>,
    /// All its other keys.
    pub fields: Fields,
    /// The names of its terminals, in the order of the kind.
    pub terminals: Vec<String>,
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident $text:literal;)*) => {
        /// What a part is.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Kind { $($(#[$doc])* $name,)* }
        impl Kind {
            /// Every kind, in the order of the format page.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];
            /// As written in a record.
            #[must_use]
            pub const fn text(self) -> &'static str { match self { $(Self::$name => $text,)* } }
        }
    };
}

kinds! {
    /// A battery.
    Battery "battery";
    /// An alternator.
    Alternator "alternator";
    /// A feed of the vehicle: a fuse panel slot, an upfitter output of known kind.
    Feed "feed";
    /// A master battery switch.
    Disconnect "disconnect";
    /// A source with its own supply: shore charger, solar panel, trailer's own.
    Charger "charger";
    /// The key switch with its DIN 72552 terminals.
    KeySwitch "key-switch";
    /// A fuse.
    Fuse "fuse";
    /// A circuit breaker.
    Breaker "breaker";
    /// A fusible link.
    FusibleLink "fusible-link";
    /// A switch.
    Switch "switch";
    /// A relay or contactor.
    Relay "relay";
    /// Anything that is there to use current.
    Load "load";
    /// A controller with outputs.
    Controller "controller";
    /// A timer that keeps a circuit on after the key.
    Delay "delay";
    /// A low-voltage cutoff.
    Cutoff "cutoff";
    /// A battery isolator.
    Isolator "isolator";
    /// A converter from one voltage to another.
    Converter "converter";
    /// A diode.
    Diode "diode";
    /// A connector with pins.
    Connector "connector";
    /// A splice.
    Splice "splice";
    /// A stud or junction post.
    Stud "stud";
    /// A bus bar.
    Busbar "busbar";
    /// A ground point on the chassis.
    Ground "ground";
    /// A wire end that goes nowhere.
    Stub "stub";
}

/// A set of keys with their values.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Fields {
    /// In the order written; of a part, those of a template come last.
    pub list: Vec<Field>,
    /// The whole set, for pointing at when a key is missing.
    pub at: Span,
}

/// One key and its value.
#[derive(Clone, PartialEq, Debug)]
pub struct Field {
    /// The key.
    pub key: Spanned<String>,
    /// The value.
    pub value: Value,
}

/// A value as written. Which of these a key may have is said by its row in [`crate::read::keys`].
#[derive(Clone, PartialEq, Debug)]
pub enum Value {
    /// `unknown`: left out on purpose.
    Unknown(Span),
    /// Free words, or one of a list of words.
    Text(Spanned<String>),
    /// `true` or `false`.
    Flag(Spanned<bool>),
    /// A number with a unit, or a range.
    Quantity(Quantity),
    /// A conductor size.
    Size(Spanned<WireSize>),
    /// A list.
    List(Vec<Value>, Span),
    /// Names with values.
    Map(Fields),
}

impl Value {
    /// Its place.
    #[must_use]
    pub fn at(&self) -> Span {
        match self {
            Self::Unknown(at) | Self::List(_, at) => *at,
            Self::Text(text) => text.at,
            Self::Flag(flag) => flag.at,
            Self::Quantity(quantity) => quantity.at,
            Self::Size(size) => size.at,
            Self::Map(fields) => fields.at,
        }
    }
}

impl Fields {
    /// The value of a key, whatever it is (`unknown` included).
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Value> {
        self.field(key).map(|field| &field.value)
    }

    /// The key with its place, and its value.
    #[must_use]
    pub fn field(&self, key: &str) -> Option<&Field> {
        self.list.iter().find(|field| field.key.value == key)
    }

    /// Whether the record says of a key that it is not known.
    #[must_use]
    pub fn is_unknown(&self, key: &str) -> bool {
        matches!(self.get(key), Some(Value::Unknown(_)))
    }

    /// Words; nothing where left out, `unknown` or of another shape.
    #[must_use]
    pub fn text(&self, key: &str) -> Option<&Spanned<String>> {
        match self.get(key) {
            Some(Value::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// A flag; `false` where left out.
    #[must_use]
    pub fn flag(&self, key: &str) -> bool {
        matches!(self.get(key), Some(Value::Flag(flag)) if flag.value)
    }

    /// A quantity of any dimension.
    #[must_use]
    pub fn quantity(&self, key: &str) -> Option<&Quantity> {
        match self.get(key) {
            Some(Value::Quantity(quantity)) => Some(quantity),
            _ => None,
        }
    }

    /// A quantity of one unit; nothing where it is of another dimension.
    #[must_use]
    pub fn stated<T: Scalar>(&self, key: &str) -> Option<Stated<T>> {
        self.quantity(key).and_then(Quantity::stated)
    }

    /// A list; a single value where a list may be one counts as a list of it.
    #[must_use]
    pub fn list(&self, key: &str) -> &[Value] {
        match self.get(key) {
            Some(Value::List(list, _)) => list,
            Some(Value::Unknown(_)) | None => &[],
            Some(one) => std::slice::from_ref(one),
        }
    }

    /// Names with values under a key.
    #[must_use]
    pub fn map(&self, key: &str) -> Option<&Fields> {
        match self.get(key) {
            Some(Value::Map(map)) => Some(map),
            _ => None,
        }
    }
}

/// A number with a unit, or a range, in the base unit of its dimension.
#[derive(Clone, PartialEq, Debug)]
pub struct Quantity {
    /// What it measures.
    pub dimension: Dimension,
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
    /// Where it is from.
    pub origin: Origin,
    /// Its place.
    pub at: Span,
    /// As typed.
    pub text: String,
    /// `6x for 2 s`, `40 A for 1 s`: how long it lasts, in seconds.
    pub lasts: Option<f64>,
}

impl Quantity {
    /// As a value of one unit; nothing where that unit measures something else.
    #[must_use]
    pub fn stated<T: Scalar>(&self) -> Option<Stated<T>> {
        (self.dimension.symbol() == T::SYMBOL).then(|| Stated {
            value: Interval {
                low: T::of(self.low),
                high: T::of(self.high),
            },
            origin: self.origin,
            at: self.at,
        })
    }
}

/// A value of one unit, where it is from, and its place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stated<T> {
    /// Between its two ends.
    pub value: Interval<T>,
    /// Where it is from.
    pub origin: Origin,
    /// Its place.
    pub at: Span,
}

/// One wire, or one segment of a `run`.
#[derive(Clone, Debug)]
pub struct Wire {
    /// `id` as written, `ID.n` of a run's segment, else `w1`, `w2`, … in document order.
    pub id: String,
    /// Where it starts; conventional current is expected to leave there.
    pub from: End,
    /// Where it ends.
    pub to: End,
    /// Its keys. Those of a run are on each segment; `length` is the segment's own.
    pub fields: Fields,
    /// The entry it stands in.
    pub at: Span,
    /// Number of the entry under `wires:`, from 0; segments of one run share it.
    pub entry: u32,
}

/// One end of a wire.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct End {
    /// The part and its terminal, or the chassis.
    pub point: Point,
    /// The words that name it.
    pub at: Span,
}

/// A terminal of a part, or the vehicle's metal.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Point {
    /// The vehicle's metal.
    Chassis,
    /// Terminal number `.1` (an index into [`Part::terminals`]) of part `.0`.
    Terminal(PartIndex, u16),
}

/// A named situation as written.
#[derive(Clone, Debug)]
pub struct Situation {
    /// Its name.
    pub name: Spanned<String>,
    /// Its keys: `key`, `engine`, `closed`, `opened`, `positions`, `modes`, `duty`, `ambient`, `for`, `shore`,
    /// `detached`, `phases`.
    pub fields: Fields,
}

/// A meter reading as written.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Its keys: `when`, `where`, `current`, `across`, `drop`, `at`, `voltage`, `pulled`, `refitted`, `after`, `key`,
    /// `closed`, `meter`, `note`.
    pub fields: Fields,
}

/// A finding that is known and wanted.
#[derive(Clone, Debug)]
pub struct Accept {
    /// The check's name.
    pub check: Spanned<String>,
    /// The part or wire that it is about; any where left out.
    pub subject: Option<Spanned<String>>,
    /// Why it is wanted.
    pub because: Spanned<String>,
    /// The entry.
    pub at: Span,
}
