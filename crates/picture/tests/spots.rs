//! The colour of a place: a point takes what is like it and no neighbour, a frame takes all and tells its range.

use picture::{Picture, Region};
use scenes::{NotEncoded, png_of};

type Tried = Result<(), Box<dyn std::error::Error>>;

/// Left half one colour, right half another; the lowest rows run from black to white.
fn halves() -> Result<Vec<u8>, NotEncoded> {
    let (width, height) = (120_usize, 80_usize);
    let mut rgb = vec![];
    for y in 0..height {
        for x in 0..width {
            let grey = u8::try_from(x * 255 / (width - 1)).unwrap_or(255);
            rgb.extend(match (y < 60, x < 60) {
                (true, true) => [0x7a, 0x2f, 0x3f],
                (true, false) => [0x2f, 0x6f, 0x5a],
                (false, _) => [grey; 3],
            });
        }
    }
    png_of(width, height, &rgb)
}

#[test]
fn a_point_takes_its_own_colour_up_to_the_edge() -> Tried {
    let picture = Picture::try_read(&halves()?)?;
    for (x, y, hex) in
        [(10, 10, "#7a2f3f"), (59, 30, "#7a2f3f"), (60, 30, "#2f6f5a"), (0, 0, "#7a2f3f")]
    {
        let spot = picture.try_point(x, y)?;
        assert_eq!(spot.screen.to_hex(), hex, "{x},{y}");
        assert!((spot.range[0].l - spot.range[1].l).abs() < 1e-6);
    }
    assert!(picture.try_point(120, 3).is_err() && picture.try_point(3, 80).is_err());
    Ok(())
}

#[test]
fn a_frame_takes_all_that_is_in_it_and_tells_its_range() -> Tried {
    let picture = Picture::try_read(&halves()?)?;
    let even = picture.try_frame(Region { x: 5, y: 5, width: 40, height: 40 })?;
    assert_eq!((even.screen.to_hex().as_str(), even.pixels), ("#7a2f3f", 1600));
    let ramp = picture.try_frame(Region { x: 0, y: 62, width: 120, height: 16 })?;
    assert!(ramp.range[0].l < 8.0 && ramp.range[1].l > 92.0, "{:?}", ramp.range);
    for (x, y, width, height) in
        [(0, 0, 0, 5), (100, 0, 21, 5), (0, 79, 5, 2), (usize::MAX, 0, 2, 2)]
    {
        assert!(
            picture.try_frame(Region { x, y, width, height }).is_err(),
            "{x},{y},{width},{height}"
        );
    }
    Ok(())
}

#[test]
fn a_small_jpeg_is_the_picture_and_smaller() -> Tried {
    let picture = Picture::try_read(&halves()?)?;
    let small = Picture::try_read(&picture.try_small_jpeg(60)?)?;
    assert_eq!((small.width(), small.height()), (60, 40));
    let off = colour::ciede2000(small.try_point(12, 12)?.lab, picture.try_point(24, 24)?.lab);
    assert!(off < 3.0, "{off}");
    Ok(())
}
