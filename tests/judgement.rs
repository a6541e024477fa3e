//! Answers on both sides of every kind of limit, in several units.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use pinindex::procedure::{Each, Item, Procedure, Verdict, judge, judge_answer};
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

fn by_places(results: Value) -> (Procedure, Machine, Arc<Check>) {
    let mut pressure =
        item("reading", Some("gauge-pressure"), json!([{"at-least": "45 psi", "source": "s", "standing": "local"}]));
    pressure.id = "pipeline".to_owned();
    pressure.each = Some(Each::Gas);
    let mut share = item("reading", Some("share"), json!([]));
    share.id = "monitor".to_owned();
    let mut suction = item("confirm", None, json!([]));
    suction.id = "suction".to_owned();
    let procedure = serde_json::from_value(json!({
        "procedure": "daily", "revision": 1, "title": "Daily", "when": "first-case", "in-force-from": "2026-01-01",
        "items": [pressure, suction, share],
    }))
    .unwrap();
    let machine = serde_json::from_value(json!({
        "name": "Theatre 1", "asset": "1", "serial": "1", "location": "here", "in-use": {"from": "2025-01-01"},
        "gases": ["oxygen", "air"], "vaporizers": [], "scavenging": "none",
    }))
    .unwrap();
    let check = json!({
        "procedure": "daily", "revision": 1,
        "started": "2026-11-25T06:42:10+01:00", "finished": "2026-11-25T06:52:40+01:00", "results": results,
    });
    (procedure, machine, Arc::new(serde_json::from_value(check).unwrap()))
}

#[test]
fn every_place_has_its_verdict_in_whatever_order_it_was_answered() {
    use Verdict::{Fail, NotDone, Pass, Unanswered, Unfit};
    let cases = [
        (
            json!({"pipeline": {"oxygen": {"reading": "50 psi"}, "air": {"reading": "40 psi"}}, "suction": "pass",
                "monitor": {"reading": "20.9 %"}}),
            [Pass, Fail, Pass, Pass],
        ),
        (
            json!({"monitor": {"reading": "20.9 %"}, "suction": "pass",
                "pipeline": {"air": {"reading": "40 psi"}, "oxygen": {"reading": "50 psi"}}}),
            [Pass, Fail, Pass, Pass],
        ),
        (
            json!({"suction": {"not-done": "no hose"}, "pipeline": {"air": {"reading": "5 L"}}}),
            [Unanswered, Unfit, NotDone, Unanswered],
        ),
        // One answer may stand for all gases only when none of them was looked at.
        (json!({"pipeline": {"reading": "50 psi"}, "monitor": "pass"}), [Unfit, Unfit, Unanswered, Unfit]),
        (json!({"pipeline": {"not-done": "late"}}), [NotDone, NotDone, Unanswered, Unanswered]),
    ];
    for (results, expected) in cases {
        let (procedure, machine, check) = by_places(results.clone());
        let judgement = judge(&check, &procedure, &machine);
        assert_eq!(judgement.verdicts().collect::<Vec<_>>(), expected, "{results}");
        let places: Vec<String> = judgement.items().map(|item| item.place()).collect();
        assert_eq!(places, ["pipeline/oxygen", "pipeline/air", "suction", "monitor"]);
        assert_eq!(judgement.items().map(|item| item.verdict).collect::<Vec<_>>(), expected, "{results}");
        assert_eq!(judgement.failures().count(), expected.iter().filter(|v| **v == Fail).count());
    }
}

#[test]
fn an_answer_is_worded_when_somebody_asks() {
    let (procedure, machine, check) = by_places(json!({
        "pipeline": {"oxygen": {"reading": "40.50 psi", "remark": "gauge sticks"}, "air": {"not-done": "no hose"}},
        "suction": {"answer": "pass", "earlier": ["fail"]}, "monitor": {"reading": "120 %"},
    }));
    let judgement = judge(&check, &procedure, &machine);
    let items: Vec<_> = judgement.items().collect();
    let seen: Vec<String> = items.iter().map(|item| item.seen()).collect();
    assert_eq!(seen, ["40.50 psi", "not done: no hose", "pass", "120 %"]);
    let pointers: Vec<String> = items.iter().map(|item| item.pointer()).collect();
    assert_eq!(pointers, ["/results/pipeline/oxygen", "/results/pipeline/air", "/results/suction", "/results/monitor"]);
    let reasons: Vec<Option<String>> = items.iter().map(|item| item.reason()).collect();
    let outside = "120 % is not between 0 % and 100 %";
    assert_eq!(reasons, [None, Some("no hose".to_owned()), None, Some(outside.to_owned())]);
    assert_eq!((items[0].remark(), items[2].remark()), (Some("gauge sticks"), None));
    assert_eq!(items[2].earlier_failures, 1);
    let measured = items[0].measured();
    assert_eq!((measured[0].value.as_str(), measured[0].met), ("40.50 psi", false));
    assert_eq!(items[3].measured(), []);
}

#[test]
fn readings_are_those_that_fit_whether_they_pass_or_not() {
    let (procedure, machine, check) = by_places(json!({
        "pipeline": {"oxygen": {"reading": "50 psi"}, "air": {"reading": "40 psi"}},
        "suction": "pass", "monitor": {"reading": "3 kPa"},
    }));
    let judgement = judge(&check, &procedure, &machine);
    let readings: Vec<_> = judgement.readings().map(|r| (r.item, r.each, r.quantity.to_string(), r.si())).collect();
    // 1 psi is 6894.757 Pa (NIST SP 811, appendix B.8).
    assert_eq!(readings.len(), 2);
    for ((item, each, text, si), (gas, written, psi)) in
        readings.into_iter().zip([("oxygen", "50 psi", 50.0), ("air", "40 psi", 40.0)])
    {
        assert_eq!((item, each, text.as_str()), ("pipeline", Some(gas), written));
        assert!((si - psi * 6894.757).abs() < 0.1, "{si}");
    }
}
