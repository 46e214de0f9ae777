//! What the markers of a JPEG file tell before it is decoded: how many colour channels, and whether it is whole.
//!
//! Decoders fill what is missing of a file that broke off with grey, which must never be read as cloth. Source: ITU-T
//! T.81 (ISO/IEC 10918-1), annex B. Left out: damage inside the coded data, which no marker tells.

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Markers {
    /// Colour channels.
    pub(crate) channels: u8,
    /// Whether the picture's end is there.
    pub(crate) whole: bool,
}

/// Walks the segments; none where this is no JPEG or no frame is told.
pub(crate) fn markers(bytes: &[u8]) -> Option<Markers> {
    let rest = bytes.strip_prefix(&[0xff, 0xd8])?;
    let mut at = 0;
    let mut channels = None;
    loop {
        // Any number of fill bytes may stand before a marker.
        while *rest.get(at)? == 0xff && *rest.get(at + 1)? == 0xff {
            at += 1;
        }
        if *rest.get(at)? != 0xff {
            return None;
        }
        let marker = *rest.get(at + 1)?;
        let length = usize::from(u16::from_be_bytes([*rest.get(at + 2)?, *rest.get(at + 3)?]));
        match marker {
            // Start of frame: precision, lines, samples a line, channels. Not DHT, JPG or DAC.
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => {
                channels = Some(*rest.get(at + 9)?);
            }
            // Start of scan: from here on coded data, in which no end marker can stand but the end.
            0xda => {
                let whole = rest[at..].windows(2).any(|two| two == [0xff, 0xd9]);
                return channels.map(|channels| Markers { channels, whole });
            }
            _ => {}
        }
        at += 2 + length;
    }
}
