//! A window with nothing in it, as the toolkit opens it.

use eframe::egui;

/// The argument that asks for it.
pub const ASKED_FOR: &str = "--empty-window";
/// What it is called.
pub const TITLE: &str = "Empty";

struct Empty;

impl eframe::App for Empty {
    fn ui(&mut self, _ui: &mut egui::Ui, _frame: &mut eframe::Frame) {}
}

/// Opens it and stays until it is closed.
pub fn open() {
    let viewport = egui::ViewportBuilder::default().with_title(TITLE).with_inner_size([1280.0, 800.0]);
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    eframe::run_native(TITLE, options, Box::new(|_| Ok(Box::new(Empty)))).expect("a window opens");
}
