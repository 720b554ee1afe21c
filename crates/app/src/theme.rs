//! Colours, type and spacing, for light and dark rooms.
//!
//! Type is Libertinus Serif (SIL Open Font License 1.1), which has the flat, natural and sharp signs. Every pair of
//! colours that carries text keeps a contrast of at least 4.5 : 1 (WCAG 2.2, AA), which a test computes; no meaning
//! hangs on a colour alone.

use std::sync::Arc;

use eframe::egui::{
    self, Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, TextStyle, Theme, Vec2,
};

/// The colours of one theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Behind everything.
    pub ground: Color32,
    /// Behind what belongs together.
    pub card: Color32,
    /// Lines that part things.
    pub line: Color32,
    /// Text and marks.
    pub ink: Color32,
    /// Less important text.
    pub muted: Color32,
    /// The present moment, and the thing to do next.
    pub accent: Color32,
    /// Text on the accent.
    pub on_accent: Color32,
    /// Flips.
    pub flip: Color32,
    /// Text on a flip's mark.
    pub on_flip: Color32,
    /// What is wrong.
    pub alarm: Color32,
    /// The left hand's notes.
    pub left: Color32,
    /// The right hand's notes.
    pub right: Color32,
    /// A plain string.
    pub string: Color32,
    /// A C string.
    pub c_string: Color32,
    /// An F string.
    pub f_string: Color32,
}

/// For daylight: birch and slate, flips in burnt orange.
pub const LIGHT: Palette = Palette {
    ground: Color32::from_rgb(0xE9, 0xEE, 0xEB),
    card: Color32::from_rgb(0xFB, 0xFC, 0xFA),
    line: Color32::from_rgb(0xC6, 0xD1, 0xCB),
    ink: Color32::from_rgb(0x14, 0x21, 0x1D),
    muted: Color32::from_rgb(0x4A, 0x5A, 0x53),
    accent: Color32::from_rgb(0x0B, 0x56, 0x5F),
    on_accent: Color32::from_rgb(0xFF, 0xFF, 0xFF),
    flip: Color32::from_rgb(0x93, 0x3F, 0x0A),
    on_flip: Color32::from_rgb(0xFF, 0xFF, 0xFF),
    alarm: Color32::from_rgb(0xA0, 0x15, 0x30),
    left: Color32::from_rgb(0x23, 0x47, 0x76),
    right: Color32::from_rgb(0x2C, 0x5E, 0x3A),
    string: Color32::from_rgb(0xA9, 0xB6, 0xAF),
    c_string: Color32::from_rgb(0xB2, 0x2A, 0x22),
    f_string: Color32::from_rgb(0x2A, 0x33, 0x66),
};

/// For the evening: the same in reverse, flips in warm yellow.
pub const DARK: Palette = Palette {
    ground: Color32::from_rgb(0x10, 0x17, 0x16),
    card: Color32::from_rgb(0x1A, 0x24, 0x22),
    line: Color32::from_rgb(0x38, 0x47, 0x43),
    ink: Color32::from_rgb(0xEA, 0xF1, 0xED),
    muted: Color32::from_rgb(0xAA, 0xBA, 0xB3),
    accent: Color32::from_rgb(0x7F, 0xD6, 0xC6),
    on_accent: Color32::from_rgb(0x07, 0x20, 0x1C),
    flip: Color32::from_rgb(0xFF, 0xC5, 0x6E),
    on_flip: Color32::from_rgb(0x2A, 0x1A, 0x02),
    alarm: Color32::from_rgb(0xFF, 0x9C, 0x92),
    left: Color32::from_rgb(0x9F, 0xC4, 0xF5),
    right: Color32::from_rgb(0x9F, 0xDD, 0xAC),
    string: Color32::from_rgb(0x5A, 0x6C, 0x66),
    c_string: Color32::from_rgb(0xFF, 0x8C, 0x82),
    f_string: Color32::from_rgb(0xA9, 0xB8, 0xFF),
};

/// The palette of the theme in use.
pub fn palette(ui: &egui::Ui) -> &'static Palette {
    if ui.visuals().dark_mode { &DARK } else { &LIGHT }
}

/// Between things that belong together.
pub const NEAR: f32 = 8.0;
/// Between groups.
pub const FAR: f32 = 18.0;
/// Corners of cards and buttons.
pub const ROUND: CornerRadius = CornerRadius::same(7);

/// Ordinary text of a size in points.
pub fn text(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Heavier text of a size in points.
pub fn strong(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(STRONG.into()))
}

