//! The shape of every file of a logbook, judged by the JSON Schemas in `schema/`.
//!
//! Takes a tree and says in plain words, at the right place, everything in which it does not fit its schema. The
//! schemas are the only statement of shape; this file only turns a schema's finding into a sentence.

use super::forms;
use super::quantity::{NotAQuantity, Quantity};
use super::tree::{self, Node, step};
use crate::diagnostic::{Diagnostic, Place};
use jsonschema::error::{TypeKind, ValidationErrorKind};
use jsonschema::{Registry, ValidationError, Validator};
use serde_json::Value;
use std::collections::HashMap;
use std::sync::LazyLock;

/// The kinds of file a logbook holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    Site,
    People,
    Machine,
    Procedure,
    Calendar,
    Check,
    Fault,
    Repair,
    Release,
    Service,
    Void,
    Seal,
    /// A check that is not finished; it lies in no place of a logbook's history.
    Draft,
}

/// Every kind with its word and the text of its schema.
pub const SCHEMAS: [(Kind, &str, &str); 13] = [
    (Kind::Site, "site", include_str!("../../schema/site.schema.json")),
    (Kind::People, "people", include_str!("../../schema/people.schema.json")),
    (Kind::Machine, "machine", include_str!("../../schema/machine.schema.json")),
    (Kind::Procedure, "procedure", include_str!("../../schema/procedure.schema.json")),
    (Kind::Calendar, "calendar", include_str!("../../schema/calendar.schema.json")),
    (Kind::Check, "check", include_str!("../../schema/check.schema.json")),
    (Kind::Fault, "fault", include_str!("../../schema/fault.schema.json")),
    (Kind::Repair, "repair", include_str!("../../schema/repair.schema.json")),
    (Kind::Release, "release", include_str!("../../schema/release.schema.json")),
    (Kind::Service, "service", include_str!("../../schema/service.schema.json")),
    (Kind::Void, "void", include_str!("../../schema/void.schema.json")),
    (Kind::Seal, "seal", include_str!("../../schema/seal.schema.json")),
    (Kind::Draft, "draft", include_str!("../../schema/draft.schema.json")),
];

/// The definitions the schemas share.
pub const COMMON_SCHEMA: &str = include_str!("../../schema/common.schema.json");

impl Kind {
    /// Returns the kind that a record's `record:` names.
    pub fn of_record(word: &str) -> Option<Kind> {
        match word {
            "check" => Some(Kind::Check),
            "fault" => Some(Kind::Fault),
            "repair" => Some(Kind::Repair),
            "release" => Some(Kind::Release),
            "service" => Some(Kind::Service),
            "void" => Some(Kind::Void),
            _ => None,
        }
    }

    /// Returns the kind in words, as in "a check".
    pub fn word(self) -> &'static str {
        SCHEMAS.iter().find(|(kind, _, _)| *kind == self).map_or("file", |(_, word, _)| word)
    }
}

struct Schemas {
    validators: HashMap<Kind, Validator>,
    /// The schemas by the last part of their `$id`, for looking up what a finding is about.
    documents: HashMap<String, Value>,
}

static COMPILED: LazyLock<Schemas> = LazyLock::new(|| {
    let parse = |text: &str| -> Value {
        serde_json::from_str(text).expect("the schemas are part of the program and a test reads each of them")
    };
    let mut documents = HashMap::new();
    let common = parse(COMMON_SCHEMA);
    let id = common["$id"].as_str().unwrap_or_default().to_owned();
    let registry = Registry::new()
        .add(id, &common)
        .and_then(|registry| registry.prepare())
        .expect("the common schema is part of the program and a test reads it");
    let mut validators = HashMap::new();
    for (kind, word, text) in SCHEMAS {
        let schema = parse(text);
        let validator = jsonschema::options()
            .with_registry(&registry)
            .should_validate_formats(true)
            .build(&schema)
            .expect("the schemas are part of the program and a test compiles each of them");
        validators.insert(kind, validator);
        documents.insert(format!("{word}.schema.json"), schema);
    }
    documents.insert("common.schema.json".to_owned(), common.clone());
    Schemas { validators, documents }
});

