//! `packaging/send-line`, its lines for cron and its settings for systemd, with a command in place of mail that writes down what
//! it was given: a go, a no-go, cannot tell, and what can go wrong.
//!
//! Source: the head of the script; the exit codes of the command line; crontab(5): five fields, then a command for `sh`.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a check stops at the first surprise")]

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::PathBuf;
use std::process::Command;

use fairspell_tests::binary::Ran;
use fairspell_tests::installed::{prefix, ran};
use fairspell_tests::week::{SITE, Week};
use tempfile::TempDir;

/// What stands for mail: subject, verdict and line into a file, one below the other.
const RECORD: &str = "{ printf '%s\\n' \"$SUBJECT\" \"$VERDICT\"; cat; } > sent";

/// A home with a garden in it: site, a forecast that goes on 10 March 2027 at 09:00 −06:00, and one without rain.
struct Home {
    folder: TempDir,
}

impl Home {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let garden = folder.path().join("garden");
        fs::create_dir(&garden).unwrap();
        fs::write(garden.join("site.toml"), SITE).unwrap();
        fs::write(garden.join("forecast.csv"), Week::default().csv()).unwrap();
        let unknown = Week::default().without("rain_mm").csv();
        fs::write(garden.join("unknown.csv"), unknown).unwrap();
        Self { folder }
    }

    fn garden(&self) -> PathBuf {
        self.folder.path().join("garden")
    }

    /// As cron and timers run it: almost no environment.
    fn clean(&self, program: PathBuf) -> Command {
        let mut command = Command::new(program);
        command.env_clear().current_dir(self.garden());
        command
            .env("PATH", "/usr/bin:/bin")
            .env("HOME", self.folder.path());
        command
    }

    fn send(&self, environment: &[(&str, &str)], arguments: &str) -> Ran {
        let mut command = self.clean(prefix().join("libexec/fairspell/send-line"));
        command
            .env("SEND", RECORD)
            .envs(environment.iter().copied());
        ran(command.args(arguments.split_whitespace()))
    }

    /// What the command was given, and forgotten.
    fn sent(&self) -> Option<String> {
        let file = self.garden().join("sent");
        let sent = fs::read_to_string(&file).ok()?;
        fs::remove_file(file).unwrap();
        Some(sent)
    }
}

const GO: &str = "oil forecast.csv --site site.toml --at 2027-03-10T09:00-06:00";
const NO_GO: &str = "oil forecast.csv --site site.toml --at 2027-03-10T06:00-06:00 --within 2h";
const CANNOT_TELL: &str = "oil unknown.csv --site site.toml --at 2027-03-10T09:00-06:00";
const ERROR: &str = "oil absent.csv --site site.toml --at 2027-03-10T09:00-06:00";

/// The line is the program's own, the exit code too, and the words beside the line go to standard error.
#[test]
fn each_verdict_is_sent_with_the_programs_own_line() {
    let home = Home::new();
    for (arguments, code, subject, verdict) in [
        (GO, 0, "GO oil", "go"),
        (NO_GO, 1, "NO-GO oil", "no-go"),
        (CANNOT_TELL, 3, "CANNOT TELL oil", "cannot-tell"),
    ] {
        let words = arguments.split(' ');
        let mut alone = home.clean(prefix().join("bin/fairspell"));
        alone.arg("decide").args(words).args(["--format", "line"]);
        let alone = ran(&mut alone);
        assert_eq!(alone.code, Some(code), "{arguments}");
        let line = alone.stdout.as_str();
        assert!(line.starts_with(subject.trim_end_matches("oil")) && line.lines().count() == 1);
        let ran = home.send(&[], arguments);
        assert_eq!(
            ran,
            Ran {
                stdout: String::new(),
                ..alone.clone()
            }
        );
        assert_eq!(
            home.sent().unwrap(),
            format!("{subject}\n{verdict}\n{line}")
        );
    }
}

/// Silence could be taken for an answer: an error is sent, and told to cron or the journal as well.
#[test]
fn an_error_is_sent_with_its_words() {
    let home = Home::new();
    let ran = home.send(&[], ERROR);
    let words = "fairspell: absent.csv: ";
    assert!(
        ran.stderr.starts_with(words) && ran.stderr.lines().count() == 1,
        "{}",
        ran.stderr
    );
    assert_eq!((ran.code, ran.stdout.as_str()), (Some(2), ""));
    assert_eq!(
        home.sent().unwrap(),
        format!("ERROR oil\nerror\n{}", ran.stderr)
    );
}

