//! leverlane sound
