//! Bytes of a file to a picture: which kind it is, how large it says it is, its profile, upright.
//!
//! Sizes are looked at before anything is set aside for them. What a decoder would show by half, or by guess (a file
//! broken off, ink colours, frames of a film), is refused: a wrong picture is worse than none.

use std::io::Cursor;

use image::codecs::jpeg::JpegDecoder;
use image::codecs::png::PngDecoder;
use image::codecs::tiff::TiffDecoder;
use image::codecs::webp::WebPDecoder;
use image::metadata::Orientation;
use image::{
    ColorType, DynamicImage, ExtendedColorType, ImageDecoder, ImageError, ImageFormat, Limits,
};

use crate::jpeg::markers;
use crate::pixels::Samples;
use crate::tiff::is_raw;
use crate::{Encoding, Picture, Refusal, png};

/// Most pixels read: telephones make 50 million, and some 108.
pub const MOST_PIXELS: u64 = 120_000_000;
/// Most bytes of a file.
pub const LARGEST_FILE: u64 = 512 * 1024 * 1024;
/// Fewest pixels across or down that hold anything to read.
const FEWEST: u32 = 8;
/// Bytes a decoder may set aside: a picture of 16 bit and four channels of the largest size.
const MOST_BYTES: u64 = MOST_PIXELS * 8 + (64 << 20);

impl Picture {
    /// Reads a JPEG, PNG, WebP or TIFF file.
    ///
    /// # Errors
    /// Another kind of file, a damaged one, one that is too large or too small, colours other than red, green and
    /// blue or grey, a film, or a profile that cannot be used.
    pub fn try_read(bytes: &[u8]) -> Result<Self, Refusal> {
        if bytes.is_empty() {
            return Err(Refusal::Empty);
        }
        if bytes.len() as u64 > LARGEST_FILE {
            let megabytes = |n: u64| n.div_ceil(1 << 20);
            return Err(Refusal::TooLarge {
                megabytes: megabytes(bytes.len() as u64),
                most: megabytes(LARGEST_FILE),
            });
        }
        let file = Cursor::new(bytes);
        match image::guess_format(bytes) {
            Ok(ImageFormat::Jpeg) => {
                let told =
                    markers(bytes).ok_or_else(|| damaged("JPEG", "it has no picture in it"))?;
                if told.channels == 4 {
                    return Err(inks());
                }
                if !told.whole {
                    return Err(damaged("JPEG", "it breaks off before its end"));
                }
                decoded("JPEG", JpegDecoder::new(file), None)
            }
            Ok(ImageFormat::Png) => {
                let decoder = PngDecoder::new(file);
                match decoder.as_ref().map(PngDecoder::is_apng) {
                    Ok(Ok(true)) => Err(film()),
                    _ => decoded("PNG", decoder, png::told(bytes)?),
                }
            }
            Ok(ImageFormat::WebP) => {
                let decoder = WebPDecoder::new(file);
                match decoder.as_ref().map(WebPDecoder::has_animation) {
                    Ok(true) => Err(film()),
                    _ => decoded("WebP", decoder, None),
                }
            }
            Ok(ImageFormat::Tiff) if is_raw(bytes) => {
                Err(Refusal::Kind { what: "a raw file of a camera".to_owned() })
            }
            Ok(ImageFormat::Tiff) => decoded("TIFF", TiffDecoder::new(file), None),
            _ => Err(Refusal::Kind { what: kind(bytes).to_owned() }),
        }
    }
}

fn decoded<D: ImageDecoder>(
    kind: &'static str,
    decoder: Result<D, ImageError>,
    told: Option<png::Told>,
) -> Result<Picture, Refusal> {
    let mut decoder = decoder.map_err(|e| refused(kind, &e))?;
    let (width, height) = decoder.dimensions();
    sized(width, height)?;
    // Before the limits: with them a TIFF decoder keeps quiet of a profile larger than the picture.
    let profile = decoder.icc_profile().map_err(|e| refused(kind, &e))?;
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_BYTES);
    decoder.set_limits(limits).map_err(|e| refused(kind, &e))?;
    if matches!(decoder.original_color_type(), ExtendedColorType::Cmyk8 | ExtendedColorType::Cmyk16)
    {
        return Err(inks());
    }
    let colour = decoder.color_type();
    let deep = match colour {
        ColorType::L8 | ColorType::La8 | ColorType::Rgb8 | ColorType::Rgba8 => false,
        ColorType::L16 | ColorType::La16 | ColorType::Rgb16 | ColorType::Rgba16 => true,
        _ => {
            return Err(Refusal::Unfit {
                what: "the picture holds numbers beyond 16 bit".to_owned(),
                rule: "export it with 8 or 16 bit a channel".to_owned(),
            });
        }
    };
    let turned = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let steps = if deep { 65536 } else { 256 };
    let encoding = match (profile.filter(|p| !p.is_empty()), told) {
        (_, Some(told @ png::Told::Named { before_profile: true, .. })) | (None, Some(told)) => {
            Encoding::of_chunks(told, steps)?
        }
        (Some(profile), _) => Encoding::of_profile(&profile, !colour.has_color(), steps)?,
        (None, None) => Encoding::srgb(steps),
    };
    let mut image = DynamicImage::from_decoder(decoder).map_err(|e| refused(kind, &e))?;
    image.apply_orientation(turned);
    Ok(picture(image, encoding))
}

