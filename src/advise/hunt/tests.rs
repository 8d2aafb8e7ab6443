use super::*;
use crate::analyze::analyze;
use crate::model::testing::vehicle;

fn hunted(text: &str) -> (Vehicle, Hunt) {
    let vehicle = vehicle(text);
    let solved = analyze(&vehicle);
    let hunt = hunt(&vehicle, &solved);
    (vehicle, hunt)
}

fn bare(fuses: usize, readings: &str) -> String {
    let mut text = String::from("parts:\n  B1: {kind: battery, capacity: 75 Ah}\n");
    for fuse in 1..=fuses {
        text += &format!("  F{fuse}: {{kind: fuse, rating: 10 A, form: blade}}\n");
    }
    text + &format!("readings:\n{readings}")
}

fn name(vehicle: &Vehicle, part: PartId) -> &str {
    &vehicle.part(part).name.value
}

#[test]
fn with_nothing_read_it_asks_for_the_total() {
    let (_, hunt) = hunted("parts: {F1: {kind: fuse}, F2: {kind: fuse}, B1: {kind: battery}}");
    assert_eq!(hunt.stage, Stage::NotMeasured);
    assert!(hunt.say.contains("negative cable"), "{}", hunt.say);
    assert!(hunt.heed[0].contains("10 A jack"), "{:?}", hunt.heed);
}

