//! What readings tell, and which of them are left aside or taken again.

use super::*;

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
fn more_taken_away_than_there_was_is_read_again() {
    let first = "  - {after: 40 min, current: 400 mA}
  - {pulled: F1, current: 150 mA}
  - {refitted: F1, pulled: F2, current: 150 mA}";
    let (_, hunt) = hunted(&bare(6, first));
    assert_eq!(hunt.stage, Stage::Contradicted, "{}", hunt.say);
    assert_eq!(
        hunt.say,
        "Take reading 3 again, because pulling took 250 mA with F1 (reading 2) and 250 mA with F2 (reading 3) away, more \
         than the 400 mA in all of reading 1: what is drawn changed in between"
    );
    // Taken again, waited for and borne out, the later ones stand, and the hunt goes on.
    let more = "  - {current: 380 mA}\n  - {after: 40 min, current: 381 mA}";
    let (_, hunt) = hunted(&bare(6, &format!("{first}\n{more}")));
    assert_eq!(hunt.stage, Stage::Hunting, "{}", hunt.say);
    assert!(hunt.readings[2].unused.is_some());
}

#[test]
fn all_of_it_taken_away_by_two_fuses_is_no_contradiction() {
    // What is behind F2 comes back with it; 200 mA each is all there was.
    let (_, hunt) = hunted(&bare(
        6,
        "  - {after: 40 min, current: 400 mA}
  - {pulled: F1, current: 201 mA}
  - {refitted: F1, pulled: F2, current: 199 mA}",
    ));
    assert!(hunt.troubles.is_empty(), "{:?}", hunt.troubles);
    assert_eq!(hunt.stage, Stage::Located, "{}", hunt.say);
}

#[test]
fn what_rose_and_stays_so_is_what_is_drawn_now() {
    let low = "  - {after: 40 min, current: 400 mA}
  - {pulled: F1, current: 150 mA}
  - {current: 350 mA}";
    let once = hunted(&bare(6, low)).1;
    assert_eq!(once.stage, Stage::Awake, "{}", once.say);
    // Borne out after the wait that was asked for: it is the low one that does not hold, or one would wait for ever.
    let low = format!("{low}\n  - {{after: 40 min, current: 351 mA}}");
    let borne_out = hunted(&bare(6, &low)).1;
    assert_eq!(borne_out.stage, Stage::Hunting, "{}", borne_out.say);
    let unused: Vec<bool> = borne_out
        .readings
        .iter()
        .map(|line| line.unused.is_some())
        .collect();
    assert_eq!(unused, [false, true, false, false]);
    assert_eq!(
        borne_out.troubles[0].message,
        "reading 2 is not of what is drawn now: 150 mA then, 350 mA in reading 3 and as much after the wait of reading 4, \
         with no more fuses in"
    );
    // It went to sleep after all.
    let slept = hunted(&bare(
        6,
        &format!("{low}\n  - {{after: 60 min, current: 150 mA}}"),
    ))
    .1;
    let unused: Vec<bool> = slept
        .readings
        .iter()
        .map(|line| line.unused.is_some())
        .collect();
    assert_eq!(unused, [false, false, true, true, false]);
}
