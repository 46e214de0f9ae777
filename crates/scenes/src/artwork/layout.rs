//! Where everything stands: panels of a figure over a ground, small things on them, shadows away from the light.

use super::paints::{CLUTTERS, LINE, Palette};
use super::shapes::{Blot, Canvas};
use super::{Manner, Shading};
use crate::Chance;

/// What is drawn with what.
pub(crate) struct Layout<'a> {
    pub(crate) manner: &'a Manner,
    pub(crate) palette: &'a Palette,
}

impl Layout<'_> {
    pub(crate) fn draw(&self, canvas: &mut Canvas, chance: &mut Chance) {
        if self.manner.clutter {
            clutter(canvas, chance);
        }
        let [wide, high] = canvas.size();
        let light = chance.between(0.0, std::f64::consts::TAU);
        let flats: Vec<usize> = (1..self.palette.flats()).collect();
        // A grid with a cell for each flat and a few to spare, so that none is wholly hidden.
        let cells = flats.len() + 2;
        #[expect(clippy::cast_precision_loss, reason = "a count of flats")]
        let across = (cells as f64 * wide / high).sqrt().ceil().max(2.0);
        #[expect(clippy::cast_precision_loss, reason = "a count of flats")]
        let down = (cells as f64 / across).ceil().max(2.0);
        let cell = [0.94 * wide / across, 0.94 * high / down];
        let mut spots = vec![];
        let (mut row, mut column) = (0.5, 0.5);
        while row < down {
            spots.push([0.03 * wide + cell[0] * column, 0.03 * high + cell[1] * row]);
            column += 1.0;
            if column > across {
                (row, column) = (row + 1.0, 0.5);
            }
        }
        shuffle(&mut spots, chance);
        for (flat, spot) in flats.iter().zip(&spots) {
            let small = chance.below(5) == 0;
            let size = if small { [0.16, 0.26] } else { [0.42, 0.66] };
            let at = [0, 1].map(|i| spot[i] + cell[i] * chance.between(-0.12, 0.12));
            let half = cell[0].min(cell[1]);
            let size = [0, 1].map(|_| half * chance.between(size[0], size[1]));
            self.panel(canvas, &blot(at, size, chance), *flat, light, chance);
        }
        // Some flats come again elsewhere, small: the second cuff, the buttons.
        for _ in 0..flats.len() {
            let flat = flats[chance.below(flats.len())];
            let spot = spots[chance.below(spots.len())];
            let half = cell[0].min(cell[1]);
            let size = [0, 1].map(|_| half * chance.between(0.07, 0.14));
            let at = [0, 1].map(|i| spot[i] + cell[i] * chance.between(-0.3, 0.3));
            self.panel(canvas, &blot(at, size, chance), flat, light, chance);
        }
    }

    fn panel(
        &self,
        canvas: &mut Canvas,
        shape: &Blot,
        flat: usize,
        light: f64,
        chance: &mut Chance,
    ) {
        let base = Palette::paint(flat, 0);
        canvas.lay(shape.bounds(), |at, _| (shape.depth(at) <= 1.0).then_some(base));
        if self.manner.shading == Shading::Hard {
            self.shade(canvas, shape, flat, light, chance);
        }
        if self.manner.line > 0.0 {
            let width = 3.0 * self.manner.line * chance.between(0.8, 1.2);
            canvas.stroke(&shape.outline(), width, LINE);
            if chance.below(3) == 0 {
                // A seam across it.
                let seam = shape.scaled(chance.between(0.4, 0.7)).moved([shape.size[0] * 0.2, 0.0]);
                let arc = seam.outline();
                let from = chance.below(arc.len() / 2 + 1);
                canvas.stroke(&arc[from..from + arc.len() / 4], width * 0.6, LINE);
            }
        }
    }

    fn shade(
        &self,
        canvas: &mut Canvas,
        shape: &Blot,
        flat: usize,
        light: f64,
        chance: &mut Chance,
    ) {
        let [base, first, second, high] = [0, 1, 2, 3].map(|tone| Palette::paint(flat, tone));
        let small = shape.size[0].min(shape.size[1]);
        let away = |by: f64| [small * by * light.cos(), small * by * light.sin()];
        let lit = shape.moved(away(chance.between(0.28, 0.42)));
        let half_lit = shape.moved(away(chance.between(0.12, 0.2)));
        // Inside the panel only, whatever of it stands there.
        canvas.lay(shape.bounds(), |at, here| {
            let inside = here == base && shape.depth(at) <= 1.0;
            match () {
                () if !inside => None,
                () if half_lit.depth(at) > 1.0 => Some(second),
                () if lit.depth(at) > 1.0 => Some(first),
                () => None,
            }
        });
        // A fold: a narrow blot of the first tone; and a highlight towards the light.
        let fold = Blot {
            size: [small * 0.55, small * chance.between(0.07, 0.13)],
            turned: chance.between(0.0, 3.0),
            ..shape.moved(away(-chance.between(0.05, 0.3)))
        };
        canvas.lay(fold.bounds(), |at, here| {
            (here == base && fold.depth(at) <= 1.0 && shape.depth(at) <= 1.0).then_some(first)
        });
        let spot = Blot {
            size: [small * chance.between(0.14, 0.24), small * chance.between(0.08, 0.16)],
            ..shape.moved(away(chance.between(0.4, 0.6)))
        };
        canvas.lay(spot.bounds(), |at, here| {
            (here == base && spot.depth(at) <= 1.0 && shape.depth(at) <= 1.0).then_some(high)
        });
    }
}

fn blot(at: [f64; 2], size: [f64; 2], chance: &mut Chance) -> Blot {
    let turned = chance.between(0.0, std::f64::consts::TAU);
    let waves = [2.0, 3.0, 5.0]
        .map(|many| [many, chance.between(0.0, 0.3) / many, chance.between(0.0, 6.0)]);
    Blot { at, size, turned, waves }
}

/// Blots and strokes a little lighter or darker than the ground.
fn clutter(canvas: &mut Canvas, chance: &mut Chance) {
    let [wide, high] = canvas.size();
    for i in 0..40 {
        let paint = Palette::clutter(i % CLUTTERS);
        let at = [chance.between(0.0, wide), chance.between(0.0, high)];
        let half = wide.min(high);
        let size = [half * chance.between(0.01, 0.06), half * chance.between(0.003, 0.03)];
        let shape = blot(at, size, chance);
        if i % 2 == 0 {
            canvas.lay(shape.bounds(), |at, _| (shape.depth(at) <= 1.0).then_some(paint));
        } else {
            canvas.stroke(&shape.outline(), chance.between(3.0, 12.0), paint);
        }
    }
}

fn shuffle<T>(all: &mut [T], chance: &mut Chance) {
    for i in (1..all.len()).rev() {
        all.swap(i, chance.below(i + 1));
    }
}
