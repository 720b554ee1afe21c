//! The plan for reading: first what to set, then what to flip, then what is wrong, then the figures.

use std::collections::HashMap;

use leverlane_core::harp::LeverState;
use leverlane_core::meter::Counting;
use leverlane_core::pitch::{Letter, SpelledPitch};
use leverlane_core::plan::{Flip, Gap, Gesture, Pace, Problem, Proof, Reasons, look_times};
use leverlane_core::score::Score;
use leverlane_formats::Warning;

use super::table::{self, Align};
use super::{repeats, why, words};
use crate::output::Output;
use crate::planned::Planned;
use crate::refusal::Refusal;

/// Writes the whole plan.
pub fn write(planned: &Planned, pace: Pace, output: &mut Output) -> Result<(), Refusal> {
    if !planned.score.title().is_empty() {
        output.line(planned.score.title())?;
    }
    let tempo = planned.tempo.opening().quarters_per_minute();
    output.line(format!("{}; {tempo} quarter notes a minute; {pace} hands", planned.harp.name()))?;

    output.line("\nBefore the first note")?;
    for line in start_lines(planned) {
        output.line(line)?;
    }
    output.line("\nFlips")?;
    for line in flip_lines(planned) {
        output.line(line)?;
    }
    if !planned.plan.problems.is_empty() {
        output.line("\nProblems")?;
    }
    for line in problem_lines(planned) {
        output.line(line)?;
    }
    if !planned.plan.repeats.is_empty() {
        output.line("\nNot alike each time")?;
    }
    for line in planned.plan.repeats.iter().filter_map(|told| repeats::line(planned, told)) {
        output.line(format!("  {line}"))?;
    }
    output.line(format!("\n{}", totals_line(planned)))?;
    output.line(proof_line(planned))?;
    write_warnings(&planned.score, &planned.warnings, output)
}

/// Writes what was read differently from how it stands.
fn write_warnings(score: &Score, warnings: &[Warning], output: &mut Output) -> Result<(), Refusal> {
    if !warnings.is_empty() {
        output.line("\nRead differently from how it is written")?;
    }
    for warning in warnings {
        match warning.bar.and_then(|bar| score.bar(bar)) {
            Some(bar) => output.line(format!("  bar {}: {}", bar.number, warning.reason))?,
            None => output.line(format!("  {}", warning.reason))?,
        }
    }
    Ok(())
}

/// The levers that are up, letter by letter; where the strings of a letter differ, the fewer are named.
fn start_lines(planned: &Planned) -> Vec<String> {
    let mut rows = Vec::new();
    for letter in Letter::ALL {
        let of_letter = |wanted: LeverState| -> Vec<SpelledPitch> {
            let strings = planned.harp.numbered().filter(|(_, string)| string.open.letter() == letter);
            strings
                .filter(|(number, _)| planned.plan.start.of(*number) == wanted)
                .map(|(_, string)| string.sounds(wanted))
                .collect()
        };
        let (up, down) = (of_letter(LeverState::Up), of_letter(LeverState::Down));
        let text = match (up.len(), down.len()) {
            (0, _) => continue,
            (_, 0) => "all up".to_owned(),
            (ups, downs) if downs < ups => format!("all up but {}", pitches(&down)),
            _ => format!("up: {}", pitches(&up)),
        };
        rows.push(vec![letter.to_string(), text]);
    }
    if rows.is_empty() {
        return vec!["  all levers down".to_owned()];
    }
    let mut lines = table::lines(&[Align::Left, Align::Left], &rows);
    lines.push("  all other levers down".to_owned());
    lines
}

fn pitches(pitches: &[SpelledPitch]) -> String {
    pitches.iter().map(SpelledPitch::to_string).collect::<Vec<_>>().join(", ")
}

/// Writes why each flip stands where it stands.
pub fn write_reasons(planned: &Planned, output: &mut Output) -> Result<(), Refusal> {
    output.line("")?;
    output.line("Why")?;
    let request = planned.request();
    let reasons = Reasons::of(&request, &planned.plan);
    for (index, look) in look_times(&request, &planned.plan).iter().enumerate() {
        let said = reasons.why(index).map_or_else(String::new, |why| why::line(planned, &why));
        output.line(format!("  {:>3}. {said}", index + 1))?;
        output.line(format!("       {}", why::look_line(planned, look)))?;
    }
    Ok(())
}