/// Returns every way in which a file does not fit the schema of its kind.
pub fn judge(path: &str, kind: Kind, root: &Node, json: &Value) -> Vec<Diagnostic> {
    let Some(validator) = COMPILED.validators.get(&kind) else { return Vec::new() };
    let mut problems = Vec::new();
    let mut whole = root.clone();
    let mut cut = Vec::new();
    forms::mend_cut_numbers(&mut whole, "", &mut cut);
    // What a decimal comma did to a number is told once; the rest is judged as if it were a point.
    let mended = (!cut.is_empty()).then(|| whole.to_json());
    for error in validator.iter_errors(mended.as_ref().unwrap_or(json)) {
        say(path, kind, &whole, &error, &mut problems);
    }
    for forms::CutNumber { pointer, whole, bytes } in cut {
        let headline = format!("{} has a comma in its number", field_name(&pointer, kind));
        problems.push(decimal_comma(Place::bytes(path, bytes), headline).paste(whole));
    }
    if kind == Kind::Site && problems.is_empty() {
        problems.extend(forms::time_zone(path, root));
    }
    problems
}

/// Returns the problem for a file that fits its schema and still is no typed value, such as a quantity in no known unit.
pub fn did_not_fit(path: &str, root: &Node, error: &serde_json::Error) -> Diagnostic {
    if let Some(pointer) = too_long(root, String::new()) {
        return Diagnostic::problem(
            "not-a-quantity",
            Place::value(path, pointer),
            "a number has more digits than any gauge shows",
        )
        .label("too long")
        .help("write the digits that were shown, at most 15 signs");
    }
    Diagnostic::problem("wrong-shape", Place::file(path), format!("file does not fit: {error}"))
        .help("compare it with an example of its kind")
}

/// Returns the place of the first quantity whose number is too long. The schemas leave its length to the types.
fn too_long(node: &Node, pointer: String) -> Option<String> {
    match &node.value {
        tree::Value::Text(text) if matches!(text.parse::<Quantity>(), Err(NotAQuantity::TooLong)) => Some(pointer),
        tree::Value::List(items) => {
            items.iter().enumerate().find_map(|(n, item)| too_long(item, format!("{pointer}/{n}")))
        }
        tree::Value::Map(members) => members.iter().find_map(|m| too_long(&m.node, step(&pointer, &m.key))),
        _ => None,
    }
}

