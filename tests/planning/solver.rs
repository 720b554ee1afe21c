//! The planner against a constraint solver (OR-tools' CP-SAT) that decides strings and places together, on bars cut from
//! the two-hand scores of the music21 corpus.
//!
//! A few cuts run always, with LEVERLANE_CORPUS=all some hundreds, with LEVERLANE_CUTS as many as that says. The corpus stays where it is.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

use leverlane_core::harp::Tuning;
use leverlane_core::plan::{Gap, Plan, Proof};
use leverlane_formats::{Limits, import};
use serde_json::Value;

use super::cuts::Cut;

/// Seconds the solver may take for each of its two questions.
const LIMIT: &str = "15";
/// Pieces with more rushed gestures than this keep the solver busy for minutes each; of them some are taken, but only such as our
/// own bound says nothing better of.
const MANY_RUSHED: u32 = 3;
/// One cut in so many may be one of those.
const SHARE_OF_RUSHED: usize = 8;
/// On so many of the cuts the first three criteria must be proved the same where all are asked for.
const LEAST_SAME: usize = 200;
/// Plans that are known to be beaten, by no more than they say themselves. In this one a third lever flipped between two
/// others lets one motion make all three, so that a rushed gesture less remains; nothing tries to flip more (see DEVELOPERS.md).
const KNOWN_BEATEN: [&str; 1] = ["monteverdi/madrigal.5.3.mxl bars 9-16 Bb 80"];

fn python() -> Result<Command, String> {
    if let Ok(reason) = std::env::var("LEVERLANE_PYTHON_MISSING") {
        return Err(reason);
    }
    let interpreter = std::env::var("LEVERLANE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let asked = Command::new(&interpreter).args(["-c", "import ortools, music21"]).output();
    match asked.map_err(|error| error.to_string())? {
        output if output.status.success() => Ok(Command::new(interpreter)),
        output => Err(String::from_utf8_lossy(&output.stderr).lines().last().unwrap_or("").to_owned()),
    }
}

/// Two-hand scores of the corpus, in the order of their names.
fn scores() -> Result<Vec<PathBuf>, String> {
    let where_it_is = "import music21, pathlib; print(pathlib.Path(music21.__file__).parent / 'corpus')";
    let output = python()?.args(["-c", where_it_is]).output().map_err(|error| error.to_string())?;
    let folder = PathBuf::from(String::from_utf8_lossy(&output.stdout).trim());
    let mut found = Vec::new();
    let mut folders = vec![folder];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).map_err(|error| error.to_string())?.flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|kind| kind == "mxl" || kind == "xml" || kind == "musicxml") {
                found.push(path);
            }
        }
    }
    found.sort();
    Ok(found)
}

/// So many cuts of 8, 12 or 16 bars that need flips, tunings and tempos by turns; few of them with many rushed gestures.
fn cuts(wanted: usize) -> Result<Vec<(Cut, Plan, f64)>, String> {
    let (mut cuts, mut rushed) = (Vec::new(), 0);
    let scores = scores()?;
    // Every so many-th file, and round again at other bars, so that a few cuts too come from different music.
    for round in 0..40 {
        for path in scores.iter().skip(round % 5).step_by(5) {
            let Ok(bytes) = std::fs::read(path) else { continue };
            if bytes.len() > 200_000 {
                continue;
            }
            let Ok(imported) = import(&bytes, &Limits::USUAL) else { continue };
            let turn = cuts.len();
            let length = [8, 8, 12, 8, 8, 16][turn % 6];
            let from = round / 5 * 8;
            if from + length > imported.score.bars().len() {
                continue;
            }
            let (tuning, bpm) = (Tuning::ALL[turn % 5], [40.0, 80.0, 120.0][turn / 5 % 3]);
            // Many a file is called movement1: its folder tells it from the others.
            let named: Vec<_> = path.iter().rev().take(2).map(|part| part.to_string_lossy()).collect();
            let name = named.into_iter().rev().collect::<Vec<_>>().join("/");
            let Some(cut) = Cut::of(&name, &imported.score, from..from + length, tuning, bpm) else { continue };
            let started = Instant::now();
            let plan = cut.plan();
            let seconds = started.elapsed().as_secs_f64();
            let many_rushed = plan.totals.rushed > MANY_RUSHED;
            if many_rushed && (plan.proof != Proof::BestPossible || rushed * SHARE_OF_RUSHED > turn) {
                continue;
            }
            if plan.totals.flips > 0 && cut.performance.plucks().len() <= 150 {
                rushed += usize::from(many_rushed);
                cuts.push((cut, plan, seconds));
                if cuts.len() == wanted {
                    return Ok(cuts);
                }
            }
        }
    }
    Ok(cuts)
}

