//! Answers held to their JSON Schema by a general validator, draft 2020-12.

#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use jsonschema::Validator;
use serde_json::Value;

/// The validator of a schema, which is itself held to its draft; formats such as dates are checked.
pub fn validator(schema: &str) -> Validator {
    let schema: Value = serde_json::from_str(schema).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap();
    jsonschema::draft202012::options()
        .should_validate_formats(true)
        .build(&schema)
        .unwrap()
}

/// An answer is by the schema; if not, every fault with its place.
#[track_caller]
pub fn assert_valid(validator: &Validator, answer: &Value, case: &str) {
    let errors: Vec<String> = validator
        .iter_errors(answer)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert_eq!(errors, Vec::<String>::new(), "{case}");
}
