//! Which tests come by a mutant, and whether one of them fails with it.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::weave::Mutant;

/// A test by itself.
#[derive(Debug, Clone)]
pub struct Test {
    program: PathBuf,
    /// The command line's program, built before, so that no test asks cargo for it.
    fairspell: PathBuf,
    name: String,
}

/// What a test does without a mutant.
struct Known {
    test: Test,
    seconds: f64,
    comes_by: BTreeSet<usize>,
}

/// What became of a mutant.
#[derive(Debug, Serialize, Deserialize)]
struct Found {
    name: String,
    /// `caught`, `endless` (a test did not end), `survived`, `unseen` (no test comes by it) or `unviable`.
    outcome: String,
    /// The test that failed.
    by: Option<String>,
    /// Tests that passed with it.
    passed: usize,
    /// Tests that were left out for want of time.
    left_out: usize,
}

/// Tests that look at the sources, the packages or other languages: no fault of the engine shows in them sooner.
const LEFT_OUT: [&str; 9] = [
    "c_",
    "python",
    "public_api",
    "third_party",
    "install",
    "send_line",
    "packages",
    "modules",
    "fuzz",
];

/// All tests of these programs.
pub fn tests(programs: Vec<PathBuf>, fairspell: &Path) -> Result<Vec<Test>> {
    let mut tests = Vec::new();
    for program in programs {
        let file = program
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default()
            .to_owned();
        if LEFT_OUT.iter().any(|start| file.starts_with(start)) {
            continue;
        }
        let output = Command::new(&program)
            .args(["--list", "--format", "terse"])
            .output()?;
        for line in String::from_utf8(output.stdout)?.lines() {
            if let Some(name) = line.strip_suffix(": test") {
                tests.push(Test {
                    program: program.clone(),
                    fairspell: fairspell.to_owned(),
                    name: name.to_owned(),
                });
            }
        }
    }
    Ok(tests)
}

/// How a test ended.
#[derive(Debug, PartialEq, Eq)]
enum End {
    Passed,
    Failed,
    Endless,
}

impl Test {
    fn start(&self, copy: &Path, variables: &[(&str, String)]) -> Result<Child> {
        let mut command = Command::new(&self.program);
        command
            .args(["--exact", &self.name, "--test-threads", "1"])
            .current_dir(copy.join(self.folder()));
        command
            .env_remove("CI")
            .env("FAIRSPELL_BUILT", &self.fairspell)
            .env("CARGO_MANIFEST_DIR", copy.join(self.folder()));
        for (name, value) in variables {
            command.env(name, value);
        }
        Ok(command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .stdin(Stdio::null())
            .spawn()?)
    }

    fn folder(&self) -> &'static str {
        let file = self
            .program
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default();
        if file.starts_with("fairspell-") {
            "core"
        } else {
            "tests"
        }
    }

    fn run(&self, copy: &Path, variables: &[(&str, String)], most: Duration) -> Result<End> {
        let mut child = self.start(copy, variables)?;
        let started = Instant::now();
        loop {
            if let Some(status) = child.try_wait()? {
                return Ok(if status.success() {
                    End::Passed
                } else {
                    End::Failed
                });
            }
            if started.elapsed() > most {
                child.kill()?;
                child.wait()?;
                return Ok(End::Endless);
            }
            thread::sleep(Duration::from_millis(
                if started.elapsed().as_millis() < 100 {
                    2
                } else {
                    20
                },
            ));
        }
    }
}

/// Runs a task for each item on all cores, in the order of the list.
fn on_all_cores<T: Sync>(items: &[T], task: impl Fn(&T) -> Result<()> + Sync) -> Result<()> {
    let next = AtomicUsize::new(0);
    let failed = Mutex::new(None);
    let threads = thread::available_parallelism().map_or(1, |count| count.get());
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(item) = items.get(next.fetch_add(1, Ordering::Relaxed)) {
                    if let Err(error) = task(item) {
                        *failed.lock().unwrap() = Some(error.to_string());
                        return;
                    }
                }
            });
        }
    });
    failed
        .into_inner()
        .unwrap()
        .map_or(Ok(()), |error| Err(error.into()))
}

/// What each test takes and comes by. A test that fails without a mutant is left out, and said.
fn known(tests: Vec<Test>, folder: &Path) -> Result<Vec<Known>> {
    let copy = folder.join("main");
    let all = Mutex::new(Vec::new());
    on_all_cores(&tests, |test| {
        let count = test.name.replace("::", "-");
        let program = test
            .program
            .file_name()
            .and_then(|name| name.to_str())
            .unwrap_or_default();
        let seen = folder.join(format!("seen-{program}-{count}"));
        let _ = fs::remove_file(&seen);
        let variables = [("FAIRSPELL_MUTANTS_SEEN", seen.display().to_string())];
        let started = Instant::now();
        let end = test.run(&copy, &variables, Duration::from_secs(600))?;
        let seconds = started.elapsed().as_secs_f64();
        let text = fs::read_to_string(&seen).unwrap_or_default();
        let _ = fs::remove_file(&seen);
        if end != End::Passed {
            println!(
                "left out: {program} {} ended {end:?} without a mutant",
                test.name
            );
            return Ok(());
        }
        let comes_by = text.lines().filter_map(|line| line.parse().ok()).collect();
        all.lock().unwrap().push(Known {
            test: test.clone(),
            seconds,
            comes_by,
        });
        Ok(())
    })?;
    let mut all = all.into_inner().unwrap();
    all.sort_by(|one, other| one.seconds.total_cmp(&other.seconds));
    Ok(all)
}

