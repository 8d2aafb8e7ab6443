//! The JSON Schemas of the record and of every JSON output, as they stand in `schemas/`.

/// One schema.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Schema {
    /// The command whose JSON it describes, or `vehicle` for the record.
    pub name: &'static str,
    /// What it is, one line.
    pub about: &'static str,
    /// The schema itself, JSON Schema 2020-12.
    pub text: &'static str,
}

/// Every schema.
pub const ALL: &[Schema] = &[
    Schema {
        name: "vehicle",
        about: "the record of a vehicle, for editors",
        text: include_str!("../../schemas/vehicle.schema.json"),
    },
    Schema {
        name: "audit",
        about: "what `audit --format json` prints",
        text: include_str!("../../schemas/audit.schema.json"),
    },
    Schema {
        name: "budget",
        about: "what `budget --format json` prints",
        text: include_str!("../../schemas/budget.schema.json"),
    },
    Schema {
        name: "compare",
        about: "what `compare --format json` prints",
        text: include_str!("../../schemas/compare.schema.json"),
    },
    Schema {
        name: "diagram",
        about: "what `diagram --format json` prints",
        text: include_str!("../../schemas/diagram.schema.json"),
    },
    Schema {
        name: "explain",
        about: "what `explain --format json` prints",
        text: include_str!("../../schemas/explain.schema.json"),
    },
    Schema {
        name: "fleet",
        about: "a line of what `audit --summary FILE.jsonl` writes",
        text: include_str!("../../schemas/fleet.schema.json"),
    },
    Schema {
        name: "fuses",
        about: "what `fuses --format json` prints",
        text: include_str!("../../schemas/fuses.schema.json"),
    },
    Schema {
        name: "hot",
        about: "what `hot --format json` prints",
        text: include_str!("../../schemas/hot.schema.json"),
    },
    Schema {
        name: "matrix",
        about: "what `matrix --format json` prints",
        text: include_str!("../../schemas/matrix.schema.json"),
    },
    Schema {
        name: "hunt",
        about: "what `hunt --format json` prints",
        text: include_str!("../../schemas/hunt.schema.json"),
    },
    Schema {
        name: "park",
        about: "what `park --format json` prints",
        text: include_str!("../../schemas/park.schema.json"),
    },
    Schema {
        name: "remove",
        about: "what `remove --format json` prints",
        text: include_str!("../../schemas/remove.schema.json"),
    },
    Schema {
        name: "size",
        about: "what `size --format json` prints",
        text: include_str!("../../schemas/size.schema.json"),
    },
    Schema {
        name: "tables",
        about: "what `tables --format json` prints",
        text: include_str!("../../schemas/tables.schema.json"),
    },
    Schema {
        name: "trace",
        about: "what `trace --format json` prints",
        text: include_str!("../../schemas/trace.schema.json"),
    },
    Schema {
        name: "unreadable",
        about: "what any command prints with `--format json` where the input could not be used",
        text: include_str!("../../schemas/unreadable.schema.json"),
    },
    Schema {
        name: "walkround",
        about: "what `walkround --format json` prints",
        text: include_str!("../../schemas/walkround.schema.json"),
    },
    Schema {
        name: "wirelist",
        about: "what `wirelist --format json` prints",
        text: include_str!("../../schemas/wirelist.schema.json"),
    },
];

#[cfg(test)]
mod tests {
    use std::path::Path;

    use schemars::JsonSchema;
    use schemars::generate::SchemaSettings;

    use super::*;
    use crate::render::json::v1;

    fn schema<T: JsonSchema>(title: &str) -> String {
        let generator = SchemaSettings::draft2020_12()
            .for_serialize()
            .into_generator();
        let mut schema = generator.into_root_schema_for::<T>();
        schema.insert("title".to_owned(), title.into());
        let mut text = serde_json::to_string_pretty(&schema).unwrap();
        text.push('\n');
        text
    }

    /// The schemas that stand in `schemas/` are those of the types. `REWRITE=1` writes them anew.
    #[test]
    fn schemas_are_current() {
        let made = [
            ("audit", schema::<v1::Printed<v1::Audit>>("keyoff audit")),
            (
                "wirelist",
                schema::<v1::Printed<v1::WireList>>("keyoff wirelist"),
            ),
            (
                "fuses",
                schema::<v1::Printed<v1::FuseChart>>("keyoff fuses"),
            ),
            ("hunt", schema::<v1::Printed<v1::Hunt>>("keyoff hunt")),
            (
                "diagram",
                schema::<v1::Printed<v1::Layout>>("keyoff diagram"),
            ),
            ("park", schema::<v1::Printed<v1::Park>>("keyoff park")),
            ("budget", schema::<v1::Printed<v1::Budget>>("keyoff budget")),
            ("hot", schema::<v1::Printed<v1::Hot>>("keyoff hot")),
            ("matrix", schema::<v1::Printed<v1::Matrix>>("keyoff matrix")),
            ("trace", schema::<v1::Printed<v1::Trace>>("keyoff trace")),
            (
                "remove",
                schema::<v1::Printed<v1::Removal>>("keyoff remove"),
            ),
            (
                "compare",
                schema::<v1::Printed<v1::Compare>>("keyoff compare"),
            ),
            (
                "walkround",
                schema::<v1::Printed<v1::WalkRound>>("keyoff walkround"),
            ),
            ("size", schema::<v1::Printed<v1::Size>>("keyoff size")),
            (
                "fleet",
                schema::<v1::FleetRow>("keyoff audit --summary FILE.jsonl, one line"),
            ),
            ("tables", schema::<v1::Tables>("keyoff tables")),
            ("explain", schema::<v1::Checks>("keyoff explain")),
            (
                "unreadable",
                schema::<v1::Unreadable>("keyoff: an input that could not be used"),
            ),
        ];
        for (name, made) in made {
            if std::env::var_os("REWRITE").is_some() {
                let path = Path::new(env!("CARGO_MANIFEST_DIR"))
                    .join(format!("schemas/{name}.schema.json"));
                std::fs::write(path, &made).unwrap();
                continue;
            }
            let stands = ALL.iter().find(|schema| schema.name == name).unwrap().text;
            assert!(
                stands == made,
                "schemas/{name}.schema.json is not that of the types: run this test with REWRITE=1"
            );
        }
    }

    #[test]
    fn every_schema_is_a_schema() {
        for schema in ALL {
            let value: serde_json::Value = serde_json::from_str(schema.text).unwrap();
            jsonschema::meta::validate(&value).unwrap();
        }
    }
}
