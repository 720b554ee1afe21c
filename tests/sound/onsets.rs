//! Finding where sounds begin in a recording that is silent between them.

/// The samples that are not silent after at least `gap` silent ones, and the first that is not silent at all.
pub fn onsets(is_silent: impl Iterator<Item = bool>, gap: usize) -> Vec<usize> {
    let mut silent_for = usize::MAX;
    let mut found = Vec::new();
    for (index, silent) in is_silent.enumerate() {
        if silent {
            silent_for = silent_for.saturating_add(1);
        } else {
            if silent_for >= gap {
                found.push(index);
            }
            silent_for = 0;
        }
    }
    found
}

/// `over / under` rounded to the nearest whole number, half-way up, in whole numbers only.
pub fn nearest(over: i128, under: i128) -> usize {
    usize::try_from((2 * over + under).div_euclid(2 * under)).unwrap()
}
