//! Picture files: right colours of every kind, upright, by their profile; and a refusal, never a panic, of what is
//! hostile or broken. The small files beside were made for this test with a general-purpose image library.

use std::error::Error;
use std::io::Cursor;
use std::sync::OnceLock;

use colour::{Screen, ScreenColour, ciede2000};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::tiff::TiffEncoder;
use image::codecs::webp::WebPEncoder;
use image::{ExtendedColorType, ImageEncoder};
use moxcms::ColorProfile;
use picture::{Picture, Profile, Refusal};
use proptest::prelude::*;

type Check = Result<(), Box<dyn Error>>;

const ACROSS: u32 = 24;
const DOWN: u32 = 16;
/// The left half, and the right.
const LEFT: [u8; 3] = [47, 111, 90];
const RIGHT: [u8; 3] = [200, 120, 40];

fn pixels() -> Vec<u8> {
    (0..DOWN)
        .flat_map(|_| (0..ACROSS).flat_map(|x| if x < ACROSS / 2 { LEFT } else { RIGHT }))
        .collect()
}

fn deep() -> Vec<u8> {
    pixels().into_iter().flat_map(|v| (u16::from(v) * 257).to_ne_bytes()).collect()
}

/// What kind, its bytes, and how far its colours may be off (ΔE00).
type Made = (&'static str, Vec<u8>, f64);

fn files(profile: Option<&[u8]>) -> Result<Vec<Made>, Box<dyn Error>> {
    let (eight, sixteen) = (pixels(), deep());
    let mut all = vec![];
    let mut jpeg = vec![];
    let mut encoder = JpegEncoder::new_with_quality(&mut jpeg, 98);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile.to_vec())?;
    }
    encoder.write_image(&eight, ACROSS, DOWN, ExtendedColorType::Rgb8)?;
    all.push(("JPEG", jpeg, 1.5));
    for (name, bytes, kind) in
        [("PNG", &eight, ExtendedColorType::Rgb8), ("PNG 16", &sixteen, ExtendedColorType::Rgb16)]
    {
        let mut png = vec![];
        let mut encoder = PngEncoder::new(&mut png);
        if let Some(profile) = profile {
            encoder.set_icc_profile(profile.to_vec())?;
        }
        encoder.write_image(bytes, ACROSS, DOWN, kind)?;
        all.push((name, png, 0.05));
    }
    let mut webp = vec![];
    let mut encoder = WebPEncoder::new_lossless(&mut webp);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile.to_vec())?;
    }
    encoder.write_image(&eight, ACROSS, DOWN, ExtendedColorType::Rgb8)?;
    all.push(("WebP", webp, 0.05));
    for (name, bytes, kind) in
        [("TIFF", &eight, ExtendedColorType::Rgb8), ("TIFF 16", &sixteen, ExtendedColorType::Rgb16)]
    {
        let mut tiff = Cursor::new(vec![]);
        if let Some(profile) = profile {
            all.push(("TIFF", own_tiff(1, profile)?, 0.05));
            break;
        }
        let encoder = TiffEncoder::new(&mut tiff);
        encoder.write_image(bytes, ACROSS, DOWN, kind)?;
        all.push((name, tiff.into_inner(), 0.05));
    }
    Ok(all)
}

/// A TIFF file written out here (TIFF 6.0, section 2): with an orientation (tag 274; 6 is a quarter to the right)
/// and a profile (tag 34675), which the general encoder does not write.
fn own_tiff(orientation: u32, profile: &[u8]) -> Result<Vec<u8>, Box<dyn Error>> {
    let rows = pixels();
    let bits = 8 + 2 + 10 * 12 + 4;
    let length = |bytes: &[u8]| u32::try_from(bytes.len());
    let entries: [(u16, u16, u32, u32); 10] = [
        (256, 4, 1, ACROSS),
        (257, 4, 1, DOWN),
        (258, 3, 3, bits),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, bits + 6),
        (274, 3, 1, orientation),
        (277, 3, 1, 3),
        (279, 4, 1, length(&rows)?),
        (34675, 7, length(profile)?, bits + 6 + length(&rows)?),
    ];
    let count: u16 = if profile.is_empty() { 9 } else { 10 };
    let mut tiff = b"II\x2a\0\x08\0\0\0".to_vec();
    tiff.extend(count.to_le_bytes());
    for (tag, kind, many, value) in entries.into_iter().take(count.into()) {
        tiff.extend(tag.to_le_bytes());
        tiff.extend(kind.to_le_bytes());
        tiff.extend(many.to_le_bytes());
        tiff.extend(value.to_le_bytes());
    }
    tiff.resize(usize::try_from(bits)?, 0);
    tiff.extend([8_u16, 8, 8].iter().flat_map(|v| v.to_le_bytes()));
    tiff.extend(&rows);
    tiff.extend(profile);
    Ok(tiff)
}