#[test]
fn a_bare_list_of_fuses_is_enough() {
    let (vehicle, hunt) = hunted(&bare(
        6,
        "  - {after: 40 min, current: 402 mA}
  - {pulled: [F1, F2, F3], current: 401 mA}
  - {pulled: F4, current: 32 mA}",
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    let found = &hunt.located[0];
    assert_eq!(name(&vehicle, found.fuse.unwrap()), "F4");
    assert!((found.current.0 - 0.37).abs() < 0.02, "{found:?}");
    assert!(hunt.say.contains("F4"), "{}", hunt.say);
    assert!(hunt.assumed.iter().any(|assumed| assumed.key == "own-load"));
}

#[test]
fn a_small_draw_shows_across_no_large_fuse_and_is_not_looked_for_there() {
    let (vehicle, hunt) = hunted(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 3 A, form: blade}
  F3: {kind: fuse, rating: 30 A, form: blade}
readings:
  - {after: 40 min, current: 130 mA}
  - {across: F1, drop: 0.0 mV}
  - {across: F2, drop: 0.0 mV}",
    );
    let of = |fuse: &str| {
        let found = hunt.suspects.iter().find(|suspect| {
            suspect
                .fuse
                .is_some_and(|part| name(&vehicle, part) == fuse)
        });
        found.map_or(0.0, |suspect| suspect.probability)
    };
    assert!(of("F1") > 0.2 && of("F3") > 0.2, "{:?}", hunt.suspects);
    assert!(
        of("F2") < 0.1,
        "0.3 mV over 31 mohm is 10 mA: {:?}",
        hunt.suspects
    );
    let unproven: Vec<&str> = hunt
        .unproven
        .iter()
        .map(|(fuse, _)| name(&vehicle, *fuse))
        .collect();
    assert_eq!(unproven, ["F1"]);
    assert!(hunt.next.unwrap().across.is_none());
}

#[test]
fn a_module_woken_by_a_fuse_put_back_is_waited_for() {
    let (_, hunt) = hunted(&bare(
        4,
        "  - {after: 40 min, current: 402 mA}
  - {pulled: F1, current: 401 mA}
  - {refitted: F1, pulled: F2, current: 1.35 A}",
    ));
    assert_eq!(hunt.stage, Stage::Awake);
    assert!(
        hunt.say.contains("wait 40 min") && hunt.say.contains("F1"),
        "{}",
        hunt.say
    );
    assert_eq!(hunt.troubles[0].kind, TroubleKind::Woken);
}

#[test]
fn what_had_not_settled_is_left_aside() {
    let (_, hunt) = hunted(&bare(
        3,
        "  - {current: 1.31 A}
  - {after: 25 min, current: 182 mA}
  - {pulled: F1, current: 30 mA}",
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    assert_eq!(hunt.troubles[0].kind, TroubleKind::NotSettled);
    assert_eq!(hunt.balance.unwrap().reading, 2);
}

#[test]
fn a_reading_before_anything_can_sleep_is_taken_again() {
    let early = "  - {after: 2 min, current: 500 mA}";
    let (_, hunt) = hunted(&bare(3, early));
    assert_eq!(hunt.stage, Stage::NotMeasured);
    assert!(
        hunt.say.contains("after 30 min") && hunt.say.contains("2 min after the key was off"),
        "{}",
        hunt.say
    );
    // Waiting adds up, and a reading without a wait is taken at its word.
    let later = format!("{early}\n  - {{after: 25 min, current: 182 mA}}");
    let (_, hunt) = hunted(&bare(3, &later));
    assert_eq!(hunt.balance.unwrap().reading, 2);
    let (_, hunt) = hunted(&bare(3, "  - {current: 182 mA}"));
    assert_eq!(hunt.stage, Stage::Hunting);
}

#[test]
fn a_slip_of_the_unit_is_asked_back() {
    let (_, hunt) = hunted(&bare(3, "  - {after: 40 min, current: 202 A}"));
    assert_eq!(hunt.stage, Stage::NotMeasured);
    assert!(hunt.say.contains("write 202 mA"), "{}", hunt.say);
    let (_, hunt) = hunted(&bare(
        3,
        "  - {after: 40 min, current: 202 mA}
  - {pulled: F1, current: 180 A}",
    ));
    assert!(
        hunt.troubles[0].message.contains("write 180 mA"),
        "{:?}",
        hunt.troubles
    );
    let (_, hunt) = hunted(&bare(
        3,
        "  - {after: 40 min, current: 202 mA}
  - {pulled: F1, current: 20 A}",
    ));
    assert!(
        hunt.troubles[0].message.contains("write 20 mA"),
        "{:?}",
        hunt.troubles
    );
}

#[test]
fn what_is_read_again_takes_the_place_of_what_could_not_be() {
    let first = "  - {after: 40 min, current: 182 mA}
  - {across: F2, drop: 5.0 mV}";
    let (_, hunt) = hunted(&bare(3, first));
    assert_eq!(hunt.stage, Stage::Contradicted);
    assert_eq!(hunt.asked(), "- {across: F2, drop: ? mV}");
    assert!(hunt.heed[0].contains("millivolt range"), "{:?}", hunt.heed);
    let again = format!("{first}\n  - {{across: F2, drop: 0.0 mV}}");
    let (_, hunt) = hunted(&bare(3, &again));
    assert_eq!(hunt.stage, Stage::Hunting, "{}", hunt.say);
    assert!(hunt.troubles.is_empty(), "{:?}", hunt.troubles);
    assert!(hunt.readings[1].unused.is_some());
}

#[test]
fn a_contradiction_names_both_readings_and_why() {
    let (_, hunt) = hunted(&bare(
        3,
        "  - {after: 40 min, current: 182 mA}
  - {across: F2, drop: 5.0 mV}",
    ));
    assert_eq!(hunt.stage, Stage::Contradicted, "{hunt:?}");
    let trouble = &hunt.troubles[0];
    assert_eq!((trouble.reading, trouble.against), (2, Some(1)));
    assert!(
        trouble.message.contains("rating and form"),
        "{}",
        trouble.message
    );
}

#[test]
fn a_pull_that_disagrees_with_millivolts_is_told() {
    let (_, hunt) = hunted(&bare(
        3,
        "  - {after: 40 min, current: 500 mA}
  - {across: F2, drop: 3.10 mV}
  - {pulled: F2, current: 498 mA}",
    ));
    let trouble = &hunt.troubles[0];
    assert_eq!(
        (trouble.reading, trouble.against),
        (2, Some(3)),
        "{trouble:?}"
    );
}

#[test]
fn a_draw_past_all_fuses_sends_nobody_through_them() {
    let (_, hunt) = hunted(&bare(
        4,
        "  - {after: 40 min, current: 602 mA}
  - {pulled: [F1, F2], current: 601 mA}
  - {pulled: [F3, F4], current: 600 mA}",
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    assert_eq!(hunt.located[0].fuse, None);
    assert!(hunt.say.contains("ring terminals"), "{}", hunt.say);
    assert!(!hunt.located[0].past.is_empty());
}

#[test]
fn two_draws_at_once_are_both_found() {
    let log = "  - {after: 40 min, current: 502 mA}
  - {pulled: [F1], current: 301 mA}
  - {pulled: [F2], current: 300 mA}
";
    let (vehicle, hunt) = hunted(&bare(4, log));
    assert_eq!(hunt.stage, Stage::Hunting, "0.27 A are left: {}", hunt.say);
    assert_eq!(name(&vehicle, hunt.located[0].fuse.unwrap()), "F1");
    let (vehicle, hunt) = hunted(&bare(
        4,
        &format!("{log}  - {{pulled: F3, current: 30 mA}}"),
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    let mut found: Vec<&str> = hunt
        .located
        .iter()
        .map(|one| name(&vehicle, one.fuse.unwrap()))
        .collect();
    found.sort_unstable();
    assert_eq!(found, ["F1", "F3"]);
}

const TRUCK: &str = "vehicle: {system: 12 V, own-load: {off: 18 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  F3: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
  S2: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 85 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BOX: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}
  WORK: {kind: load, type: led, draw: 6 A}
  SP: {kind: splice}
wires:
  - {run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {id: coil, run: [SP, F1, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m, 1 m]}
  - {run: [F1, S2, LAMP], size: 18 AWG, lengths: [1 m, 1 m]}
  - {run: [SP, F2, BOX], size: 18 AWG, lengths: [1 m, 1 m]}
  - {run: [SP, F3, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {from: K1.87, to: WORK, size: 14 AWG, length: 1 m}
";

#[test]
fn the_parts_behind_the_fuse_are_ranked_by_what_they_could_draw() {
    let (vehicle, hunt) = hunted(&format!(
        "{TRUCK}readings:
  - {{after: 40 min, current: 172 mA}}
  - {{pulled: F1, current: 23 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    let found = &hunt.located[0];
    assert_eq!(name(&vehicle, found.fuse.unwrap()), "F1");
    assert_eq!(name(&vehicle, found.parts[0].part), "K1");
    assert!(found.parts[0].match_ > 0.8, "{found:?}");
    assert!(
        found.parts[1].match_ < 0.1,
        "the lamp draws far more: {found:?}"
    );
    let wires: Vec<&str> = found
        .wires
        .iter()
        .map(|&wire| vehicle.wire(wire).id.as_str())
        .collect();
    assert!(
        wires.contains(&"coil.2") && wires.contains(&"coil.3"),
        "{wires:?}"
    );
    assert!(
        found.like.iter().any(|like| like.contains("relay coil")),
        "{found:?}"
    );
    assert!(found.expect.contains("23"), "{}", found.expect);
    assert!(
        hunt.say.contains("unplug K1 behind F1") || hunt.say.contains("Unplug K1"),
        "{}",
        hunt.say
    );
    assert!(hunt.heed[0].contains("a relay coil draws"));
}

#[test]
fn what_the_record_explains_is_not_hunted() {
    let (_, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 24 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Explained, "{}", hunt.say);
    assert!(hunt.suspects.is_empty() && hunt.next.is_none());
}

#[test]
fn less_than_the_record_says_is_told() {
    let (_, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 9 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Less, "{}", hunt.say);
}

#[test]
fn what_fits_a_coil_is_suspected_where_there_is_one() {
    let (vehicle, hunt) = hunted(&format!(
        "{TRUCK}readings:\n  - {{after: 40 min, current: 172 mA}}"
    ));
    let first = hunt.suspects[0].fuse.unwrap();
    assert_eq!(name(&vehicle, first), "F1");
    let next = hunt.next.unwrap();
    assert!(next.line.starts_with("- {") && next.line.ends_with('}'));
}

#[test]
fn what_holds_itself_in_is_used_first() {
    let (_, hunt) = hunted(
        "vehicle: {system: 12 V, own-load: {off: 18 mA, run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  RUN: {kind: feed, hot-in: run}
  F1: {kind: fuse, rating: 10 A}
  S1: {kind: switch, left: open}
  D1: {kind: diode, drop: 0.7 V}
  SP: {kind: splice}
  K1: {kind: relay, coil: 90 ohm, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [1 m, 1 m]}
  - {run: [RUN, S1, D1, SP], size: 14 AWG, lengths: [1 m, 1 m, 1 m]}
  - {from: SP, to: K1.86, size: 14 AWG, length: 1 m}
  - {from: K1.87, to: SP, size: 14 AWG, length: 1 m}",
    );
    assert_eq!(hunt.use_first.len(), 1, "{hunt:?}");
    assert!(hunt.say.contains("switch S1 on and off"), "{}", hunt.say);
}

#[test]
fn the_airbag_fuse_stays_in() {
    let (_, hunt) = hunted(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A, what: SRS module}
  F2: {kind: fuse, rating: 10 A}
  F3: {kind: fuse, rating: 10 A}
readings:
  - {after: 40 min, current: 300 mA}",
    );
    let next = hunt.next.clone().unwrap();
    assert!(!next.pull.contains(&PartId(1)));
    assert!(
        hunt.heed.iter().any(|words| words.contains("F1 stays in")),
        "{:?}",
        hunt.heed
    );
}

#[test]
fn sixty_fuses_are_instant() {
    let started = std::time::Instant::now();
    let (_, hunt) = hunted(&bare(60, "  - {after: 40 min, current: 400 mA}"));
    assert!(hunt.next.is_some());
    assert!(started.elapsed().as_secs_f64() < 20.0, "unoptimised, even");
}

const YARD: &str = "vehicle: {system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  B2: {kind: battery, capacity: 75 Ah}
  ISO: {kind: isolator, opens: 12.8 V, closes: 13.3 V}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  SP: {kind: busbar}
  A1: {kind: fuse, rating: 15 A, form: blade}
  A2: {kind: fuse, rating: 10 A, form: blade}
  A3: {kind: fuse, rating: 5 A, form: blade}
  CB: {kind: breaker, rating: 20 A}
  S1: {kind: switch, left: open}
  ALT: {kind: alternator, rated: 100 A}
  RUN: {kind: feed, hot-in: run, limit: 10 A}
  BAT: {kind: feed, hot-in: always, limit: 10 A}
  CAMERA: {kind: load, type: electronics, draw: 60 mA, parked: 1 mA}
  BEACON: {kind: load, type: led, draw: 1.5 A}
  RADIO: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 6 mA}
wires:
  - {id: main, run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {id: a1, run: [SP, A1, S1, BEACON], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {id: a2, run: [SP, A2, RADIO], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {id: a3, run: [SP, A3, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
  - {id: cam, from: B1, to: CAMERA, size: 18 AWG, length: 1 m}
  - {id: alt, from: ALT, to: B1, size: 4 AWG, length: 1 m}
  - {id: iso, run: [B1, ISO, B2], size: 4 AWG, lengths: [1 m, 1 m]}
  - {id: run, from: RUN, to: CB, size: 14 AWG, length: 1 m}
readings:
";

#[test]
fn each_reading_that_is_left_aside_says_why() {
    let (vehicle, hunt) = hunted(&format!(
        "{YARD}  - {{pulled: A2, current: 1.3 A}}
  - {{refitted: A2, current: 0.30 A}}
  - {{where: a3.1, current: -85 mA}}
  - {{at: TRACKER, voltage: 12.5 V}}
  - {{where: cam, current: 2 mA}}
  - {{where: B2 positive, current: 2 mA}}
  - {{where: a1.2, closed: S1, current: 1.4 A}}
  - {{where: main.2, key: run, current: 0.12 A}}
  - {{where: a2.2, pulled: A2, current: 0.01 A}}
  - {{refitted: A2}}
  - {{where: main.2, current: 62 mA}}"
    ));
    let why: Vec<&str> = hunt
        .readings
        .iter()
        .map(|line| line.unused.as_deref().unwrap_or("used"))
        .collect();
    assert_eq!(
        why,
        [
            "it had not settled",
            "used",
            "used",
            "a voltage tells no current",
            "no fuse carries just the current of its wire",
            "it is of another battery than the one that starts the engine",
            "a switch stood otherwise than the vehicle is left",
            "the key was not off",
            "the fuse, or one that feeds it, was out",
            "nothing was read",
            "used",
        ]
    );
    // Through A3 85 mA, less 1 % and three last digits; through FM, which feeds it, 62 mA and as much more.
    let of = |line: &Line| line.of.fuse().map(|fuse| name(&vehicle, fuse).to_owned());
    assert_eq!(of(&hunt.readings[2]).as_deref(), Some("A3"));
    assert_eq!(of(&hunt.readings[10]).as_deref(), Some("FM"));
    let told: Vec<&str> = hunt.troubles.iter().map(|one| &*one.message).collect();
    assert_eq!(
        told,
        [
            "reading 1 had not settled: 1.3 A then, 300 mA in reading 2 with more fuses in",
            "reading 3 puts at least 81 mA through A3, and FM that feeds it carries at most 65.7 mA in reading 11",
        ]
    );
}

#[test]
fn what_can_draw_past_all_fuses_is_told_where_it_does() {
    let (_, hunt) = hunted(&format!(
        "{YARD}  - {{after: 40 min, current: 402 mA}}
  - {{pulled: [FM, CB], current: 392 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
    // RUN is dead with the key off.
    let past = hunt.located[0].past.join("; ");
    for (words, told) in [
        ("CAMERA, fed from B1 with no fuse on the way", true),
        ("ALT: take its cable off", true),
        ("ISO and the battery behind it", true),
        ("BAT, a feed", true),
        ("RUN, a feed", false),
    ] {
        assert_eq!(past.contains(words), told, "{words}: {past}");
    }
}

#[test]
fn the_meter_is_sent_back_to_the_battery_after_a_wire() {
    let (_, hunt) = hunted(&format!(
        "{YARD}  - {{after: 40 min, current: 55 mA}}
  - {{where: a3.1, current: 6 mA}}"
    ));
    let next = hunt.next.unwrap();
    assert!(next.across.is_none(), "{next:?}");
    assert!(
        next.line
            .ends_with("where: battery negative, current: ? mA}"),
        "{}",
        next.line
    );
}

#[test]
fn what_cannot_be_is_taken_again_where_it_was_taken() {
    let read = "  - {after: 40 min, current: 82 mA}\n  - {where: a3.1, current: 120 mA}";
    let (_, hunt) = hunted(&format!("{YARD}{read}"));
    assert_eq!(hunt.stage, Stage::Contradicted, "{}", hunt.say);
    assert_eq!(hunt.asked(), "- {where: a3.1, current: ? mA}");
    // A voltage after it changes nothing.
    let read = "  - {after: 40 min, current: 182 mA}
  - {across: F2, drop: 5.0 mV}
  - {at: F2, voltage: 12.5 V}";
    let (_, hunt) = hunted(&bare(3, read));
    assert!(hunt.say.starts_with("Take reading 2 again"), "{}", hunt.say);
    assert_eq!(hunt.asked(), "- {across: F2, drop: ? mV}");
    assert!(hunt.heed[0].contains("millivolt range"), "{:?}", hunt.heed);
}

#[test]
fn more_by_itself_is_waited_for_and_read_at_the_battery() {
    let (_, hunt) = hunted(&format!(
        "{YARD}  - {{after: 40 min, current: 402 mA}}
  - {{current: 650 mA}}
  - {{where: cam, current: 1 mA}}"
    ));
    assert_eq!(hunt.stage, Stage::Awake, "{}", hunt.say);
    assert!(hunt.say.contains("came on by itself"), "{}", hunt.say);
    assert_eq!(
        hunt.asked(),
        "- {after: 40 min, where: battery negative, current: ? mA}"
    );
}

#[test]
fn a_reading_that_fits_none_of_the_others_is_taken_again() {
    // 200 mA behind F1 and nothing behind F2 leave 202 mA; with F3 out too they should stay or fall by what F3 alone took.
    let (_, hunt) = hunted(&bare(
        3,
        "  - {current: 402 mA}
  - {pulled: F1, current: 202 mA}
  - {pulled: F2, refitted: F1, current: 402 mA}
  - {pulled: F1, current: 202 mA}
  - {pulled: F3, refitted: [F1, F2], current: 300 mA}
  - {pulled: [F1, F2], current: 202 mA}",
    ));
    assert_eq!(hunt.stage, Stage::Contradicted, "{}", hunt.say);
    assert_eq!(
        hunt.troubles[0].message,
        "reading 6 fits none of the others: it is more than they leave room for"
    );
    assert_eq!(hunt.asked(), "- {current: ? mA}");
}

#[test]
fn where_nothing_may_be_pulled_and_nothing_would_show_one_looks() {
    // 70 mA over 30 A: below what three last digits of 0.1 mV show.
    let (_, hunt) = hunted(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade, what: SRS module}
  F2: {kind: fuse, rating: 30 A, form: blade, what: airbag}
readings:
  - {current: 100 mA}",
    );
    assert_eq!(hunt.stage, Stage::Hunting);
    assert!(hunt.next.is_none());
    let why = "(it feeds the airbags or seat belts)";
    assert_eq!(
        hunt.say,
        format!(
            "Look at F1 {why}, F2 {why} and what flows past all fuses by hand: no fuse that may be pulled tells these apart any further"
        )
    );
    assert!(
        hunt.heed.iter().all(|words| words.contains("stays in")),
        "nothing is to be read: {:?}",
        hunt.heed
    );
}

#[test]
fn a_breaker_has_no_test_pads() {
    let (_, hunt) = hunted(
        "parts:
  B1: {kind: battery, capacity: 75 Ah}
  CB: {kind: breaker, rating: 10 A, resistance: 20 mohm}
readings:
  - {current: 500 mA}",
    );
    assert!(hunt.next.unwrap().across.is_some());
    assert!(
        hunt.heed[0].contains("touch the bare metal at both ends of CB"),
        "{:?}",
        hunt.heed
    );
}

/// 25 mA are the vehicle's own 20 mA and the tracker's 5 mA, whatever is going to be fitted.
#[test]
fn what_is_planned_explains_nothing_of_a_reading() {
    let (vehicle, hunt) = hunted(
        "vehicle: {system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade, status: planned}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 5 mA}
  FRIDGE: {kind: load, type: electronics, draw: 1 A, parked: 1 A, status: planned}
  BEACON: {kind: load, type: led, draw: 2 A, status: planned}
wires:
  - {run: [B1, F1, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
  - {run: [B1, F2, FRIDGE], size: 14 AWG, lengths: [10 cm, 1 m], status: planned}
  - {from: F1, to: BEACON, size: 14 AWG, length: 1 m, status: planned}
readings:
  - {after: 40 min, current: 25 mA}
  - {pulled: F1, current: 20 mA}",
    );
    assert_eq!(hunt.stage, Stage::Explained, "{}", hunt.say);
    let explained: Vec<f64> = hunt.readings.iter().map(|line| line.explained.0).collect();
    assert!(
        (explained[0] - 0.025).abs() < 1e-4 && (explained[1] - 0.020).abs() < 1e-4,
        "{explained:?}"
    );
    assert!(
        hunt.suspects
            .iter()
            .all(|suspect| suspect.fuse.is_none_or(|fuse| name(&vehicle, fuse) != "F2"))
    );
}
