//! Finding sweeps in what was heard, and the latency from them.

use leverlane_core::time::Seconds;
use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use crate::SampleIndex;
use crate::capture::{HeardIndex, HeardPoint};
use crate::clocks::{EchoKind, TwoClocks, median};
use crate::latency::sweep::sweep;
use crate::sample_clock::SampleRate;

/// A match is clear when it stands so many times above the middle of all others.
const CLEAR: f64 = 9.0;
/// The direct sound may be weaker than a reflection behind it, but not by more than this.
const DIRECT: f64 = 0.5;
/// How long before the strongest match the direct sound is looked for, in seconds: 3 ms are a metre.
const BEFORE: f64 = 0.02;
/// After a sweep so much is searched, in seconds: the longest latency there may be. Wireless devices take about 0.3 s.
pub(crate) const SEARCHED: f64 = 0.65;
/// Single results that stray more than this (seconds), or change faster than this (seconds a second): a latency that
/// can't be trusted.
const UNSTEADY: (f64, f64) = (0.003, 0.002);

/// A sweep that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepFound {
    /// Where its first sample lies, from the first that was searched; between samples too.
    pub at: f64,
    /// How far its match stands above the middle of all others; above 9 it is clear.
    pub clarity: f64,
}

/// How a latency was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredBy {
    /// Sweeps, through loudspeaker and microphone.
    Sweeps,
    /// The player's taps along with the click; good to some 20 ms.
    Taps,
}

/// The time from a sample's way out to its way in, as [`TwoClocks`] takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Latency {
    /// The median.
    pub seconds: Seconds,
    /// How far single results stray, as a standard deviation.
    pub spread: Seconds,
    /// How many were clear.
    pub clear: usize,
    /// How it was found.
    pub by: MeasuredBy,
}

/// No latency could be measured.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LatencyError {
    /// The microphone doesn't hear the loudspeaker.
    #[error(
        "the microphone heard {clear} of {played} sweeps: turn the loudspeaker up a little, or, with headphones, pluck along with the click instead"
    )]
    NotHeard {
        /// Sweeps that were clear.
        clear: usize,
        /// Sweeps that were played.
        played: usize,
    },
    /// The way isn't always equally long.
    #[error(
        "the sound's way to the microphone differs by {:.0} ms from one sweep to the next, as wireless devices make it: use a cable for listening",
        .spread.get() * 1_000.0
    )]
    Unsteady {
        /// How far single results stray.
        spread: Seconds,
    },
    /// The devices have not run long enough, or nothing was played.
    #[error("the sound devices have not told enough about their clocks: measure again")]
    NoClocks,
}

/// Finds the one sweep in what was heard at this rate. None where there is less sound than a sweep.
pub fn find_sweep(heard: &[f32], rate: SampleRate) -> Option<SweepFound> {
    let wanted = sweep(rate);
    if heard.len() < wanted.len() {
        return None;
    }
    let places = heard.len() - wanted.len() + 1;
    let match_of = envelope_of_match(heard, &wanted)?;
    let match_of = &match_of[..places];
    let strongest = (0..places).max_by(|&a, &b| match_of[a].total_cmp(&match_of[b]))?;
    let middle = median(&mut match_of.to_vec()).max(f64::MIN_POSITIVE);
    let least = (DIRECT * match_of[strongest]).max(CLEAR * middle);
    let from = strongest.saturating_sub((BEFORE * f64::from(rate.get())) as usize).max(1);
    let is_peak = |n: &usize| match_of[*n] >= match_of[n - 1] && match_of[*n] >= match_of[(n + 1).min(places - 1)];
    let direct = (from..strongest).filter(is_peak).find(|&n| match_of[n] >= least).unwrap_or(strongest);
    Some(SweepFound { at: top_of(match_of, direct), clarity: match_of[direct] / middle })
}