/// `ONLY` chooses; the exit code stays the program's.
#[test]
fn only_what_is_asked_for_is_sent() {
    let home = Home::new();
    for (only, arguments, code, is_sent) in [
        ("go", GO, 0, true),
        ("go", NO_GO, 1, false),
        ("go error", NO_GO, 1, false),
        ("go error", ERROR, 2, true),
        ("no-go cannot-tell", GO, 0, false),
        ("no-go cannot-tell", CANNOT_TELL, 3, true),
        ("go", ERROR, 2, false),
    ] {
        let ran = home.send(&[("ONLY", only)], arguments);
        assert_eq!(ran.code, Some(code), "{only}: {arguments}");
        assert_eq!(home.sent().is_some(), is_sent, "{only}: {arguments}");
    }
    let ran = home.send(&[("ONLY", "go maybe")], GO);
    let expected = "send-line: expected go, no-go, cannot-tell or error in ONLY, found \"maybe\"\n";
    assert_eq!(
        (ran.code, ran.stderr.as_str(), home.sent()),
        (Some(2), expected, None)
    );
}

/// A go that nobody could read is none.
#[test]
fn a_go_that_is_not_sent_is_an_error() {
    let home = Home::new();
    let ran = home.send(&[("SEND", "exit 75")], GO);
    let expected = "send-line: expected SEND to take the line, found exit 75\n";
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(2), expected));
    let ran = home.send(&[("SEND", "")], GO);
    let expected = "send-line: expected SEND, a command, or TO, whom to mail; found neither\n";
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(2), expected));
    let ran = home.send(&[], "oil");
    assert_eq!((ran.code, home.sent()), (Some(2), None));
}

/// An old forecast is not answered for a new one: where `FETCH` fails, that is sent, though the old file would go.
#[test]
fn a_forecast_that_is_not_fetched_is_sent_as_an_error() {
    let home = Home::new();
    let ran = home.send(&[("FETCH", "echo no route >&2; exit 6")], GO);
    let words = "send-line: the command FETCH ended with 6: no route\n";
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(2), words));
    assert_eq!(home.sent().unwrap(), format!("ERROR oil\nerror\n{words}"));
    let ran = home.send(
        &[("FETCH", "mv forecast.csv new.csv")],
        &GO.replace("forecast", "new"),
    );
    assert_eq!(ran.code, Some(0));
}

/// Only the program's own word is a go: neither a program that does nothing, nor another, nor one that is not there, nor help.
#[test]
fn a_go_is_the_programs_own_word() {
    let home = Home::new();
    for (program, arguments) in [
        ("/bin/true", GO),
        ("/bin/echo", GO),
        ("/bin/false", GO),
        ("/nowhere/fairspell", GO),
        ("", "--help oil"),
    ] {
        let ran = home.send(&[("FAIRSPELL", program)], arguments);
        assert_eq!(ran.code, Some(2), "{program}");
        let sent = home.sent().unwrap();
        let words = "send-line: expected a verdict from ";
        assert!(sent.contains("\nerror\n") && sent.contains(words), "{sent}");
    }
}

/// Names come from files: nothing of them is run, and the line stays one line.
#[test]
fn names_are_not_run() {
    let home = Home::new();
    let nasty = "name = \"$(touch run) `touch run` '; touch run; \\\"\"\n";
    fs::write(home.garden().join("site.toml"), format!("{nasty}{SITE}")).unwrap();
    let ran = home.send(&[], GO);
    assert_eq!(ran.code, Some(0), "{}", ran.stderr);
    let sent = home.sent().unwrap();
    assert_eq!(sent.lines().count(), 3, "{sent}");
    assert!(sent.contains("$(touch run)") && !home.garden().join("run").exists());
}

/// A program that stands in a folder of the home for one that is not on every machine.
fn stand_in(home: &Home, name: &str, script: &str) {
    let folder = home.folder.path().join("bin");
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join(name);
    fs::write(&file, format!("#!/bin/sh\n{script}\n")).unwrap();
    fs::set_permissions(&file, fs::Permissions::from_mode(0o755)).unwrap();
}

