//! CGATS.17 / ISO 28178 exchange text: header keywords, a data format, data; one set or several.
//!
//! Read are LAB_* columns and spectra, written as pairs (`SPECTRAL_NM` with `SPECTRAL_DEC` or
//! `SPECTRAL_PCT`) or as columns that carry their wavelength (`NM_400`, `SPECTRAL_NM400`, `SPEC_400`).
//! A spectrum wins over Lab; `STDEV_DE` says how far a sample may be off. Where Lab comes without a light, D50/2° is taken, the formats' own
//! default, and the reading says so. Sources: ANSI CGATS.17-2009 and ISO 28178:2009 (from memory).

use crate::{Colour, Lab, Light, Observer, Origin, Reading, Spread};

use super::{
    MOST_FAULTS, MOST_READINGS, TextRefusal,
    cgats_tokens::{Token, tokens},
    grid::{Scale, spectrum, wavelength},
    number,
};

pub(super) fn read(text: &str, file: &str) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    let mut parser = Parser::new(file);
    for (i, line) in text.lines().enumerate() {
        parser.take_line(&tokens(i + 1, line));
        if parser.faults.len() >= MOST_FAULTS {
            break;
        }
    }
    parser.finish()
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Inside {
    Header,
    Format,
    Data,
}

struct Parser<'a> {
    file: &'a str,
    inside: Inside,
    opened: Option<Token<'a>>,
    header: Vec<(Token<'a>, String)>,
    told_fields: Option<Token<'a>>,
    told_sets: Option<Token<'a>>,
    fields: Vec<Token<'a>>,
    data: Vec<Token<'a>>,
    readings: Vec<Reading>,
    passed_over: Vec<String>,
    faults: Vec<TextRefusal>,
}

impl<'a> Parser<'a> {
    fn new(file: &'a str) -> Self {
        Self {
            file,
            inside: Inside::Header,
            opened: None,
            header: Vec::new(),
            told_fields: None,
            told_sets: None,
            fields: Vec::new(),
            data: Vec::new(),
            readings: Vec::new(),
            passed_over: Vec::new(),
            faults: Vec::new(),
        }
    }

    fn take_line(&mut self, line: &[Token<'a>]) {
        let mut rest = line;
        while let Some((first, after)) = rest.split_first() {
            match self.inside {
                Inside::Header if first.is("BEGIN_DATA_FORMAT") => {
                    self.inside = Inside::Format;
                    self.opened = Some(*first);
                    self.fields.clear();
                }
                Inside::Header if first.is("BEGIN_DATA") => {
                    self.inside = Inside::Data;
                    self.opened = Some(*first);
                    self.data.clear();
                }
                Inside::Header => return self.take_keyword(*first, after),
                Inside::Format if first.is("END_DATA_FORMAT") => self.inside = Inside::Header,
                Inside::Format => self.fields.push(*first),
                Inside::Data if first.is("END_DATA") => {
                    self.inside = Inside::Header;
                    self.finish_set(*first);
                }
                Inside::Data => self.data.push(*first),
            }
            rest = after;
        }
    }

    fn take_keyword(&mut self, keyword: Token<'a>, after: &[Token<'a>]) {
        if keyword.is("END_DATA") || keyword.is("END_DATA_FORMAT") {
            self.fault(keyword, "it closes what was never opened by its BEGIN line");
        } else if keyword.is("NUMBER_OF_FIELDS") {
            self.told_fields = after.first().copied();
        } else if keyword.is("NUMBER_OF_SETS") {
            self.told_sets = after.first().copied();
        } else {
            let value = after.iter().map(|t| t.text).collect::<Vec<_>>().join(" ");
            self.header.push((keyword, value));
        }
    }

    fn finish(mut self) -> Result<Vec<Reading>, Vec<TextRefusal>> {
        if let (true, Some(opened)) = (self.inside != Inside::Header, self.opened) {
            self.fault(opened, "it is never closed by its END line; the file seems cut short");
        }
        if !self.faults.is_empty() {
            return Err(self.faults);
        }
        for reading in &mut self.readings {
            reading.notes.extend(self.passed_over.iter().cloned());
        }
        Ok(self.readings)
    }

