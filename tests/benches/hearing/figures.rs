//! Figures and their targets.

/// What a figure is to be.
#[derive(Clone, Copy)]
pub enum Target {
    AtLeast(f64),
    AtMost(f64),
    None,
}

/// Rows of figures.
#[derive(Default)]
pub struct Table(Vec<(String, f64, Target)>);

impl Table {
    pub fn add(&mut self, name: impl Into<String>, value: f64, target: Target) {
        self.0.push((name.into(), value, target));
    }

    pub fn print(&self) {
        for (name, value, target) in &self.0 {
            let (words, reached) = match *target {
                Target::AtLeast(least) => (format!("≥ {least}"), *value >= least),
                Target::AtMost(most) => (format!("≤ {most}"), *value <= most),
                Target::None => (String::new(), true),
            };
            println!("{name:<66} {value:>9.3}  {words:<9}{}", if reached { "" } else { "not reached" });
        }
    }
}

/// The value that a share of the values stay below.
pub fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = (sorted.len() as f64 * share) as usize;
    sorted.get(place.min(sorted.len().saturating_sub(1))).copied().unwrap_or(f64::NAN)
}

/// A share, or not a number of nothing.
pub fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole as f64
}
