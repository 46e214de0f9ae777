//! Whether what is told of a dyeing contradicts the cloth of its piece: as the costume file beside it says, else as the
//! workbook has it.
//!
//! A recipe for another fibre can ruin the piece, so it is refused where it is told, and never read out as the recipe of
//! a piece. Left out: cloth that nobody knows, and how well a dye takes that does take.

use std::fs;
use std::path::{Path, PathBuf};

use lore::{DyeClass, Lore, Material, Procedure, Verdict};
use toml_edit::{DocumentMut, Item};
use workbook::{Book, Refusal};

/// Files of a folder that are looked at.
const MOST_FILES: usize = 200;

/// The cloths of pieces that the costume files of some folders tell.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cloths(Vec<(String, String, String)>);

impl Cloths {
    /// Of the costume files beside a workbook and a file of swatches; what cannot be read is passed over.
    pub(crate) fn beside(book: &Path, file: &Path) -> Self {
        let folder = |of: &Path| of.parent().map(Path::to_path_buf).unwrap_or_default();
        let mut folders: Vec<PathBuf> = vec![folder(file), folder(book)];
        folders.dedup();
        let mut all = vec![];
        for folder in folders {
            let place = if folder.as_os_str().is_empty() { Path::new(".") } else { &folder };
            let Ok(entries) = fs::read_dir(place) else { continue };
            for entry in entries.filter_map(Result::ok).take(MOST_FILES) {
                let small = entry
                    .metadata()
                    .is_ok_and(|m| m.is_file() && m.len() <= costume::MOST_BYTES as u64);
                if small && entry.path().extension().is_some_and(|e| e == "toml") {
                    let text = fs::read_to_string(entry.path()).unwrap_or_default();
                    all.extend(cloths_in(&text).unwrap_or_default());
                }
            }
        }
        all.sort();
        all.dedup();
        Self(all)
    }

    /// The one cloth of a piece, in words; none where no file tells it or two tell it otherwise.
    pub(crate) fn of(&self, costume: &str, piece: &str) -> Option<&str> {
        let mut found = self.0.iter().filter(|(c, p, _)| c == costume && p == piece);
        let (_, _, cloth) = found.next()?;
        found.next().is_none().then_some(cloth.as_str())
    }

    /// The same, else as the workbook has it from a dyeing of the piece's own cloth.
    pub(crate) fn known(
        &self,
        book: &Book,
        costume: &str,
        piece: &str,
    ) -> Result<Option<String>, Refusal> {
        if let Some(cloth) = self.of(costume, piece) {
            return Ok(Some(cloth.to_owned()));
        }
        let Some(costume) = book.costume_named(costume)? else { return Ok(None) };
        let Some(piece) = book.piece_named(costume, piece)? else { return Ok(None) };
        let record = book.record_of(piece)?;
        // A piece that only a look-alike was dyed for bears the look-alike's cloth.
        let own = record.swatches.iter().any(|(s, _)| !s.it.look_alike);
        Ok((own || !record.baths.is_empty()).then_some(record.piece.it.goods))
    }
}

/// Costume, piece and cloth of a costume file.
fn cloths_in(text: &str) -> Option<Vec<(String, String, String)>> {
    let file: DocumentMut = text.parse().ok()?;
    let costume = file.get("costume")?.get("name")?.as_str()?;
    let cloth = |item: &Item| -> Option<String> {
        if let Some(word) = item.as_str() {
            return (word != "unknown").then(|| word.to_owned());
        }
        let share = |item: &Item| {
            item.as_float()
                .or_else(|| item.as_integer().and_then(|n| i32::try_from(n).ok()).map(f64::from))
        };
        let each = item.as_table_like()?.iter();
        let each =
            each.map(|(name, of)| Some(format!("{} % {name}", units::trimmed(share(of)?, 1))));
        Some(each.collect::<Option<Vec<_>>>()?.join(", "))
    };
    let pieces = file.get("piece")?.as_array_of_tables()?.iter();
    let one = pieces.filter_map(|piece| {
        let id = piece.get("id")?.as_str()?;
        Some((costume.to_owned(), id.to_owned(), cloth(piece.get("cloth")?)?))
    });
    Some(one.collect())
}

/// The materials of a cloth in words; none where one of them is not known.
fn materials(words: &str) -> Vec<&'static Material> {
    let name = |part: &str| part.split_once('%').map_or(part, |(_, name)| name).trim().to_owned();
    let each = words.split(',').map(|part| Lore::shipped().material(&name(part)).ok());
    each.collect::<Option<_>>().unwrap_or_default()
}

/// Why a dyeing ruins cloth or does not dye it; none where it dyes it or nobody can tell.
pub(crate) fn unfit(
    cloth: &str,
    class: DyeClass,
    programme: Option<Procedure>,
) -> Option<(Verdict, String)> {
    let ways: Vec<Procedure> = match programme {
        Some(way) => vec![way],
        None => Procedure::ALL.iter().copied().filter(|way| way.takes(class)).collect(),
    };
    let best = |material: &&'static Material| {
        let each =
            ways.iter().filter_map(|way| Lore::shipped().verdict_for(material, *way, class).ok());
        let best = each.max_by_key(|found| found.verdict)?;
        Some((best.verdict, format!("{}: {}", material.name, best.why)))
    };
    let found: Vec<(Verdict, String)> = materials(cloth).iter().filter_map(best).collect();
    if found.iter().any(|(verdict, _)| *verdict == Verdict::Ruins) {
        return found.into_iter().find(|(verdict, _)| *verdict == Verdict::Ruins);
    }
    match found.iter().any(|(verdict, _)| verdict.dyes()) {
        true => None,
        false => found.into_iter().max_by_key(|(verdict, _)| *verdict),
    }
}

/// Why a recipe of the workbook would ruin cloth.
pub(crate) fn ruins(cloth: &str, class: &str, programme: Option<&str>) -> Option<String> {
    let (verdict, why) =
        unfit(cloth, class.parse().ok()?, programme.and_then(|way| way.parse().ok()))?;
    (verdict == Verdict::Ruins).then_some(why)
}

/// What of a dyeing contradicts the cloth its piece is of.
pub(crate) fn contradiction(
    (piece, cloth): (&str, &str),
    (told, look_alike): (&str, bool),
    (class, programme): (DyeClass, Option<Procedure>),
) -> Option<String> {
    if let Some((verdict, why)) = unfit(cloth, class, programme) {
        let way = programme.map_or(class.id(), |way| way.id());
        let does = if verdict == Verdict::Ruins { "ruins it" } else { "does not dye it" };
        return Some(format!("\"{piece}\" is of {cloth}, and {way} {does} ({why})"));
    }
    let (own, used) = (materials(cloth), materials(told));
    let same = own.iter().any(|one| used.iter().any(|other| one.dyes_as == other.dyes_as));
    let differ = !own.is_empty() && !used.is_empty() && !same && !look_alike;
    differ.then(|| format!("\"{piece}\" is of {cloth}, and this is told to be of {told}"))
}