fn off(
    picture: &Picture,
    at: (usize, usize),
    screen: Screen,
    rgb: [u8; 3],
) -> Result<f64, Box<dyn Error>> {
    let shown = picture.lab_of(picture.linear(at.0, at.1).map(f64::from));
    let wanted = ScreenColour::try_new(screen, rgb.map(|v| f64::from(v) / 255.0))?.to_lab2();
    Ok(ciede2000(wanted, shown))
}

#[test]
fn every_kind_of_file_has_its_colours() -> Check {
    for (name, bytes, most) in files(None)? {
        let picture = Picture::try_read(&bytes)?;
        assert_eq!((picture.width(), picture.height()), (24, 16), "{name}");
        assert_eq!(*picture.encoding().profile(), Profile::Assumed, "{name}");
        assert_eq!(picture.is_deep(), name.ends_with("16"), "{name}");
        for (at, rgb) in [((3, 5), LEFT), ((20, 11), RIGHT)] {
            let off = off(&picture, at, Screen::Srgb, rgb)?;
            assert!(off < most, "{name} {at:?}: {off}");
        }
        assert!(picture.is_solid(3, 5) && !picture.is_solid(24, 5) && !picture.is_clipped(3, 5));
    }
    Ok(())
}

/// Against the colour room's Display P3, whose matrix is derived from the primaries of the standard.
#[test]
fn a_profile_in_the_file_is_used() -> Check {
    let profile = ColorProfile::new_display_p3().encode()?;
    let with = files(Some(&profile))?;
    assert!(with.len() >= 4);
    for (name, bytes, most) in with {
        let picture = Picture::try_read(&bytes)?;
        assert_eq!(*picture.encoding().profile(), Profile::Embedded, "{name}");
        let off = off(&picture, (20, 11), Screen::DisplayP3, RIGHT)?;
        assert!(off < most.max(0.1), "{name}: {off}");
    }
    Ok(())
}

#[test]
fn a_broken_profile_is_refused() -> Check {
    let sound = ColorProfile::new_display_p3().encode()?;
    let mut short = sound.clone();
    short.truncate(sound.len() / 2);
    let mut inks = sound.clone();
    inks[16..20].copy_from_slice(b"CMYK");
    for profile in [vec![7; 600], short, inks] {
        for (name, bytes, _) in files(Some(&profile))? {
            let read = Picture::try_read(&bytes);
            assert!(matches!(read, Err(Refusal::Profile { .. })), "{name}: {:?}", read.map(|_| ()));
        }
    }
    Ok(())
}

#[test]
fn a_picture_is_turned_upright() -> Check {
    let tiff = own_tiff(6, &[])?;
    let picture = Picture::try_read(&tiff)?;
    assert_eq!((picture.width(), picture.height()), (16, 24));
    // What was left is above.
    assert!(off(&picture, (8, 3), Screen::Srgb, LEFT)? < 0.05);
    assert!(off(&picture, (8, 20), Screen::Srgb, RIGHT)? < 0.05);

    // The same file that says its picture is a thumbnail is a raw file's.
    let mut raw = tiff.clone();
    raw[10..22].copy_from_slice(&[254, 0, 4, 0, 1, 0, 0, 0, 1, 0, 0, 0]);
    assert!(Picture::try_read(&raw).is_err_and(|e| e.to_string().contains("raw file")));
    Ok(())
}

#[test]
fn grey_and_palette_are_read_and_what_cannot_be_right_is_refused() -> Check {
    let mut grey = vec![];
    PngEncoder::new(&mut grey).write_image(&[119; 400], 20, 20, ExtendedColorType::L8)?;
    assert!(off(&Picture::try_read(&grey)?, (9, 9), Screen::Srgb, [119; 3])? < 0.01);
    let palette = Picture::try_read(include_bytes!("files/palette.png"))?;
    assert!(off(&palette, (9, 9), Screen::Srgb, LEFT)? < 0.01);

    let refused = |bytes: &[u8], says: &str| {
        let read = Picture::try_read(bytes).map(|_| ());
        assert!(read.as_ref().is_err_and(|e| e.to_string().contains(says)), "{says}: {read:?}");
    };
    refused(b"", "empty");
    refused(include_bytes!("files/four-inks.jpg"), "four inks");
    refused(include_bytes!("files/moves.png"), "several frames");
    refused(include_bytes!("files/moves.webp"), "several frames");
    refused(b"GIF89a\x01\0\x01\0", "GIF");
    refused(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "JPEG");
    refused(b"%PDF-1.7", "PDF");
    refused(b"hello, dyer", "another kind");
    refused(b"II\x2a\0\x10\0\0\0CR\x02\0", "raw file");
    let mut tiny = vec![];
    PngEncoder::new(&mut tiny).write_image(&[9; 12], 2, 2, ExtendedColorType::Rgb8)?;
    refused(&tiny, "too little");
    Ok(())
}

