//! The C library as it is installed: its symbols and sizes are those that are promised, and its examples run without an error
//! or a leak.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may stop at the first surprise"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use fairspell_tests::binary::{self, workspace};
use fairspell_tests::c::{Language, Link, MEMCHECK, compiled, installed, pkg_config, run, scratch};
use fairspell_tests::prototypes::{functions, structs};

/// Monday 8 March 2027, 06:00 -06:00, of the demo.
const MONDAY: i64 = 1_804_507_200;

/// In CI the tests on the C library must run.
#[test]
fn the_tools_for_c_are_here_in_ci() {
    let is_ci = std::env::var("CI").is_ok_and(|ci| ci == "true");
    assert!(
        cfg!(c_tools) || !is_ci,
        "install gcc, g++, pkg-config, valgrind and nm"
    );
}

fn header() -> String {
    fs::read_to_string(workspace().join("ffi/c/include/fairspell.h")).unwrap()
}

fn demo() -> PathBuf {
    workspace().join("data/demo")
}

// --- The ABI ---

/// The names that a library lets programs use.
fn exported() -> Vec<String> {
    let output = Command::new("nm")
        .args(["-D", "--defined-only", "--format=posix"])
        .arg(installed().join("lib/libfairspell_c.so"))
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    let names = text.lines().filter_map(|line| line.split(' ').next());
    let mut names: Vec<String> = names.map(str::to_owned).collect();
    names.sort();
    names
}

/// The library exports the functions of its header, all of them and nothing else.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and nm")]
fn the_library_exports_what_its_header_declares() {
    let mut declared: Vec<String> = functions(&header()).into_iter().map(|of| of.name).collect();
    declared.sort();
    assert!(declared.len() > 70);
    assert_eq!(exported(), declared);
}

/// Functions with their parameters, numbers with their values, structs with size and offsets as a C compiler has them.
fn abi() -> String {
    let header = header();
    let mut abi = String::from(
        "# The ABI that is promised, on machines with 64 bits. A test holds it against the header and the built library;\n\
         # FAIRSPELL_WRITE_ABI=1 cargo test -p fairspell-tests --locked --test bindings c_abi writes it. What may change: DEVELOPERS.md.\n",
    );
    let mut numbers: Vec<&str> = header
        .lines()
        .filter(|line| line.starts_with("#define FAIRSPELL_"))
        .collect();
    numbers.retain(|line| *line != "#define FAIRSPELL_H");
    numbers.sort_unstable();
    for number in numbers {
        writeln!(abi, "{}", number.trim_start_matches("#define ")).unwrap();
    }
    let mut functions = functions(&header);
    functions.sort_by(|a, b| a.name.cmp(&b.name));
    for function in functions {
        let parameters = function
            .parameters
            .iter()
            .map(|of| format!("{} {}", of.of, of.name));
        let parameters = parameters.collect::<Vec<_>>().join(", ");
        writeln!(abi, "{} {}({parameters})", function.returns, function.name).unwrap();
    }
    abi + &layouts(&header)
}

/// Sizes and offsets, printed by a program in C.
fn layouts(header: &str) -> String {
    let mut program =
        String::from("#include <stdio.h>\n#include <fairspell.h>\nint main(void) {\n");
    for of in structs(header) {
        let name = &of.name;
        if of.members.is_empty() {
            continue;
        }
        writeln!(
            program,
            "  printf(\"struct {name} %zu\\n\", sizeof({name}));"
        )
        .unwrap();
        for member in &of.members {
            let (of, member) = (&member.of, &member.name);
            writeln!(
                program,
                "  printf(\"  {of} {member} %zu\\n\", offsetof({name}, {member}));"
            )
            .unwrap();
        }
    }
    program += "  return 0;\n}\n";
    let source = scratch().join("layouts.c");
    fs::write(&source, program).unwrap();
    let ran = run(&[], &compiled(&source, Language::C99, Link::Shared), &[]);
    assert_eq!(ran.code, Some(0));
    ran.stdout
}

