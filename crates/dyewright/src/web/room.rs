//! The room: the folder that is shown, who may come in, and the plans on its desks.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use tokio::sync::Semaphore;
use units::Day;
use workroom::{CostumeFound, PhotoTray, Recording, Stamp, Trouble, costumes_in};

use super::desk::Desks;
use super::phones::Phones;
use super::upload::AT_ONCE;
use super::works::Works;
use crate::opening::Opening;

/// What every handler works with.
pub(super) struct Room {
    folder: PathBuf,
    /// The costume the place named, when it named a file.
    first: Option<PathBuf>,
    book: Option<PathBuf>,
    today: Option<Day>,
    port: u16,
    key: String,
    pub(super) desks: Desks,
    pub(super) phones: Phones,
    pub(super) works: Works,
    /// Photographs sent and not recorded yet.
    pub(super) tray: PhotoTray,
    /// Who may send a picture now: each is held in memory.
    pub(super) uploads: Semaphore,
}

impl Room {
    /// The room of a place; a place that is not there is refused before anything listens.
    pub(super) fn of(opening: &Opening, port: u16) -> Result<Self, Trouble> {
        let place = &opening.place;
        let refused = |says: String| Trouble::Refused {
            says,
            hint: "name a costume file, or the folder your costumes are in".to_owned(),
        };
        let about = std::fs::metadata(place)
            .map_err(|e| refused(format!("{} cannot be opened: {e}", place.display())))?;
        let (folder, first) = if about.is_dir() {
            (place.clone(), None)
        } else if place.extension().is_some_and(|e| e == "toml") {
            let folder = place.parent().filter(|p| !p.as_os_str().is_empty());
            (folder.map_or_else(|| PathBuf::from("."), Path::to_path_buf), Some(place.clone()))
        } else {
            return Err(refused(format!("{} is no costume file", place.display())));
        };
        Ok(Self {
            folder,
            first,
            book: opening.book.clone(),
            today: opening.today,
            port,
            key: key()?,
            desks: Desks::default(),
            phones: Phones::default(),
            works: Works::default(),
            tray: PhotoTray::try_new()?,
            uploads: Semaphore::new(AT_ONCE),
        })
    }

    /// The folder shown.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The workbook that was named.
    pub(super) fn book(&self) -> Option<&Path> {
        self.book.as_deref()
    }

    /// The workbooks there are: the one named, else those of the usual name in the folder and beside each costume, each
    /// with what a page calls it.
    pub(super) fn books(&self) -> Result<Vec<(String, PathBuf)>, Trouble> {
        if let Some(book) = &self.book {
            return Ok(vec![(book.display().to_string(), book.clone())]);
        }
        let own = (workroom::WORKBOOK.to_owned(), self.folder.join(workroom::WORKBOOK));
        let beside = self.costumes()?.into_iter().map(|costume| {
            let name = match costume.file.rsplit_once('/') {
                Some((folder, _)) => format!("{folder}/{}", workroom::WORKBOOK),
                None => workroom::WORKBOOK.to_owned(),
            };
            (name, costume.path.with_file_name(workroom::WORKBOOK))
        });
        let mut all: Vec<(String, PathBuf)> =
            std::iter::once(own).chain(beside).filter(|(_, path)| path.exists()).collect();
        all.sort();
        all.dedup_by(|a, b| a.0 == b.0);
        Ok(all)
    }

    /// What lets a browser in.
    pub(super) fn key(&self) -> &str {
        &self.key
    }

    /// The names this machine goes by on its own port: no other `Host` is answered.
    pub(super) fn is_own_host(&self, host: &str) -> bool {
        let name = host.strip_suffix(&format!(":{}", self.port)).unwrap_or("");
        ["127.0.0.1", "localhost", "[::1]"].contains(&name)
    }

    /// The address that lets the first browser in.
    pub(super) fn first_address(&self) -> String {
        let to = self.first.as_ref().and_then(|first| {
            let found = costumes_in(&self.folder).ok()?;
            let same = |one: &&CostumeFound| one.path.file_name() == first.file_name();
            found.iter().find(same).map(|one| format!("c/{}", one.key))
        });
        let to = to.unwrap_or_default();
        format!("http://127.0.0.1:{}/{to}?key={}", self.port, self.key)
    }

    /// Costumes in the folder.
    pub(super) fn costumes(&self) -> Result<Vec<CostumeFound>, Trouble> {
        costumes_in(&self.folder)
    }

    /// The costume a page is of; compared, never made into a path.
    pub(super) fn costume(&self, key: &str) -> Result<CostumeFound, Trouble> {
        self.costumes()?.into_iter().find(|one| one.key == key).ok_or_else(|| Trouble::Refused {
            says: format!("there is no costume \"{key}\" in this folder"),
            hint: "the start page shows those that are there".to_owned(),
        })
    }

    /// Today, or the day that was given.
    pub(super) fn today(&self) -> Result<Day, Trouble> {
        if let Some(day) = self.today {
            return Ok(day);
        }
        let now = jiff::ZonedDateTime::now().date();
        Day::try_ymd(now.year(), now.month(), now.day()).map_err(|e| Trouble::Refused {
            says: format!("the machine's clock shows no day: {e}"),
            hint: "open the workroom with --today 2027-01-31".to_owned(),
        })
    }

    /// The moment of writing, for a calendar.
    pub(super) fn stamp(&self) -> Result<Stamp, Trouble> {
        let written = jiff::Timestamp::now().strftime("%Y%m%dT%H%M%SZ").to_string();
        Stamp::try_utc(&written)
            .map_err(|e| Trouble::Refused { says: e.to_string(), hint: "set the clock".to_owned() })
    }

    /// Who records, and when.
    pub(super) fn recording(&self) -> Recording {
        let at = jiff::Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        Recording { who: "maker".to_owned(), at }
    }
}

/// 128 bits nobody can guess, in hexadecimal digits.
fn key() -> Result<String, Trouble> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|e| Trouble::Broken {
        doing: "asking for chance from",
        path: "this machine".into(),
        why: e.to_string(),
    })?;
    Ok(bytes.iter().fold(String::new(), |mut key, byte| {
        let _ = write!(key, "{byte:02x}");
        key
    }))
}
