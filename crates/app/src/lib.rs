//! The desktop program: what the player sees, and what her keys, pedals and clicks do.
//!
//! ```text
//! State ── views ──→ picture
//!            └────→ Intent ── apply ──→ State
//!                               └────→ Effect ── executor (threads) ──→ Intent
//! ```
//!
//! Views read the [`state::State`] and answer with [`intent::Intent`]s; [`apply::apply`] is the one place that changes
//! the state; whatever takes time or touches the world is an [`effects::Effect`], carried out on a named thread whose
//! result comes back as an intent. Nothing here waits: opening and planning never block the window.
//!
//! Time comes from outside. What is played is placed by the sound's own clock ([`effects::Executor`] asks it before
//! every frame) and handed to the state as an intent, so that tests step it without a window.

pub mod app;
pub mod apply;
pub mod demo;
pub mod effects;
pub mod intent;
pub mod keys;
pub mod names;
pub mod shortcuts;
pub mod state;
pub mod theme;
pub mod views;
pub mod widgets;
pub mod words;
