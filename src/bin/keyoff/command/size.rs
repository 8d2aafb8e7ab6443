//! `keyoff size`: fuse and wire for a load.

use std::path::PathBuf;

use clap::Args;
use keyoff::advise::size;
use keyoff::advise::size::Need;
use keyoff::advise::size_for;
use keyoff::quantity::Amps;
use keyoff::quantity::Fraction;
use keyoff::quantity::Meters;
use keyoff::quantity::Seconds;
use keyoff::quantity::Volts;
use keyoff::render::json;
use keyoff::render::json::v1::Printed;
use keyoff::render::text;
use keyoff::table::ampacity::Scheme;
use keyoff::table::rules;

use super::End;
use crate::args::Format;
use crate::args::Input;
use crate::args::Units;
use crate::args::values;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

/// `keyoff size`
#[derive(Args, Debug)]
pub struct Size {
    /// A record with the part to size; none is needed with `--draw` and `--length`
    #[arg(value_name = "FILE", requires = "part", conflicts_with_all = ["draw", "length"])]
    pub file: Option<PathBuf>,

    /// The part of the record whose circuit is sized anew
    #[arg(long = "for", value_name = "PART", requires = "file")]
    pub part: Option<String>,

    /// Running current, or power at the rated voltage: `14A`, `160W`
    #[arg(long, value_name = "DRAW", value_parser = values::draw)]
    pub draw: Option<values::Drawn>,

    /// Wire from the fuse to the load, one way: `6m`, `20ft`
    #[arg(long, value_name = "LENGTH", value_parser = values::meters)]
    pub length: Option<f64>,

    /// Return wire; left out where the chassis is the return
    #[arg(long = "return", value_name = "LENGTH", value_parser = values::meters)]
    pub back: Option<f64>,

    /// Nominal voltage
    #[arg(long, value_name = "VOLTS", default_value = "12V", value_parser = values::volts)]
    pub voltage: f64,

    /// Temperature around the wire: `60C`, `140F`
    #[arg(long, value_name = "TEMPERATURE", value_parser = values::temperature, allow_hyphen_values = true)]
    pub ambient: Option<f64>,

    /// Type of the insulation or its class: `gxl`, `105C`
    #[arg(long, value_name = "INSULATION")]
    pub insulation: Option<String>,

    /// The wire runs in an engine space
    #[arg(long)]
    pub engine_space: bool,

    /// Conductors that carry current in its bundle, itself included
    #[arg(long, value_name = "COUNT", default_value_t = 1)]
    pub bundle: u32,

    /// Share of the time that it runs: `15%`
    #[arg(long, value_name = "SHARE", value_parser = values::share)]
    pub duty: Option<f64>,

    /// Current at switch-on and how long: `6x for 2s`, `40A for 100ms`
    #[arg(long, value_name = "INRUSH", value_parser = values::inrush)]
    pub inrush: Option<(f64, bool, f64)>,

    /// Drop out and back, at most: `3%`
    #[arg(long, value_name = "SHARE", value_parser = values::share)]
    pub drop: Option<f64>,

    /// The ampacity table, by its name in `keyoff tables rules`
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,

    /// The rule of fuse against wire, by its name in `keyoff tables rules`
    #[arg(long, value_name = "NAME")]
    pub rule: Option<String>,

    /// Shows the sum
    #[arg(long)]
    pub why: bool,

    /// What to print
    #[arg(long, value_enum, default_value_t, value_name = "FORM")]
    pub format: Format,

    /// Units in which lengths and temperatures are shown
    #[arg(long, value_enum, default_value_t, value_name = "UNITS")]
    pub units: Units,

    /// How large a record may be
    #[command(flatten)]
    pub input: Input,
}

