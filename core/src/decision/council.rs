//! The members of an ensemble, or the one series, each judged on its own, and what they find together.

use std::sync::Arc;

use crate::operation::{Operation, Rule, Severity};
use crate::spell::{Finding, Found, Outcome, State};

/// What each member found; never empty for an answer.
#[derive(Debug, Clone)]
pub(super) struct Council {
    pub(super) members: Vec<Arc<Found>>,
}

impl Council {
    /// States of the hours judged: fair in more than half, hindered in at least half, else unknown.
    pub(super) fn states(&self) -> Vec<State> {
        let first = self
            .members
            .first()
            .map(|member| member.states())
            .unwrap_or_default();
        if self.members.len() == 1 {
            return first.to_vec();
        }
        let count = |hour: usize, wanted: State| {
            let states = self
                .members
                .iter()
                .filter_map(|member| member.states().get(hour));
            2 * states.filter(|state| **state == wanted).count()
        };
        let prevails = |hour: usize| {
            if count(hour, State::Fair) > self.members.len() {
                State::Fair
            } else if count(hour, State::Hindered) >= self.members.len() {
                State::Hindered
            } else {
                State::Unknown
            }
        };
        (0..first.len()).map(prevails).collect()
    }

    /// Whether the file and the place do not give what the rule of that index limits.
    pub(super) fn is_absent(&self, rule: usize) -> bool {
        self.members
            .first()
            .is_none_or(|member| member.is_absent(rule))
    }

    /// What a rule finds in an hour: of several members the outcome that prevails, with the middle finding, by
    /// margin, of those that have it.
    pub(super) fn finding(&self, rule: usize, hour: usize, of: &Rule) -> Finding {
        if let [member] = self.members.as_slice() {
            return member.finding(rule, hour);
        }
        let count = |wanted| {
            let outcomes = self
                .members
                .iter()
                .map(|member| member.finding(rule, hour).outcome);
            2 * outcomes.filter(|outcome| *outcome == wanted).count()
        };
        if count(Outcome::Holds) > self.members.len() {
            self.middle(rule, hour, of, Outcome::Holds)
        } else if count(Outcome::Fails) >= self.members.len() {
            self.middle(rule, hour, of, Outcome::Fails)
        } else {
            self.middle(rule, hour, of, Outcome::Unknown)
        }
    }

    /// The middle one, by margin, of the members' findings with an outcome.
    fn middle(&self, rule: usize, hour: usize, of: &Rule, outcome: Outcome) -> Finding {
        let all = self.members.iter().map(|member| member.finding(rule, hour));
        let mut these: Vec<Finding> = all.filter(|finding| finding.outcome == outcome).collect();
        these.sort_by(|a, b| a.margin(of).total_cmp(&b.margin(of)));
        these
            .get(these.len() / 2)
            .copied()
            .unwrap_or(Finding::NOTHING)
    }

    /// The blocking rule that fails in most members, for an hour that they hinder by different rules.
    pub(super) fn most_failing(&self, hour: usize, rules: &[Rule]) -> Option<(usize, Finding)> {
        let fails = |index: usize| {
            let findings = self
                .members
                .iter()
                .map(|member| member.finding(index, hour));
            findings
                .filter(|finding| finding.outcome == Outcome::Fails)
                .count()
        };
        let blocking = rules
            .iter()
            .enumerate()
            .filter(|(_, rule)| rule.severity == Severity::Block);
        let (index, rule) =
            blocking.max_by_key(|(index, _)| (fails(*index), usize::MAX - index))?;
        (fails(index) > 0).then(|| (index, self.middle(index, hour, rule, Outcome::Fails)))
    }

    /// Of each hour judged, one bit a rule: blocking rules that any member fails, cautions that do not hold in all.
    pub(super) fn raised(&self, operation: &Operation) -> Vec<u64> {
        let mut raised = Vec::new();
        for member in &self.members {
            raised.resize(member.states().len(), 0_u64);
            for (index, rule) in operation.rules.iter().enumerate() {
                let least = match rule.severity {
                    Severity::Block => Outcome::Fails,
                    Severity::Caution => Outcome::Unknown,
                };
                if let Some(outcomes) = member.outcomes(index) {
                    for (raised, outcome) in raised.iter_mut().zip(outcomes) {
                        *raised |= u64::from(*outcome >= least) << index;
                    }
                } else if rule.severity == Severity::Caution && !rule.optional {
                    for raised in &mut raised {
                        *raised |= 1 << index;
                    }
                }
            }
        }
        raised
    }

    /// How well an hour keeps clear of its limits, in the member that keeps least clear.
    pub(super) fn clearance(&self, hour: usize, rules: &[Rule]) -> f64 {
        self.members
            .iter()
            .map(|member| member.clearance(hour, rules))
            .fold(f64::INFINITY, f64::min)
    }
}
