use super::*;

/// Relative luminance and contrast as WCAG 2.2 defines them.
fn contrast(a: Color32, b: Color32) -> f64 {
    let luminance = |colour: Color32| {
        let channel = |value: u8| {
            let share = f64::from(value) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
    };
    let (lighter, darker) = (luminance(a).max(luminance(b)), luminance(a).min(luminance(b)));
    (lighter + 0.05) / (darker + 0.05)
}

/// WCAG 2.2, 1.4.3 (text, 4.5 : 1) and 1.4.11 (marks, 3 : 1).
#[test]
fn contrasts_reach_aa() {
    assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
    for palette in [LIGHT, DARK] {
        for ground in [palette.ground, palette.card] {
            for text in [palette.ink, palette.muted, palette.accent, palette.flip, palette.alarm] {
                assert!(contrast(text, ground) >= 4.5, "{text:?} on {ground:?}");
            }
            for mark in [palette.left, palette.right, palette.c_string, palette.f_string] {
                assert!(contrast(mark, ground) >= 3.0, "{mark:?} on {ground:?}");
            }
        }
        assert!(contrast(palette.on_accent, palette.accent) >= 4.5);
        assert!(contrast(palette.on_flip, palette.flip) >= 4.5);
    }
}