    /// Takes one set in at its `END_DATA`.
    fn finish_set(&mut self, end: Token<'a>) {
        let width = self.fields.len();
        let (told_fields, told_sets) = (self.told_fields.take(), self.told_sets.take());
        if width == 0 {
            return self.fault(end, "no BEGIN_DATA_FORMAT block said what the columns are");
        }
        if let Some(told) = told_fields.filter(|t| t.text.parse() != Ok(width)) {
            let rule = format!("the data format has {width} columns; correct the count");
            self.fault(told, rule);
        }
        if !self.data.len().is_multiple_of(width) {
            let culprit = self.odd_line(width).unwrap_or(end);
            let rule = format!("every sample wants {width} values, as many as the data format has");
            return self.fault(culprit, rule);
        }
        let samples = self.data.len() / width;
        if let Some(told) = told_sets.filter(|t| t.text.parse() != Ok(samples)) {
            self.fault(told, format!("there are {samples} samples; correct the count"));
        }
        if samples + self.readings.len() > MOST_READINGS {
            let rule = format!("{MOST_READINGS} readings are the most; export fewer at a time");
            return self.fault(end, rule);
        }
        let data = std::mem::take(&mut self.data);
        let columns = Columns::of(&self.fields);
        match columns.kind() {
            Some(Kind::Spectra) => self.take_spectra(&columns, data.chunks_exact(width)),
            Some(Kind::Lab(at)) => self.take_labs(&columns, at, data.chunks_exact(width)),
            // a handful says enough; every reading carries these notes
            None if self.passed_over.len() < 5 => self.passed_over.push(format!(
                "A set ending at line {} was passed over: it has neither LAB_L LAB_A LAB_B nor \
                 spectral columns.",
                end.line
            )),
            None => {}
        }
    }

    /// The first token of the first line whose count is not the set's width.
    fn odd_line(&self, width: usize) -> Option<Token<'a>> {
        let lines = self.data.chunk_by(|a, b| a.line == b.line);
        lines.filter(|l| l.len() != width).find_map(|l| l.first().copied())
    }

    fn take_spectra<'t>(&mut self, columns: &Columns, rows: impl Iterator<Item = &'t [Token<'a>]>)
    where
        'a: 't,
    {
        let mut samples = Vec::new();
        for row in rows {
            let mut values = Vec::new();
            let mut wavelengths = columns.wavelengths.clone();
            for (k, at) in columns.values.iter().enumerate() {
                values.extend(self.number(row[*at]));
                if let Some(nm) = columns.written_wavelengths.get(k) {
                    wavelengths.extend(self.number(row[*nm]));
                }
            }
            samples.push((row, wavelengths, values));
        }
        let scale = match self.stated_scale(columns) {
            Ok(Some(scale)) => scale,
            Ok(None) => Scale::guessed(samples.iter().flat_map(|(_, _, v)| v)),
            Err(()) => return,
        };
        for (row, wavelengths, values) in samples {
            if values.len() != columns.values.len() || wavelengths.len() != values.len() {
                continue; // its faults are noted already
            }
            match spectrum(&wavelengths, &values, scale) {
                Ok(spectrum) => {
                    let mut reading = Reading::of_spectrum(spectrum, self.origin());
                    reading.name = columns.name(row);
                    reading.spread = self.spread(columns, row);
                    self.readings.push(reading);
                }
                Err(why) => {
                    let t = row[columns.values[0]];
                    self.faults.push(TextRefusal::refused(t.line, t.column, t.text, &why));
                }
            }
        }
    }

    /// What the sample's own column says of how far it may be off; a negative one is a fault.
    fn spread(&mut self, columns: &Columns, row: &[Token<'a>]) -> Spread {
        let Some(token) = columns.spread.map(|i| row[i]) else { return Spread::Unknown };
        let Some(value) = self.number(token) else { return Spread::Unknown };
        Spread::try_rms(value).unwrap_or_else(|_| {
            self.fault(token, "a spread is zero or more");
            Spread::Unknown
        })
    }

    /// The scale that columns or header state, if they do.
    fn stated_scale(&mut self, columns: &Columns) -> Result<Option<Scale>, ()> {
        if columns.scale.is_some() {
            return Ok(columns.scale);
        }
        let stated = self.header.iter().rev().find(|(key, _)| key.is("SPECTRAL_NORM"));
        let Some((key, value)) = stated else { return Ok(None) };
        match number(value).filter(|v| *v > 0.0) {
            Some(full) => Ok(Some(Scale(full))),
            None => {
                let rule = format!("\"{value}\" is no full scale; write 1 or 100");
                self.fault(*key, rule);
                Err(())
            }
        }
    }

    fn take_labs<'t>(
        &mut self,
        columns: &Columns,
        at: [usize; 3],
        rows: impl Iterator<Item = &'t [Token<'a>]>,
    ) where
        'a: 't,
    {
        let (light, observer) = (self.stated("ILLUMIN", Light::from_name), self.observer());
        let mut notes = Vec::new();
        if light.is_none() || observer.is_none() {
            notes.push(format!(
                "The file does not state {}; D50 and 2° were taken, the format's default.",
                match (light, observer) {
                    (None, None) => "light and observer",
                    (None, _) => "the light",
                    _ => "the observer",
                }
            ));
        }
        let light = light.unwrap_or(Light::D50);
        let observer = observer.unwrap_or(Observer::Two);
        for row in rows {
            let found: Vec<f64> = at.iter().filter_map(|i| self.number(row[*i])).collect();
            let [l, a, b] = found.as_slice() else { continue };
            match Lab::try_typed(*l, *a, *b) {
                Ok(lab) => {
                    let colour = Colour { lab, light, observer };
                    let mut reading = Reading::of_colour(colour, self.origin());
                    reading.name = columns.name(row);
                    reading.spread = self.spread(columns, row);
                    reading.notes.clone_from(&notes);
                    self.readings.push(reading);
                }
                Err(why) => {
                    let t = row[at[0]];
                    self.faults.push(TextRefusal::refused(t.line, t.column, t.text, &why));
                }
            }
        }
    }

    fn observer(&mut self) -> Option<Observer> {
        self.stated("OBSERVER", Observer::from_name)
    }

    /// What the header says after a word such as ILLUMINANT, in any of the usual spellings:
    /// `ILLUMINANT "D50"`, `WEIGHTING_FUNCTION "ILLUMINANT, D50"`, `MEASUREMENT_SOURCE
    /// "Illumination=D50 ObserverAngle=2degree"`. The last statement counts; one that names nothing
    /// known is a fault.
    fn stated<T>(
        &mut self,
        word: &str,
        parse: impl Fn(&str) -> Result<T, crate::Refusal>,
    ) -> Option<T> {
        let mut found = None;
        let mut faults = Vec::new();
        for (key, value) in &self.header {
            let whole = format!("{} {value}", key.text);
            let mut words = whole
                .split(|c: char| c.is_whitespace() || matches!(c, ',' | '=' | ';' | ':'))
                .filter(|w| !w.is_empty());
            while let Some(w) = words.next() {
                if !w.to_ascii_uppercase().starts_with(word) {
                    continue;
                }
                match words.next().map(&parse) {
                    Some(Ok(it)) => found = Some(it),
                    Some(Err(why)) => faults.push((*key, why)),
                    None => {}
                }
            }
        }
        for (t, why) in faults {
            self.faults.push(TextRefusal::refused(t.line, t.column, t.text, &why));
        }
        found
    }

    fn origin(&self) -> Origin {
        let told = self.header.iter().rev().find(|(key, _)| key.is("INSTRUMENTATION"));
        match told {
            Some((_, name)) if !name.is_empty() => Origin::Instrument(name.clone()),
            _ => Origin::File(self.file.to_owned()),
        }
    }

    fn number(&mut self, t: Token<'a>) -> Option<f64> {
        let value = number(t.text);
        if value.is_none() && self.faults.len() < MOST_FAULTS {
            self.fault(t, "a number is wanted here");
        }
        value
    }

    fn fault(&mut self, t: Token<'a>, rule: impl Into<String>) {
        self.faults.push(TextRefusal::new(t.line, t.column, t.text, rule));
    }
}

