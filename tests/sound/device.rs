//! The device that the system offers: a private PulseAudio server with a null sink, recorded from its monitor; and a
//! machine without any.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::process::{ChildStdout, Stdio};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use leverlane_sound::{ClickSound, Mix, Player, Repeat, SoundError, Volume};

use super::onsets::{nearest, onsets};
use super::piece;
use super::server::{Ends, RATE, command, installed, passed, server, this_test, until, use_pulse};

/// How long is played.
const SECONDS: u64 = 60;
/// Quarters a minute: a quarter lasts 60 / 61.5 = 40 / 41 s.
const TEMPO: f64 = 61.5;

/// Reads the recording to its end; says through the channel when it has begun.
fn record(mut sound: ChildStdout, begun: &mpsc::Sender<()>) -> Vec<f32> {
    let mut bytes = Vec::new();
    let mut buffer = [0; 65_536];
    loop {
        match sound.read(&mut buffer) {
            Ok(0) | Err(_) => break,
            Ok(read) => {
                bytes.extend_from_slice(&buffer[..read]);
                begun.send(()).ok();
            }
        }
    }
    bytes.chunks_exact(4).map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]])).collect()
}

#[test]
fn a_real_device_gets_every_click_within_one_sample_for_a_minute() {
    if !installed(&["pulseaudio", "pactl", "parec"]) {
        return;
    }
    let _alone = super::alone();
    super::in_one_round(play_a_minute);
}

/// Every click of the minute in its place, or what went wrong.
fn play_a_minute() -> Result<(), String> {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    use_pulse(home);
    let _server = server(home, &["drill"]);
    let recorder = command("parec", home)
        .args(["--device=drill.monitor", "--format=float32le", "--channels=1", "--raw"])
        .arg(format!("--rate={RATE}"))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut recorder = Ends(recorder);
    let sound = recorder.0.stdout.take().unwrap();
    let (begun_in, begun) = mpsc::channel();
    let recording = thread::spawn(move || record(sound, &begun_in));
    begun.recv_timeout(Duration::from_secs(30)).expect("the monitor gives no sound");
    let played = passed(&mut this_test("device::child_plays_a_minute", home));
    drop(recorder);
    let samples = recording.join().unwrap();
    played?;

    let found = onsets(samples.iter().map(|sample| sample.abs() < 1e-6), RATE as usize / 20);
    let least = (SECONDS as f64 * TEMPO / 60.0) as usize - 1;
    if found.len() < least {
        return Err(format!("{} clicks, expected {least}", found.len()));
    }
    // The last may be cut off where the child ends.
    for (count, &onset) in found[..least].iter().enumerate() {
        let exact = nearest(count as i128 * 40 * i128::from(RATE), 41);
        let off = (onset - found[0]).abs_diff(exact);
        if off > 1 {
            return Err(format!("click {count} is {off} samples away from its place after the first"));
        }
    }
    Ok(())
}

/// Run by the test above, in its environment.
#[test]
#[ignore = "plays for a minute; run by the test of the device"]
fn child_plays_a_minute() {
    let mix = Mix { cue: Volume::SILENT, left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..Mix::default() };
    let mut player = Player::open(mix).unwrap();
    assert_eq!(player.rate().get(), RATE, "the device's own rate");
    player.load(&piece::timeline(TEMPO), ClickSound::Usual).unwrap();
    player.start(Repeat::Endless).unwrap();
    // By the count of samples: 4 quarters of count-in and passes of 12 quarters.
    let quarters_played = |player: &mut Player| {
        player.position().map_or(0.0, |position| 4.0 + 12.0 * position.pass as f64 + position.at.quarters())
    };
    until(|| {
        assert_eq!(player.troubles().loss, None);
        quarters_played(&mut player) > SECONDS as f64 * TEMPO / 60.0 + 1.0
    });
    let troubles = player.troubles();
    assert_eq!((troubles.underruns, troubles.overfull), (0, 0));
}

/// The server ends while the drill plays, and comes back: the loss is told, and the new device picked up.
#[test]
fn a_lost_device_is_told_and_can_be_picked_up_again() {
    if !installed(&["pulseaudio", "pactl"]) {
        return;
    }
    let _alone = super::alone();
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    use_pulse(home);
    let mut running = Some(server(home, &["drill"]));
    let mut child =
        this_test("device::child_loses_its_device", home).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut told = Vec::new();
    for line in lines.map_while(Result::ok) {
        if line.ends_with(PLAYING) {
            running = None;
        } else if line.starts_with(LOST) {
            fs::remove_file(home.join("socket")).ok();
            running = Some(server(home, &["drill"]));
        }
        told.push(line);
    }
    assert!(child.wait().unwrap().success(), "{told:?}");
    assert!(told.iter().any(|line| line.starts_with(LOST)), "{told:?}");
    drop(running);
}

const PLAYING: &str = "playing";
const LOST: &str = "lost";

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs a device that vanishes; run by the test of its loss"]
fn child_loses_its_device() {
    let mut player = Player::open(Mix::default()).unwrap();
    player.load(&piece::timeline(200.0), ClickSound::Usual).unwrap();
    player.start(Repeat::Endless).unwrap();
    until(|| player.position().is_some_and(|position| position.pass > 0));
    println!("{PLAYING}");
    until(|| player.troubles().loss.is_some());
    println!("{LOST}: {}", player.troubles().loss.unwrap());
    until(|| player.reopen().is_ok());
    assert_eq!(player.troubles().loss, None);
    assert_eq!(player.position(), None, "nothing plays again by itself");
    player.start(Repeat::Endless).unwrap();
    until(|| player.position().is_some_and(|position| position.pass > 0));
}

#[test]
fn a_machine_without_sound_gets_a_clear_message() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    // A sound system that knows of no device at all.
    let empty = home.join("empty.conf");
    fs::write(&empty, "").unwrap();
    let told = passed(this_test("device::child_finds_no_device", home).env("ALSA_CONFIG_PATH", &empty));
    told.unwrap_or_else(|told| panic!("{told}"));
}

/// Run by the test above, in its environment.
#[test]
#[ignore = "needs a machine without sound; run by the test of its message"]
fn child_finds_no_device() {
    let Err(error) = Player::open(Mix::default()) else { panic!("a device was found where there is none") };
    assert!(matches!(error, SoundError::NoDevice { .. }));
    let message = error.to_string();
    assert!(message.starts_with("no sound device") && message.contains("everything but sound works"), "{message}");
    assert_eq!(message.lines().count(), 1);
    println!("{message}");
}
