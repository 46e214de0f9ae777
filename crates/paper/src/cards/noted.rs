//! The swatches of a plan as a file of swatches: what is planned stands in it, what was really done is put in by the
//! maker.
//!
//! What nobody can know before the dyeing is left as a comment; a row taken as it stands says only that the swatch was
//! dosed as planned and is not read yet.

use plan::document::{GoodsSeen, PiecePlan, Plan, Sheet, SheetDye};

use super::ToDye;

/// The file's text.
pub(crate) fn noted(plan: &Plan, to_dye: &[ToDye<'_>]) -> String {
    let mut out = String::from(
        "# As planned. Change each dose to what you really dosed; then write how the dry swatch was read.\n",
    );
    if !plan.costume.starter_shelf {
        out.push_str(
            "# The doses name your own shelf: write its file here.\n# shelf = \"shelf.toml\"\n",
        );
    }
    out.push_str(&format!("\n[all]\ncostume = {}\n", quoted(&plan.costume.name)));
    for one in to_dye {
        out.push_str(&swatch(one));
    }
    out
}

/// One swatch as it was done: what its sheet holds, with lines of its own in the place of what is left as a comment.
pub(crate) fn done(plan: &Plan, of: &ToDye<'_>, lines: &[String]) -> String {
    let planned = swatch(of);
    let mut out = format!("[all]\ncostume = {}\n", quoted(&plan.costume.name));
    let told = planned.lines().filter(|line| !line.starts_with('#'));
    out.extend(told.map(|line| format!("{line}\n")));
    out.extend(lines.iter().map(|line| format!("{line}\n")));
    out
}

/// Pieces dyed whole in one bath as it was done: its sheet, each piece with its dry weight, and lines of its own. Nothing
/// where the cloth is not known.
pub(crate) fn dyed(
    plan: &Plan,
    piece: &PiecePlan,
    sheet: &Sheet,
    pieces: &[(&str, f64)],
    lines: &[String],
) -> Option<String> {
    let cloth = cloth(&piece.goods)?;
    let each: Vec<String> =
        pieces.iter().map(|(id, grams)| format!("{} = {grams}", quoted(id))).collect();
    let mut out = format!(
        "[[bath]]\ncostume = {}\npieces = {{ {} }}\ncloth = {cloth}\nliquor_ratio = {}\nprogramme = \"{}\"\n",
        quoted(&plan.costume.name),
        each.join(", "),
        sheet.liquor_ratio,
        sheet.procedure
    );
    out.push_str(&doses(sheet));
    out.push_str("]\n");
    out.extend(lines.iter().map(|line| format!("{line}\n")));
    Some(out)
}

fn doses(sheet: &Sheet) -> String {
    let mut out = String::from("dose = [\n");
    for dye in &sheet.dyes {
        out.push_str(&format!("    {},\n", dose(dye)));
    }
    for aux in &sheet.auxiliaries {
        out.push_str(&format!("    {{ auxiliary = \"{}\", grams = {} }},\n", aux.id, aux.grams));
    }
    out
}

fn swatch(of: &ToDye<'_>) -> String {
    let ToDye { piece, sheet, code, over } = of;
    let mut out = format!("\n# {}\n[[swatch]]\ncode = \"{code}\"\n", one_line(&piece.name));
    if let Some(over) = over {
        out.push_str(&format!("over = \"{over}\"\n"));
    }
    out.push_str(&format!(
        "piece = {}\n# day = the day it was dyed: 2031-05-02\n",
        quoted(&piece.id)
    ));
    match cloth(&piece.goods) {
        Some(cloth) => out.push_str(&format!("cloth = {cloth}\n")),
        None => out.push_str("# cloth = its fibre, which must be known first\n"),
    }
    out.push_str("# undyed = \"white\", \"natural\" or as it was read\n# look_alike = true, where it is another cloth\n");
    out.push_str(&format!(
        "weight_g = {}\nliquor_ratio = {}\nprogramme = \"{}\"\n",
        sheet.takes_g, sheet.liquor_ratio, sheet.procedure
    ));
    out.push_str(&doses(sheet));
    out.push_str(
        "]\n# reading = [{ colour = { lab = [0.0, 0.0, 0.0] }, spread = 1.0, washed_off = true, dry = true, cool = true, \
         ironed = true, nap = \"none\", read_on = 2031-05-03 }]\n",
    );
    out
}

/// The cloth as a file of swatches takes it: the made-up material, the fibre, or a blend in per cent.
fn cloth(goods: &GoodsSeen) -> Option<String> {
    match (&goods.material, goods.fibres.as_slice()) {
        _ if !goods.known => None,
        (Some(material), _) => Some(quoted(material)),
        (None, [one]) => Some(quoted(&one.fibre)),
        (None, several) => {
            let each: Vec<String> = several
                .iter()
                .map(|f| format!("{} = {}", f.fibre, (f.share * 1e4).round() / 100.0))
                .collect();
            (!each.is_empty()).then(|| format!("{{ {} }}", each.join(", ")))
        }
    }
}

fn dose(dye: &SheetDye) -> String {
    let amount = match (dye.stock_ml, dye.stock_pct) {
        (Some(ml), Some(pct)) if dye.how == "stock" => {
            format!("stock_ml = {ml}, stock_pct = {pct}")
        }
        _ => format!("grams = {}", dye.grams),
    };
    format!("{{ dye = {}, {amount}, scatter_pct = {} }}", quoted(&dye.id), dye.scatter_pct)
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A name that cannot end the comment it stands in.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