fn say(path: &str, kind: Kind, root: &Node, error: &ValidationError<'_>, problems: &mut Vec<Diagnostic>) {
    let pointer = error.instance_path().as_str().to_owned();
    let here = Place::value(path, pointer.clone());
    let name = field_name(&pointer, kind);
    let (subschema, example) = subschema(kind, error.evaluation_path().as_str()).unzip();
    let example = example.flatten();
    let node = root.at(&pointer).map(|(node, _)| node);
    let found = node.map_or_else(|| "nothing".to_owned(), |n| tree::name_of(&n.value));
    match error.kind() {
        ValidationErrorKind::Required { property } => {
            let key = property.as_str().unwrap_or_default();
            let sample = subschema.and_then(|s| sample(s, key));
            let whole = if pointer.is_empty() {
                format!("{} has no `{key}`", kind.word())
            } else {
                format!("{name} has no `{key}`")
            };
            let problem = Diagnostic::problem("missing-field", here, whole)
                .label(format!("`{key}` is missing here"))
                .help(format!("add `{key}`"));
            problems.push(match sample {
                Some(sample) => problem.paste(format!("{key}: {sample}")),
                None => problem,
            });
        }
        ValidationErrorKind::AdditionalProperties { unexpected } => {
            let known = subschema.map(known_keys).unwrap_or_default();
            for key in unexpected {
                let problem = Diagnostic::problem(
                    "unknown-field",
                    Place::key(path, step(&pointer, key)),
                    format!("`{key}` is not a field of {name}"),
                )
                .label("not known here");
                problems.push(match nearest(key, &known) {
                    Some(near) => problem.help(format!("did you mean `{near}`?")).paste(format!("{near}: ...")),
                    None if known.is_empty() => problem.help("delete the line, or write it under `remarks`"),
                    None => problem.help(format!("fields that belong here: {}", list(&known))),
                });
            }
        }
        ValidationErrorKind::FalseSchema => problems.push(
            Diagnostic::problem(
                "unknown-field",
                Place::key(path, pointer.clone()),
                format!("{name} does not belong here"),
            )
            .label("not together with the others here")
            .help("delete the line"),
        ),
        _ if subschema.is_some_and(is_quantity) => {
            let only_kind = !subschema.is_some_and(is_any_quantity);
            problems.push(not_a_quantity(here, &name, node, example, only_kind));
        }
        _ if subschema.is_some_and(is_moment) => problems.push(
            Diagnostic::problem("not-a-moment", here, format!("{name} is not a date and time with its offset"))
                .label(format!("found {found}"))
                .help("write year-month-day, T, the time with seconds, and the offset from UTC, in quotes")
                .paste(format!("{}: \"2026-11-25T06:42:10+01:00\"", last(&pointer))),
        ),
        _ if subschema.is_some_and(is_date) => problems.push(
            Diagnostic::problem("not-a-date", here, format!("{name} is not a date"))
                .label(format!("found {found}"))
                .help("write year-month-day, in quotes")
                .paste(format!("{}: \"2026-11-25\"", last(&pointer))),
        ),
        ValidationErrorKind::Enum { options } => {
            let options: Vec<String> =
                options.as_array().into_iter().flatten().filter_map(|v| v.as_str().map(str::to_owned)).collect();
            problems.push(wrong_word(here, &pointer, &name, &found, node, &options));
        }
        ValidationErrorKind::Constant { expected_value } => {
            let options: Vec<String> = expected_value.as_str().map(str::to_owned).into_iter().collect();
            problems.push(wrong_word(here, &pointer, &name, &found, node, &options));
        }
        other => {
            let (label, help) = expectation(other, subschema);
            let problem = Diagnostic::problem("wrong-shape", here, format!("{name} is {found}, which does not fit"))
                .label(label)
                .help(help);
            let written = node.map(|n| &n.value);
            problems.push(match pointer.as_str() {
                "/found-during" if kind == Kind::Fault => forms::found_during(problem),
                item if item.starts_with("/results/") && is_result(subschema) => {
                    forms::answer(problem, last(item), None)
                }
                "/use" if kind == Kind::Fault && !matches!(written, Some(tree::Value::Map(_))) => forms::usage(problem),
                _ => problem,
            });
        }
    }
}

fn wrong_word(
    here: Place,
    pointer: &str,
    name: &str,
    found: &str,
    node: Option<&Node>,
    options: &[String],
) -> Diagnostic {
    let problem = Diagnostic::problem("wrong-shape", here, format!("{name} is {found}, which does not fit"))
        .label(format!("must be {}", list(options)));
    let written = node.and_then(Node::text);
    match written.and_then(|text| Some((text, nearest(text, options)?))) {
        // An item may have words of its own, and which those are the schema does not know.
        Some((text, near)) if pointer.starts_with("/results/") => problem.help(format!(
            "did you mean `{near}`? One of the words that the item itself offers is written as `{{choice: {text}}}`"
        )),
        Some((_, near)) => problem.help(format!("did you mean `{near}`?")),
        None if pointer.starts_with("/results/") => forms::answer(problem, last(pointer), written),
        None if pointer == "/use" => forms::usage(problem),
        None => problem.help("write one of these words"),
    }
}

