//! Ensembles: each member judged on its own (the contract, section 5, *Members*).

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::fmt::Write as _;

use fairspell::decision::{Decision, Verdict};
use fairspell::spell::State;
use fairspell_tests::decided::decided as decided_by;

/// 10 March 2027, 00:00 UTC.
const START: i64 = 1_804_636_800;

const RULES: &[u8] = b"operation = \"work\"\nhours-needed = 2\n[[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\n\
    at-least = \"40 \xc2\xb0F\"\nseverity = \"block\"\nsource = \"Common practice\"\n";

/// Six hours of each member, all rows of a member together or hour by hour.
fn csv(members: &[[&str; 6]], is_by_hour: bool) -> String {
    let mut csv = String::from("time,member,temperature_f,rain_in\n");
    let mut row = |member: usize, hour: usize| {
        let temperature = members[member][hour];
        writeln!(csv, "2027-03-10T{hour:02}:00Z,m{member},{temperature},0").unwrap();
    };
    if is_by_hour {
        (0..6).for_each(|hour| (0..members.len()).for_each(|member| row(member, hour)));
    } else {
        (0..members.len()).for_each(|member| (0..6).for_each(|hour| row(member, hour)));
    }
    csv
}

fn decided(csv: &str) -> Decision {
    decided_by(csv, RULES, START).unwrap()
}

/// The contract: fair if more than half of the members are fair, hindered if at least half are, else unknown.
/// Counted by hand, hour by hour, for four members.
#[test]
fn an_hour_follows_the_majority_of_the_members() {
    let members = [
        ["50", "50", "50", "50", "30", ""],
        ["50", "50", "50", "30", "30", ""],
        ["50", "30", "", "30", "30", "50"],
        ["30", "", "", "50", "30", "50"],
    ];
    let hoped = [
        State::Fair,     // 3 of 4 fair
        State::Unknown,  // 2 fair, 1 hindered
        State::Unknown,  // 2 fair, 2 unknown
        State::Hindered, // 2 fair, 2 hindered
        State::Hindered, // 4 hindered
        State::Unknown,  // 2 fair, 2 unknown
    ];
    let by_member = decided(&csv(&members, false));
    assert_eq!(
        by_member
            .hours
            .iter()
            .map(|hour| hour.state)
            .collect::<Vec<_>>(),
        hoped
    );
    assert_eq!(by_member.verdict, Verdict::CannotTell);
    let hour = &by_member.hours[3];
    assert_eq!(
        by_member.hindrances(hour)[0].value.to_bits(),
        30.0_f64.to_bits()
    );
    assert_eq!(by_member.to_json(), decided(&csv(&members, true)).to_json());
}

/// What hinders an hour of several members: the rule that most of them fail, the first of several, where none prevails; nothing
/// where the hour is not hindered, whatever single members fail. Counted by hand.
#[test]
fn a_hindered_hour_names_the_rule_that_most_members_fail() {
    let rules = b"operation = \"work\"\nhours-needed = 2\n\
        [[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\nat-least = \"40 \xc2\xb0F\"\nseverity = \"block\"\n\
        source = \"Common practice\"\n\
        [[rule]]\nname = \"dry\"\nmeasure = \"rain\"\nat-most = \"0 in\"\nseverity = \"block\"\n\
        source = \"Common practice\"\n";
    let members = [
        ["30", "50", "50", "50", "50", "50"],
        ["50", "30", "50", "50", "50", "50"],
        ["50", "50", "50", "50", "50", "50"],
        ["50", "50", "50", "50", "50", "50"],
    ];
    // Rain in the first hour of the third member, and in the second hour of the third and the fourth.
    let csv = csv(&members, false)
        .replace("T00:00Z,m2,50,0", "T00:00Z,m2,50,0.1")
        .replace("T01:00Z,m2,50,0", "T01:00Z,m2,50,0.1")
        .replace("T01:00Z,m3,50,0", "T01:00Z,m3,50,0.1")
        .replace("T02:00Z,m3,50,0", "T02:00Z,m3,50,0.1");
    let decision = decided_by(&csv, rules, START).unwrap();
    let found: Vec<(State, Vec<usize>)> = decision.hours[..4]
        .iter()
        .map(|hour| {
            let hindrances = decision.hindrances(hour);
            (hour.state, hindrances.iter().map(|of| of.rule).collect())
        })
        .collect();
    assert_eq!(
        found,
        [
            (State::Hindered, vec![0]), // one of four too cold, one wet: the first rule of the two
            (State::Hindered, vec![1]), // one too cold, two wet
            (State::Fair, vec![]),      // one of four wet
            (State::Fair, vec![]),
        ]
    );
}

/// The contract: rows may come member by member or hour by hour; one member gives what the plain file gives.
#[test]
fn one_member_is_the_plain_forecast() {
    let one = csv(&[["50", "50", "", "30", "50", "50"]], false);
    let plain = one.replace(",member", "").replace(",m0", "");
    let (mut member, plain) = (decided(&one), decided(&plain));
    assert_eq!(member.file_notices.len(), plain.file_notices.len() + 1); // that it is one only
    member.file_notices.clone_from(&plain.file_notices);
    assert_eq!(member.to_json(), plain.to_json());
}