/// Which columns hold what.
struct Columns {
    /// Columns of spectral values.
    values: Vec<usize>,
    /// Their wavelengths, when the column names carry them.
    wavelengths: Vec<f64>,
    /// The columns their wavelengths are written in, when they come as pairs.
    written_wavelengths: Vec<usize>,
    /// What the column names say of the scale.
    scale: Option<Scale>,
    lab: Option<[usize; 3]>,
    name: Option<usize>,
    /// How far each may be off, ΔE.
    spread: Option<usize>,
}

enum Kind {
    Spectra,
    Lab([usize; 3]),
}

impl Columns {
    fn of(fields: &[Token]) -> Self {
        let at = |wanted: &str| fields.iter().position(|f| f.is(wanted));
        let lab = [at("LAB_L"), at("LAB_A"), at("LAB_B")];
        let lab = if let [Some(l), Some(a), Some(b)] = lab { Some([l, a, b]) } else { None };
        let name = ["SAMPLE_NAME", "SAMPLENAME", "SAMPLE_ID", "SAMPLEID", "SAMPLE_LOC"]
            .iter()
            .find_map(|n| at(n));
        let mut columns = Self {
            values: Vec::new(),
            wavelengths: Vec::new(),
            written_wavelengths: Vec::new(),
            scale: None,
            lab,
            name,
            spread: at("STDEV_DE"),
        };
        for (i, pair) in fields.windows(2).enumerate() {
            let scale = [("SPECTRAL_DEC", Scale::FACTOR), ("SPECTRAL_PCT", Scale::PERCENT)]
                .into_iter()
                .find(|(keyword, _)| pair[1].is(keyword));
            if let (true, Some((_, scale))) = (pair[0].is("SPECTRAL_NM"), scale) {
                columns.written_wavelengths.push(i);
                columns.values.push(i + 1);
                columns.scale = Some(scale);
            }
        }
        if columns.values.is_empty() {
            for (i, field) in fields.iter().enumerate() {
                if let Some(nm) = wavelength(field.text) {
                    columns.values.push(i);
                    columns.wavelengths.push(nm);
                }
            }
        }
        columns
    }

    fn kind(&self) -> Option<Kind> {
        if self.values.len() >= 4 { Some(Kind::Spectra) } else { self.lab.map(Kind::Lab) }
    }

    fn name(&self, row: &[Token]) -> Option<String> {
        self.name.map(|i| row[i].text.trim().to_owned()).filter(|n| !n.is_empty())
    }
}
