//! Which fuse is next, and where the draw is looked for.

use super::*;

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
fn of_sixty_equal_fuses_each_is_read_across_and_none_pulled() {
    let (_, hunt) = hunted(&bare(60, "  - {after: 40 min, current: 400 mA}"));
    let next = hunt.next.unwrap();
    assert!(
        next.pull.is_empty() && next.across.is_some(),
        "{}",
        next.line
    );
    // One after the other, the draw is met after half of them.
    let readings = next.work.readings;
    assert!((27.0..36.0).contains(&readings), "{readings}");
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