/// Says why a value is no quantity; the reason decides the rule.
///
/// `example` is what the schema shows for this field; its unit is proposed when the field takes `only_kind` of quantity.
fn not_a_quantity(here: Place, name: &str, node: Option<&Node>, example: Option<&str>, only_kind: bool) -> Diagnostic {
    let written = match node.map(|n| &n.value) {
        Some(tree::Value::Number(number)) => number.clone(),
        Some(tree::Value::Text(text)) => text.clone(),
        _ => String::new(),
    };
    match written.parse::<Quantity>() {
        Err(NotAQuantity::NoUnit) => {
            let problem =
                Diagnostic::problem("reading-without-unit", here, format!("{name} is `{written}` without a unit"))
                    .label("which unit?");
            match example.and_then(|text| text.parse::<Quantity>().ok()).filter(|_| only_kind) {
                Some(example) => problem
                    .help("write the unit after the number")
                    .paste(format!("{written} {}", example.symbol())),
                None => problem.help(format!(
                    "write the unit that was shown, after the number, such as `{written} psi`, `{written} kPa`, `{written} %` or `{written} L/min`"
                )),
            }
        }
        Err(NotAQuantity::UnknownUnit { unit, nearest }) => {
            let problem =
                Diagnostic::problem("unknown-unit", here, format!("`{unit}` is not a unit that records know"))
                    .label("unit not known");
            match nearest {
                Some(near) => problem
                    .help(format!("did you mean `{near}`?"))
                    .paste(written.replacen(&unit, near, 1)),
                None => problem.help(
                    "use psi, kPa, bar, mbar, hPa, cmH2O or mmHg for pressures; L/min or mL/min for flows; L, mL, %, s, min, h, d, V or °C",
                ),
            }
        }
        Err(NotAQuantity::DecimalComma) => {
            decimal_comma(here, format!("{name} is `{written}`, with a comma in the number"))
                .paste(written.replacen(',', ".", 1))
        }
        Ok(quantity) => not_this_quantity(here, name, &quantity, example),
        _ => Diagnostic::problem("not-a-quantity", here, format!("{name} is not a number with a unit"))
            .label("a number and its unit belong here")
            .help("write the number, a blank and the unit")
            .paste(example.unwrap_or("30 cmH2O")),
    }
}

fn decimal_comma(here: Place, headline: String) -> Diagnostic {
    Diagnostic::problem("not-a-quantity", here, headline).label("a decimal comma").help("write a decimal point")
}

/// Says why a number with a known unit still does not belong here: another kind, or below nothing.
fn not_this_quantity(here: Place, name: &str, quantity: &Quantity, example: Option<&str>) -> Diagnostic {
    let kind = quantity.measure().kind();
    let wanted = example.and_then(|text| text.parse::<Quantity>().ok());
    let problem = |headline| Diagnostic::problem("not-a-quantity", here, headline);
    match wanted {
        Some(wanted) if wanted.measure().kind() != kind => {
            let belongs = wanted.measure().kind().words();
            problem(format!("{name} is `{quantity}`, which is {}", kind.words()))
                .label(format!("`{quantity}` is {}; {belongs} belongs here", kind.words()))
                .help(format!("write {belongs}, such as this"))
                .paste(wanted.to_string())
        }
        _ if quantity.number().starts_with('-') => problem(format!("{name} is `{quantity}`, less than nothing"))
            .label("must not be negative")
            .help("write the number without the minus sign, if that is what was seen")
            .paste(quantity.to_string().trim_start_matches('-')),
        _ => problem(format!("{name} is not written as a number, one blank and a unit"))
            .label("a number and its unit belong here")
            .help("write the number, a blank and the unit")
            .paste(quantity.to_string()),
    }
}

