//! CSV spectra: one sample a row with wavelengths in the header, or one sample a column with
//! wavelengths down the first.
//!
//! Comma, semicolon and tab are understood (a decimal comma needs one of the latter two); lines
//! that start with # are skipped. Values above 2 mean percent, and the reading says so.

use crate::{Origin, Reading};

use super::{
    MOST_FAULTS, MOST_READINGS, TextRefusal,
    grid::{Scale, spectrum, wavelength},
    number,
};

/// One cell: column in characters from 1, and its text.
type Cell<'a> = (usize, &'a str);
type Row<'a> = (usize, Vec<Cell<'a>>);

pub(super) fn read(text: &str, file: &str) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    let separator = separator(text);
    let rows: Vec<Row> = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty() && !line.trim_start().starts_with('#'))
        .map(|(i, line)| (i + 1, cells(line, separator)))
        .collect();
    let Some(((header_line, header), body)) = rows.split_first() else { return Ok(Vec::new()) };
    let bands: Vec<(usize, f64)> = header
        .iter()
        .enumerate()
        .filter_map(|(i, (_, cell))| wavelength(cell).map(|nm| (i, nm)))
        .collect();
    if bands.len() >= 4 && !body.is_empty() {
        return across(*header_line, header, &bands, body, file);
    }
    let starts_at_once = header.first().is_some_and(|(_, cell)| wavelength(cell).is_some());
    let (names, body) = if starts_at_once { (None, rows.as_slice()) } else { (Some(header), body) };
    down(*header_line, names, body, file)
}