fn sized(width: u32, height: u32) -> Result<(), Refusal> {
    let refused = |rule: &str| Err(Refusal::Size { width, height, rule: rule.to_owned() });
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return refused("120 million pixels are the most; export it smaller");
    }
    if width < FEWEST || height < FEWEST {
        return refused("there is too little in it to read; take a larger one");
    }
    Ok(())
}

fn picture(image: DynamicImage, encoding: Encoding) -> Picture {
    let (width, height) = (image.width() as usize, image.height() as usize);
    let has_alpha = image.color().has_alpha();
    let solid = |alpha: Vec<u8>| (has_alpha && alpha.iter().any(|a| *a < 255)).then_some(alpha);
    let deep = image.color().bytes_per_pixel() / image.color().channel_count() > 1;
    let (samples, solid) = match (deep, has_alpha) {
        (false, false) => (Samples::Eight(image.into_rgb8().into_raw()), None),
        (true, false) => (Samples::Sixteen(image.into_rgb16().into_raw()), None),
        (false, true) => {
            let all = image.into_rgba8().into_raw();
            let alpha = all.iter().skip(3).step_by(4).copied().collect();
            let of = all.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
            (Samples::Eight(of), solid(alpha))
        }
        (true, true) => {
            let all = image.into_rgba16().into_raw();
            let alpha = all.iter().skip(3).step_by(4).map(|a| (a >> 8) as u8).collect();
            let of = all.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
            (Samples::Sixteen(of), solid(alpha))
        }
    };
    Picture { width, height, samples, solid, encoding }
}

fn damaged(kind: &'static str, why: &str) -> Refusal {
    Refusal::Damaged { kind, why: why.to_owned() }
}

fn inks() -> Refusal {
    Refusal::Unfit {
        what: "the picture is made for printing, in four inks".to_owned(),
        rule: "export it as RGB, with the profile sRGB".to_owned(),
    }
}

fn film() -> Refusal {
    Refusal::Unfit {
        what: "the picture moves: it has several frames".to_owned(),
        rule: "save the frame that is meant as a picture of its own".to_owned(),
    }
}

fn refused(kind: &'static str, error: &ImageError) -> Refusal {
    match error {
        ImageError::Limits(_) => Refusal::Unfit {
            what: format!("this {kind} file wants more memory than its picture is worth"),
            rule: "export it as JPEG".to_owned(),
        },
        ImageError::Unsupported(what) => Refusal::Unfit {
            what: format!("this {kind} file is of a kind that is not read ({what})"),
            rule: "export it as JPEG".to_owned(),
        },
        // A decoder's words may run on over the bytes that it met.
        other => damaged(kind, &other.to_string().chars().take(160).collect::<String>()),
    }
}

/// What a file is, by its first bytes, as far as a maker may have taken it for a picture.
fn kind(bytes: &[u8]) -> &'static str {
    let begins = |with: &[u8]| bytes.starts_with(with);
    let brand = (bytes.len() >= 12 && &bytes[4..8] == b"ftyp").then(|| &bytes[8..12]);
    match brand {
        Some(b"heic" | b"heix" | b"hevc" | b"hevx" | b"heim" | b"heis" | b"mif1" | b"msf1") => {
            return "a HEIC file (set the telephone's camera to its most compatible format, or share the picture as \
                    JPEG)";
        }
        Some(b"avif" | b"avis") => return "an AVIF file",
        Some(b"crx ") => return "a raw file of a camera",
        Some(_) => return "a film, or of a film's kind",
        None => {}
    }
    if begins(b"GIF8") {
        "a GIF file (of 256 colours, and often a film)"
    } else if begins(b"BM") {
        "a BMP file"
    } else if begins(b"%PDF") {
        "a PDF file"
    } else if begins(b"FUJIFILMCCD-RAW") || begins(b"IIRO") || begins(b"IIU\0") {
        "a raw file of a camera"
    } else if begins(b"8BPS") {
        "a file of a painting program"
    } else if begins(b"PK\x03\x04") {
        "an archive or an office document"
    } else if begins(b"\0\0\x01\0") {
        "an icon file"
    } else if begins(b"<svg") || begins(b"<?xml") || begins(b"<!DOCTYPE") {
        "a drawing or a page, in text"
    } else {
        "a file of another kind"
    }
}