fn flip_lines(planned: &Planned) -> Vec<String> {
    if planned.plan.gestures.is_empty() {
        return vec!["  none".to_owned()];
    }
    let head = ["", "bar", "beat", "hand", "levers", "needs", "has", "top tempo", ""];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (index, gesture) in planned.plan.gestures.iter().enumerate() {
        rows.push(flip_row(planned, index, gesture));
    }
    use Align::{Left, Right};
    table::lines(&[Right, Left, Left, Left, Left, Right, Right, Right, Left], &rows)
}

fn flip_row(planned: &Planned, index: usize, gesture: &Gesture) -> Vec<String> {
    let played = &planned.performance.bars()[gesture.played_bar];
    let levers: Vec<String> = gesture.flips.iter().map(|flip| lever(planned, flip)).collect();
    vec![
        format!("{}.", index + 1),
        words::bar(planned, played),
        words::beat(played.place_of(gesture.at, Counting::Beats)),
        gesture.hand.to_string(),
        levers.join(" + "),
        format!("{:.2} s", gesture.needed.get()),
        gesture.available.map_or_else(|| "any".to_owned(), |available| format!("{:.2} s", available.get())),
        // Rounded down: at the tempo shown the gesture does fit.
        gesture.top_tempo.map_or_else(|| "any".to_owned(), |top| format!("{:.0}", top.quarters_per_minute.floor())),
        if gesture.is_rushed() { "too tight".to_owned() } else { String::new() },
    ]
}

/// `G4 → G♯4 (string 16 up)`.
fn lever(planned: &Planned, flip: &Flip) -> String {
    format!("{} (string {} {})", words::movement(planned, flip), flip.string, flip.to)
}

/// Problems of the same note or gesture that come again stand together: the words once, then every place.
fn problem_lines(planned: &Planned) -> Vec<String> {
    let mut together: Vec<(String, Vec<&Problem>)> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for problem in &planned.plan.problems {
        let complaint = words::complaint(planned, problem);
        let place = *places.entry(complaint.clone()).or_insert(together.len());
        match together.get_mut(place) {
            Some((_, problems)) => problems.push(problem),
            None => together.push((complaint, vec![problem])),
        }
    }
    together.iter().flat_map(|(complaint, problems)| lines_of_problem(planned, complaint, problems)).collect()
}

/// More places than this are only counted.
const PLACES_NAMED: usize = 8;

fn lines_of_problem(planned: &Planned, complaint: &str, problems: &[&Problem]) -> Vec<String> {
    let named: Vec<String> =
        problems.iter().take(PLACES_NAMED).map(|problem| words::moment(planned, problem.at)).collect();
    let mut lines = match problems.len() {
        1 => vec![format!("  {}: {complaint}", named.join(""))],
        many => {
            let unnamed = many.saturating_sub(PLACES_NAMED);
            let more = if unnamed == 0 { String::new() } else { format!("; and {unnamed} times more") };
            vec![format!("  {complaint}, {many} times:"), format!("      {}{more}", named.join("; "))]
        }
    };
    let mut ways: Vec<String> = Vec::new();
    for way in problems.iter().flat_map(|problem| &problem.ways_out) {
        let way = format!("{} ({})", words::way_out(planned, way), words::outcome(planned, way));
        if !ways.contains(&way) {
            ways.push(way);
        }
    }
    lines.extend(ways.into_iter().map(|way| format!("      way out: {way}")));
    lines
}

/// How good the plan is known to be.
fn proof_line(planned: &Planned) -> String {
    match planned.plan.proof {
        Proof::BestPossible => "best possible: no plan is better".to_owned(),
        Proof::Within(Gap { unplayable, .. }) if unplayable > 0 => {
            format!("at the best {unplayable} fewer could be impossible to play")
        }
        Proof::Within(Gap { rushed, .. }) if rushed > 0 => {
            format!("at the best {rushed} fewer could be too tight")
        }
        Proof::Within(Gap { work, .. }) if work > 0 => {
            format!("within {work} of the best possible, flips counting 10 and notes on the neighbouring string 4")
        }
        Proof::Within(Gap { comfort, .. }) => format!("within {comfort} of the least comfort cost possible"),
    }
}

fn totals_line(planned: &Planned) -> String {
    let totals = planned.plan.totals;
    let count = |number: u32, one: &str, many: &str| format!("{number} {}", if number == 1 { one } else { many });
    let gestures = u32::try_from(planned.plan.gestures.len()).unwrap_or(u32::MAX);
    format!(
        "{} in {}, {} too tight; {} on the neighbouring string; {} that can't be played; comfort cost {}",
        count(totals.flips, "flip", "flips"),
        count(gestures, "movement", "movements"),
        totals.rushed,
        count(totals.respelled, "note", "notes"),
        count(totals.unplayable, "note", "notes"),
        totals.comfort
    )
}