/// The rule of DEVELOPERS.md for changes of the ABI: what is checked in is what there is.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc and pkg-config")]
fn symbols_numbers_and_sizes_are_those_promised() {
    let path = workspace().join("ffi/c/abi.txt");
    let abi = abi();
    if std::env::var_os("FAIRSPELL_WRITE_ABI").is_some() {
        fs::write(&path, &abi).unwrap();
    }
    let promised = fs::read_to_string(&path).unwrap_or_default();
    for (promised, found) in promised.lines().zip(abi.lines()) {
        assert_eq!(
            promised, found,
            "the ABI has changed: DEVELOPERS.md says what that asks for"
        );
    }
    assert_eq!(promised.len(), abi.len());
}

/// `DESTDIR` stands in front of what is written and not in it; the version is the workspace's.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs pkg-config")]
fn the_library_installs_below_destdir() {
    let (folder, profile) = binary::built().unwrap();
    let stage = scratch().join("stage");
    let status = Command::new("sh")
        .arg(workspace().join("ffi/c/install.sh"))
        .env("DESTDIR", &stage)
        .env("PREFIX", "/opt/garden")
        .env("LIBDIR", "/opt/garden/lib64")
        .env("PROFILE", profile)
        .env("CARGO_TARGET_DIR", folder.parent().unwrap())
        .status()
        .unwrap();
    assert!(status.success());
    for file in [
        "include/fairspell.h",
        "lib64/libfairspell_c.a",
        "lib64/libfairspell_c.so",
        "lib64/libfairspell_c.so.1",
        "share/doc/fairspell-c/LICENSE-APACHE",
        "share/doc/fairspell-c/LICENSE-MIT",
        "share/doc/fairspell-c/THIRD-PARTY.txt",
    ] {
        assert!(stage.join("opt/garden").join(file).is_file(), "{file}");
    }
    let found = fs::read_to_string(stage.join("opt/garden/lib64/pkgconfig/fairspell.pc")).unwrap();
    assert!(
        found.contains("\nlibdir=/opt/garden/lib64\n") && !found.contains("stage"),
        "{found}"
    );
    fs::remove_dir_all(&stage).unwrap();
    assert_eq!(pkg_config(&["--modversion"]), [env!("CARGO_PKG_VERSION")]);
}

/// The header as C++, and as C of 2011 after other headers: no warning. (As C99 every program here has it.)
#[test]
#[cfg_attr(not(c_tools), ignore = "needs g++ and pkg-config")]
fn the_header_is_clean_cpp() {
    let source = scratch().join("clean.cpp");
    let program = "#include <fairspell.h>\n#include <fairspell.h>\nint main() { return fairspell_abi_version() / 1000 != \
        FAIRSPELL_ABI_VERSION / 1000; }\n";
    fs::write(&source, program).unwrap();
    let ran = run(&[], &compiled(&source, Language::Cpp17, Link::Shared), &[]);
    assert_eq!(ran.code, Some(0));
}

// --- The examples ---

fn example(name: &str) -> (PathBuf, Language) {
    let language = if Path::new(name).extension().is_some_and(|of| of == "cpp") {
        Language::Cpp17
    } else {
        Language::C99
    };
    (workspace().join("ffi/c/examples").join(name), language)
}

/// What an example prints, the same with both libraries, with no error and no leak that valgrind sees.
fn printed(name: &str, arguments: &[&str], code: i32) -> String {
    let (source, language) = example(name);
    let outputs = [Link::Shared, Link::Static].map(|link| {
        let ran = run(&MEMCHECK, &compiled(&source, language, link), arguments);
        assert_eq!(
            (ran.code, ran.stderr.as_str()),
            (Some(code), ""),
            "{name} {link:?}"
        );
        ran.stdout
    });
    assert_eq!(outputs[0], outputs[1]);
    let [output, _] = outputs;
    output
}

/// The demo's own account (data/demo/README.md): at 06:00 on Monday oil must wait, and the week holds two spells for it, on
/// Wednesday (five hours from 09:00, by the README's transcript) and on Thursday (nine from 08:00).
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn the_morning_check_runs() {
    let now = MONDAY.to_string();
    let arguments = [
        "forecast.csv",
        "observed.csv",
        "site.toml",
        "station.csv",
        &now,
    ];
    let printed = printed("morning_check.c", &arguments, 1);
    let lines: Vec<&str> = printed.lines().collect();
    assert_eq!(lines[..2], ["NO-GO", "why:"]);
    let spells: Vec<&&str> = lines
        .iter()
        .filter(|line| line.starts_with("spell "))
        .collect();
    // 10 March 09:00 -06:00 is 1804690800, 11 March 08:00 is 1804773600: by `date -d … +%s`.
    assert!(
        spells[0].starts_with("spell 1804690800 to 1804708800, 5 h,"),
        "{}",
        spells[0]
    );
    assert!(
        spells[1].starts_with("spell 1804773600 to 1804806000, 9 h,"),
        "{}",
        spells[1]
    );
    assert!(
        spells.len() == 2 && lines.contains(&"15 of 162 hours are fair"),
        "{printed}"
    );
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("The product's label is the law."))
    );
}

