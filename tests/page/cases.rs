//! The table of cases: what can be put in at a step, on both sides of every limit, in every unit, well and badly.

use pinindex::bedside::{Step, Typed};
use pinindex::procedure::AnswerKind;
use pinindex::record::quantity::{SPELLINGS, UNITS};
use pinindex::record::{Kind, Quantity};
use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// What people type that is no good number, or only just one.
const ODD: [&str; 40] = [
    "",
    " ",
    "psi",
    "-",
    "−53 kPa",
    "-12",
    "12.",
    "12,",
    ".5",
    "1,250",
    "1,250 psi",
    "0,125",
    "1,25",
    "12 furlongs",
    "12 ' or",
    "1e3",
    "1e400 psi",
    "Infinity",
    "NaN",
    "0x10",
    "１２ psi",
    "١٢",
    "123456789012345",
    "1234567890123456",
    "-123456789012345",
    "12..5",
    "12.5.1 psi",
    "12 psi psi",
    "\u{a0}12\u{2003}psi\u{85}",
    "\u{feff}12",
    "12 PSI ABSOLUTE",
    "12 psi absolute",
    "101.3 kPa absolute",
    "00012.500 s",
    "-0",
    "0",
    "0.0000000000001",
    "50 % ",
    "100.0000001 %",
    "-0.1 %",
];

/// Returns every case of a step; the random ones are drawn from ChaCha.
pub fn of(step: &Step<'_>, chance: &mut ChaCha12Rng) -> Vec<Typed> {
    let mut all = vec![Typed::Pass, Typed::Fail];
    all.extend(["", " \u{2003}", " no time ", "a \"b\" </script> \u{202e}c"].map(|why| Typed::NotDone(why.to_owned())));
    all.extend(step.choices().into_iter().map(|(word, _)| Typed::Choice(word.to_owned())));
    all.push(Typed::Choice("perhaps".to_owned()));
    let numbers = numbers(step, chance);
    // What the step does not ask for is refused for being that, whatever the number: a few of each will do.
    let few = &numbers[ODD.len()..ODD.len() + 3];
    let of = |kind: AnswerKind| if step.item().answer == kind { &numbers[..] } else { few };
    all.extend(of(AnswerKind::Reading).iter().map(|text| Typed::Reading(text.clone())));
    all.extend(of(AnswerKind::Hold).iter().map(|text| Typed::Held(text.clone())));
    for _ in of(AnswerKind::PressureHeld) {
        let mut one = |odds: u64| match chance.next_u64() % odds {
            0 => ODD[(chance.next_u64() % ODD.len() as u64) as usize].to_owned(),
            _ => numbers[(chance.next_u64() % numbers.len() as u64) as usize].clone(),
        };
        let (from, to) = (one(12), one(12));
        all.push(Typed::PressureHeld { from: from.clone(), to, time: "10 s".to_owned() });
        all.push(Typed::PressureHeld { from: "30 cmH2O".to_owned(), to: from, time: one(9) });
    }
    if step.item().answer != AnswerKind::PressureHeld {
        return all;
    }
    for fall in falls(step) {
        for (from, to, time) in &fall {
            all.push(Typed::PressureHeld { from: from.clone(), to: to.clone(), time: time.clone() });
        }
    }
    all
}

/// Returns numbers at, just beside and around every bound, in every unit of its kind, and what is no number.
fn numbers(step: &Step<'_>, chance: &mut ChaCha12Rng) -> Vec<String> {
    let mut all: Vec<String> = ODD.iter().map(|text| (*text).to_owned()).collect();
    all.extend(SPELLINGS.iter().map(|(spelling, _)| format!("7 {}", spelling.to_uppercase())));
    all.extend(UNITS.iter().map(|unit| format!("7{}", unit.symbol)));
    let edges = [&step.line.belief.lowest, &step.line.belief.highest];
    let edges = edges.into_iter().flatten().map(|edge| (edge.at.clone(), edge.times));
    for (bound, times) in bounds(step).map(|bound| (bound, 1.0)).chain(edges) {
        all.push(bound.number().to_owned());
        let units = UNITS.iter().filter(|unit| unit.kind == bound.kind());
        for unit in units {
            let (factor, offset) = unit.line();
            let at = (bound.si() * times - offset) / factor;
            let beside =
                [1.0, 1.0 + 3e-10, 1.0 - 3e-10, 1.0 + 1e-9, 1.0 - 1e-9, 1.0 + 3e-9, 1.0 - 3e-9, 1.01, 0.99, 2.0, 1.25];
            all.extend(beside.map(|by| format!("{} {}", written(at * by), unit.symbol)));
            for _ in 0..4 {
                let spread = 10_f64.powi(-((chance.next_u64() % 11) as i32));
                let by = 1.0 + spread * ((chance.next_u64() >> 11) as f64 / 2_f64.powi(52) - 1.0);
                all.push(format!("{} {}", written(at * by), unit.symbol));
            }
        }
    }
    all
}

/// Returns pressures whose fall lies at and beside each bound on the fall, with the time.
fn falls(step: &Step<'_>) -> Vec<Vec<(String, String, String)>> {
    let all = bounds(step).filter(|bound| bound.kind() == Kind::GaugePressure);
    let of = |bound: &Quantity| {
        let units = UNITS.iter().filter(|unit| unit.kind == Kind::GaugePressure);
        let cases = units.flat_map(|unit| {
            let fall = bound.si() / unit.line().0;
            let start = fall.abs() + 30.0;
            [1.0, 1.0 + 1e-9, 1.0 - 1e-9, 1.01, 0.99, 0.0, -0.5, 7.3].map(move |by| {
                let (from, to) = (written(start), written(start - fall * by));
                (format!("{from} {}", unit.symbol), format!("{to} {}", unit.symbol), format!("{} s", 10.0 + by.abs()))
            })
        });
        cases.collect()
    };
    all.map(|bound| of(&bound)).collect()
}

fn bounds<'a>(step: &'a Step<'_>) -> impl Iterator<Item = Quantity> + 'a {
    let limits = step.limits().iter();
    limits.flat_map(|l| [&l.at_least, &l.at_most, &l.above, &l.below]).flatten().cloned()
}

/// Returns a number as it could be typed: 15 signs at most.
fn written(number: f64) -> String {
    let text = format!("{number:.12}");
    let cut = text.get(..15).unwrap_or(&text);
    cut.trim_end_matches('.').to_owned()
}

/// Returns the source of chance of a test: ChaCha, a stream of the number 2026.
pub fn chance() -> ChaCha12Rng {
    ChaCha12Rng::seed_from_u64(2026)
}
