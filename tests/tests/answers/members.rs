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

/// A rule holds where it holds in more than half of the members, fails where it fails in at least half, and is not known
/// otherwise; of those that fail the middle one by its margin speaks, of an even number the milder of the two. Counted by hand.
#[test]
fn a_caution_follows_the_majority_and_its_middle_member() {
    let rules = b"operation = \"work\"\nhours-needed = 1\n\
        [[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\nat-least = \"40 \xc2\xb0F\"\nseverity = \"caution\"\n\
        source = \"Common practice\"\n";
    let four = [
        ["30", "30", "30", "30", "30", "50"],
        ["20", "20", "", "50", "50", "50"],
        ["35", "50", "50", "50", "", "50"],
        ["39", "50", "50", "50", "50", "50"],
    ];
    let found = |csv: &str| -> Vec<Vec<f64>> {
        let decision = decided_by(csv, rules, START).unwrap();
        let hours = decision.hours.iter();
        let values = |hour| {
            let cautions = decision.cautions(hour);
            cautions.iter().map(|caution| caution.value).collect()
        };
        hours.map(values).collect()
    };
    let of_four = found(&csv(&four, false));
    assert_eq!(
        of_four[0],
        [35.0],
        "all four fail: of 20, 30, 35 and 39 the third"
    );
    assert_eq!(of_four[1], [30.0], "two of four fail: it fails");
    assert_eq!(
        of_four[2].len(),
        1,
        "one fails, one is unknown, two hold: not known"
    );
    assert!(of_four[2][0].is_infinite());
    assert!(of_four[3].is_empty(), "three of four hold");
    assert_eq!(of_four[4].len(), 1, "two of four hold: not more than half");
    assert!(of_four[5].is_empty());
    let five = [
        ["30"; 6],
        ["20"; 6],
        ["50"; 6],
        ["50"; 6],
        ["50", "39", "50", "50", "50", "50"],
    ];
    let of_five = found(&csv(&five, true));
    assert!(of_five[0].is_empty(), "three of five hold");
    assert_eq!(
        of_five[1],
        [30.0],
        "three of five fail: of 20, 30 and 39 the middle"
    );
}

/// Where members are hindered by a rule each, equally often, the first rule speaks; a rule that forbids nothing has no say.
#[test]
fn a_rule_that_no_member_fails_hinders_nothing() {
    let rules = b"operation = \"work\"\nhours-needed = 1\n\
        [[rule]]\nname = \"dry\"\nmeasure = \"rain\"\nat-most = \"0 in\"\nseverity = \"block\"\nsource = \"Common practice\"\n\
        [[rule]]\nname = \"not hot\"\nmeasure = \"temperature\"\nat-most = \"45 \xc2\xb0F\"\nseverity = \"caution\"\n\
        source = \"Common practice\"\n\
        [[rule]]\nname = \"warm\"\nmeasure = \"temperature\"\nat-least = \"40 \xc2\xb0F\"\nseverity = \"block\"\n\
        source = \"Common practice\"\n";
    let by = |members: &[[&str; 6]], wet: &[usize]| -> Vec<usize> {
        let mut csv = csv(members, false);
        for member in wet {
            let dry = format!("T00:00Z,m{member},50,0");
            csv = csv.replace(&dry, &format!("{dry}.1"));
        }
        let decision = decided_by(&csv, rules, START).unwrap();
        let hour = &decision.hours[0];
        assert_eq!(hour.state, State::Hindered);
        decision.hindrances(hour).iter().map(|of| of.rule).collect()
    };
    let (cold, fair) = (["30"; 6], ["50"; 6]);
    assert_eq!(by(&[cold, fair, fair], &[1]), [0], "one each of three");
    assert_eq!(
        by(&[cold, cold, fair, fair, fair], &[2]),
        [2],
        "two cold, one wet, of five"
    );
    assert_eq!(
        by(&[cold, fair, fair, fair, fair], &[1, 2]),
        [0],
        "one cold, two wet, of five"
    );
}
