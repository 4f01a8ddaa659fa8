//! `packaging/install.sh` into a prefix of its own: what lies where, man pages, completions, units, licences. In CI the programs
//! that read them must be there; elsewhere those checks count as ignored without them.
//!
//! Source: `packaging/README.md` for the layout; mandoc, the shells and systemd themselves for whether they can read it.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use fairspell_tests::binary::{self, workspace};
use fairspell_tests::installed::{install, prefix, ran};

const COMMANDS: [&str; 5] = ["decide", "freeze", "season", "hindcast", "demo"];

/// In CI what reads the installed files must be there.
#[test]
fn the_tools_for_what_is_installed_are_here_in_ci() {
    let is_ci = std::env::var("CI").is_ok_and(|ci| ci == "true");
    assert!(
        cfg!(packaging_tools) || !is_ci,
        "install bash, fish, mandoc, systemd (for systemd-analyze) and zsh"
    );
}

/// All files below a folder, by their paths in it.
fn files(folder: &Path, below: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for entry in fs::read_dir(folder.join(below)).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        let path = if below.is_empty() {
            name
        } else {
            format!("{below}/{name}")
        };
        if entry.file_type().unwrap().is_dir() {
            found.extend(files(folder, &path));
        } else {
            found.insert(path);
        }
    }
    found
}

/// The files that the table in `packaging/README.md` names. A second name in a cell lies beside the first; a star stands for
/// all that is below.
fn told() -> BTreeSet<String> {
    let readme = fs::read_to_string(workspace().join("packaging/README.md")).unwrap();
    let rows = readme.lines().filter(|line| line.starts_with("| `"));
    let mut told = BTreeSet::new();
    for row in rows {
        let cell = row.split('|').nth(1).unwrap();
        let mut folder = "";
        for name in cell.split('`').skip(1).step_by(2) {
            if name.contains('/') {
                folder = name.rsplit_once('/').unwrap().0;
                told.insert(name.to_owned());
            } else {
                told.insert(format!("{folder}/{name}"));
            }
        }
    }
    told
}

/// What is installed is what the page says, with the rights of programs and of files.
#[test]
fn the_layout_is_that_of_the_page() {
    let (told, installed) = (told(), files(prefix(), ""));
    let (stars, names): (Vec<_>, Vec<_>) = told.iter().partition(|name| name.ends_with("/*"));
    for name in &names {
        assert!(installed.contains(*name), "{name} is not installed");
    }
    for file in &installed {
        let is_told = told.contains(file)
            || stars
                .iter()
                .any(|star| file.starts_with(star.trim_end_matches('*')));
        assert!(is_told, "{file} is installed, and the page does not say so");
        let mode = fs::metadata(prefix().join(file))
            .unwrap()
            .permissions()
            .mode();
        let is_program = file == "bin/fairspell" || file == "libexec/fairspell/send-line";
        if !file.contains("/man/")
            && !file.contains("completions/")
            && !file.contains("site-functions")
        {
            assert_eq!(
                mode & 0o777,
                if is_program { 0o755 } else { 0o644 },
                "{file}"
            );
        }
    }
    assert!(names.len() >= 20 && !stars.is_empty());
}

/// Files that name others name them where they will be found, and not where a package is put together.
#[test]
fn a_folder_in_front_is_named_in_no_file() {
    let front = tempfile::tempdir().unwrap();
    install(Path::new("/opt/fairspell"), front.path());
    let installed = front.path().join("opt/fairspell");
    assert_eq!(files(&installed, ""), files(prefix(), ""));
    let read = |name: &str| fs::read_to_string(installed.join(name)).unwrap();
    let service = read("lib/systemd/user/fairspell-line.service");
    assert!(service.contains("ExecStart=/opt/fairspell/libexec/fairspell/send-line $DECIDE"));
    let crontab = read("share/doc/fairspell/examples/crontab");
    assert_eq!(
        crontab
            .matches("/opt/fairspell/libexec/fairspell/send-line")
            .count(),
        2
    );
    let own = front.path().to_str().unwrap();
    for file in files(&installed, "")
        .iter()
        .filter(|file| *file != "bin/fairspell")
    {
        let bytes = fs::read(installed.join(file)).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains(own) && !text.contains("@PREFIX@"), "{file}");
    }
}

