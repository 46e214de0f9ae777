//! A photograph made up from a seed, with its truth: things on a plane (a chart, cloths, paper, clutter), light over it, a
//! camera before it, and what the camera does to its numbers.
//!
//! Every pixel is the mean of four samples. Left out: things that stand up from the plane and their shadows; bent lenses;
//! the camera's own removal of noise.

mod develop;
mod eye;
mod fault;
mod layout;
mod lit;
mod others;
mod thing;
mod view;

pub use develop::Processing;
pub use eye::{Eye, Lamp, sensitivities};
pub use fault::PhotoFault;
pub use layout::{Laid, Layout};
pub use lit::{Glare, Lit, Near, Other, Shadow};
pub use others::NoChart;
pub use thing::{Shape, Texture, Thing, made_up};
pub use view::{Stand, View};

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};

use crate::{Chance, NotEncoded};

/// Everything that makes a photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Where the camera stands.
    pub view: View,
    /// What lies on the plane, the lowest first.
    pub things: Vec<Thing>,
    /// The middle of the things, and half their breadth.
    pub middle: ([f64; 2], f64),
    /// The light.
    pub lit: Lit,
    /// The camera's sensor and the lamps.
    pub eye: Eye,
    /// What it does to its numbers.
    pub processing: Processing,
    /// Where chart and cloths lie among the things.
    pub laid: Laid,
}

/// Pixels of 8 bit, red, green and blue in turn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// The pixels.
    pub rgb: Vec<u8>,
    quality: u8,
}

impl Scene {
    /// Takes the photograph.
    #[must_use]
    pub fn photograph(&self, chance: &mut Chance) -> Photo {
        let light = self.light();
        let rgb = develop::developed(light, self.width, &self.processing, chance);
        Photo { width: self.width, height: self.height, rgb, quality: self.processing.quality }
    }

    /// Four corners of the chart as seen, in pixels: the outer ones of its first patch, the last of the first row, the
    /// last, and the first of the last row. None where there is no chart.
    #[must_use]
    pub fn chart_corners(&self) -> Option<[[f64; 2]; 4]> {
        let patches = self.laid.patches.clone()?;
        let across = self.laid.across;
        let of = |n: usize, corner: [f64; 2]| {
            let patch = self.things.get(patches.start + n)?;
            Some(self.view.pixel(patch.corner(corner)))
        };
        let last = patches.len().checked_sub(1)?;
        Some([
            of(0, [-1.0, -1.0])?,
            of(across - 1, [1.0, -1.0])?,
            of(last, [1.0, 1.0])?,
            of(last + 1 - across, [-1.0, 1.0])?,
        ])
    }

    /// Four corners of a cloth as seen, in pixels, drawn in to a share of its half sides.
    #[must_use]
    pub fn cloth_corners(&self, cloth: usize, share: f64) -> Option<[[f64; 2]; 4]> {
        let thing = self.things.get(*self.laid.cloths.get(cloth)?)?;
        let at = |u: f64, v: f64| self.view.pixel(thing.corner([share * u, share * v]));
        Some([at(-1.0, -1.0), at(1.0, -1.0), at(1.0, 1.0), at(-1.0, 1.0)])
    }

    /// What a cloth reflects.
    #[must_use]
    pub fn cloth(&self, cloth: usize) -> Option<&colour::Bands> {
        Some(&self.things.get(*self.laid.cloths.get(cloth)?)?.surface)
    }

    /// The same with nothing but white paper in the frame.
    #[must_use]
    pub fn of_paper(&self, paper: colour::Bands) -> Self {
        let far = 40.0 * self.middle.1;
        let things = vec![Thing::plate(self.middle.0, [far, far], paper)];
        Self { things, laid: Laid::default(), ..self.clone() }
    }

