//! A frame with the chart and some cloths, and the same of white paper, through a camera's JPEG and back.

use colour::Bands;
use picture::{Patch, Picture, Seen};
use scenes::{Camera, Cell, Chance, Development, Frame, Sheet};

/// Cloths beside a chart.
pub(crate) const CLOTHS: usize = 12;

/// White paper as photographed for the flat field: nine tenths of the light at every wavelength.
const PAPER: f64 = 0.9;
const SHEET: Sheet = Sheet { across: 6, down: 6, side: 32 };

/// The chart's patches and the cloths as the JPEG shows them.
pub(crate) fn photograph(
    camera: &Camera,
    chart: &[Bands],
    cloths: &[Bands],
    chance: &mut Chance,
) -> Result<(Vec<Patch>, Vec<Seen>), String> {
    let development = Development {
        exposure: 0.8,
        gains: std::array::from_fn(|_| chance.between(0.97, 1.03)),
        gradient: 0.3,
        towards: chance.between(0.0, std::f64::consts::TAU),
        s_curve: 0.15,
        noise: 0.003,
    };
    // cloths lie anywhere among the patches
    let mut cells: Vec<usize> = (0..36).collect();
    for n in (1..cells.len()).rev() {
        cells.swap(n, chance.below(n + 1));
    }
    let mut colours = vec![[0.0; 3]; 36];
    for (cell, bands) in cells.iter().zip(chart.iter().chain(cloths)) {
        colours[*cell] = camera.sees(bands);
    }
    let scene = through_jpeg(&development.frame(SHEET, &colours, chance))?;
    let paper = camera.sees(&Bands::flat(PAPER).map_err(|e| e.to_string())?);
    let paper = through_jpeg(&development.frame(SHEET, &[paper; 36], chance))?;
    let seen = |cell: usize| Seen {
        rgb: average(&scene, SHEET.middle(cell)),
        paper: Some(average(&paper, SHEET.middle(cell))),
        place: None,
    };
    let patches = chart
        .iter()
        .zip(&cells)
        .map(|(bands, cell)| Patch { reflectance: *bands, seen: seen(*cell) })
        .collect();
    let rest = cells[chart.len()..].iter().take(cloths.len()).map(|cell| seen(*cell)).collect();
    Ok((patches, rest))
}

fn through_jpeg(frame: &Frame) -> Result<Picture, String> {
    let mut file = Vec::new();
    let size = |n: usize| u32::try_from(n).map_err(|e| e.to_string());
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, 90)
        .encode(
            &frame.bytes,
            size(frame.width)?,
            size(frame.height)?,
            image::ExtendedColorType::Rgb8,
        )
        .map_err(|e| e.to_string())?;
    Picture::try_read(&file).map_err(|e| e.to_string())
}

fn average(picture: &Picture, cell: Cell) -> [f64; 3] {
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    for y in cell.top..cell.bottom {
        for x in cell.left..cell.right {
            for (s, v) in sum.iter_mut().zip(picture.linear(x, y)) {
                *s += f64::from(v);
            }
            count += 1.0;
        }
    }
    sum.map(|s| s / count)
}
