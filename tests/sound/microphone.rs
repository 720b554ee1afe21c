//! A microphone that the system offers: the monitors of a private PulseAudio server's null sinks.

use std::io::{BufRead, BufReader};
use std::process::Stdio;

use leverlane_sound::capture::{ChannelChoice, Microphone, microphones};
use leverlane_sound::latency::{RunState, SweepRun};
use leverlane_sound::{ClickSound, MicrophoneError, Mix, Player, Repeat, Sounding, Volume};

use super::in_one_round;
use super::onsets::{nearest, onsets};
use super::piece;
use super::server::{
    MICROPHONE, RATE, add_sink, command, installed, passed, server, this_test, unload, until, use_pulse,
};

/// Clicks that are waited for.
const CLICKS: usize = 12;
/// Quarters a minute: a quarter lasts 60 / 205 = 12 / 41 s.
const TEMPO: f64 = 205.0;

/// Runs a test where the loudspeaker's own monitor is the microphone.
fn pass_on_own_monitor(child: &str) {
    let _alone = super::alone();
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    use_pulse(home);
    let _server = server(home, &["drill"]);
    assert!(command("pactl", home).args(["set-default-source", "drill.monitor"]).status().unwrap().success());
    in_one_round(|| passed(&mut this_test(child, home)).map(drop));
}

/// The loudspeaker's own monitor is the microphone: every click comes back, on its sample, and nothing is lost.
#[test]
fn a_microphone_hears_every_click_in_its_place() {
    if !installed(&["pulseaudio", "pactl"]) {
        return;
    }
    pass_on_own_monitor("microphone::child_hears_clicks");
}

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs a loop; run by the test of the microphone"]
fn child_hears_clicks() {
    let mut microphone = Microphone::open(None, ChannelChoice::Automatic).unwrap();
    assert_eq!(microphone.rate().get(), RATE, "the usual rate");
    let mix = Mix { cue: Volume::SILENT, left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..Mix::default() };
    let mut player = Player::open(mix).unwrap();
    player.load(&piece::timeline(TEMPO), ClickSound::Usual).unwrap();
    player.start(Repeat::Endless).unwrap();
    let mut heard = Vec::new();
    let mut found = Vec::new();
    until(|| {
        assert_eq!(microphone.loss(), None);
        while let Some(block) = microphone.next_block() {
            assert_eq!((block.first.get(), block.missing), (heard.len() as u64, 0));
            heard.extend_from_slice(block.samples);
        }
        found = onsets(heard.iter().map(|sample| sample.abs() < 1e-6), RATE as usize / 20);
        found.len() > CLICKS
    });
    for (count, &onset) in found.iter().enumerate() {
        let exact = nearest(count as i128 * 12 * i128::from(RATE), 41);
        let off = (onset - found[0]).abs_diff(exact);
        assert!(off <= 1, "click {count} is {off} samples away from its place after the first");
    }
    assert_eq!((microphone.troubles().dropped, microphone.overruns()), (0, 0));
}

/// The microphone is pulled out and put in again: told, and picked up under its name.
#[test]
fn a_microphone_that_is_pulled_out_is_told_and_picked_up_again() {
    if !installed(&["pulseaudio", "pactl"]) {
        return;
    }
    let _alone = super::alone();
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    use_pulse(home);
    // No other source: the server would move the stream to it, and the microphone would go on, only elsewhere.
    let _server = server(home, &[]);
    let mut module = add_sink(home, "mic");
    let mut child =
        this_test("microphone::child_loses_it", home).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut told = Vec::new();
    for line in lines.map_while(Result::ok) {
        if line.ends_with(HEARING) {
            unload(home, &module);
        } else if line.starts_with(MISSED) {
            module = add_sink(home, "mic");
        }
        told.push(line);
    }
    assert!(child.wait().unwrap().success(), "{told:?}");
    assert!(told.iter().any(|line| line.starts_with(MISSED)), "{told:?}");
}

