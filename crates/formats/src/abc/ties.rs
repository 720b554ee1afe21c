//! Ties that wait for the note they lead to.

use leverlane_core::pitch::Letter;

/// A tie from a head, by its pitch and its place in the voice.
#[derive(Clone, Debug)]
pub(super) struct OpenTie {
    pub(super) letter: Letter,
    pub(super) octave: i32,
    pub(super) alter: i8,
    pub(super) measure: usize,
    pub(super) event: usize,
    pub(super) head: usize,
}

impl OpenTie {
    const fn from(&self) -> (usize, usize, usize) {
        (self.measure, self.event, self.head)
    }
}

/// A voice's open ties, those of each layer by themselves.
#[derive(Clone, Debug, Default)]
pub(super) struct OpenTies {
    layers: Vec<Vec<OpenTie>>,
    /// Those of the lowest layer that led into the first of several endings; none outside of endings.
    into_endings: Option<Vec<OpenTie>>,
}

impl OpenTies {
    /// Opens a tie in a layer; a head has no more than one.
    pub(super) fn open(&mut self, layer: usize, tie: OpenTie) {
        if self.layers.len() <= layer {
            self.layers.resize(layer + 1, Vec::new());
        }
        let open = &mut self.layers[layer];
        if !open.iter().any(|known| known.from() == tie.from()) {
            open.push(tie);
        }
    }

    /// The ties that the next event of a layer can take up in a bar.
    pub(super) fn take(&mut self, layer: usize, bar: usize) -> Vec<OpenTie> {
        let ties = self.layers.get_mut(layer).map(std::mem::take).unwrap_or_default();
        // An overlay's tie reaches the next bar's overlay, not one many bars later.
        ties.into_iter().filter(|tie| layer == 0 || tie.measure + 1 >= bar).collect()
    }

    /// An ending begins. The ties that led into the first one lead into the others too.
    pub(super) fn begin_ending(&mut self) {
        let open = self.layers.first_mut();
        match (&self.into_endings, open) {
            (None, open) => self.into_endings = Some(open.map(|open| open.clone()).unwrap_or_default()),
            (Some(into), Some(open)) if open.is_empty() => open.clone_from(into),
            (Some(_), _) => {}
        }
    }

    /// The last ending is over.
    pub(super) fn leave_endings(&mut self) {
        self.into_endings = None;
    }
}
