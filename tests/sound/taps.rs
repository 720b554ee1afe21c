//! The latency by taps, through devices: a loop that hands on what it hears, and then taps with every click that it hears.

use std::io::{Read, Write};
use std::process::{ChildStdin, ChildStdout, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use leverlane_listening::{Ears, Loudspeaker, Order, Route, TapCount, Told, start};
use leverlane_sound::capture::ChannelChoice;
use leverlane_sound::latency::MeasuredBy;
use leverlane_sound::{Mix, Player};

use super::in_one_round;
use super::server::{Ends, MICROPHONE, RATE, command, installed, passed, server, this_test, until, use_pulse};

/// How early taps are taken to come, as musicians do (10 to 30 ms, from memory): the loop's don't.
const EARLY: f64 = 0.02;
/// How far the two measurements may differ beside that: the resolution of attacks, and the pipe's blocks.
const WITHIN: f64 = 0.008;
/// Frames that are handed on at once, 5 ms of them.
const BLOCK: usize = RATE as usize / 200;
/// A click is heard from this on, and lasts no longer than so many samples.
const LOUD: f32 = 0.02;
const LASTS: usize = RATE as usize / 5;

/// Sweeps through the loop tell how long it takes; the taps that it then makes at the clicks tell the same.
#[test]
fn taps_tell_the_latency_that_sweeps_tell() {
    if !installed(&["pulseaudio", "pactl", "parec", "pacat"]) {
        return;
    }
    let _alone = super::alone();
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    use_pulse(home);
    let _server = server(home, &["drill", "mic"]);
    assert!(command("pactl", home).args(["set-default-sink", "drill"]).status().unwrap().success());
    in_one_round(|| passed(&mut this_test("taps::child_measures_twice", home)).map(drop));
}

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs two sinks; run by the test of taps"]
fn child_measures_twice() {
    let taps = Arc::new(AtomicBool::new(false));
    let _loop = pipe(&taps);
    let listening = start(None, || ()).unwrap();
    let mut player = Player::open(Mix::default()).unwrap();
    let name = player.device_name().to_owned();
    listening.order(Order::Overhear(Loudspeaker { overhearing: player.overhear().unwrap(), name }));
    let ears =
        Ears { microphone: Some(MICROPHONE.to_owned()), channel: ChannelChoice::Automatic, route: Route::Loudspeaker };
    listening.order(Order::Listen(ears));
    let mut measured = |by: MeasuredBy| {
        listening.order(Order::Measure(by));
        let mut found = None;
        until(|| {
            for told in listening.told() {
                match told {
                    Told::Play(probes) => player.play_probes(probes).unwrap(),
                    Told::Measured(result) => found = Some(result.unwrap()),
                    Told::Tapped(result) => found = Some(result.unwrap()),
                    Told::Refused(error) => panic!("{error}"),
                    _ => {}
                }
            }
            found.is_some()
        });
        found.unwrap()
    };
    let by_sweeps = measured(MeasuredBy::Sweeps);
    taps.store(true, Ordering::Relaxed);
    let by_taps = measured(MeasuredBy::Taps);
    println!("{by_sweeps:?}, {by_taps:?}");
    assert_eq!(by_taps.by, MeasuredBy::Taps);
    let more = by_taps.seconds.get() - by_sweeps.seconds.get();
    assert!((more - EARLY).abs() < WITHIN, "{more} s more by taps");
}

/// Hands the drill's sound on to the microphone, or, once it is to tap, a knock for every click after those that are only
/// listened to.
fn pipe(taps: &Arc<AtomicBool>) -> [Ends; 2] {
    let raw = ["--raw", "--format=float32le", "--channels=1", "--latency-msec=10"];
    let rate = format!("--rate={RATE}");
    let home = std::env::var_os("HOME").unwrap();
    let spawn = |program: &str, device: &str, stdin: Stdio, stdout: Stdio| {
        let mut command = command(program, home.as_ref());
        command.args(raw).args([&rate, device]).stdin(stdin).stdout(stdout).stderr(Stdio::null());
        Ends(command.spawn().unwrap())
    };
    let mut from = spawn("parec", "--device=drill.monitor", Stdio::null(), Stdio::piped());
    let mut to = spawn("pacat", "--device=mic", Stdio::piped(), Stdio::null());
    let (heard, told, taps) = (from.0.stdout.take().unwrap(), to.0.stdin.take().unwrap(), Arc::clone(taps));
    thread::spawn(move || hand_on(heard, told, &taps));
    [from, to]
}

fn hand_on(mut heard: ChildStdout, mut told: ChildStdin, taps: &AtomicBool) {
    let mut bytes = [0; 4 * BLOCK];
    // How long since the last click began, and how many there were.
    let (mut since, mut clicks) = (usize::MAX / 2, 0);
    // Both ends are closed when the test ends.
    while heard.read_exact(&mut bytes).is_ok() {
        if taps.load(Ordering::Relaxed) {
            for sample in bytes.chunks_exact_mut(4) {
                let loud = f32::from_le_bytes([sample[0], sample[1], sample[2], sample[3]]).abs() > LOUD;
                since += 1;
                if loud && since > LASTS {
                    (since, clicks) = (0, clicks + 1);
                }
                let knock = if clicks > TapCount::LISTENED { knock(since) } else { 0.0 };
                sample.copy_from_slice(&knock.to_le_bytes());
            }
        }
        if told.write_all(&bytes).is_err() {
            return;
        }
    }
}

/// A knuckle on wood, so many samples after it began.
fn knock(since: usize) -> f32 {
    let time = since as f32 / RATE as f32;
    0.5 * (-40.0 * time).exp() * (std::f32::consts::TAU * 180.0 * time).sin()
}