/// Stand-ins for mail and curl, the place's address, and the program with a "now" in the invented week.
fn with_stand_ins() -> Home {
    let home = Home::new();
    stand_in(
        &home,
        "mail",
        "{ printf '%s\\n' \"$@\"; cat; } > \"$HOME/garden/sent\"",
    );
    // Writes what it fetched to the file after -o, its last argument.
    let curl = "for last; do :; done; printf '%s\\n' \"$@\" > \"$HOME/asked\"; cp \"$HOME/garden/forecast.csv\" \"$last\"";
    stand_in(&home, "curl", curl);
    let program = prefix().join("bin/fairspell");
    let at = "exec \"$PROGRAM\" \"$@\" --at 2027-03-10T09:00-06:00";
    stand_in(
        &home,
        "at-nine",
        &at.replace("$PROGRAM", program.to_str().unwrap()),
    );
    fs::write(
        home.garden().join("address.txt"),
        "https://weather.example/points\n",
    )
    .unwrap();
    home
}

/// `sh -c` as cron and systemd leave it, with the stand-ins before the system's programs.
fn shell(home: &Home, command: &str) -> Ran {
    let mut shell = home.clean("/bin/sh".into());
    let bin = home.folder.path().join("bin");
    shell.env("PATH", format!("{}:/usr/bin:/bin", bin.display()));
    shell.env("FAIRSPELL", bin.join("at-nine"));
    ran(shell.current_dir(home.folder.path()).args(["-c", command]))
}

/// Both lines of the crontab, as cron would run them; the first prints, and cron mails that.
#[test]
fn lines_for_cron_send_the_line() {
    let crontab = prefix().join("share/doc/fairspell/examples/crontab");
    let crontab = fs::read_to_string(crontab).unwrap();
    let lines: Vec<&str> = crontab
        .lines()
        .filter(|line| line.starts_with("30 6 "))
        .collect();
    assert_eq!(lines.len(), 2);
    let home = with_stand_ins();
    let mut printed = Vec::new();
    for line in lines {
        let fields = line
            .split_whitespace()
            .take(5)
            .collect::<Vec<_>>()
            .join(" ");
        assert_eq!(fields, "30 6 * 1-4 *");
        assert!(
            !line.contains('%'),
            "a percent sign is a line break to cron"
        );
        let (_, command) = line.split_once("*  ").unwrap();
        let ran = shell(&home, command);
        assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""), "{line}");
        printed.push(ran.stdout);
    }
    assert!(printed[0].starts_with("GO dormant oil") && printed[1].is_empty());
    let asked = fs::read_to_string(home.folder.path().join("asked")).unwrap();
    assert!(
        asked.ends_with("https://weather.example/points\n-o\nforecast.new\n"),
        "{asked}"
    );
    let sent = home.sent().unwrap();
    assert!(
        sent.starts_with("-s\nGO prune\nyou@example.org\nGO late-winter pruning"),
        "{sent}"
    );
}

/// Without a command of one's own the line goes to `mail`, to whom `TO` says; its words are not the shell's.
#[test]
fn mail_is_the_command_that_stands_for_none() {
    let home = with_stand_ins();
    let script = prefix().join("libexec/fairspell/send-line");
    let command = format!(
        "cd garden && TO='you@example.org $(touch run)' '{}' oil forecast.csv --site site.toml",
        script.display()
    );
    let ran = shell(&home, &command);
    assert_eq!((ran.code, ran.stderr.as_str()), (Some(0), ""));
    let sent = home.sent().unwrap();
    assert!(
        sent.starts_with("-s\nGO oil\nyou@example.org $(touch run)\nGO dormant oil"),
        "{sent}"
    );
    assert!(!home.garden().join("run").exists());
}

/// The settings that the service reads, and its command line: the words of DECIDE apart, from home.
#[test]
fn settings_for_systemd_send_the_line() {
    let home = with_stand_ins();
    let service = prefix().join("lib/systemd/user/fairspell-line.service");
    let service = fs::read_to_string(service).unwrap();
    let start = service
        .lines()
        .find_map(|line| line.strip_prefix("ExecStart="))
        .unwrap();
    assert!(start.ends_with("/libexec/fairspell/send-line $DECIDE"));
    let settings = prefix().join("share/doc/fairspell/examples/line.conf");
    let ran = shell(
        &home,
        &format!("set -a; . '{}'; {start}", settings.display()),
    );
    assert_eq!(
        (ran.code, ran.stdout.as_str(), ran.stderr.as_str()),
        (Some(0), "", "")
    );
    let sent = home.sent().unwrap();
    assert!(
        sent.starts_with("-s\nGO oil\nyou@example.org\nGO dormant oil"),
        "{sent}"
    );
    // Answers end with 1 and 3, which the service takes for success; 2 is a failure.
    assert!(service.lines().any(|line| line == "SuccessExitStatus=1 3"));
}