/// Prints the fuse, the wire and every size.
pub fn run(args: &Size, terminal: Terminal) -> Result<End, Fault> {
    let data = args.format == Format::Json;
    let need = match (&args.file, &args.part) {
        (Some(path), Some(name)) => {
            let audit = match record::audit(path, args.input.max_size) {
                Ok(audit) => audit,
                Err(unusable) => return super::refuse(path, &unusable, data, terminal),
            };
            let vehicle = &audit.vehicle;
            let names: Vec<&str> = vehicle
                .parts
                .iter()
                .map(|part| part.name.value.as_str())
                .collect();
            let part = vehicle
                .part_ids()
                .find(|&id| vehicle.part(id).name.value == *name);
            let Some(part) = part else {
                let list = "`keyoff wirelist` shows the parts that wires land on";
                let fault = super::no_such("part", name, &names, list);
                return super::refuse(path, &fault.into(), data, terminal);
            };
            match size_for::need(vehicle, &audit.solved, part) {
                Ok(need) => need,
                Err(missing) => {
                    let missing = missing.join(", ");
                    let fault =
                        Fault::new(format!("{name} cannot be sized: not stated: {missing}"))
                            .help("add these to the record, or size it with --draw and --length");
                    return super::refuse(path, &fault.into(), data, terminal);
                }
            }
        }
        _ => by_hand(args)?,
    };
    let sized = size::size(&need);
    let text = if data {
        let data = Printed::Answer(Box::new(json::size::size(&sized)));
        json::pretty(&data).map_err(|error| Fault::new(error.to_string()))?
    } else {
        text::size::size(&sized, args.why, args.units.into(), terminal.out)
    };
    terminal.print(&text)?;
    Ok(if sized.chosen.is_some() && sized.fuse.is_some() {
        End::Clean
    } else {
        End::Findings
    })
}

fn by_hand(args: &Size) -> Result<Need, Fault> {
    let lacks = |what: &str| {
        Fault::new(format!("{what} is not given"))
            .help("write for example: keyoff size --draw 14A --length 6m")
    };
    let (draw, length) = (
        args.draw.ok_or_else(|| lacks("--draw"))?,
        args.length.ok_or_else(|| lacks("--length"))?,
    );
    let system = Volts(args.voltage);
    let rated = keyoff::table::load::rated_voltage(system).value;
    let draw = if draw.watts {
        Amps(draw.value / rated.0)
    } else {
        Amps(draw.value)
    };
    let mut need = Need::of(draw, Meters(length), system);
    need.back = Meters(args.back.unwrap_or(0.0));
    need.engine_space = args.engine_space;
    if args.engine_space {
        need.ambient = keyoff::table::vehicle::engine_bay().value;
    }
    if let Some(ambient) = args.ambient {
        need.ambient = keyoff::quantity::Celsius(ambient);
    }
    if let Some(code) = &args.insulation {
        let class = keyoff::table::ampacity::insulation_class(code);
        need.class = class
            .ok_or_else(|| {
                Fault::new(format!("there is no insulation `{code}`"))
                    .help("write a type such as gxl, or a class such as 105C")
            })?
            .low;
    }
    need.bundle = args.bundle.max(1);
    if let Some(duty) = args.duty {
        need.duty = Fraction(duty);
    }
    if let Some(drop) = args.drop {
        need.drop = Fraction(drop);
    }
    if let Some((amount, times, lasts)) = args.inrush {
        let amps = if times { draw * amount } else { Amps(amount) };
        need.inrush = Some((amps, Seconds(lasts)));
    }
    if let Some(name) = &args.table {
        let names: Vec<&str> = Scheme::ALL.iter().map(|scheme| scheme.name()).collect();
        need.scheme = Scheme::named(name).ok_or_else(|| {
            super::no_such(
                "ampacity table",
                name,
                &names,
                "`keyoff tables rules` lists them",
            )
        })?;
    }
    if let Some(name) = &args.rule {
        let choices = rules::rule("fuse-to-wire").map(|rule| &rule.choices);
        let names: Vec<&str> = choices
            .into_iter()
            .flatten()
            .map(|choice| choice.name.as_str())
            .collect();
        need.fuse_to_wire = rules::choice("fuse-to-wire", name)
            .map(|choice| Fraction(choice.value))
            .ok_or_else(|| {
                super::no_such("rule", name, &names, "`keyoff tables rules` lists them")
            })?;
    }
    Ok(need)
}
