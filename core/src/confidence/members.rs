//! The confidence that members of an ensemble give: the share of them that are fair throughout.
//!
//! Members keep what hangs together, from hour to hour and from measure to measure: each is judged on its own, and
//! hourly shares are never multiplied. Raw members are too alike to be read as chances (measured: 1.2 °F between them
//! against 4.7 °F of error); the error that a site states widens their temperature.

use core::ops::Range;

use super::needs::{Limits, Needs, is_of_temperature};
use super::path::stays_within;
use super::{Band, Confidence, Errors, Forecast, Parts, Source, Unknown};
use crate::operation::Severity;
use crate::series::Element;
use crate::spell::{Judged, Outcome, State};
use crate::statistics::wilson;

/// Members that are fair in every hour of the run; unknown counts as not fair.
pub(super) fn fair(members: &[Judged<'_>], run: &Range<usize>) -> usize {
    let is_fair = |member: &&Judged<'_>| {
        run.clone().all(|hour| {
            let place = hour.checked_sub(member.from());
            place.and_then(|place| member.states().get(place)) == Some(&State::Fair)
        })
    };
    members.iter().filter(is_fair).count()
}

/// The share of raw members that are fair throughout, with Wilson's interval.
pub(super) fn raw(members: &[Judged<'_>], run: &Range<usize>) -> Confidence {
    let (count, fair) = (members.len(), fair(members, run));
    let share = fair as f64 / count.max(1) as f64;
    let parts = Parts {
        members: Some(share),
        ..Parts::default()
    };
    let (low, high) = wilson(fair, count);
    Confidence {
        low,
        high,
        ..Confidence::product(run.start, Source::RawMembers { count, fair }, parts)
    }
}

/// The members' mean temperature with the error that the site states, and the share of members that keep all other
/// rules. Where members lie farther apart than the stated error, their own spread counts.
pub(super) fn widened(
    forecast: &Forecast<'_>,
    members: &[Judged<'_>],
    run: Range<usize>,
) -> Confidence {
    let count = members.len();
    let source = Source::WidenedMembers { count };
    let others = members.iter().filter(|member| keeps_others(member, &run));
    let share = others.count() as f64 / count.max(1) as f64;
    let Some(first) = members.first() else {
        return Confidence::nothing(run.start, source, Unknown::Outside);
    };
    let needs = Needs::of(first, &run);
    let temperature = match temperature(forecast, members, &needs.temperature) {
        Ok(temperature) => temperature,
        Err(unknown) => return Confidence::nothing(run.start, source, unknown),
    };
    let parts = Parts {
        temperature,
        members: Some(share),
        ..Parts::default()
    };
    Confidence::product(run.start, source, parts)
}

/// Whether a member keeps all blocking rules but those of temperature in every hour of the run.
fn keeps_others(member: &Judged<'_>, run: &Range<usize>) -> bool {
    let rules = member.operation().rules.iter().enumerate();
    let others: Vec<usize> = rules
        .filter(|(_, rule)| rule.severity == Severity::Block && !is_of_temperature(rule))
        .filter(|(index, _)| !member.is_unchecked(*index))
        .map(|(index, _)| index)
        .collect();
    run.clone().all(|hour| {
        let holds = |rule: &usize| member.finding(*rule, hour).outcome == Outcome::Holds;
        member.series().has_row(hour) && others.iter().all(holds)
    })
}

/// The chance that the temperature stays in its bands.
fn temperature(
    forecast: &Forecast<'_>,
    members: &[Judged<'_>],
    limits: &Limits,
) -> Result<Option<f64>, Unknown> {
    let errors: Vec<Errors<'_>> = members
        .iter()
        .map(|member| Errors::of(forecast, member.series()))
        .collect();
    let count = members.len() as f64;
    let mut bands = Vec::new();
    for (hour, low, high) in limits.hours() {
        let (mut lows, mut highs, mut squares, mut stated) = (0.0, 0.0, 0.0, 0.0_f64);
        for errors in &errors {
            let expected = errors.expected(Element::Temperature, hour)?;
            lows += expected.low / count;
            highs += expected.high / count;
            squares += expected.low * expected.low / count;
            stated = stated.max(expected.deviation);
        }
        let own = (squares - lows * lows).max(0.0).sqrt();
        let deviation = stated.max(own);
        bands.push(Band {
            hour,
            low: (low - lows) / deviation,
            high: (high - highs) / deviation,
        });
    }
    let memory = forecast.model.temperature.memory;
    Ok((!bands.is_empty()).then(|| stays_within(&bands, memory)))
}