const HEARING: &str = "hearing";
const MISSED: &str = "missed";

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs a microphone that vanishes; run by the test of its loss"]
fn child_loses_it() {
    let names = microphones().unwrap();
    assert!(names.iter().any(|name| name.shown() == MICROPHONE), "{names:?}");
    assert!(names.iter().all(|name| name.id() != "alsa:null"));
    let Err(error) = Microphone::open(Some("Piano microphone"), ChannelChoice::Automatic) else {
        panic!("there is no such microphone")
    };
    assert!(matches!(&error, MicrophoneError::NotFound { .. }) && error.to_string().contains(MICROPHONE), "{error}");
    let mut microphone = Microphone::open(Some(MICROPHONE), ChannelChoice::Automatic).unwrap();
    until(|| microphone.delivered().get() > u64::from(RATE));
    println!("{HEARING}");
    until(|| microphone.loss().is_some());
    // What came before is still there to be read, whole.
    let mut read = 0;
    while let Some(block) = microphone.next_block() {
        assert_eq!(block.missing, 0);
        read += block.samples.len() as u64;
    }
    assert_eq!(read, microphone.delivered().get());
    assert!(read > u64::from(RATE));
    println!("{MISSED}: {}", microphone.loss().unwrap());
    until(|| microphone.reopen().is_ok());
    until(|| microphone.delivered().get() > u64::from(RATE));
    assert_eq!(microphone.loss(), None);
}

/// Sweeps through the loudspeaker's own monitor: afterwards every click is heard on the very sample on which it is said
/// to be, whatever the sound server's callbacks do.
#[test]
fn latency_is_measured_through_a_device() {
    if !installed(&["pulseaudio", "pactl"]) {
        return;
    }
    pass_on_own_monitor("microphone::child_measures");
}

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs a loop; run by the test of the latency"]
fn child_measures() {
    let mut microphone = Microphone::open(None, ChannelChoice::Automatic).unwrap();
    let mut player = Player::open(Mix::default()).unwrap();
    let mut overhearing = player.overhear().unwrap();
    let mut run = SweepRun::new(&mut overhearing, &mut microphone);
    let mut latency = None;
    until(|| match run.step(&mut overhearing, &mut microphone, |sweeps| player.play_probes(sweeps).unwrap()) {
        RunState::Running(_) => false,
        RunState::Over(over) => {
            latency = Some(over.unwrap());
            true
        }
    });
    let latency = latency.unwrap();
    println!("{latency:?}");
    // Behind a server the way is some tens of milliseconds long; none of the seven sweeps is lost in a perfect loop.
    assert!(latency.clear == 7 && (0.0..0.5).contains(&latency.seconds.get()), "{latency:?}");
    let clocks = run.into_clocks();
    let mut played = Vec::new();
    let (mut heard, mut first) = (Vec::new(), None);
    let clicks = Mix { cue: Volume::SILENT, left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..Mix::default() };
    player.set_mix(clicks).unwrap();
    player.load(&piece::timeline(TEMPO), ClickSound::Usual).unwrap();
    player.start(Repeat::Endless).unwrap();
    let mut found = Vec::new();
    until(|| {
        while let Some(sound) = overhearing.monitor().next_sound() {
            played.extend(matches!(sound.what, Sounding::Click(_)).then_some(sound.at));
        }
        while let Some(block) = microphone.next_block() {
            first.get_or_insert(block.first.get());
            heard.extend_from_slice(block.samples);
        }
        found = onsets(heard.iter().map(|sample| sample.abs() < 1e-6), RATE as usize / 20);
        found.len() >= CLICKS
    });
    for (&click, &onset) in played.iter().zip(&found) {
        let said = clocks.heard_when_played(click).unwrap().get();
        let off = said.abs_diff(first.unwrap() + onset as u64);
        assert!(off <= 2, "a click is heard {off} samples from where it is said to be");
    }
}
