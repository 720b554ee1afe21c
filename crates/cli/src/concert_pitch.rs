//! What the harp is tuned to.

use clap::Args;
use leverlane_core::pitch::Hertz;

/// Concert pitch.
#[derive(Clone, Copy, Debug, Args)]
pub struct ConcertPitch {
    /// What A4 is tuned to, in hertz, 380 to 480.
    #[arg(long, value_name = "HERTZ", default_value = "440", value_parser = concert_pitch)]
    pub a4: Hertz,
}

fn concert_pitch(text: &str) -> Result<Hertz, String> {
    let hertz = text.parse().ok().filter(|hertz| (380.0..=480.0).contains(hertz)).and_then(Hertz::new);
    hertz.ok_or_else(|| "expected 380 to 480 hertz".to_owned())
}
