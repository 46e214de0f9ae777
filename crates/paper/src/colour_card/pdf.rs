//! The card as PDF: one page, plates and words, in two of the fonts that every reader has (ISO 32000-1, 9.6.2.2).
//!
//! Colours are the printer's own red, green and blue, without a profile, as a home printer takes them. Left out: compression,
//! so that the file is text.

use std::fmt::Write as _;

use super::Mark;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// Writes it.
pub(super) fn pdf([wide, high]: [f64; 2], title: &str, marks: &[Mark]) -> Vec<u8> {
    let page = page(high, marks);
    let font = |name: &str| {
        format!("<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>")
    };
    let objects = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {:.3} {:.3}] /Contents 4 0 R /Resources << /Font << /F1 5 0 R /F2 6 0 R \
             >> >> >>",
            wide * POINTS,
            high * POINTS
        ),
        format!("<< /Length {} >>\nstream\n{page}\nendstream", page.len()),
        font("Helvetica"),
        font("Helvetica-Bold"),
        format!("<< /Title ({title}) /Producer (dyewright) >>"),
    ];
    let mut out = String::from("%PDF-1.4\n% dyewright colour card\n");
    let mut places = vec![];
    for (n, object) in objects.iter().enumerate() {
        places.push(out.len());
        // Writing into a String cannot fail.
        let _ = write!(out, "{} 0 obj\n{object}\nendobj\n", n + 1);
    }
    let start = out.len();
    let _ = write!(out, "xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1);
    for place in places {
        let _ = writeln!(out, "{place:010} 00000 n ");
    }
    let _ = write!(
        out,
        "trailer\n<< /Size {} /Root 1 0 R /Info 7 0 R >>\nstartxref\n{start}\n%%EOF\n",
        objects.len() + 1
    );
    out.into_bytes()
}

fn page(high: f64, marks: &[Mark]) -> String {
    let mut out = String::new();
    let up = |y: f64| (high - y) * POINTS;
    for mark in marks {
        let _ = match mark {
            Mark::Plate([x, y, w, h], rgb) => writeln!(
                out,
                "{} {:.3} {:.3} {:.3} {:.3} re f",
                colour(*rgb),
                x * POINTS,
                up(y + h),
                w * POINTS,
                h * POINTS
            ),
            Mark::Shape(corners, rgb) => {
                let _ = write!(out, "{}", colour(*rgb));
                for (n, [x, y]) in corners.iter().enumerate() {
                    let to = if n == 0 { "m" } else { "l" };
                    let _ = write!(out, " {:.3} {:.3} {to}", x * POINTS, up(*y));
                }
                writeln!(out, " h f")
            }
            Mark::Words([x, y], size, bold, rgb, words) => writeln!(
                out,
                "BT {} /F{} {:.2} Tf {:.3} {:.3} Td ({words}) Tj ET",
                colour(*rgb),
                if *bold { 2 } else { 1 },
                size * POINTS,
                x * POINTS,
                up(*y)
            ),
        };
    }
    out.pop();
    out
}

/// A colour to fill with.
pub(super) fn colour(rgb: [u8; 3]) -> String {
    let [r, g, b] = rgb.map(|v| f64::from(v) / 255.0);
    format!("{r:.4} {g:.4} {b:.4} rg")
}