/// How often each test has caught a mutant of a function: those that did are tried first on the next of it.
#[derive(Default)]
struct Catches(Mutex<BTreeMap<String, BTreeMap<String, usize>>>);

impl Catches {
    /// The function of a mutant, as its name says it.
    fn function(name: &str) -> &str {
        name.rsplit_once(" in ")
            .map_or(name, |(_, function)| function)
    }

    fn note(&self, found: &Found) {
        if let Some(test) = &found.by {
            let mut all = self.0.lock().unwrap();
            let of_function = all.entry(Self::function(&found.name).to_owned());
            *of_function.or_default().entry(test.clone()).or_default() += 1;
        }
    }

    fn of(&self, name: &str) -> BTreeMap<String, usize> {
        let all = self.0.lock().unwrap();
        all.get(Self::function(name)).cloned().unwrap_or_default()
    }
}

/// Tries every mutant that was not tried before.
pub fn all(
    mutants: &[Mutant],
    unviable: &BTreeSet<usize>,
    tests: Vec<Test>,
    folder: &Path,
    seconds: f64,
) -> Result<()> {
    let path = folder.join("found.jsonl");
    let mut before: BTreeMap<String, Found> = BTreeMap::new();
    for line in fs::read_to_string(&path).unwrap_or_default().lines() {
        let found: Found = serde_json::from_str(line)?;
        before.insert(found.name.clone(), found);
    }
    let catches = Catches::default();
    before.values().for_each(|found| catches.note(found));
    let tests = known(tests, folder)?;
    println!("{} tests", tests.len());
    let record = Mutex::new(
        fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(&path)?,
    );
    let numbers: Vec<usize> = (0..mutants.len())
        .filter(|number| !before.contains_key(&mutants[*number].name))
        .collect();
    on_all_cores(&numbers, |number| {
        let found = if unviable.contains(number) {
            let (by, passed, left_out) = (None, 0, 0);
            Found {
                name: mutants[*number].name.clone(),
                outcome: "unviable".into(),
                by,
                passed,
                left_out,
            }
        } else {
            let name = &mutants[*number].name;
            let caught = catches.of(name);
            let mut tests: Vec<&Known> = tests
                .iter()
                .filter(|known| known.comes_by.contains(number))
                .collect();
            tests.sort_by_key(|known| Reverse(caught.get(&known.test.name)));
            tried((*number, name), &tests, folder, seconds)?
        };
        catches.note(&found);
        let line = serde_json::to_string(&found)? + "\n";
        record.lock().unwrap().write_all(line.as_bytes())?;
        if found.outcome == "survived" || found.outcome == "unseen" {
            println!(
                "{}: {} ({} passed)",
                found.outcome, found.name, found.passed
            );
        }
        Ok(())
    })?;
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for line in fs::read_to_string(&path)?.lines() {
        let found: Found = serde_json::from_str(line)?;
        *counts.entry(found.outcome).or_default() += 1;
    }
    println!("{counts:?}");
    Ok(())
}

fn tried(
    (number, name): (usize, &str),
    tests: &[&Known],
    folder: &Path,
    seconds: f64,
) -> Result<Found> {
    let (mut passed, mut left_out, mut spent) = (0, 0, 0.0);
    let variables = [("FAIRSPELL_MUTANT", number.to_string())];
    for known in tests {
        if spent + known.seconds > seconds {
            left_out += 1;
            continue;
        }
        // Generous: other work on the machine makes no mutant endless.
        let most = Duration::from_secs_f64(10.0 + 20.0 * known.seconds);
        let end = known.test.run(&folder.join("main"), &variables, most)?;
        spent += known.seconds;
        let outcome = match end {
            End::Passed => {
                passed += 1;
                continue;
            }
            End::Failed => "caught",
            End::Endless => "endless",
        };
        let by = Some(known.test.name.clone());
        return Ok(Found {
            name: name.to_owned(),
            outcome: outcome.into(),
            by,
            passed,
            left_out,
        });
    }
    let outcome = if passed + left_out == 0 {
        "unseen"
    } else {
        "survived"
    };
    Ok(Found {
        name: name.to_owned(),
        outcome: outcome.into(),
        by: None,
        passed,
        left_out,
    })
}
