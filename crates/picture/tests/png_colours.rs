//! PNG files that say of their colours without a profile: each chunk is honoured, or refused in words; and pictures of
//! 16 bit in Display P3 give the colours and readings of the same picture in sRGB.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails its test")]

use colour::{ClothPrior, Screen, ScreenColour, Shown, ciede2000};
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};
use moxcms::ColorProfile;
use picture::{Asked, Chain, ChartKind, ClothPlace, Flats, Picture, Profile, Refusal};
use scenes::{Artwork, Chance, Layout, Manner, made_up};

const RGB: [u8; 3] = [200, 120, 40];

/// A picture of one colour with chunks put behind its header.
fn png(profile: Option<&[u8]>, chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let mut file = vec![];
    let mut encoder = PngEncoder::new(&mut file);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile.to_vec()).unwrap();
    }
    let pixels: Vec<u8> =
        RGB.repeat(400).into_iter().flat_map(|v| (u16::from(v) * 257).to_ne_bytes()).collect();
    encoder.write_image(&pixels, 20, 20, ExtendedColorType::Rgb16).unwrap();
    let mut put = vec![];
    for (kind, data) in chunks {
        let mut own = kind.to_vec();
        own.extend_from_slice(data);
        put.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        put.extend(&own);
        put.extend(crc(&own).to_be_bytes());
    }
    file.splice(33..33, put);
    file
}

/// ISO 3309, as PNG has it.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 }
        })
    })
}

fn numbers(all: &[u32]) -> Vec<u8> {
    all.iter().flat_map(|v| v.to_be_bytes()).collect()
}

/// White, red, green, blue of sRGB and of Display P3, in hundred-thousandths.
const SRGB: [u32; 8] = [31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000];
const P3: [u32; 8] = [31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000];

fn off(picture: &Picture, screen: Screen, rgb: [f64; 3]) -> f64 {
    let shown = picture.lab_of(picture.linear(9, 9).map(f64::from));
    ciede2000(ScreenColour::try_new(screen, rgb).unwrap().to_lab2(), shown)
}

#[test]
fn what_says_srgb_is_srgb() {
    let (gamma, primaries) = (numbers(&[45455]), numbers(&SRGB));
    let all: [&[(&[u8; 4], &[u8])]; 5] = [
        &[(b"sRGB", &[0])],
        &[(b"cICP", &[1, 13, 0, 1])],
        &[(b"gAMA", &gamma)],
        &[(b"gAMA", &gamma), (b"cHRM", &primaries)],
        // A name says more than a gamma.
        &[(b"gAMA", &[0, 1, 0x86, 0xa0]), (b"sRGB", &[1])],
    ];
    for chunks in all {
        let picture = Picture::try_read(&png(None, chunks)).unwrap();
        assert_eq!(*picture.encoding().profile(), Profile::Srgb, "{chunks:?}");
        assert!(off(&picture, Screen::Srgb, RGB.map(|v| f64::from(v) / 255.0)) < 1e-3);
    }
    let silent = Picture::try_read(&png(None, &[(b"cHRM", &primaries)])).unwrap();
    assert_eq!(*silent.encoding().profile(), Profile::Assumed);
}

#[test]
fn other_primaries_and_curves_are_honoured() {
    let rgb = RGB.map(|v| f64::from(v) / 255.0);
    let (gamma, primaries) = (numbers(&[45455]), numbers(&P3));
    let srgb = ColorProfile::new_srgb().encode().unwrap();
    for (profile, chunks) in [
        (None, [(b"cICP", &[12_u8, 13, 0, 1][..])].as_slice()),
        (None, &[(b"gAMA", &gamma), (b"cHRM", &primaries)]),
        // It counts more than a profile.
        (Some(srgb.as_slice()), &[(b"cICP", &[12, 13, 0, 1])]),
    ] {
        let picture = Picture::try_read(&png(profile, chunks)).unwrap();
        assert_eq!(*picture.encoding().profile(), Profile::Embedded);
        assert!(off(&picture, Screen::DisplayP3, rgb) < 0.02, "{chunks:?}");
    }
    // A profile counts more than the rest.
    let picture = Picture::try_read(&png(Some(&srgb), &[(b"gAMA", &numbers(&[100_000]))])).unwrap();
    assert!(off(&picture, Screen::Srgb, rgb) < 0.05);

    for (gamma, chunk) in [
        (1.0, (b"gAMA", numbers(&[100_000]))),
        (1.8, (b"gAMA", numbers(&[55556]))),
        (1.0, (b"cICP", vec![1, 8, 0, 1])),
    ] {
        let picture = Picture::try_read(&png(None, &[(chunk.0, &chunk.1)])).unwrap();
        for (linear, encoded) in picture.linear(9, 9).into_iter().zip(rgb) {
            let wanted = encoded.powf(gamma);
            assert!((f64::from(linear) - wanted).abs() < 1e-4, "{gamma}: {linear} {wanted}");
        }
        // A small copy of it is shown as it is.
        let small = Picture::try_read(&picture.try_small_png(8).unwrap()).unwrap();
        let [one, two] = [&picture, &small].map(|p| p.lab_of(p.linear(4, 4).map(f64::from)));
        assert!(ciede2000(one, two) < 0.5, "{gamma}");
    }
}

