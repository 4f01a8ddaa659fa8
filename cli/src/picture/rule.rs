//! What a rule looks at, in words: `lowest temperature, 24 h after`.

use fairspell::operation::{Measure, Rule, Span, Take};
use fairspell::series::Element;

/// An element's name for people.
pub fn element_name(element: Element) -> &'static str {
    match element {
        Element::RainChance => "chance of rain",
        Element::DewPoint => "dew point",
        Element::Gust => "gusts",
        other => other.name(),
    }
}

/// The measure of a rule, what is taken of it, and over which hours.
pub fn looked_at(rule: &Rule) -> String {
    let name = match rule.measure {
        Measure::Read(element) => element_name(element).to_owned(),
        other => other.name().replace('-', " "),
    };
    if rule.over == Span::ThisHour {
        return name;
    }
    let take = match rule.take {
        Take::Value => "",
        Take::Min => "lowest ",
        Take::Max => "highest ",
        Take::Sum => "sum of ",
        Take::Mean => "mean ",
    };
    format!("{take}{name}, {}", rule.over)
}