/// Returns what was expected and what to do, for findings that need no sentence of their own.
fn expectation(kind: &ValidationErrorKind, subschema: Option<&Value>) -> (String, String) {
    let described = subschema.and_then(|s| s["description"].as_str()).map(|d| d.trim_end_matches('.').to_owned());
    let expected = match kind {
        ValidationErrorKind::Type { kind } => {
            let word = |t: &jsonschema::JsonType| match t {
                jsonschema::JsonType::Object => "a map",
                jsonschema::JsonType::Array => "a list",
                jsonschema::JsonType::String => "a text",
                jsonschema::JsonType::Integer => "a whole number",
                jsonschema::JsonType::Number => "a number",
                jsonschema::JsonType::Boolean => "true or false",
                jsonschema::JsonType::Null => "nothing",
            };
            match kind {
                TypeKind::Single(t) => format!("must be {}", word(t)),
                TypeKind::Multiple(set) => {
                    let words: Vec<&str> = set.iter().map(|t| word(&t)).collect();
                    format!("must be {}", words.join(" or "))
                }
            }
        }
        ValidationErrorKind::MinItems { limit } => format!("needs at least {limit}"),
        ValidationErrorKind::MaxItems { limit } => format!("at most {limit}"),
        ValidationErrorKind::MinProperties { limit } => format!("needs at least {limit} of them"),
        ValidationErrorKind::MinLength { .. } => "must not be empty".to_owned(),
        ValidationErrorKind::MaxLength { limit } => format!("at most {limit} characters"),
        ValidationErrorKind::Minimum { limit } => format!("at least {limit}"),
        ValidationErrorKind::Maximum { limit } => format!("at most {limit}"),
        ValidationErrorKind::UniqueItems => "each only once".to_owned(),
        ValidationErrorKind::PropertyNames { .. } => "one of these names does not fit".to_owned(),
        _ => "does not fit here".to_owned(),
    };
    let help = match described {
        Some(text) => format!("what belongs here: {text}"),
        None => "compare it with an example of its kind".to_owned(),
    };
    (expected, help)
}

/// Returns the schema object a finding belongs to: the evaluation path without its last keyword, through every `$ref`.
/// With it comes the example nearest to the field: a field's own goes before that of the definition it refers to.
fn subschema(kind: Kind, evaluation_path: &str) -> Option<(&'static Value, Option<&'static str>)> {
    let mut document = format!("{}.schema.json", kind.word());
    let mut here = COMPILED.documents.get(&document)?;
    let mut example = None;
    let parts: Vec<&str> = evaluation_path.split('/').skip(1).collect();
    for part in &parts[..parts.len().saturating_sub(1)] {
        if *part == "$ref" {
            let (file, pointer) = here["$ref"].as_str()?.split_once('#')?;
            if let Some(file) = file.rsplit('/').next().filter(|f| !f.is_empty()) {
                document = file.to_owned();
            }
            here = COMPILED.documents.get(&document)?.pointer(pointer)?;
        } else {
            // A step to another field leaves the example of the one before behind.
            example = None;
            here = match here {
                Value::Array(items) => items.get(part.parse::<usize>().ok()?)?,
                other => other.get(part.replace("~1", "/").replace("~0", "~"))?,
            };
        }
        example = example.or_else(|| here["examples"].get(0).and_then(Value::as_str));
    }
    Some((here, example))
}

fn is_quantity(schema: &Value) -> bool {
    schema["pattern"]
        .as_str()
        .is_some_and(|p| ["psi", "L/min", "min|h", "(L|mL)", "mL/cmH2O"].iter().any(|unit| p.contains(unit)))
}

/// Returns whether a schema takes quantities of every kind, as a reading does.
fn is_any_quantity(schema: &Value) -> bool {
    schema["pattern"].as_str().is_some_and(|p| p.contains("psi") && p.contains("L/min"))
}

