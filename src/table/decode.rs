//! Bytes to text and back, without losing a byte on the way.

/// How characters are stored in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Charset {
    /// UTF-8.
    #[default]
    Utf8,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// Latin-1, in the wider form that spreadsheets write (windows-1252).
    Latin1,
}

/// The characters' storage, with or without a byte order mark in front.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Encoding {
    /// How characters are stored.
    pub charset: Charset,
    /// A byte order mark stands in front; Latin-1 has none.
    pub mark: bool,
}

impl Encoding {
    const fn new(charset: Charset, mark: bool) -> Self {
        Encoding { charset, mark }
    }

    /// UTF-8 without a byte order mark.
    pub const UTF8: Encoding = Encoding::new(Charset::Utf8, false);
    /// UTF-8 with a byte order mark.
    pub const UTF8_MARK: Encoding = Encoding::new(Charset::Utf8, true);
    /// UTF-16, low byte first, with its mark.
    pub const UTF16_LE: Encoding = Encoding::new(Charset::Utf16Le, true);
    /// UTF-16, high byte first, with its mark.
    pub const UTF16_BE: Encoding = Encoding::new(Charset::Utf16Be, true);
    /// Latin-1.
    pub const LATIN1: Encoding = Encoding::new(Charset::Latin1, false);

    fn byte_order_mark(self) -> &'static [u8] {
        match (self.mark, self.charset) {
            (true, Charset::Utf8) => b"\xEF\xBB\xBF",
            (true, Charset::Utf16Le) => b"\xFF\xFE",
            (true, Charset::Utf16Be) => b"\xFE\xFF",
            _ => b"",
        }
    }
}

/// A file's text and how it is stored, or `None` if it holds no text.
pub fn decode(bytes: &[u8]) -> Option<(String, Encoding)> {
    let encoding = recognise(bytes);
    let body = &bytes[encoding.byte_order_mark().len()..];
    let text = match encoding.charset {
        Charset::Utf8 => String::from_utf8(body.to_vec()).ok()?,
        Charset::Utf16Le => utf16(body, u16::from_le_bytes)?,
        Charset::Utf16Be => utf16(body, u16::from_be_bytes)?,
        Charset::Latin1 => encoding_rs::WINDOWS_1252.decode_without_bom_handling(body).0.into_owned(),
    };
    text.chars().all(is_text).then_some((text, encoding))
}

fn recognise(bytes: &[u8]) -> Encoding {
    let marked = [Encoding::UTF8_MARK, Encoding::UTF16_LE, Encoding::UTF16_BE];
    if let Some(encoding) = marked.into_iter().find(|e| bytes.starts_with(e.byte_order_mark())) {
        return encoding;
    }
    match bytes {
        // The first character of a table is a plain letter: its other byte is zero.
        [first, 0, ..] if *first != 0 => Encoding::new(Charset::Utf16Le, false),
        [0, second, ..] if *second != 0 => Encoding::new(Charset::Utf16Be, false),
        _ if std::str::from_utf8(bytes).is_ok() => Encoding::UTF8,
        _ => Encoding::LATIN1,
    }
}

fn utf16(body: &[u8], unit: fn([u8; 2]) -> u16) -> Option<String> {
    let pairs = body.chunks_exact(2);
    if !pairs.remainder().is_empty() {
        return None;
    }
    let units: Vec<u16> = pairs.map(|p| unit([p[0], p[1]])).collect();
    String::from_utf16(&units).ok()
}

fn is_text(c: char) -> bool {
    !c.is_ascii_control() || matches!(c, '\t' | '\n' | '\r' | '\x0c')
}

/// The bytes of `text`, just those that it was decoded from.
///
/// # Errors
///
/// The first character that the charset doesn't have.
pub fn encode(text: &str, encoding: Encoding) -> Result<Vec<u8>, char> {
    let mut bytes = encoding.byte_order_mark().to_vec();
    match encoding.charset {
        Charset::Utf8 => bytes.extend(text.bytes()),
        Charset::Utf16Le => bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes)),
        Charset::Utf16Be => bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes)),
        Charset::Latin1 => {
            for c in text.chars() {
                bytes.extend(latin1(c).ok_or(c)?);
            }
        }
    }
    Ok(bytes)
}

fn latin1(c: char) -> Option<Vec<u8>> {
    let mut buffer = [0; 4];
    let (bytes, _, lost) = encoding_rs::WINDOWS_1252.encode(c.encode_utf8(&mut buffer));
    (!lost).then(|| bytes.into_owned())
}