#[test]
fn plans_are_as_good_as_a_solvers() {
    let all = std::env::var("LEVERLANE_CORPUS").is_ok_and(|wanted| wanted == "all");
    let wanted = std::env::var("LEVERLANE_CUTS").ok().and_then(|count| count.parse().ok());
    let wanted = wanted.unwrap_or(if all { 280 } else { 4 });
    let cuts = match cuts(wanted) {
        Ok(cuts) => cuts,
        Err(reason) => {
            println!("skipped: OR-tools and music21 can't be had ({reason}); they come with pip, given a network");
            return;
        }
    };
    assert_eq!(cuts.len(), wanted, "the corpus has enough two-hand music");
    let mut solver = python()
        .unwrap()
        .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/planning/joint_optimum.py"))
        .arg(LIMIT)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("Python runs");
    let mut to = solver.stdin.take().expect("piped");
    let asked: String = cuts.iter().map(|(cut, plan, _)| format!("{}\n", cut.told(plan))).collect();
    let writer = std::thread::spawn(move || to.write_all(asked.as_bytes()));
    let mut tally = Tally { said: said_of_themselves(&cuts), ..Tally::default() };
    for (line, (cut, plan, seconds)) in BufReader::new(solver.stdout.take().expect("piped")).lines().zip(&cuts) {
        let answer: Value = serde_json::from_str(&line.expect("text")).expect("a line of JSON");
        assert_eq!(answer["name"], cut.name);
        tally.count(cut, plan, *seconds, &answer);
    }
    writer.join().expect("no panic").expect("the solver reads its input");
    assert!(solver.wait().expect("the solver ends").success());
    println!("{}", tally.report(cuts.len()));
    assert_eq!(tally.belied, 0, "the solver found something better than a plan says there can be:\n{}", tally.table);
    assert!(!all || tally.same >= LEAST_SAME, "as good on {} of {}", tally.same, cuts.len());
    let unknown: Vec<&String> = tally.beaten.iter().filter(|name| !KNOWN_BEATEN.contains(&name.as_str())).collect();
    assert!(unknown.is_empty(), "the solver found something better than {unknown:?}:\n{}", tally.table);
    assert_eq!(tally.impossible, 0, "the solver says our plans can't be so good:\n{}", tally.table);
}

/// How good the plans say they are: how many are proved the best, and the gaps that the others leave.
fn said_of_themselves(cuts: &[(Cut, Plan, f64)]) -> String {
    let best = cuts.iter().filter(|(_, plan, _)| plan.proof == Proof::BestPossible).count();
    let many = cuts.iter().filter(|(_, plan, _)| plan.totals.rushed > MANY_RUSHED).count();
    let mut gaps: BTreeMap<(&str, u32), usize> = BTreeMap::new();
    for (_, plan, _) in cuts {
        if let Proof::Within(Gap { unplayable, rushed, work, comfort }) = plan.proof {
            let figures = [("unplayable", unplayable), ("rushed", rushed), ("work", work), ("comfort", comfort)];
            let gap = figures.into_iter().find(|&(_, gap)| gap > 0).expect("a gap is somewhere");
            *gaps.entry(gap).or_default() += 1;
        }
    }
    let gaps: Vec<String> = gaps.iter().map(|((what, gap), count)| format!("{what} {gap}: {count}")).collect();
    format!("{many} with more than {MANY_RUSHED} rushed; proved the best {best}; within {}", gaps.join(", "))
}

