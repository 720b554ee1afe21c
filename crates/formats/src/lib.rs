//! leverlane formats
