//! Flat colours of drawings whose truth is known: found where they are, shades with their base, lines set aside; a region,
//! what is cut out, soft shading; and a refusal of what holds none.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails its test")]

use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};
use picture::{Flats, Open, Picture, Refusal, Region, ShadeKind, paired};
use scenes::{Artwork, Chance, Manner, Shading};

/// A picture of rectangles laid one on the other: left, top, right, bottom, colour.
fn laid(width: usize, height: usize, boxes: &[([usize; 4], [u8; 4])]) -> Picture {
    let mut rgba = vec![0; 4 * width * height];
    for ([left, top, right, bottom], colour) in boxes {
        for y in *top..*bottom {
            for x in *left..*right {
                rgba[4 * (y * width + x)..4 * (y * width + x) + 4].copy_from_slice(colour);
            }
        }
    }
    let (w, h) = (u32::try_from(width).unwrap(), u32::try_from(height).unwrap());
    let mut file = vec![];
    PngEncoder::new(&mut file).write_image(&rgba, w, h, ExtendedColorType::Rgba8).unwrap();
    Picture::try_read(&file).unwrap()
}

const GROUND: [u8; 4] = [238, 238, 238, 255];
const LINE: [u8; 4] = [16, 16, 20, 255];
const GREEN: [u8; 4] = [47, 111, 90, 255];
const SHADED: [u8; 4] = [30, 76, 64, 255];
const RED: [u8; 4] = [190, 40, 48, 255];

/// A ground, and a green panel with a shadow and a red one, each in a line.
fn two_panels() -> Picture {
    laid(
        300,
        200,
        &[
            ([0, 0, 300, 200], GROUND),
            ([37, 37, 143, 163], LINE),
            ([40, 40, 140, 160], GREEN),
            ([105, 40, 140, 160], SHADED),
            ([167, 57, 263, 143], LINE),
            ([170, 60, 260, 140], RED),
        ],
    )
}

fn hexes(flats: &Flats) -> Vec<String> {
    flats.all.iter().map(|f| f.screen.to_hex()).collect()
}

#[test]
fn flats_stand_largest_first_with_their_shades_and_lines_are_none() {
    let flats = two_panels().try_flats(None).unwrap();
    assert_eq!(hexes(&flats), ["#eeeeee", "#2f6f5a", "#be2830"]);
    assert!(flats.all[0].is_ground && !flats.all[1].is_ground);
    let green = &flats.all[1];
    assert_eq!(green.shades.len(), 1);
    assert_eq!(green.shades[0].kind, ShadeKind::Shadow);
    assert!(green.range()[0].l < green.lab.l);
    let [x, y] = green.at;
    assert!((40..105).contains(&x) && (40..160).contains(&y), "{x},{y}");
    let [left, top, right, bottom] = green.bounds;
    assert!(left.abs_diff(40) < 4 && top.abs_diff(40) < 4, "{:?}", green.bounds);
    assert!(right.abs_diff(140) < 4 && bottom.abs_diff(160) < 4, "{:?}", green.bounds);
    assert!(green.open.is_empty(), "{:?}", green.open);
}

#[test]
fn a_region_holds_only_what_is_in_it() {
    let region = Region { x: 160, y: 50, width: 120, height: 110 };
    let flats = two_panels().try_flats(Some(region)).unwrap();
    assert_eq!(hexes(&flats), ["#be2830", "#eeeeee"]);
    let [x, y] = flats.all[0].at;
    assert!((170..260).contains(&x) && (60..140).contains(&y), "{x},{y}");
}

#[test]
fn what_is_cut_out_is_nobodys() {
    let panels = [([40, 40, 140, 160], GREEN), ([170, 60, 260, 140], RED)];
    let flats = laid(300, 200, &panels).try_flats(None).unwrap();
    assert_eq!(hexes(&flats), ["#2f6f5a", "#be2830"]);
    assert!(flats.cut_out > 0.6, "{}", flats.cut_out);
    let shares: f64 = flats.all.iter().map(|f| f.share).sum();
    assert!((0.8..=1.0001).contains(&shares), "{shares}");
}