/// The envelope of the match of `wanted` at every place of `heard`.
fn envelope_of_match(heard: &[f32], wanted: &[f32]) -> Option<Vec<f64>> {
    let length = (heard.len() + wanted.len()).next_power_of_two();
    let mut planner = RealFftPlanner::<f64>::new();
    let forward = planner.plan_fft_forward(length);
    let back = planner.plan_fft_inverse(length);
    let heard = spectrum(&*forward, heard)?;
    let wanted = spectrum(&*forward, wanted)?;
    let product: Vec<Complex<f64>> = heard.iter().zip(&wanted).map(|(h, w)| h * w.conj()).collect();
    let inverse = |turned: Complex<f64>| {
        let mut input: Vec<Complex<f64>> = product.iter().map(|value| value * turned).collect();
        // A real signal has no imaginary part at the ends of its spectrum.
        for end in [0, length / 2] {
            input[end].im = 0.0;
        }
        let mut output = back.make_output_vec();
        back.process(&mut input, &mut output).ok()?;
        Some(output)
    };
    let (straight, turned) = (inverse(Complex::new(1.0, 0.0))?, inverse(Complex::new(0.0, -1.0))?);
    Some(straight.iter().zip(&turned).map(|(a, b)| a.hypot(*b)).collect())
}

fn spectrum(forward: &dyn RealToComplex<f64>, samples: &[f32]) -> Option<Vec<Complex<f64>>> {
    let mut input = forward.make_input_vec();
    for (value, &sample) in input.iter_mut().zip(samples) {
        *value = f64::from(sample);
    }
    let mut output = forward.make_output_vec();
    forward.process(&mut input, &mut output).ok()?;
    Some(output)
}

/// The top of a peak between samples, by a parabola through its three highest.
fn top_of(values: &[f64], peak: usize) -> f64 {
    let (Some(&before), Some(&after)) = (values.get(peak.wrapping_sub(1)), values.get(peak + 1)) else {
        return peak as f64;
    };
    let bend = before - 2.0 * values[peak] + after;
    let shift = if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
    peak as f64 + shift.clamp(-0.5, 0.5)
}

/// The latency by sweeps that were played on known samples, from a stretch of what was heard that begins on `first`. The
/// clocks learn from them how the two counts lie to each other.
///
/// # Errors
/// Too few were heard clearly, the single results don't agree, or the clocks aren't known.
pub fn measure(
    first: HeardIndex,
    heard: &[f32],
    rate: SampleRate,
    played: &[SampleIndex],
    clocks: &mut TwoClocks,
) -> Result<Latency, LatencyError> {
    let mut ways = Vec::new();
    for &sweep in played {
        let from = clocks.arrives_at_once(sweep).ok_or(LatencyError::NoClocks)?;
        let start = (from.get().saturating_sub(first.get())) as usize;
        let end = (start + (SEARCHED * f64::from(rate.get())) as usize).min(heard.len());
        let Some(found) = heard.get(start..end).and_then(|searched| find_sweep(searched, rate)) else { continue };
        if found.clarity >= CLEAR {
            let at = (first.get() + start as u64) as f64 + found.at;
            ways.push(clocks.way(sweep.get() as f64, at).ok_or(LatencyError::NoClocks)?);
            clocks.note_echo(EchoKind::default(), sweep, HeardPoint(at));
        }
    }
    let clear = ways.len();
    if clear * 2 <= played.len() || clear < 3 {
        return Err(LatencyError::NotHeard { clear, played: played.len() });
    }
    // The counts themselves tell how steady the way is; callbacks behind a sound server may come and go.
    let (spread, slope) = clocks.unsteadiness().ok_or(LatencyError::NoClocks)?;
    if spread > UNSTEADY.0 || slope.abs() > UNSTEADY.1 {
        let span = f64::from(ways.len() as u32) * slope.abs();
        return Err(LatencyError::Unsteady { spread: Seconds::new(spread.max(span)) });
    }
    Ok(Latency { spread: Seconds::new(spread), ..of_ways(&mut ways, MeasuredBy::Sweeps) })
}

/// The median and the spread about it.
pub(crate) fn of_ways(ways: &mut [f64], by: MeasuredBy) -> Latency {
    let middle = median(ways);
    let mut rests: Vec<f64> = ways.iter().map(|way| (way - middle).abs()).collect();
    let spread = 1.4826 * median(&mut rests);
    Latency { seconds: Seconds::new(middle), spread: Seconds::new(spread), clear: ways.len(), by }
}
