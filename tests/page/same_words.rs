//! The page and the program come to the same answer, verdict and sentence, case by case.

use super::{ask, cases, example, page_of};
use pinindex::bedside::page::html;
use pinindex::bedside::{answer, say, steps};
use pinindex::contents::Contents;
use pinindex::procedure::{Procedure, Sheet};
use pinindex::record::result::{Entry, ItemResult, Results};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A procedure with every form of limit, also such as compare with nothing.
const EVERY_FORM: &str = r#"{"procedure": "every-form", "revision": 1, "title": "Every form", "when": "each-patient",
"in-force-from": "2026-01-01", "items": [
ITEM{"id": "at-least", "answer": "reading", "measures": "gauge-pressure", "limits": [SRC{"at-least": "51.3 kPa"}]},
ITEM{"id": "at-most", "answer": "reading", "measures": "flow", "limits": [SRC{"at-most": "5.1 L/min"}]},
ITEM{"id": "above", "answer": "reading", "measures": "absolute-pressure", "limits": [SRC{"above": "95.4 kPa absolute"}]},
ITEM{"id": "below", "answer": "reading", "measures": "temperature", "limits": [SRC{"below": "41.5 °C"}]},
ITEM{"id": "band", "answer": "reading", "measures": "voltage", "limits": [SRC{"above": "11.7 V", "at-most": "14.4 V"}]},
ITEM{"id": "share", "answer": "reading", "measures": "share", "limits": [SRC{"at-least": "19 %", "below": "23 %"}]},
ITEM{"id": "volume", "answer": "reading", "measures": "volume", "limits": [SRC{"at-least": "0.45 L"}]},
ITEM{"id": "compliance", "answer": "reading", "measures": "compliance", "limits": [SRC{"at-most": "7 mL/cmH2O"}]},
ITEM{"id": "time", "answer": "reading", "measures": "duration", "limits": [SRC{"at-most": "1.5 h"}]},
ITEM{"id": "measures-anything", "answer": "reading"},
ITEM{"id": "negative", "answer": "reading", "measures": "gauge-pressure", "limits": [SRC{"at-most": "-53 kPa"}]},
ITEM{"id": "zero", "answer": "reading", "measures": "gauge-pressure", "limits": [SRC{"at-most": "0 mbar"}]},
ITEM{"id": "compares-with-nothing", "answer": "reading", "measures": "gauge-pressure", "limits": [SRC{"at-least": "3 s"}]},
ITEM{"id": "held", "answer": "hold", "limits": [SRC{"of": "held", "above": "0.25 min"}]},
ITEM{"id": "held-without-limit", "answer": "hold"},
ITEM{"id": "pressure", "answer": "pressure-held", "limits": [
  SRC{"of": "from", "at-least": "30 cmH2O"}, SRC{"of": "to", "above": "20 mmHg"}, SRC{"of": "in", "at-least": "10 s"},
  SRC{"of": "fall", "below": "1.1 cmH2O"}]},
ITEM{"id": "pressure-fall-at-least", "answer": "pressure-held", "limits": [SRC{"of": "fall", "at-least": "0.3 kPa"}]},
ITEM{"id": "pressure-fall-of-another-kind", "answer": "pressure-held", "limits": [SRC{"of": "fall", "at-most": "3 kPa absolute"}]},
ITEM{"id": "pressure-without-limit", "answer": "pressure-held"},
ITEM{"id": "spare-air-cylinder", "answer": "reading", "only-if": {"cylinder": "oxygen"}, "limits": [SRC{"at-least": "0.5 bar"}]}
]}"#;

fn every_form() -> Procedure {
    let item = r#"{"title": "Some item", "do": "Look.", "by": {"any-of": ["provider"]}, "fails": "restrict", "#;
    let text = EVERY_FORM.replace("ITEM{", item).replace("SRC{", r#"{"source": "test", "standing": "local", "#);
    serde_json::from_str(&text).unwrap()
}

/// Returns each case of a page with what the program makes of it.
fn expected(contents: &Contents, id: &str, procedure: &Procedure) -> (Vec<Value>, Vec<Value>) {
    let (machine, site) = (&contents.machines[id], contents.site.as_ref().unwrap());
    let sheet = Sheet::of(procedure, machine);
    let mut chance = cases::chance();
    let mut asked = Vec::new();
    let mut made = Vec::new();
    for step in steps(&sheet) {
        for typed in cases::of(&step, &mut chance) {
            asked.push(json!({"place": step.place(), "typed": typed}));
            made.push(match answer(&step, &typed) {
                Ok(answer) => {
                    let said = say(&step, &answer, machine, site);
                    let result = Entry::One(ItemResult::plain(answer));
                    let results = json!(Results(vec![("it".to_owned(), result)]));
                    json!({"answer": results["it"], "said": said})
                }
                Err(unclear) => json!({"unclear": unclear}),
            });
        }
    }
    (asked, made)
}

#[test]
fn the_page_says_what_the_program_says() {
    let contents = example();
    let mut procedures: Vec<Procedure> = contents.procedures.values().cloned().collect();
    procedures.push(every_form());
    let folder = tempfile::tempdir().unwrap();
    let (mut questions, mut answers, mut names) = (Vec::new(), Vec::new(), Vec::new());
    for id in contents.machines.keys() {
        for procedure in &procedures {
            let name = format!("{id}-{}-{}", procedure.procedure, procedure.revision);
            let file = folder.path().join(format!("{name}.html"));
            std::fs::write(&file, html(&page_of(&contents, id, procedure)).unwrap()).unwrap();
            let (asked, made) = expected(&contents, id, procedure);
            questions.push(json!({"file": file, "cases": asked}));
            answers.push((asked, made));
            names.push(name);
        }
    }
    let said = ask("page_judge.mjs", &Value::from(questions));
    assert_eq!(said.len(), answers.len());
    let mut sentences = BTreeSet::new();
    let mut count = 0;
    for ((name, (asked, made)), said) in names.iter().zip(&answers).zip(&said) {
        let said = said.as_array().unwrap();
        assert_eq!(said.len(), made.len());
        for ((asked, made), said) in asked.iter().zip(made).zip(said) {
            assert_eq!(made, said, "{name}: {asked}\nthe program: {made}\nthe page:    {said}");
            count += 1;
            sentences.insert(made["said"]["verdict"].as_str().unwrap_or("unclear").to_owned());
        }
    }
    assert_eq!(sentences.into_iter().collect::<Vec<_>>(), ["fail", "not-done", "pass", "unclear"]);
    assert!(count > 10_000, "only {count} cases");
}