/// The README's first transcript, in the folder of the installed README.
#[test]
fn the_installed_program_runs_on_the_installed_data() {
    let command = "decide oil data/demo/forecast.csv --site data/demo/site.toml \
        --observed data/demo/observed.csv --at 2027-03-08T06:00";
    let ran = ran(Command::new(prefix().join("bin/fairspell"))
        .current_dir(prefix().join("share/doc/fairspell"))
        .args(command.split_whitespace()));
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(1), ""));
    assert!(
        ran.stdout
            .starts_with("NO-GO  dormant oil at Quince Hollow (invented)")
    );
}

fn page(name: &str) -> PathBuf {
    prefix().join("share/man/man1").join(format!("{name}.1"))
}

/// Each option that `--help` shows stands in the man page of its command, and each exit code.
#[test]
fn man_pages_have_all_that_the_help_has() {
    let mut options = 0;
    for command in COMMANDS {
        let help = binary::run(workspace(), &[command, "--help"]).stdout;
        let page = fs::read_to_string(page(&format!("fairspell-{command}"))).unwrap();
        let long = help
            .split_whitespace()
            .filter(|word| word.starts_with("--"));
        let long = long.map(|word| {
            let end =
                word[2..].find(|letter: char| !letter.is_ascii_alphanumeric() && letter != '-');
            &word[..end.map_or(word.len(), |end| end + 2)]
        });
        for option in long {
            assert!(
                page.contains(&option.replace('-', "\\-")),
                "{command}: {option}"
            );
            options += 1;
        }
        for section in [
            "NAME",
            "SYNOPSIS",
            "OPTIONS",
            "\"EXIT STATUS\"",
            "\"SEE ALSO\"",
        ] {
            assert!(
                page.contains(&format!("\n.SH {section}\n")),
                "{command}: {section}"
            );
        }
        // What an option takes stands in the synopsis too, as in the program's usage.
        let synopsis = page.split(".SH ").find(|part| part.starts_with("SYNOPSIS"));
        let synopsis = synopsis.unwrap();
        assert!(
            synopsis.contains("\\-\\-help\\fR]"),
            "{command}: {synopsis}"
        );
        let takes_format = help.contains("--format <FORMAT>");
        let shows_format = synopsis.contains("[\\fB\\-\\-format\\fR \\fIFORMAT\\fR]");
        assert_eq!(takes_format, shows_format, "{command}: {synopsis}");
        let has_examples = help.contains("\nExamples:");
        assert_eq!(page.contains("\n.SH EXAMPLES\n"), has_examples, "{command}");
    }
    assert!(options > 60, "{options}");
}

/// mandoc finds nothing to say but that the pages have no date, and spaces of the generator that stand twice.
#[test]
#[cfg_attr(
    not(packaging_tools),
    ignore = "needs bash, fish, mandoc, systemd-analyze, zsh"
)]
fn man_pages_are_read_without_complaint() {
    let pages = COMMANDS.map(|command| format!("fairspell-{command}"));
    for name in pages.iter().map(String::as_str).chain(["fairspell"]) {
        let lint = ran(Command::new("mandoc")
            .args(["-Tlint", "-Wwarning"])
            .arg(page(name)));
        let known = [
            "missing date",
            "skipping paragraph macro: br before sp",
            "skipping paragraph macro: br after sp",
        ];
        let new = lint
            .stdout
            .lines()
            .find(|line| !known.iter().any(|known| line.contains(known)));
        assert_eq!((new, lint.stderr.as_str()), (None, ""));
        let shown = ran(Command::new("mandoc")
            .args(["-Tutf8", "-Owidth=80"])
            .arg(page(name)));
        assert!(shown.stdout.contains("EXIT STATUS") || shown.stdout.contains("E\u{8}EX\u{8}X"));
    }
    let decide = ran(Command::new("mandoc")
        .args(["-Tascii", "-Owidth=100"])
        .arg(page("fairspell-decide")));
    for line in [
        "  fairspell decide prune forecast.csv --zone America/Chicago --within 36h",
        "      with the hours before the forecast, so that \"3 h before\" is known at once",
        "  [[limit]]                  # a limit of your own",
        "  time,temperature_f,rain_in,humidity_pct,wind_mph",
    ] {
        assert!(decide.stdout.contains(line), "{line} in {}", decide.stdout);
    }
}

