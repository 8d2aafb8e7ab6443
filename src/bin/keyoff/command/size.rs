//! `keyoff size`: fuse and wire for a load.

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
use crate::args::Size;
use crate::fault::Fault;
use crate::record;
use crate::terminal::Terminal;

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
