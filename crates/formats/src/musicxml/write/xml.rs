//! Text that is XML.

/// A text as it may stand between tags or in an attribute; characters that XML 1.0 doesn't allow are left out.
pub(in crate::musicxml) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\t' | '\n' | '\r' => safe.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => safe.push(c),
        }
    }
    safe
}

/// As [`escaped`], with every character beyond ASCII as its number, so that the text fits any encoding.
pub(in crate::musicxml) fn escaped_in_ascii(text: &str) -> String {
    escaped(text).chars().fold(String::new(), |mut safe, c| {
        if c.is_ascii() {
            safe.push(c);
        } else {
            safe.push_str(&format!("&#x{:X};", u32::from(c)));
        }
        safe
    })
}