/// The heaviest text of a size in points, for what is read from afar.
pub fn display(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(DISPLAY.into()))
}

const STRONG: &str = "strong";
const DISPLAY: &str = "display";

/// Gives a window its fonts, type sizes, spacing and both palettes.
pub fn install(context: &egui::Context) {
    context.set_fonts(fonts());
    // Where the system has no preference: music stands are lit.
    context.options_mut(|options| options.fallback_theme = Theme::Light);
    context.all_styles_mut(|style| {
        style.text_styles = [
            (TextStyle::Heading, strong(26.0)),
            (TextStyle::Body, text(18.0)),
            (TextStyle::Button, text(18.0)),
            (TextStyle::Small, text(15.5)),
            (TextStyle::Monospace, FontId::new(16.0, FontFamily::Monospace)),
        ]
        .into();
        style.spacing.item_spacing = Vec2::new(NEAR, NEAR);
        style.spacing.button_padding = Vec2::new(12.0, 6.0);
        style.spacing.interact_size.y = 34.0;
        style.spacing.combo_width = 40.0;
        style.spacing.combo_height = 600.0;
        style.spacing.slider_width = 92.0;
        style.spacing.menu_margin = Margin::same(8);
    });
    for (theme, palette) in [(Theme::Light, &LIGHT), (Theme::Dark, &DARK)] {
        context.style_mut_of(theme, |style| colour(&mut style.visuals, palette));
    }
}

const FACES: [(&str, &[u8]); 3] = [
    ("Libertinus Serif", include_bytes!("../../../assets/fonts/LibertinusSerif-Regular.otf")),
    ("Libertinus Serif Semibold", include_bytes!("../../../assets/fonts/LibertinusSerif-Semibold.otf")),
    ("Libertinus Serif Bold", include_bytes!("../../../assets/fonts/LibertinusSerif-Bold.otf")),
];

fn fonts() -> FontDefinitions {
    let mut definitions = FontDefinitions::default();
    for (face, bytes) in FACES {
        definitions.font_data.insert(face.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    let [plain, semibold, bold] = FACES.map(|(face, _)| face);
    let fallback = definitions.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let family = |first: &[&str]| {
        let mut order: Vec<String> = first.iter().map(|&face| face.to_owned()).collect();
        order.extend(fallback.iter().cloned());
        order
    };
    // The heavier faces lack the flat, natural and sharp signs, so the regular one stands behind them.
    let (plain, strong, display) = (family(&[plain]), family(&[semibold, plain]), family(&[bold, plain]));
    definitions.families.insert(FontFamily::Proportional, plain);
    definitions.families.insert(FontFamily::Name(STRONG.into()), strong);
    definitions.families.insert(FontFamily::Name(DISPLAY.into()), display);
    definitions
}

fn colour(visuals: &mut egui::Visuals, palette: &Palette) {
    visuals.panel_fill = palette.ground;
    visuals.window_fill = palette.card;
    visuals.extreme_bg_color = palette.card;
    visuals.faint_bg_color = palette.card;
    visuals.window_stroke = Stroke::new(1.0, palette.line);
    visuals.override_text_color = Some(palette.ink);
    visuals.weak_text_color = Some(palette.muted);
    visuals.hyperlink_color = palette.accent;
    visuals.error_fg_color = palette.alarm;
    visuals.warn_fg_color = palette.alarm;
    visuals.selection.bg_fill = palette.accent.gamma_multiply(0.35);
    visuals.selection.stroke = Stroke::new(2.0, palette.accent);
    visuals.widgets.noninteractive.bg_stroke = Stroke::new(1.0, palette.line);
    visuals.widgets.noninteractive.fg_stroke = Stroke::new(1.0, palette.ink);
    for (widget, border) in [
        (&mut visuals.widgets.inactive, palette.line),
        (&mut visuals.widgets.hovered, palette.muted),
        (&mut visuals.widgets.active, palette.accent),
        (&mut visuals.widgets.open, palette.muted),
    ] {
        widget.bg_fill = palette.card;
        widget.weak_bg_fill = palette.card;
        widget.bg_stroke = Stroke::new(1.0, border);
        widget.fg_stroke = Stroke::new(1.5, palette.ink);
        widget.corner_radius = ROUND;
        widget.expansion = 0.0;
    }
    visuals.window_corner_radius = ROUND;
    visuals.menu_corner_radius = ROUND;
}

#[cfg(test)]
mod tests;
