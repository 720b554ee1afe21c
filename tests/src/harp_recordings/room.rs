//! Rooms and their noises.

use realfft::RealFftPlanner;

use super::{Chance, RATE};

/// Sound as a microphone in a living room hears it: reverberation of 0.3 to 0.8 s and noise 25 to 40 dB below the
/// harp, half of the seeds pink, half like speech from the next room. The seed decides it.
pub fn in_a_room(sound: &[f32], seed: u64) -> Vec<f32> {
    let mut chance = Chance::seeded(seed ^ 0x7007);
    let reverberation = chance.between(0.3, 0.8);
    let mut heard = convolved(sound, &response(reverberation, &mut chance));
    heard.truncate(sound.len());
    let noise = if chance.below(2) == 0 { pink(sound.len(), &mut chance) } else { speech(sound.len(), &mut chance) };
    let below = chance.between(25.0, 40.0);
    let gain = rms(&heard) / rms(&noise).max(1e-9) * 10f32.powf(-below as f32 / 20.0);
    for (sample, noise) in heard.iter_mut().zip(&noise) {
        *sample += gain * noise;
    }
    heard
}

/// The room's answer to a clap: the direct sound, six early reflections, and a tail that falls by 60 dB in its time.
/// Direct and reflected sound are about equally strong, as two metres from a harp.
fn response(reverberation: f64, chance: &mut Chance) -> Vec<f32> {
    let rate = f64::from(RATE);
    let mut response = vec![0.0f32; (reverberation * rate) as usize];
    for (n, sample) in response.iter_mut().enumerate().skip((0.008 * rate) as usize) {
        *sample = (chance.normal(1.0) * (-6.9 * n as f64 / (reverberation * rate)).exp()) as f32;
    }
    let energy: f32 = response.iter().map(|x| x * x).sum();
    let scale = 0.7 / energy.sqrt().max(1e-9);
    for sample in &mut response {
        *sample *= scale;
    }
    for _ in 0..6 {
        let at = (chance.between(0.002, 0.035) * rate) as usize;
        response[at] += chance.between(-0.3, 0.3) as f32;
    }
    response[0] = 1.0;
    response
}

/// Noise whose power falls by 3 dB an octave (Kellet's filter, from memory).
pub fn pink(length: usize, chance: &mut Chance) -> Vec<f32> {
    let mut state = [0.0f64; 3];
    (0..length)
        .map(|_| {
            let white = chance.normal(1.0);
            state[0] = 0.997_65 * state[0] + white * 0.099_046;
            state[1] = 0.963 * state[1] + white * 0.296_516_4;
            state[2] = 0.57 * state[2] + white * 1.052_691_3;
            (state.iter().sum::<f64>() + white * 0.1848) as f32
        })
        .collect()
}

/// Pink noise between about 200 and 3,500 Hz in syllables of a fifth of a second.
pub fn speech(length: usize, chance: &mut Chance) -> Vec<f32> {
    let (mut low, mut high, mut loud, mut goal) = (0.0f32, 0.0f32, 0.0f32, 0.0f32);
    let pink = pink(length, chance);
    pink.into_iter()
        .enumerate()
        .map(|(n, sample)| {
            if n % (RATE as usize / 5) == 0 {
                goal = if chance.below(3) == 0 { 0.05 } else { chance.between(0.3, 1.0) as f32 };
            }
            loud += (goal - loud) * 0.000_6;
            low += (sample - low) * 0.4;
            high += (low - high) * 0.028;
            (low - high) * loud
        })
        .collect()
}

/// Convolution through the frequency domain.
pub fn convolved(sound: &[f32], response: &[f32]) -> Vec<f32> {
    let length = (sound.len() + response.len()).next_power_of_two();
    let mut planner = RealFftPlanner::<f32>::new();
    let (forward, inverse) = (planner.plan_fft_forward(length), planner.plan_fft_inverse(length));
    let spectrum = |samples: &[f32]| {
        let mut input = vec![0.0; length];
        input[..samples.len()].copy_from_slice(samples);
        let mut output = forward.make_output_vec();
        forward.process(&mut input, &mut output).map(|()| output)
    };
    let (Ok(mut a), Ok(b)) = (spectrum(sound), spectrum(response)) else { return sound.to_vec() };
    for (a, b) in a.iter_mut().zip(&b) {
        *a = *a * b / length as f32;
    }
    let mut output = vec![0.0; length];
    if inverse.process(&mut a, &mut output).is_err() {
        return sound.to_vec();
    }
    output.truncate(sound.len() + response.len());
    output
}

/// Root mean square.
pub fn rms(samples: &[f32]) -> f32 {
    (samples.iter().map(|x| x * x).sum::<f32>() / samples.len().max(1) as f32).sqrt()
}