    fn light(&self) -> Vec<f32> {
        let owners = self.owners();
        let colours: Vec<[[f64; 3]; 2]> =
            self.things.iter().map(|t| self.eye.sees(&t.surface)).collect();
        let (width, height) = (self.width, self.height);
        let mut light = Vec::with_capacity(3 * width * height);
        let over = self.light_over();
        for y in 0..height {
            for x in 0..width {
                let [main, other, glare, kept] = over.at(x, y);
                let point = self.view.point([number(x) + 0.5, number(y) + 0.5]);
                let mut sum = [0.0; 3];
                let mut grains = 1.0;
                for (k, [ox, oy]) in SAMPLES.iter().enumerate() {
                    let owner = owners[(2 * y + k / 2) * 2 * width + 2 * x + k % 2];
                    let Some(thing) = self.things.get(usize::from(owner)) else { continue };
                    // Threads may be finer than a pixel; pile and streaks are not.
                    let grain = match thing.texture {
                        Texture::Smooth => 1.0,
                        Texture::Pile(..) | Texture::Streaks(..) if k > 0 => grains,
                        Texture::Pile(..) | Texture::Streaks(..) => {
                            grains = thing.texture.at(point);
                            grains
                        }
                        texture @ Texture::Weave(..) => {
                            texture.at(self.view.point([number(x) + ox, number(y) + oy]))
                        }
                    };
                    let [here, there] = colours[usize::from(owner)];
                    for c in 0..3 {
                        sum[c] += grain * (main * here[c] + other * there[c]);
                    }
                }
                #[expect(clippy::cast_possible_truncation, reason = "light about 1")]
                light.extend(sum.map(|v| (kept * (0.25 * v + glare)) as f32));
            }
        }
        light
    }

    /// The light at every fourth pixel.
    fn light_over(&self) -> Over {
        let (width, height) =
            (self.width.div_ceil(Over::APART) + 1, self.height.div_ceil(Over::APART) + 1);
        let reach = 0.25 * number(self.width * self.width + self.height * self.height);
        let mut values = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let pixel = [number(x * Over::APART) + 0.5, number(y * Over::APART) + 0.5];
                let [main, other, glare] =
                    self.lit.at(self.view.point(pixel), self.middle.0, self.middle.1);
                let (dx, dy) =
                    (pixel[0] - 0.5 * number(self.width), pixel[1] - 0.5 * number(self.height));
                values.push([
                    main,
                    other,
                    glare,
                    1.0 - self.lit.corners * (dx * dx + dy * dy) / reach,
                ]);
            }
        }
        Over { width, values }
    }

    /// Which thing each of two by two samples of a pixel shows.
    fn owners(&self) -> Vec<u16> {
        let (width, height) = (2 * self.width, 2 * self.height);
        let mut owners = vec![u16::MAX; width * height];
        for (n, thing) in self.things.iter().enumerate() {
            let holds = thing.holds();
            let [left, top, right, bottom] = self.around(thing);
            for y in top..bottom {
                for x in left..right {
                    let point = self.view.point([0.5 * (number(x) + 0.5), 0.5 * (number(y) + 0.5)]);
                    if holds(point) {
                        owners[y * width + x] = u16::try_from(n).unwrap_or(u16::MAX);
                    }
                }
            }
        }
        owners
    }

    /// The samples a thing may cover.
    fn around(&self, thing: &Thing) -> [usize; 4] {
        let (width, height) = (2 * self.width, 2 * self.height);
        let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
            .map(|c| self.view.pixel(thing.corner(c)));
        // A ground may reach behind the camera, where its corners are seen anywhere.
        if thing.half()[0].max(thing.half()[1]) > 4.0 * self.middle.1 {
            return [0, 0, width, height];
        }
        let within = |v: f64, end: usize| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let at = v.clamp(0.0, number(end)) as usize;
            at
        };
        let low = |k: usize| 2.0 * corners.iter().map(|c| c[k]).fold(f64::MAX, f64::min) - 2.0;
        let high = |k: usize| 2.0 * corners.iter().map(|c| c[k]).fold(f64::MIN, f64::max) + 3.0;
        [
            within(low(0), width),
            within(low(1), height),
            within(high(0), width),
            within(high(1), height),
        ]
    }
}

/// Light at points of a grid, even between.
struct Over {
    width: usize,
    values: Vec<[f64; 4]>,
}

impl Over {
    const APART: usize = 4;

    fn at(&self, x: usize, y: usize) -> [f64; 4] {
        let (i, j) = (x / Self::APART, y / Self::APART);
        let (s, t) = (
            number(x % Self::APART) / number(Self::APART),
            number(y % Self::APART) / number(Self::APART),
        );
        let at = |i: usize, j: usize| &self.values[j * self.width + i];
        let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i, j + 1), at(i + 1, j + 1));
        std::array::from_fn(|k| {
            (1.0 - t) * ((1.0 - s) * a[k] + s * b[k]) + t * ((1.0 - s) * c[k] + s * d[k])
        })
    }
}