#[test]
fn what_cannot_be_honoured_is_refused_in_words() {
    let gamma = numbers(&[45455]);
    let refused = |chunks: &[(&[u8; 4], &[u8])], says: &str| {
        let why = Picture::try_read(&png(None, chunks)).map(|_| ()).unwrap_err();
        assert!(matches!(why, Refusal::Profile { .. }) && why.to_string().contains(says), "{why}");
    };
    refused(&[(b"cICP", &[9, 16, 0, 1])], "high dynamic range");
    refused(&[(b"cICP", &[9, 13, 0, 1])], "primaries 9");
    refused(&[(b"cICP", &[1, 1, 0, 1])], "curve 1,");
    refused(&[(b"cICP", &[1, 13, 1, 1])], "a film's");
    refused(&[(b"cICP", &[1, 13])], "four numbers");
    refused(&[(b"gAMA", &numbers(&[0]))], "its gAMA says 0");
    refused(&[(b"gAMA", &[1, 2])], "one number");
    refused(&[(b"gAMA", &gamma), (b"cHRM", &numbers(&[1, 2, 3]))], "eight numbers");
    let line = [31270, 32900, 64000, 33000, 64000, 33000, 15000, 6000];
    refused(&[(b"gAMA", &gamma), (b"cHRM", &numbers(&line))], "do not make its white");
    refused(&[(b"gAMA", &gamma), (b"cHRM", &numbers(&[0; 8]))], "do not make its white");

    let mut damaged = png(None, &[(b"gAMA", &gamma)]);
    damaged[33 + 8] ^= 1;
    let why = Picture::try_read(&damaged).map(|_| ()).unwrap_err();
    assert!(why.to_string().contains("damaged"), "{why}");
}

/// Pixels of 8 bit in sRGB as 16 bit in Display P3, with its profile.
fn as_p3(width: usize, height: usize, rgb: &[u8]) -> Picture {
    let mut known = std::collections::HashMap::new();
    let mut pixels = Vec::with_capacity(2 * rgb.len());
    for pixel in rgb.as_chunks::<3>().0 {
        let wide = known.entry(*pixel).or_insert_with(|| {
            let screen = pixel.map(|v| f64::from(v) / 255.0);
            let lab = ScreenColour::try_new(Screen::Srgb, screen).unwrap().to_lab2();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1")]
            Shown::of_lab2(Screen::DisplayP3, lab)
                .colour
                .rgb()
                .map(|v| (v.clamp(0.0, 1.0) * 65535.0).round() as u16)
        });
        pixels.extend(wide.iter().flat_map(|v| v.to_ne_bytes()));
    }
    let mut file = vec![];
    let mut encoder = PngEncoder::new(&mut file);
    encoder.set_icc_profile(ColorProfile::new_display_p3().encode().unwrap()).unwrap();
    let [w, h] = [width, height].map(|v| u32::try_from(v).unwrap());
    encoder.write_image(&pixels, w, h, ExtendedColorType::Rgb16).unwrap();
    let picture = Picture::try_read(&file).unwrap();
    assert!(picture.is_deep() && *picture.encoding().profile() == Profile::Embedded);
    picture
}

#[test]
fn artwork_of_16_bit_in_display_p3_has_the_flats_it_has_in_srgb() {
    let mut chance = Chance::of(8);
    let manner = Manner { width: 600, height: 500, ..Manner::usual(&mut chance) };
    let art = Artwork::drawn(&manner, &mut chance);
    let plain = Picture::try_read(&art.png().unwrap()).unwrap().try_flats(None).unwrap();
    let wide = as_p3(art.width, art.height, &art.rgb).try_flats(None).unwrap();
    // Two of nearly one size may change places, and slivers of shades fall to one or another.
    let large = |flats: &Flats| flats.all.iter().filter(|f| f.share > 0.01).count();
    assert_eq!(large(&plain), large(&wide));
    for flat in plain.all.iter().filter(|f| f.share > 0.01) {
        let apart = wide.all.iter().map(|other| ciede2000(flat.lab, other.lab));
        let nearest = apart.fold(f64::MAX, f64::min);
        assert!(nearest < 0.2, "{}: {nearest}", flat.screen.to_hex());
    }
}

#[test]
fn a_photograph_of_16_bit_in_display_p3_is_read_as_it_is_in_srgb() {
    let mut chance = Chance::of(4);
    let chart = ChartKind::classic();
    let cloth = made_up(&mut chance).into_iter().collect();
    let mut layout = Layout::careful(chart.patches(), chart.across(), cloth);
    layout.side = [640, 700];
    let scene = layout.scene(&mut chance);
    let photo = scene.photograph(&mut Chance::of(9));
    let cloths = [ClothPlace::Corners(scene.cloth_corners(0, 0.85).unwrap())];
    let asked = Asked { chart, corners: None, cloths: &cloths, paper: None };
    let read = |picture: &Picture| {
        let read = picture.read_cloths(&asked, Chain::Developed, ClothPrior::shipped()).unwrap();
        read.cloths[0].clone().unwrap()
    };
    let plain = read(&Picture::try_read(&photo.png().unwrap()).unwrap());
    let wide = read(&as_p3(photo.width, photo.height, &photo.rgb));
    let apart = ciede2000(plain.lab, wide.lab);
    // The same light in other primaries is another camera to the estimator, whose belief about cameras leans elsewhere.
    assert!(apart < 0.5 * plain.within90, "{apart} of {}", plain.within90);
}
