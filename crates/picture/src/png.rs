//! What the chunks of a PNG file tell of its colours, where it has no profile: the name of a colour space, or a gamma.
//!
//! Of several the one that says most counts, as the standard has it: cICP before a profile, then sRGB, then gAMA with cHRM.
//! What they may say beyond that (films, wide ranges) is refused, for numbers taken for sRGB that are none are wrong without
//! a sign of it. Source: W3C Portable Network Graphics (Third Edition), 2025, sections 5, 11.3.2 and 12.1; ITU-T H.273 (code
//! points of cICP). Left out: all other chunks.

use colour::Screen;

use crate::Refusal;

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Told {
    /// A colour space by its name; whether it stands before a profile.
    Named {
        /// Primaries.
        screen: Screen,
        /// The curve.
        curve: Curve,
        /// A profile beside it does not count.
        before_profile: bool,
    },
    /// A curve, and primaries of its own: white, red, green and blue, x and y each.
    Own {
        /// The curve.
        curve: Curve,
        /// None: those of sRGB.
        primaries: Option<[[f64; 2]; 4]>,
    },
}

/// From encoded to linear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Curve {
    /// That of IEC 61966-2-1.
    Srgb,
    /// A power; 1 where the numbers are linear.
    Power(f64),
}

/// Gammas this near to that of sRGB's curve stand for it: it is what programs write beside sRGB.
const NEAR_SRGB: f64 = 0.005;
/// sRGB's, as a PNG file has it (1 / 2.2).
const OF_SRGB: f64 = 0.454_55;
/// Gammas a picture may have (judgement; a linear one has 1).
const GAMMAS: [f64; 2] = [0.25, 1.25];
/// Primaries this near to those of sRGB are them.
const NEAR: f64 = 0.003;
/// White, red, green and blue of sRGB.
const SRGB: [[f64; 2]; 4] = [[0.3127, 0.3290], [0.64, 0.33], [0.30, 0.60], [0.15, 0.06]];

/// Walks the chunks before the picture's own data; none where they say nothing of colours.
pub(crate) fn told(bytes: &[u8]) -> Result<Option<Told>, Refusal> {
    let Some(mut rest) = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n") else { return Ok(None) };
    let (mut code, mut srgb, mut gamma, mut primaries) = (None, None, None, None);
    while let Some((kind, data, next)) = chunk(rest) {
        match kind {
            b"IDAT" | b"IEND" => break,
            b"cICP" | b"sRGB" | b"gAMA" | b"cHRM" if !is_whole(rest, data.len()) => {
                return Err(Refusal::Damaged {
                    kind: "PNG",
                    why: "what it says of its colours is damaged".to_owned(),
                });
            }
            b"cICP" => code = code.or(Some(data)),
            b"sRGB" => srgb = srgb.or(Some(data)),
            b"gAMA" => gamma = gamma.or(Some(data)),
            b"cHRM" => primaries = primaries.or(Some(data)),
            _ => {}
        }
        rest = next;
    }
    if let Some(code) = code {
        return of_code(code).map(Some);
    }
    if srgb.is_some() {
        let (screen, curve) = (Screen::Srgb, Curve::Srgb);
        return Ok(Some(Told::Named { screen, curve, before_profile: false }));
    }
    // Primaries without a gamma say too little to go by.
    let Some(gamma) = gamma else { return Ok(None) };
    of_gamma(gamma, primaries).map(Some)
}

/// Kind, data and what comes behind it.
fn chunk(bytes: &[u8]) -> Option<(&[u8; 4], &[u8], &[u8])> {
    let length = usize::try_from(u32::from_be_bytes(*bytes.first_chunk()?)).ok()?;
    let kind = bytes.get(4..)?.first_chunk()?;
    let data = bytes.get(8..)?.get(..length)?;
    Some((kind, data, bytes.get(12 + length..)?))
}

/// Whether the sum behind a chunk is that of its kind and data (ISO 3309).
fn is_whole(bytes: &[u8], length: usize) -> bool {
    let summed = &bytes[4..8 + length];
    let sum = !summed.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 }
        })
    });
    bytes[8 + length..].starts_with(&sum.to_be_bytes())
}

fn no(why: String) -> Refusal {
    Refusal::Profile { why }
}

fn of_code(data: &[u8]) -> Result<Told, Refusal> {
    let [primaries, transfer, matrix, whole] = *data else {
        return Err(no("its cICP has not four numbers".to_owned()));
    };
    if matrix != 0 || whole != 1 {
        return Err(no("its cICP says that it is a film's and not red, green and blue".to_owned()));
    }
    let curve = match transfer {
        13 => Curve::Srgb,
        8 => Curve::Power(1.0),
        16 | 18 => return Err(no("its cICP says that it is of a high dynamic range".to_owned())),
        other => return Err(no(format!("its cICP names curve {other}, which is not read"))),
    };
    let screen = match primaries {
        1 => Screen::Srgb,
        12 => Screen::DisplayP3,
        other => return Err(no(format!("its cICP names primaries {other}, which are not read"))),
    };
    Ok(Told::Named { screen, curve, before_profile: true })
}

fn of_gamma(gamma: &[u8], primaries: Option<&[u8]>) -> Result<Told, Refusal> {
    let number = |b: &[u8; 4]| f64::from(u32::from_be_bytes(*b)) / 100_000.0;
    let [gamma] = gamma.as_chunks::<4>().0 else {
        return Err(no("its gAMA is not one number".to_owned()));
    };
    let gamma = number(gamma);
    if !(GAMMAS[0]..=GAMMAS[1]).contains(&gamma) {
        return Err(no(format!("its gAMA says {gamma}, which no picture has")));
    }
    let curve =
        if (gamma - OF_SRGB).abs() <= NEAR_SRGB { Curve::Srgb } else { Curve::Power(1.0 / gamma) };
    let Some(data) = primaries else { return Ok(Told::Own { curve, primaries: None }) };
    let numbers: Vec<f64> = data.as_chunks::<4>().0.iter().map(number).collect();
    let (pairs, _) = numbers.as_chunks::<2>();
    let all: [[f64; 2]; 4] =
        pairs.try_into().map_err(|_| no("its cHRM has not eight numbers".to_owned()))?;
    let is_srgb =
        all.iter().flatten().zip(SRGB.iter().flatten()).all(|(a, b)| (a - b).abs() < NEAR);
    Ok(Told::Own { curve, primaries: (!is_srgb).then_some(all) })
}