const SAMPLES: [[f64; 2]; 4] = [[0.25, 0.25], [0.75, 0.25], [0.25, 0.75], [0.75, 0.75]];

impl Photo {
    /// As the camera saves it.
    ///
    /// # Errors
    /// When the encoder fails.
    pub fn jpeg(&self) -> Result<Vec<u8>, NotEncoded> {
        let mut out = vec![];
        let [w, h] = self.size();
        JpegEncoder::new_with_quality(&mut out, self.quality).encode(
            &self.rgb,
            w,
            h,
            ExtendedColorType::Rgb8,
        )?;
        Ok(out)
    }

    /// As PNG.
    ///
    /// # Errors
    /// When the encoder fails.
    pub fn png(&self) -> Result<Vec<u8>, NotEncoded> {
        png_of(self.width, self.height, &self.rgb)
    }

    fn size(&self) -> [u32; 2] {
        [self.width, self.height].map(|v| u32::try_from(v).unwrap_or(u32::MAX))
    }
}

/// Pixels of 8 bit, red, green and blue in turn, as PNG.
///
/// # Errors
/// When they do not fill the picture.
pub fn png_of(width: usize, height: usize, rgb: &[u8]) -> Result<Vec<u8>, NotEncoded> {
    let mut out = vec![];
    let [w, h] = [width, height].map(|v| u32::try_from(v).unwrap_or(u32::MAX));
    let sizes = image::ImageError::Parameter(image::error::ParameterError::from_kind(
        image::error::ParameterErrorKind::DimensionMismatch,
    ));
    if rgb.len() != 3 * width * height {
        return Err(sizes.into());
    }
    PngEncoder::new(&mut out).write_image(rgb, w, h, ExtendedColorType::Rgb8)?;
    Ok(out)
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
const fn number(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use colour::Bands;

    use super::*;

    fn scene(seed: u64) -> Scene {
        let greys: Vec<Bands> =
            (0..24).map(|n| Bands::flat(0.05 + 0.035 * f64::from(n)).unwrap()).collect();
        let cloth = Bands::flat(0.4).unwrap();
        let layout =
            Layout { side: [160, 200], clutter: 3, ..Layout::careful(&greys, 6, vec![cloth]) };
        layout.scene(&mut Chance::of(seed))
    }

    #[test]
    fn one_seed_takes_one_photograph_and_another_takes_another() {
        let of = |seed| scene(seed).photograph(&mut Chance::of(1)).rgb;
        assert_eq!(of(3), of(3));
        assert_ne!(of(3), of(4));
    }

    #[test]
    fn the_truth_is_where_it_says() {
        let mut scene = scene(5);
        scene.lit = Lit::evenly();
        scene.processing = Processing {
            blur: 0.0,
            exposure: 1.0,
            gains: [1.0; 3],
            vivid: 0.0,
            s_curve: 0.0,
            noise: [0.0; 2],
            quality: 95,
        };
        let photo = scene.photograph(&mut Chance::of(1));
        let patches = scene.laid.patches.clone().unwrap();
        let seen = |[x, y]: [f64; 2]| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside")]
            let at = 3 * (y as usize * photo.width + x as usize);
            photo.rgb[at + 1]
        };
        // Greys that grow lighter from patch to patch, and a cloth of its own.
        let greys: Vec<u8> =
            patches.map(|n| seen(scene.view.pixel(scene.things[n].middle))).collect();
        assert!(greys.windows(2).all(|w| w[0] < w[1]), "{greys:?}");
        let cloth = seen(scene.view.pixel(scene.things[scene.laid.cloths[0]].middle));
        assert!((120..200).contains(&cloth), "a reflectance of 0.4 is 168 as sRGB, not {cloth}");
        let corners = scene.chart_corners().unwrap();
        assert!(corners.iter().flatten().all(|v| (0.0..200.0).contains(v)), "{corners:?}");
    }

    #[test]
    fn every_fault_shows() {
        let sound = scene(6);
        let before = sound.photograph(&mut Chance::of(1)).rgb;
        for fault in PhotoFault::ALL {
            let bad = fault.upon(&sound, 0.8, &mut Chance::of(2)).photograph(&mut Chance::of(1));
            let moved: u64 =
                before.iter().zip(&bad.rgb).map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
            assert!(moved > 2000, "{fault:?} moves {moved}");
        }
    }
}