/// The command line's own numbers, in full.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn the_risk_of_a_date_runs() {
    let printed = printed("risk_of_a_date.c", &["station.csv", "2027", "4", "10"], 0);
    let arguments = [
        "freeze",
        "station.csv",
        "--on",
        "2027-04-10",
        "--replicates",
        "0",
        "--format",
        "json",
    ];
    let ran = binary::run(&demo(), &arguments);
    let json: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
    let thresholds = json["thresholds"].as_array().unwrap();
    assert_eq!(printed.lines().count(), thresholds.len());
    for (line, of) in printed.lines().zip(thresholds) {
        let spring = &of["spring"];
        let head = format!(
            "{} F: {} of {} years with a freeze, risk ",
            of["threshold_f"].as_f64().unwrap(),
            spring["freeze_years"],
            spring["valid_years"]
        );
        let rest = line.strip_prefix(&head).unwrap_or_else(|| panic!("{line}"));
        let risk: f64 = rest.split(',').next().unwrap().parse().unwrap();
        let risks = (
            risk.to_bits(),
            spring["on"]["risk"].as_f64().map(f64::to_bits),
        );
        assert_eq!(Some(risks.0), risks.1, "{line}");
    }
}

/// The command line's own plan and counts: dates as seconds, the hours of the demo's week by `hindcast`.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs g++, pkg-config and valgrind")]
fn the_late_winter_runs() {
    let arguments = ["station.csv", "forecast.csv", "site.toml", "2027"];
    let printed = printed("late_winter.cpp", &arguments, 0);
    let plan = [
        "season",
        "station.csv",
        "--site",
        "site.toml",
        "--year",
        "2027",
        "--replicates",
        "0",
        "--format",
        "json",
    ];
    let json: serde_json::Value =
        serde_json::from_str(&binary::run(&demo(), &plan).stdout).unwrap();
    let seconds = |of: &serde_json::Value| {
        let date: chrono::NaiveDate = of.as_str().unwrap().parse().unwrap();
        date.and_hms_opt(0, 0, 0).unwrap().and_utc().timestamp()
    };
    let lines: Vec<&str> = printed.lines().collect();
    for (plant, lines) in json["plants"]
        .as_array()
        .unwrap()
        .iter()
        .zip(lines.chunks(2))
    {
        let prune = &plant["prune"];
        let kind = plant["kind"].as_str().unwrap();
        let [from, to, best] = ["from", "to", "best"].map(|key| seconds(&prune[key]));
        let ends = format!(" {kind}: prune {from} to {to}, best {best}");
        assert!(lines[0].ends_with(&ends), "{} is not {ends}", lines[0]);
    }
    assert_eq!(
        lines.last(),
        Some(&"15 hours fair, 153 hindered, 0 unknown, 2 spells")
    ); // README, hindcast
}

/// The README's program, as it stands. Three days of fifty degrees without rain: oil is sprayed by daylight, and its rules look
/// at the 24 hours after, which the third day does not have. So there are two spells, and one holds the time asked about.
#[test]
#[cfg_attr(not(c_tools), ignore = "needs gcc, pkg-config and valgrind")]
fn the_program_of_the_readme_runs() {
    let readme = fs::read_to_string(workspace().join("README.md")).unwrap();
    let (_, after) = readme.split_once("```c\n").unwrap();
    let (program, after) = after.split_once("```\n").unwrap();
    let source = scratch().join("readme.c");
    fs::write(&source, program).unwrap();
    let ran = run(
        &MEMCHECK,
        &compiled(&source, Language::C99, Link::Shared),
        &[],
    );
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    assert!(
        after.contains(&format!("It prints `{}`:", ran.stdout.trim_end())),
        "{}",
        ran.stdout
    );
    assert_eq!(ran.stdout, "go, spells: 2\n");
}
