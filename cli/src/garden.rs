//! The garden of a site file in `decide`: the hours that its spraying needs, and its work laid into the fair spells.

use fairspell::decision::{Decision, Question, Spell, decide};
use fairspell::operation::Operation;
use fairspell::plant::PlantTable;
use fairspell::site::Site;
use fairspell::work::Work;

use crate::failure::Failure;

/// The operation with the hours that the site's garden needs; without a garden as it is.
pub fn with_hours(
    operation: Operation,
    site: &Site,
    table: &PlantTable,
) -> Result<Operation, Failure> {
    if site.garden.is_empty() {
        return Ok(operation);
    }
    Ok(Work::of(site, table)?.in_garden(operation, site))
}

/// Lays the garden's work into the spells of an answer on pruning or oil, and those of the other of the two on the same
/// forecast; nothing without a garden.
pub fn lay(
    decision: &mut Decision,
    question: &Question<'_>,
    table: &PlantTable,
) -> Result<(), Failure> {
    let other = match decision.operation.name.as_str() {
        "oil" => "prune",
        "prune" => "oil",
        _ => return Ok(()),
    };
    let site = question.site;
    let Some(operation) = Operation::built_in(other).filter(|_| !site.garden.is_empty()) else {
        return Ok(());
    };
    let work = Work::of(site, table)?;
    let operation = work.in_garden(operation.at_site(site)?, site);
    let others: Vec<Spell> = decide(&Question {
        operation: &operation,
        explain: None,
        ..*question
    })?
    .spells;
    let own = decision.spells.clone();
    let (prune, oil) = if other == "oil" {
        (own, others)
    } else {
        (others, own)
    };
    decision.lay_work(work, &prune, &oil);
    Ok(())
}