/// bash and fish complete commands, options and values; zsh reads its functions.
#[test]
#[cfg_attr(
    not(packaging_tools),
    ignore = "needs bash, fish, mandoc, systemd-analyze, zsh"
)]
fn shells_complete_what_the_program_takes() {
    let share = prefix().join("share");
    let bash = share.join("bash-completion/completions/fairspell");
    let fish = share.join("fish/vendor_completions.d/fairspell.fish");
    let zsh = share.join("zsh/site-functions/_fairspell");
    for (shell, file) in [("bash", &bash), ("fish", &fish), ("zsh", &zsh)] {
        let ran = ran(Command::new(shell).arg("-n").arg(file));
        let said = (ran.code, ran.stdout.as_str(), ran.stderr.as_str());
        assert_eq!(said, (Some(0), "", ""), "{shell}");
    }
    for (words, expected) in [
        ("fairspell dec", "decide"),
        ("fairspell decide --min-c", "--min-confidence"),
        ("fairspell freeze --format htm", "html"),
        ("fairspell season --record-units me", "metric"),
    ] {
        let count = words.split(' ').count();
        let (before, last) = words.rsplit_once(' ').unwrap();
        let (_, previous) = before.rsplit_once(' ').unwrap_or(("", before));
        let script = format!(
            "source '{}'; COMP_WORDS=({words}); COMP_CWORD={}; _fairspell fairspell '{last}' '{previous}'; echo \"${{COMPREPLY[*]}}\"",
            bash.display(),
            count - 1,
        );
        let in_bash = ran(Command::new("bash").args(["--norc", "-c"]).arg(script));
        assert_eq!(
            (in_bash.stdout.trim(), in_bash.stderr.as_str()),
            (expected, ""),
            "{words}"
        );
        let script = format!(
            "source '{}'; complete --do-complete '{words}'",
            fish.display()
        );
        let home = tempfile::tempdir().unwrap();
        let in_fish = ran(Command::new("fish")
            .args(["--no-config", "-c"])
            .arg(script)
            .env("HOME", home.path()));
        let first = in_fish.stdout.split(['\t', '\n']).next().unwrap();
        assert_eq!((first, in_fish.stderr.as_str()), (expected, ""), "{words}");
    }
}

/// systemd reads the service and the timer, finds the program that it starts, and knows the day after: 1 January, 06:30.
#[test]
#[cfg_attr(
    not(packaging_tools),
    ignore = "needs bash, fish, mandoc, systemd-analyze, zsh"
)]
fn systemd_reads_the_units() {
    let units = prefix().join("lib/systemd/user");
    let [service, timer] =
        ["service", "timer"].map(|end| units.join(format!("fairspell-line.{end}")));
    let home = tempfile::tempdir().unwrap();
    let verify = ran(Command::new("systemd-analyze")
        .args(["verify", "--user", "--man=no"])
        .args([&service, &timer])
        .env("HOME", home.path())
        .env("XDG_RUNTIME_DIR", home.path()));
    let of_ours = |line: &&str| line.contains("fairspell");
    let said = (verify.code, verify.stderr.lines().find(of_ours));
    assert_eq!(said, (Some(0), None), "{}", verify.stderr);
    let text = fs::read_to_string(&timer).unwrap();
    let calendar = text
        .lines()
        .find_map(|line| line.strip_prefix("OnCalendar="))
        .unwrap();
    let next = ran(Command::new("systemd-analyze")
        .args(["calendar", "--base-time=2026-05-01", calendar])
        .env("TZ", "UTC"));
    assert!(
        next.stdout.contains("2027-01-01 06:30:00"),
        "{}{}",
        next.stdout,
        next.stderr
    );
}

/// The notices of what is in the binary go with it.
#[test]
fn licences_and_notices_are_installed() {
    let documents = prefix().join("share/doc/fairspell");
    for (name, from) in [
        ("LICENSE-APACHE", "LICENSE-APACHE"),
        ("LICENSE-MIT", "LICENSE-MIT"),
        ("THIRD-PARTY.txt", "cli/THIRD-PARTY.txt"),
    ] {
        let installed = fs::read(documents.join(name)).unwrap();
        assert!(
            installed == fs::read(workspace().join(from)).unwrap(),
            "{name}"
        );
    }
}
