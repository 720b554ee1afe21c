//! The table of hearing.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod onsets;

fn main() {
    onsets::measure();
}
