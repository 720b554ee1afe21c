//! From bytes to text: the encodings in which real MusicXML files come.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE};

use crate::{Detail, ImportError, Said, said};

/// The text of an XML file, and how it stands in the file's bytes.
#[derive(Clone, Debug)]
pub(super) struct Decoded<'a> {
    /// The text, without a byte order mark.
    pub(super) text: Cow<'a, str>,
    /// How it is encoded.
    pub(super) encoding: &'static Encoding,
    /// The bytes of its byte order mark.
    pub(super) mark: &'a [u8],
    /// The bytes of the text.
    pub(super) body: &'a [u8],
}

/// The text of an XML file: by its byte order mark, else by the pattern that `<` makes in UTF-16, else by the encoding
/// its declaration names (Latin-1 and everything else that the WHATWG's Encoding Standard lists), else as UTF-8.
///
/// # Errors
/// An encoding that is not known, or bytes that don't follow it.
pub(super) fn decoded(bytes: &[u8]) -> Result<Decoded<'_>, ImportError> {
    let (encoding, mark) = match bytes {
        [0xEF, 0xBB, 0xBF, ..] => (UTF_8, 3),
        [0xFF, 0xFE, ..] => (UTF_16LE, 2),
        [0xFE, 0xFF, ..] => (UTF_16BE, 2),
        [b'<', 0, ..] => (UTF_16LE, 0),
        [0, b'<', ..] => (UTF_16BE, 0),
        _ => (declared(bytes)?, 0),
    };
    let (mark, body) = bytes.split_at(mark);
    let text = if encoding == UTF_8 {
        std::str::from_utf8(body).map(Cow::Borrowed).map_err(|error| {
            let before = &body[..error.valid_up_to()];
            let line = 1 + before.iter().filter(|&&byte| byte == b'\n').count();
            refused(said!("line {line}", line), said!("bytes that are no UTF-8 text"))
        })?
    } else {
        match encoding.decode_without_bom_handling(body) {
            (text, false) => text,
            (_, true) => {
                return Err(refused(
                    Said::default(),
                    said!("bytes that are no {encoding} text", encoding = encoding.name()),
                ));
            }
        }
    };
    Ok(Decoded { text, encoding, mark, body })
}

/// The text alone; as [`decoded`].
///
/// # Errors
/// As [`decoded`].
pub(super) fn text_from_bytes(bytes: &[u8]) -> Result<Cow<'_, str>, ImportError> {
    decoded(bytes).map(|decoded| decoded.text)
}

/// The encoding that the XML declaration names; UTF-8 where it names none.
fn declared(bytes: &[u8]) -> Result<&'static Encoding, ImportError> {
    let declaration = &bytes[..bytes.len().min(256)];
    let declaration = String::from_utf8_lossy(declaration);
    let named = declaration
        .trim_start()
        .strip_prefix("<?xml")
        .and_then(|rest| rest.split_once("?>"))
        .and_then(|(inside, _)| inside.split_once("encoding"))
        .and_then(|(_, after)| after.trim_start().strip_prefix('='))
        .and_then(|quoted| quoted.trim_start().split(['"', '\'']).nth(1));
    let Some(label) = named else { return Ok(UTF_8) };
    match Encoding::for_label(label.as_bytes()) {
        // The declaration could be read byte by byte, so the text is not in two-byte units whatever it says.
        Some(encoding) if encoding == UTF_16LE || encoding == UTF_16BE => Ok(UTF_8),
        Some(encoding) => Ok(encoding),
        None => Err(ImportError::Unsupported(Detail {
            place: said!("line {line}", line = 1),
            found: said!("the encoding \"{label}\"", label = label.escape_debug().to_string()),
            expected: said!("UTF-8, UTF-16 or ISO-8859-1"),
            remedy: said!("export the piece again as UTF-8"),
        })),
    }
}

fn refused(place: Said, found: Said) -> ImportError {
    ImportError::Malformed(Detail {
        place,
        found,
        expected: said!("text in the encoding that the file names"),
        remedy: said!("export the piece again as UTF-8"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "<?xml version='1.0'?><a>Près</a>";

    fn in_units(text: &str, to_bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(to_bytes).collect()
    }

    /// Byte order marks: Unicode 15, section 23.8. Latin-1 è is E8.
    #[test]
    fn encodings() {
        let little = in_units(TEXT, u16::to_le_bytes);
        let big = in_units(TEXT, u16::to_be_bytes);
        let latin = [&b"<?xml version=\"1.0\" encoding='ISO-8859-1'?><a>Pr"[..], &[0xE8], b"s</a>"].concat();
        let cases = [
            TEXT.as_bytes().to_vec(),
            [&[0xEF, 0xBB, 0xBF], TEXT.as_bytes()].concat(),
            little.clone(),
            [&[0xFF, 0xFE], &little[..]].concat(),
            big.clone(),
            [&[0xFE, 0xFF], &big[..]].concat(),
            latin,
        ];
        for bytes in cases {
            let text = text_from_bytes(&bytes).unwrap();
            assert!(text.starts_with("<?xml") && text.ends_with("<a>Près</a>"), "{text}");
        }
    }

    #[test]
    fn wrong_bytes_are_refused() {
        let bad = text_from_bytes(b"<a>\n\n\xE8</a>").unwrap_err().to_string();
        assert!(bad.starts_with("line 3: found bytes that are no UTF-8"), "{bad}");
        assert!(text_from_bytes(b"<?xml version='1.0' encoding='klingon'?>").is_err());
        assert!(text_from_bytes(&[0xFF, 0xFE, b'<', 0, 0x00, 0xD8]).is_err(), "half a surrogate pair");
    }
}