/// Sixty thousand by sixty thousand, in a header of a few bytes.
#[test]
fn a_header_that_promises_too_much_is_refused_before_memory_is_set_aside() -> Check {
    let huge = 60_000_u32;
    for (name, mut bytes, _) in files(None)? {
        match name {
            "PNG" | "PNG 16" => {
                bytes[16..20].copy_from_slice(&huge.to_be_bytes());
                bytes[20..24].copy_from_slice(&huge.to_be_bytes());
                let sum = crc(&bytes[12..29]);
                bytes[29..33].copy_from_slice(&sum.to_be_bytes());
            }
            "JPEG" => {
                let at = bytes.windows(2).position(|w| w == [0xff, 0xc0]).ok_or("no frame")?;
                bytes[at + 5..at + 9].copy_from_slice(&[0xea, 0x60, 0xea, 0x60]);
            }
            "TIFF" | "TIFF 16" => {
                let entry = |tag: u16| {
                    let tag = tag.to_le_bytes();
                    bytes
                        .windows(4)
                        .position(|w| w[..2] == tag && (w[2] == 3 || w[2] == 4) && w[3] == 0)
                };
                for at in [entry(256), entry(257)].into_iter().flatten() {
                    let wide = bytes[at + 2] == 4;
                    bytes[at + 8..at + 10].copy_from_slice(&60_000_u16.to_le_bytes());
                    assert!(wide || bytes[at + 2] == 3);
                }
            }
            // RIFF size, then an extended header (VP8X) with the canvas less one in 24 bits each
            "WebP" => {
                let side = (huge - 1).to_le_bytes();
                let mut wide = b"RIFF".to_vec();
                wide.extend(u32::try_from(bytes.len() + 10)?.to_le_bytes());
                wide.extend(b"WEBPVP8X\x0a\0\0\0\0\0\0\0");
                wide.extend(&side[..3]);
                wide.extend(&side[..3]);
                wide.extend(&bytes[12..]);
                bytes = wide;
            }
            other => return Err(format!("no large header is written for {other}").into()),
        }
        let read = Picture::try_read(&bytes).map(|_| ());
        // A TIFF decoder notices that the rows do not fill it.
        let refused = matches!(read, Err(Refusal::Size { .. } | Refusal::Damaged { .. }));
        assert!(refused, "{name}: {read:?}");
    }
    Ok(())
}

/// ISO 3309, as PNG has it.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 }
        })
    })
}

#[test]
fn a_file_that_breaks_off_is_refused_wherever_it_does() -> Check {
    for (name, bytes, _) in files(None)? {
        for end in 1..bytes.len() {
            let read = Picture::try_read(&bytes[..end]);
            let Ok(picture) = read else { continue };
            // What is read all the same (an end mark cut off behind the last pixel) is right.
            for (at, rgb) in [((3, 5), LEFT), ((20, 15), RIGHT)] {
                assert!(off(&picture, at, Screen::Srgb, rgb)? < 1.5, "{name} cut at {end}");
            }
        }
    }
    Ok(())
}

/// Every kind of file there is here, sound and not.
fn every_kind() -> Result<Vec<Vec<u8>>, Box<dyn Error>> {
    let profile = ColorProfile::new_display_p3().encode()?;
    let broken = &profile[..profile.len() / 2];
    let mut all: Vec<Vec<u8>> = vec![];
    for made in [files(None)?, files(Some(&profile))?, files(Some(broken))?] {
        all.extend(made.into_iter().map(|(_, bytes, _)| bytes));
    }
    for (bits, kind) in [(1, ExtendedColorType::L8), (2, ExtendedColorType::La8)] {
        let mut grey = vec![];
        PngEncoder::new(&mut grey).write_image(&vec![119; 400 * bits], 20, 20, kind)?;
        all.push(grey);
    }
    for bytes in [
        include_bytes!("files/four-inks.jpg").as_slice(),
        include_bytes!("files/moves.png"),
        include_bytes!("files/moves.webp"),
        include_bytes!("files/palette.png"),
    ] {
        all.push(bytes.to_vec());
    }
    all.push(own_tiff(6, &[])?);
    Ok(all)
}

/// Made once for all changes.
static KINDS: OnceLock<Vec<Vec<u8>>> = OnceLock::new();

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]
    /// Bytes changed anywhere: a picture or a refusal, never a panic.
    #[test]
    fn changed_bytes_never_panic(which: prop::sample::Index, early: bool, cut: Option<prop::sample::Index>, changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let all = KINDS.get_or_init(|| every_kind().unwrap_or_default());
        prop_assert!(all.len() > 20);
        let mut bytes = which.get(all).clone();
        if let Some(cut) = cut {
            bytes.truncate(1 + cut.index(bytes.len()));
        }
        // Half of the time where headers stand: there a byte does most.
        let reach = if early { bytes.len().min(64) } else { bytes.len() };
        for (at, to) in changes {
            bytes[at.index(reach)] = to;
        }
        if let Ok(picture) = Picture::try_read(&bytes) {
            prop_assert!(picture.linear(0, 0).iter().all(|v| v.is_finite()));
            let _ = picture.try_flats(None);
        }
    }
}
