//! Answers on both sides of every kind of limit, in several units.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use pinindex::procedure::{Item, Procedure, Verdict, judge, judge_answer};
use pinindex::record::{Answer, Check};
use pinindex::register::{Limit, Machine};
use serde_json::{Value, json};
use std::sync::Arc;

fn item(answer: &str, measures: Option<&str>, limits: Value) -> Item {
    let mut item = json!({
        "id": "thing", "title": "Thing", "do": "Look.", "answer": answer, "limits": limits,
        "choices": {"full": "pass", "low": "fail"}, "by": {"any-of": ["technician"]}, "fails": "withhold",
    });
    if let Some(measures) = measures {
        item["measures"] = json!(measures);
    }
    serde_json::from_value(item).unwrap()
}

fn verdict(item: &Item, answer: &Answer) -> Verdict {
    let limits: Vec<&Limit> = item.limits.iter().collect();
    judge_answer(item, &limits, answer)
}

fn reading(text: &str) -> Answer {
    Answer::Reading(text.parse().unwrap())
}

fn held(from: &str, to: &str, time: &str) -> Answer {
    Answer::PressureHeld { from: from.parse().unwrap(), to: to.parse().unwrap(), time: time.parse().unwrap() }
}

#[test]
fn a_reading_at_its_limit_meets_it_in_every_unit() {
    // 1000 psi is 6894.757 kPa and 68.94757 bar (NIST SP 811, appendix B.8).
    let at_least =
        item("reading", Some("gauge-pressure"), json!([{"at-least": "1000 psi", "source": "s", "standing": "local"}]));
    for good in ["1000 psi", "1000.0 psi", "1001 psi", "6894.757 kPa", "6895 kPa", "68.94757 bar", "69 bar"] {
        assert_eq!(verdict(&at_least, &reading(good)), Verdict::Pass, "{good}");
    }
    for bad in ["999 psi", "999.9 psi", "6894.7 kPa", "68.9 bar", "0 psi", "-5 psi"] {
        assert_eq!(verdict(&at_least, &reading(bad)), Verdict::Fail, "{bad}");
    }
    let above = item("reading", Some("share"), json!([{"above": "90 %", "source": "s", "standing": "local"}]));
    assert_eq!(verdict(&above, &reading("90 %")), Verdict::Fail);
    assert_eq!(verdict(&above, &reading("90.1 %")), Verdict::Pass);
    let band = item(
        "reading",
        Some("share"),
        json!([{"at-least": "19 %", "at-most": "23 %", "source": "s", "standing": "local"}]),
    );
    for (text, expected) in
        [("18.9 %", Verdict::Fail), ("19 %", Verdict::Pass), ("23 %", Verdict::Pass), ("23.1 %", Verdict::Fail)]
    {
        assert_eq!(verdict(&band, &reading(text)), expected, "{text}");
    }
}

#[test]
fn a_hold_is_judged_by_its_time() {
    let hold = item("hold", None, json!([{"of": "held", "at-least": "10 s", "source": "s", "standing": "local"}]));
    let held = |text: &str| Answer::Held(text.parse().unwrap());
    assert_eq!(verdict(&hold, &held("10 s")), Verdict::Pass);
    assert_eq!(verdict(&hold, &held("1 min")), Verdict::Pass);
    assert_eq!(verdict(&hold, &held("9.9 s")), Verdict::Fail);
    assert_eq!(verdict(&hold, &held("10 psi")), Verdict::Unfit);
}

#[test]
fn a_fall_is_computed_without_the_noise_of_subtraction() {
    let item = item(
        "pressure-held",
        None,
        json!([
            {"of": "from", "at-least": "30 cmH2O", "source": "s", "standing": "local"},
            {"of": "in", "at-least": "10 s", "source": "s", "standing": "local"},
            {"of": "fall", "at-most": "1 cmH2O", "source": "s", "standing": "local"},
        ]),
    );
    // 30.1 - 29.1 is a little more than 1 in binary.
    assert_eq!(verdict(&item, &held("30.1 cmH2O", "29.1 cmH2O", "10 s")), Verdict::Pass);
    assert_eq!(verdict(&item, &held("30 cmH2O", "28.9 cmH2O", "10 s")), Verdict::Fail);
    // A rise is no leak.
    assert_eq!(verdict(&item, &held("30 cmH2O", "31 cmH2O", "10 s")), Verdict::Pass);
    // 3 kPa are 30.59 cmH2O, 2.9 kPa are 29.57 cmH2O (NIST SP 811): a fall of 1.02 cmH2O.
    assert_eq!(verdict(&item, &held("3 kPa", "2.9 kPa", "10 s")), Verdict::Fail);
    assert_eq!(verdict(&item, &held("2.94 kPa", "2.94 kPa", "10 s")), Verdict::Fail);
    assert_eq!(verdict(&item, &held("30 cmH2O", "30 cmH2O absolute", "10 s")), Verdict::Unfit);
}

#[test]
fn gauge_and_absolute_readings_are_never_mixed() {
    let item =
        item("reading", Some("gauge-pressure"), json!([{"at-least": "1000 psi", "source": "s", "standing": "local"}]));
    assert_eq!(verdict(&item, &reading("1250 psi absolute")), Verdict::Unfit);
    assert_eq!(verdict(&item, &reading("12 L/min")), Verdict::Unfit);
    assert_eq!(verdict(&item, &Answer::Pass), Verdict::Unfit);
    assert_eq!(verdict(&item, &Answer::Fail), Verdict::Fail);
}

#[test]
fn a_known_compliance_turns_a_fall_into_a_leak() {
    // 7 mL/cmH2O, 30 to 25 cmH2O in 10 s: 7 * 5 / 10 * 60 = 210 mL/min, by hand.
    let mut procedure: Procedure = serde_json::from_value(json!({
        "procedure": "daily", "revision": 1, "title": "Daily", "when": "first-case", "in-force-from": "2026-01-01",
        "sources": ["s"], "items": [],
    }))
    .unwrap();
    procedure.items.push(item(
        "pressure-held",
        None,
        json!([{"of": "fall", "at-most": "1 cmH2O", "source": "s", "standing": "local"}]),
    ));
    let machine = |compliance: Option<&str>| -> Machine {
        let mut machine = json!({
            "name": "Theatre 1", "asset": "1", "serial": "1", "location": "here", "in-use": {"from": "2025-01-01"},
            "gases": ["oxygen"], "vaporizers": [], "scavenging": "none",
        });
        if let Some(compliance) = compliance {
            machine["compliance"] = json!(compliance);
        }
        serde_json::from_value(machine).unwrap()
    };
    let check: Check = serde_json::from_value(json!({
        "procedure": "daily", "revision": 1,
        "started": "2026-11-25T06:42:10+01:00", "finished": "2026-11-25T06:52:40+01:00",
        "results": {"thing": {"from": "30 cmH2O", "to": "25 cmH2O", "in": "10 s"}},
    }))
    .unwrap();
    let check = Arc::new(check);
    let fall = |machine: &Machine| {
        let judgement = judge(&check, &procedure, machine);
        let item = judgement.items().next().unwrap();
        item.measured()[0].value.clone()
    };
    assert_eq!(fall(&machine(Some("7 mL/cmH2O"))), "5 cmH2O, a leak of about 210 mL/min");
    assert_eq!(fall(&machine(None)), "5 cmH2O");
}