#[test]
fn a_darker_panel_as_large_as_its_neighbour_is_asked_about() {
    let picture = laid(
        300,
        200,
        &[
            ([0, 0, 300, 200], GROUND),
            ([37, 37, 243, 163], LINE),
            ([40, 40, 142, 160], GREEN),
            ([142, 40, 240, 160], SHADED),
        ],
    );
    let flats = picture.try_flats(None).unwrap();
    let asked: Vec<&Open> = flats.all.iter().flat_map(|f| &f.open).collect();
    assert!(!asked.is_empty(), "{:?}", hexes(&flats));
}

/// One coat cut in two by its front: left mostly in light, right mostly in shadow.
#[test]
fn two_colours_each_the_others_shade_somewhere_are_asked_about() {
    let picture = laid(
        300,
        200,
        &[
            ([0, 0, 300, 200], GROUND),
            ([37, 37, 143, 163], LINE),
            ([40, 40, 110, 160], GREEN),
            ([110, 40, 140, 160], SHADED),
            ([157, 37, 263, 163], LINE),
            ([160, 40, 195, 160], GREEN),
            ([195, 40, 260, 160], SHADED),
        ],
    );
    let flats = picture.try_flats(None).unwrap();
    let hexes = hexes(&flats);
    let at = |hex: &str| hexes.iter().position(|h| h == hex).unwrap();
    let (light, shadow) = (at("#2f6f5a"), at("#1e4c40"));
    assert_eq!(flats.all[shadow].open, [Open::ShadeOf(light)], "{hexes:?}");
    assert!(flats.all[light].open.is_empty(), "{:?}", flats.all[light].open);
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a byte")]
fn darker(v: u8, keeps: f64) -> u8 {
    (f64::from(v) * keeps).round() as u8
}

#[test]
fn soft_shading_is_one_flat_with_its_range() {
    let mut boxes = vec![([0, 0, 400, 200], GROUND), ([37, 37, 363, 163], LINE)];
    boxes.push(([40, 40, 360, 160], GREEN));
    for i in 0..120_usize {
        let keeps = 1.0 - 0.5 * i as f64 / 120.0;
        let of = |v: u8| darker(v, keeps);
        let [r, g, b, a] = GREEN;
        boxes.push(([240 + i, 40, 241 + i, 160], [of(r), of(g), of(b), a]));
    }
    let flats = laid(400, 200, &boxes).try_flats(None).unwrap();
    assert_eq!(hexes(&flats)[..2], ["#eeeeee", "#2f6f5a"], "{:?}", hexes(&flats));
    assert_eq!(flats.all.len(), 2, "{:?}", hexes(&flats));
    let green = &flats.all[1];
    assert!(green.is_soft);
    assert!(green.lab.l - green.range()[0].l > 10.0, "{:?}", green.range());
}

#[test]
fn one_colour_everywhere_is_one_flat() {
    let flats = laid(64, 48, &[([0, 0, 64, 48], RED)]).try_flats(None).unwrap();
    assert_eq!(hexes(&flats), ["#be2830"]);
    assert!((flats.all[0].share - 1.0).abs() < 0.01, "{}", flats.all[0].share);
    let tiny = laid(8, 8, &[([0, 0, 8, 8], RED)]).try_flats(None).unwrap();
    assert_eq!(hexes(&tiny), ["#be2830"]);
}

#[test]
fn what_holds_no_flats_is_refused_in_words() {
    let check = |answer: Result<Flats, Refusal>, with: &str| {
        let says = answer.map(|f| hexes(&f)).unwrap_err().to_string();
        assert!(says.contains(with), "{says}");
    };
    check(laid(100, 100, &[]).try_flats(None), "cut out");
    let mut chance = Chance::of(5);
    let noise: Vec<_> = (0..120 * 120)
        .map(|i| {
            let (x, y) = (i % 120, i / 120);
            ([x, y, x + 1, y + 1], [0; 4].map(|_: u8| u8::try_from(chance.below(256)).unwrap()))
        })
        .map(|(at, [r, g, b, _])| (at, [r, g, b, 255]))
        .collect();
    check(laid(120, 120, &noise).try_flats(None), "photograph");
    let whole = two_panels();
    let region = |x, y, width, height| Some(Region { x, y, width, height });
    check(whole.try_flats(region(250, 0, 100, 100)), "reaches out");
    check(whole.try_flats(region(usize::MAX, 0, 100, 100)), "reaches out");
    check(whole.try_flats(region(10, 10, 3, 100)), "too little");
}

#[test]
fn pictures_of_one_character_are_paired_and_their_disagreement_shown() {
    let other = laid(
        300,
        200,
        &[
            ([0, 0, 300, 200], GROUND),
            ([40, 40, 140, 160], [52, 116, 90, 255]),
            ([170, 60, 220, 140], [40, 60, 170, 255]),
        ],
    );
    let (first, other) = (two_panels().try_flats(None).unwrap(), other.try_flats(None).unwrap());
    let both = paired(&first, &other);
    assert_eq!(both.pairs.len(), 1);
    assert!(both.pairs[0].apart > 0.5 && both.pairs[0].apart < 6.0, "{:?}", both.pairs);
    assert_eq!((both.only_first.len(), both.only_other.len()), (1, 1));
}

#[test]
fn flats_of_drawn_pictures_are_found() {
    let mut chance = Chance::of(11);
    let (mut flats, mut found) = (0, 0);
    for _ in 0..4 {
        let shading = Shading::Hard;
        let manner =
            Manner { width: 800, height: 700, flats: 10, shading, line: 3.0, clutter: false };
        let drawn = Artwork::drawn(&manner, &mut chance);
        let picture = Picture::try_read(&drawn.jpeg(75, true).unwrap()).unwrap();
        let read = picture.try_flats(None).unwrap();
        for one in drawn.flats.iter().filter(|f| f.share[1] > 0.002) {
            flats += 1;
            let near = |f: &picture::Flat| colour::ciede2000(f.lab, one.lab) < 2.0;
            found += usize::from(read.all.iter().any(near));
        }
    }
    assert!(100 * found >= 95 * flats, "{found} of {flats}");
}

/// Pictures of any size and sort: an answer or a refusal in words, whatever stands in them.
#[test]
fn no_picture_is_too_odd() {
    let mut chance = Chance::of(7);
    let sides = [8, 9, 13, 17, 64, 201];
    for width in sides {
        for height in sides {
            let mut boxes = vec![([0, 0, width, height], GREEN)];
            for _ in 0..chance.below(5) {
                let (x, y) = (chance.below(width), chance.below(height));
                let colour = [0; 4].map(|_: u8| u8::try_from(chance.below(256)).unwrap());
                boxes.push(([x, y, width, height], colour));
            }
            match laid(width, height, &boxes).try_flats(None) {
                Ok(flats) => {
                    let shares: f64 = flats.all.iter().map(|f| f.share).sum();
                    assert!(!flats.all.is_empty() && shares < 1.5, "{width} × {height}: {shares}");
                    for flat in &flats.all {
                        let [left, top, right, bottom] = flat.bounds;
                        let [x, y] = flat.at;
                        assert!(left <= x && x < right && right <= width, "{width} × {height}");
                        assert!(top <= y && y < bottom && bottom <= height, "{width} × {height}");
                    }
                }
                Err(why) => assert!(!why.to_string().is_empty()),
            }
        }
    }
}

/// A grey picture of 16 bit has its greys.
#[test]
fn greys_of_sixteen_bit_are_read() {
    let mut file = vec![];
    let grey: Vec<u8> = (0..120_u32 * 100)
        .flat_map(|i| (if i % 120 < 60 { 5_000_u16 } else { 60_000 }).to_ne_bytes())
        .collect();
    PngEncoder::new(&mut file).write_image(&grey, 120, 100, ExtendedColorType::L16).unwrap();
    let flats = Picture::try_read(&file).unwrap().try_flats(None).unwrap();
    assert_eq!(flats.all.len(), 2, "{:?}", hexes(&flats));
    for flat in &flats.all {
        assert!(flat.lab.chroma() < 0.2, "{:?}", flat.lab);
    }
}

/// A small copy has the colours of the whole, and white where the picture is cut out.
#[test]
fn a_small_copy_has_the_same_colours() {
    let picture = laid(300, 200, &[([0, 0, 150, 200], GREEN)]);
    let small = Picture::try_read(&picture.try_small_png(60).unwrap()).unwrap();
    assert_eq!((small.width(), small.height()), (60, 40));
    let at = |x, y| small.encoded(x, y).map(|v| (v * 255.0).round());
    assert_eq!(at(5, 20), [47.0, 111.0, 90.0]);
    assert_eq!(at(55, 20), [255.0; 3]);
}
