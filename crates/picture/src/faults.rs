//! What is wrong with a photograph, in words: why it is not read, and what to do.

mod edge_between;
mod edges;
mod fit;
mod signs;

pub(crate) use edge_between::edge_between;
pub(crate) use edges::crept;
pub use fit::Unsure;
pub use signs::Signs;
pub(crate) use signs::{MOST_CREPT, MOST_LEAN, from_chart};

/// Why a photograph of a chart is not read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PhotoRefusal {
    /// A chart of patches that do not fill its rows.
    #[error(
        "{patches} patches with {across} in a row make no chart: give full rows, at least two, 12 to 400 patches"
    )]
    Kind {
        /// Patches given.
        patches: usize,
        /// In a row.
        across: usize,
    },
    /// Corners that make no four-sided figure.
    #[error(
        "the four corners do not go round a chart: give the outer corners of its corner patches one after another around it, in pixels"
    )]
    Corners,
    /// No chart.
    #[error(
        "no colour chart was found: photograph it whole, lying flat, in focus and filling a good part of the frame, or give its four corners"
    )]
    NoChart,
    /// All of it is grey.
    #[error(
        "the picture is grey, it has no colours: photograph in colour, or give the picture as the camera saved it"
    )]
    Grey,
    /// No card printed at home.
    #[error(
        "no printed card was found beside the chart: lay the whole card flat beside the chart, in focus, both filling a good part of the frame, or give its four corners"
    )]
    NoCard,
    /// A fault of the printed card.
    #[error("on the printed card, {0}")]
    OnCard(String),
    /// A fault of the place given for a white.
    #[error("in the place given for the white, {0}")]
    White(String),
    /// Something with as many patches, of other colours.
    #[error(
        "patches in {across} × {down} were found, but their colours are not this chart's: check that the right chart is named, that its patches are in their usual order, that nothing lies on it and that no light is mirrored in it"
    )]
    OtherColours {
        /// Patches across.
        across: usize,
        /// Patches down.
        down: usize,
    },
    /// The chart is seen in a mirror.
    #[error(
        "the picture is mirrored: turn mirroring off in the camera (front cameras do it) and photograph again"
    )]
    Mirrored,
    /// Part of the chart lies outside.
    #[error(
        "{patches} of the chart's patches are cut off by the edge of the picture: photograph again with all of the chart in the frame"
    )]
    Cut {
        /// Patches not whole.
        patches: usize,
    },
    /// Too few pixels.
    #[error(
        "the chart is too small in the picture, {pixels:.0} pixels from patch to patch: go nearer, so that it fills a good part of the frame"
    )]
    Small {
        /// From patch to patch.
        pixels: f64,
    },
    /// Too much light.
    #[error(
        "{patches} of the chart's patches stand at the top of the scale, where the camera lost light: photograph again with less exposure"
    )]
    Clipped {
        /// Patches.
        patches: usize,
    },
    /// Out of focus, moved, or four corners that are not the chart's.
    #[error(
        "the chart's edges are blurred: photograph again in focus, with the camera held still and in more light (where you gave the corners, check them)"
    )]
    Blurred,
    /// A lamp mirrored in the chart.
    #[error(
        "light is mirrored in the chart, or something lies on it: turn it or the lamp until no gleam is left, and photograph again"
    )]
    Glare,
    /// Light of two colours.
    #[error(
        "light of two colours falls on chart and cloth (they differ by {percent:.0} %): leave one kind of light on, draw the curtain or switch the lamp off, and photograph again"
    )]
    TwoLights {
        /// How far they differ.
        percent: f64,
    },
    /// Light that falls off.
    #[error(
        "the light falls off too steeply, by {percent:.0} % over the chart or from it to the cloth: move the lamp further away or go into the shade, lay the cloth against the chart, and photograph again"
    )]
    Steep {
        /// By how much.
        percent: f64,
    },
    /// Patches that are not as believed.
    #[error(
        "patches are not of the colours believed of this chart{}: check that the right chart is named and clean, and that no shadow and no light of another colour lies on a part of it",
        numbers(patches)
    )]
    OtherValues {
        /// Which, from 1, row after row; empty where all are a little off.
        patches: Vec<usize>,
    },
    /// Too few patches can be used.
    #[error(
        "too few of the chart's patches can be read, the others are too dark or too bright: photograph again with another exposure"
    )]
    FewPatches,
    /// A region of which too little is in the picture.
    #[error(
        "the place given for the cloth is not in the picture, or too small in it: give a place that is all cloth, and go nearer"
    )]
    ClothOutside,
    /// A region that reaches into the chart.
    #[error(
        "the place given for the cloth lies on the chart: give a place that is all cloth, beside the chart"
    )]
    ClothOnChart,
    /// A cloth that is no darker than the white it is read by.
    #[error(
        "the cloth shows {percent:.0} % of the white's light, as much as the white itself or more: look whether the white's place lies on the white, with no shadow on it; a cloth as white as that is not read by a white alone"
    )]
    AsWhite {
        /// Of the white's light.
        percent: f64,
    },
    /// Too much light on the cloth.
    #[error(
        "{percent:.0} % of the cloth stands at the top of the scale, where the camera lost light: photograph again with less exposure"
    )]
    ClothClipped {
        /// Share of its pixels.
        percent: f64,
    },
    /// Too little light from the cloth.
    #[error(
        "the cloth is so dark that the camera lost it: photograph again with more exposure, without anything else at the top of the scale"
    )]
    ClothDark,
    /// The cloth is not of one colour.
    #[error(
        "the cloth is not of one colour in the place given ({percent:.0} % apart): look for a gleam, a stain, another lamp's light or an edge in it, give a smaller place, and photograph again"
    )]
    ClothDiscoloured {
        /// How far apart.
        percent: f64,
    },
    /// Parts of the cloth are darker.
    #[error(
        "{percent:.0} % of the cloth is darker than the rest: is it damp there, or is there a fold or a shadow? Dry it, let it lie for an hour, lay it flat, and photograph again"
    )]
    ClothBlotched {
        /// Share of it.
        percent: f64,
    },
    /// The cloth is not lit evenly.
    #[error(
        "the cloth is lit unevenly ({percent:.0} %): lay it flat in even light beside the chart, give a place without folds and edges, and photograph again"
    )]
    ClothUneven {
        /// How much.
        percent: f64,
    },
    /// The estimator cannot make sense of the patches or of the cloth.
    #[error(transparent)]
    Estimate(#[from] crate::Refusal),
    /// A frame of white paper of another size.
    #[error(
        "the picture of the white paper has another size than that of the cloth: take both with the same camera from the same stand"
    )]
    PaperSize,
}

fn numbers(patches: &[usize]) -> String {
    if patches.is_empty() {
        return String::new();
    }
    let list: Vec<String> = patches.iter().take(6).map(ToString::to_string).collect();
    let more = if patches.len() > 6 { " and more" } else { "" };
    format!(" (patch {}{more}, counted row by row)", list.join(", "))
}
