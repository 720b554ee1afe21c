//! Small things drawn in several places; each says to screen readers what it is.

mod choice_button;
mod flip_mark;
mod harp_drawing;
mod key_button;
mod number_field;
mod result_mark;

pub use choice_button::choice_button_ui;
pub use flip_mark::{FlipMark, MarkState, flip_mark_size, paint_flip_mark};
pub use harp_drawing::harp_drawing_ui;
pub use key_button::{Weight, key_button_ui, muted};
pub use number_field::number_field_ui;
pub use result_mark::{ResultMark, paint_result_mark};
