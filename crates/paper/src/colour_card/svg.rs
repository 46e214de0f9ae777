//! The card as SVG: the sheet's size in millimetres, one unit a millimetre.

use std::fmt::Write as _;

use super::Mark;

/// Writes it.
pub(super) fn svg([wide, high]: [f64; 2], title: &str, marks: &[Mark]) -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}mm\" height=\"{high}mm\" viewBox=\"0 0 {wide} {high}\">\n\
         <title>{title}</title>\n<rect width=\"{wide}\" height=\"{high}\" fill=\"#ffffff\"/>\n"
    );
    for mark in marks {
        // Writing into a String cannot fail.
        let _ = match mark {
            Mark::Plate([x, y, w, h], rgb) => writeln!(
                out,
                "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"{}\"/>",
                hex(*rgb)
            ),
            Mark::Shape(corners, rgb) => {
                let points: Vec<String> =
                    corners.iter().map(|[x, y]| format!("{x:.2},{y:.2}")).collect();
                writeln!(out, "<polygon points=\"{}\" fill=\"{}\"/>", points.join(" "), hex(*rgb))
            }
            Mark::Words([x, y], size, bold, rgb, words) => writeln!(
                out,
                "<text x=\"{x:.2}\" y=\"{y:.2}\" font-family=\"Helvetica, Arial, sans-serif\" font-size=\"{size:.2}\"{} \
                 fill=\"{}\">{words}</text>",
                if *bold { " font-weight=\"bold\"" } else { "" },
                hex(*rgb)
            ),
        };
    }
    out.push_str("</svg>\n");
    out
}

fn hex([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}