/// Whether a plan says of itself that another may come to this: its first figure that differs is no farther off than the gap.
fn allows(plan: &Plan, other: [u32; 4]) -> bool {
    let Proof::Within(Gap { unplayable, rushed, work, comfort }) = plan.proof else { return false };
    let (a, b, c, d) = plan.totals.rank();
    let figures = [a, b, c, d].into_iter().zip(other).zip([unplayable, rushed, work, comfort]);
    let first = figures.into_iter().find(|((ours, theirs), gap)| ours != theirs || *gap > 0);
    first.is_some_and(|((ours, theirs), gap)| ours <= theirs + gap)
}

#[derive(Default)]
struct Tally {
    /// What the plans say of themselves.
    said: String,
    table: String,
    solved: usize,
    /// The first three criteria are the same.
    same: usize,
    comfort_solved: usize,
    beaten: Vec<String>,
    /// Beaten by more than the plan says is possible.
    belied: usize,
    impossible: usize,
    /// Seconds of ours and of the solver's for each cut at which both found the same optimum, comfort too.
    equal: Vec<(f64, f64)>,
}

impl Tally {
    fn count(&mut self, cut: &Cut, plan: &Plan, seconds: f64, answer: &Value) {
        let (unplayable, rushed, work, comfort) = plan.totals.rank();
        let ours = [unplayable, rushed, work];
        let Some(first) = answer["first"].as_array() else {
            self.row(cut, plan, "not solved in time");
            return;
        };
        self.solved += 1;
        let first: Vec<u32> = first.iter().map(|count| count.as_u64().unwrap() as u32).collect();
        if first[..] != ours {
            let better = first[..] < ours[..];
            self.beaten.extend(better.then(|| cut.name.clone()));
            self.impossible += usize::from(!better);
            self.belied += usize::from(better && !allows(plan, [first[0], first[1], first[2], 0]));
            self.row(cut, plan, &format!("ours {ours:?}, the solver's {first:?}"));
            return;
        }
        self.same += 1;
        match (answer["comfort"].as_u64(), answer["comfort"].is_string()) {
            (Some(best), _) => {
                self.comfort_solved += 1;
                if best < u64::from(comfort) {
                    self.beaten.push(cut.name.clone());
                    self.belied += usize::from(!allows(plan, [unplayable, rushed, work, best as u32]));
                    self.row(cut, plan, &format!("comfort {comfort}, the solver's {best}"));
                } else {
                    self.equal.push((seconds, answer["seconds"].as_f64().expect("seconds")));
                }
            }
            (None, true) => {
                self.impossible += 1;
                self.row(cut, plan, &format!("comfort {comfort}, which the solver can't reach"));
            }
            (None, false) => {}
        }
    }

    fn row(&mut self, cut: &Cut, plan: &Plan, said: &str) {
        println!("{}: {said} ({:?})", cut.name, plan.proof);
        writeln!(self.table, "{}: {said} ({:?})", cut.name, plan.proof).expect("text grows");
    }

    fn report(&self, cuts: usize) -> String {
        let (ours, theirs) = self.equal.iter().fold((0.0, 0.0), |(a, b), &(ours, theirs)| (a + ours, b + theirs));
        let mut ratios: Vec<f64> = self.equal.iter().map(|&(ours, theirs)| theirs / ours).collect();
        ratios.sort_by(f64::total_cmp);
        let median = ratios.get(ratios.len() / 2).copied().unwrap_or(f64::NAN);
        format!(
            "{}{cuts} cuts, {}.\nThe solver solved {}, the first three criteria the same on {}, and comfort of {} of them.\nAt the same optimum (wanted: at least 100 times faster) the solver \
             takes {theirs:.1} s and the planner {ours:.3} s: {:.0} times, by the median of the cuts {median:.0} times",
            self.table,
            self.said,
            self.solved,
            self.same,
            self.comfort_solved,
            theirs / ours,
        )
    }
}