/// One sample a row.
fn across(
    header_line: usize,
    header: &[Cell],
    bands: &[(usize, f64)],
    body: &[Row],
    file: &str,
) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    let wavelengths: Vec<f64> = bands.iter().map(|(_, nm)| *nm).collect();
    let is_name = |cell: &str| {
        let word = cell.to_lowercase();
        ["name", "label", "sample"].iter().any(|w| word.contains(w))
    };
    let band_columns: Vec<usize> = bands.iter().map(|(i, _)| *i).collect();
    let others = || (0..header.len()).filter(|i| !band_columns.contains(i));
    let named = others().find(|i| is_name(header[*i].1)).or_else(|| others().next());

    let (mut samples, mut faults) = (Vec::new(), Vec::new());
    for (line, row) in body {
        if row.len() != header.len() {
            let rule = format!(
                "the header on line {header_line} has {} columns and this row {}; give every \
                 sample every column",
                header.len(),
                row.len()
            );
            let (column, cell) = row.last().copied().unwrap_or((1, ""));
            faults.push(TextRefusal::new(*line, column, cell, rule));
            continue;
        }
        let mut values = Vec::with_capacity(bands.len());
        for i in &band_columns {
            let (column, cell) = row[*i];
            match number(cell) {
                Some(v) => values.push(v),
                None => faults.push(TextRefusal::new(*line, column, cell, NOT_A_NUMBER)),
            }
        }
        if values.len() == bands.len() {
            let name = named.map(|i| row[i].1.to_owned());
            let (column, culprit) = row[band_columns[0]];
            samples.push(Sample { name, values, at: (*line, column, culprit) });
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    finish(&wavelengths, &samples, file, faults)
}

/// One sample a column.
fn down(
    header_line: usize,
    names: Option<&Vec<Cell>>,
    body: &[Row],
    file: &str,
) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    let Some((first_line, first)) = body.first() else {
        let rule = "no spectra follow; write wavelengths in the header, or down the first column";
        return Err(vec![TextRefusal::new(header_line, 1, "", rule)]);
    };
    let width = first.len();
    let mut wavelengths = Vec::new();
    let mut samples: Vec<Vec<f64>> = vec![Vec::new(); width.saturating_sub(1)];
    let mut faults = Vec::new();
    for (line, row) in body {
        let nm = row.first().and_then(|(_, cell)| wavelength(cell));
        let Some(nm) = nm else {
            let (column, cell) = row.first().copied().unwrap_or((1, ""));
            let rule = "a wavelength in nm is wanted here; write wavelengths in the header (R400, \
                        R410 …) or down the first column";
            faults.push(TextRefusal::new(*line, column, cell, rule));
            if faults.len() >= MOST_FAULTS {
                break;
            }
            continue;
        };
        if row.len() != width || width < 2 {
            let rule = format!("{} columns are wanted, as in line {first_line}, 2 or more", width);
            faults.push(TextRefusal::new(*line, 1, row[0].1, rule));
            if faults.len() >= MOST_FAULTS {
                break;
            }
            continue;
        }
        wavelengths.push(nm);
        for (sample, (column, cell)) in samples.iter_mut().zip(&row[1..]) {
            match number(cell) {
                Some(v) => sample.push(v),
                None => faults.push(TextRefusal::new(*line, *column, cell, NOT_A_NUMBER)),
            }
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    let samples: Vec<Sample> = samples
        .into_iter()
        .enumerate()
        .map(|(i, values)| {
            let name = names.and_then(|n| n.get(i + 1)).map(|(_, cell)| (*cell).to_owned());
            let (column, culprit) = first[i + 1];
            Sample { name, values, at: (*first_line, column, culprit) }
        })
        .collect();
    finish(&wavelengths, &samples, file, faults)
}

/// The values of one sample as written, and where they begin.
struct Sample<'a> {
    name: Option<String>,
    values: Vec<f64>,
    at: (usize, usize, &'a str),
}

const NOT_A_NUMBER: &str = "a reflectance is wanted here, as a factor (0.412) or in percent (41.2)";

/// The readings of a table, if nothing is at fault.
fn finish(
    wavelengths: &[f64],
    samples: &[Sample],
    file: &str,
    mut faults: Vec<TextRefusal>,
) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    if samples.len() > MOST_READINGS {
        let rule = format!("{MOST_READINGS} readings are the most; export fewer at a time");
        return Err(vec![TextRefusal::new(1, 1, file, rule)]);
    }
    let scale = Scale::guessed(samples.iter().flat_map(|s| &s.values));
    let mut readings = Vec::new();
    for Sample { name, values, at: (line, column, culprit) } in samples {
        match spectrum(wavelengths, values, scale) {
            Ok(spectrum) => {
                let mut reading = Reading::of_spectrum(spectrum, Origin::File(file.to_owned()));
                reading.name = name.clone().filter(|n| !n.is_empty());
                if scale == Scale::PERCENT {
                    reading.notes.push("Values above 2: the table was read as percent.".to_owned());
                }
                readings.push(reading);
            }
            Err(why) => faults.push(TextRefusal::refused(*line, *column, culprit, &why)),
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    if faults.is_empty() { Ok(readings) } else { Err(faults) }
}

/// Tab if there is one, semicolon if there is one, else comma; judged on the first line that counts.
fn separator(text: &str) -> char {
    let first = text.lines().find(|l| !l.trim().is_empty() && !l.trim_start().starts_with('#'));
    let first = first.unwrap_or("");
    ['\t', ';'].into_iter().find(|c| first.contains(*c)).unwrap_or(',')
}

/// The cells of a line; a cell in double quotes may hold the separator.
fn cells(line: &str, separator: char) -> Vec<Cell<'_>> {
    let mut found = Vec::new();
    let (mut from, mut from_column, mut quoted) = (0, 1, false);
    for (column, (i, c)) in (1..).zip(line.char_indices()) {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            found.push((from_column, tidy(&line[from..i])));
            from = i + c.len_utf8();
            from_column = column + 1;
        }
    }
    found.push((from_column, tidy(&line[from..])));
    found
}

fn tidy(cell: &str) -> &str {
    let cell = cell.trim();
    cell.strip_prefix('"').and_then(|c| c.strip_suffix('"')).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Value;

    fn header(separator: &str) -> String {
        let names: Vec<String> = (0..31).map(|i| format!("R{}", 400 + 10 * i)).collect();
        names.join(separator)
    }

    #[test]
    fn the_vrhel_clothes_come_in_whole() {
        // a real measured table of the wider world: Vrhel, Gershon, Iwan, Color Res. Appl. 19 (1994)
        let text = include_str!("../../tests/fixtures/vrhel_clothing_10nm.csv");
        let readings = read(text, "clothes.csv").unwrap();
        assert_eq!(readings.len(), 18);
        assert_eq!(readings[0].name.as_deref(), Some("dark blue jeans"));
        let Value::Spectrum(s) = &readings[0].value else { panic!("a spectrum") };
        assert_eq!(
            (s.start(), s.step(), s.values()[0], s.values()[30]),
            (400.0, 10.0, 0.0907, 0.097)
        );
    }

    #[test]
    fn columns_semicolons_decimal_commas_and_percent() {
        let mut text = "nm;light;dark\n".to_owned();
        for i in 0..31 {
            text.push_str(&format!("{};61,5;{},2\n", 400 + 10 * i, 3 + i));
        }
        let readings = read(&text, "two.csv").unwrap();
        assert_eq!(readings.len(), 2);
        assert_eq!(readings[1].name.as_deref(), Some("dark"));
        let Value::Spectrum(s) = &readings[1].value else { panic!("a spectrum") };
        assert!((s.values()[0] - 0.032).abs() < 1e-12);
        assert!(readings[0].notes[0].contains("percent"));
    }

    #[test]
    fn every_fault_is_pointed_at() {
        let row = |v: &str| vec![v; 31].join(",");
        let text = format!(
            "name,{}\n\"a, b\",{}\nbad,{}\nshort,0.5\nnegative,{}\n",
            header(","),
            row("0.5"),
            row("0.5").replacen("0.5", "oops", 1),
            row("0.5").replacen("0.5", "-1", 1),
        );
        let faults = read(&text, "f.csv").unwrap_err();
        let places: Vec<(usize, usize)> = faults.iter().map(|f| (f.line, f.column)).collect();
        assert_eq!(places, [(3, 5), (4, 7), (5, 10)], "{faults:?}");
        assert!(faults[0].to_string().contains("oops"));
        assert!(faults[2].rule.contains("400 nm is -1"), "{}", faults[2]);

        let uneven = format!("name,{}\nx,{}\n", header(",").replace("R550", "R553"), row("0.5"));
        let faults = read(&uneven, "f.csv").unwrap_err();
        assert!(faults[0].rule.contains("even steps"), "{}", faults[0]);
        assert!(read("hello,world\n1,2\n", "f.csv").is_err());
    }
}