/// Returns whether a schema takes the answer to an item: a word or a map.
fn is_result(schema: Option<&Value>) -> bool {
    schema.is_some_and(|schema| schema["type"].as_array().is_some_and(|types| types.len() == 2))
}

fn is_moment(schema: &Value) -> bool {
    schema["format"] == "date-time"
}

fn is_date(schema: &Value) -> bool {
    schema["format"] == "date"
}

fn known_keys(schema: &Value) -> Vec<String> {
    schema["properties"].as_object().map(|p| p.keys().cloned().collect()).unwrap_or_default()
}

/// Returns an example of a field, from the `examples` its schema gives.
fn sample(schema: &Value, key: &str) -> Option<String> {
    let mut property = schema["properties"].get(key)?;
    if property["examples"].is_null() {
        let (file, pointer) = property["$ref"].as_str()?.split_once('#')?;
        let file = file.rsplit('/').next().filter(|f| !f.is_empty()).unwrap_or("common.schema.json");
        property = COMPILED.documents.get(file)?.pointer(pointer)?;
    }
    property["examples"].get(0).map(flow)
}

/// Returns a value inside `[ ]` or `{ }`, where a comma would end a text.
fn inner(value: &Value) -> String {
    match flow(value) {
        text if value.is_string() && text.contains(',') => format!("\"{}\"", text.trim_matches('"')),
        text => text,
    }
}

/// Returns a value as a person would write it on one line: `{way: in-use}`.
fn flow(value: &Value) -> String {
    match value {
        // What another reader of YAML could take for a time, a date or a number is quoted.
        Value::String(text) if text.contains(':') || text.starts_with(|c: char| c.is_ascii_digit()) => {
            let quantity = text.parse::<Quantity>().is_ok();
            if quantity { text.clone() } else { format!("\"{text}\"") }
        }
        Value::String(text) => text.clone(),
        Value::Array(items) => format!("[{}]", items.iter().map(inner).collect::<Vec<_>>().join(", ")),
        Value::Object(members) => {
            let members: Vec<String> = members.iter().map(|(key, value)| format!("{key}: {}", inner(value))).collect();
            format!("{{{}}}", members.join(", "))
        }
        other => other.to_string(),
    }
}

/// Returns a field in words: `` `reading` of `suction` ``, or the kind of file for the whole of it.
fn field_name(pointer: &str, kind: Kind) -> String {
    let parts: Vec<&str> = pointer.split('/').skip(1).collect();
    match parts.as_slice() {
        [] => format!("a {}", kind.word()),
        [only] => format!("`{only}`"),
        ["results", item @ ..] => match item {
            [item] => format!("`{item}`"),
            [item, rest @ ..] => format!("`{}` of `{item}`", rest.join(" ")),
            [] => "`results`".to_owned(),
        },
        [front @ .., name] if name.bytes().all(|b| b.is_ascii_digit()) => {
            let place = name.parse::<usize>().map_or(0, |n| n + 1);
            format!("entry {place} of `{}`", front.last().unwrap_or(&""))
        }
        [.., parent, name] if parent.bytes().all(|b| b.is_ascii_digit()) => format!("`{name}`"),
        [.., parent, name] => format!("`{name}` of `{parent}`"),
    }
}

fn last(pointer: &str) -> &str {
    pointer.rsplit('/').next().unwrap_or_default()
}

fn list(words: &[String]) -> String {
    let quoted: Vec<String> = words.iter().map(|w| format!("`{w}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [front @ .., end] => format!("{} or {end}", front.join(", ")),
    }
}

/// Returns the known word that is nearest to a mistyped one, when it is near enough to be meant.
pub fn nearest<'a>(word: &str, known: &'a [String]) -> Option<&'a String> {
    let near = word.chars().count() / 3 + 1;
    known
        .iter()
        .map(|k| (strsim::levenshtein(word, k), k))
        .filter(|(d, _)| *d <= near)
        .min_by_key(|(d, _)| *d)
        .map(|(_, k)| k)
}
