//! How long every page of the workroom takes to answer, and how many bytes its first paint needs.
//!
//!     cargo bench -p dyewright --bench page_speed -- --costumes 100 --swatches 10000
//!
//! Two folders are asked, each through the program as a browser would ask it (loopback, one connection a page): the
//! worked example with its own swatches in a workbook, and invented costumes in hundreds beside one workbook of thousands
//! of invented swatches. Every page that any other page leads to and that is asked with GET is among them; a bath is asked
//! before it begins and while it runs. A page is asked so many times in a row once the plan of its costume is made; the
//! first answer counts too. Prints JSON: of each page the median and the slowest answer, the bytes of its text, and those
//! of the text with every style sheet and script that it waits for before it is painted; of each folder the worst.
//! `--only example` or `--only many` asks one of the two.

use std::error::Error;
use std::fmt::Write as _;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

type Done<T> = Result<T, Box<dyn Error>>;

/// A workroom that is open; closed when it is let go.
struct Open {
    child: Child,
    host: String,
    key: String,
}

impl Drop for Open {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Open {
    fn of(folder: &Path, book: Option<&Path>) -> Done<Self> {
        let mut command = Command::new(env!("CARGO_BIN_EXE_dyewright"));
        command.args(["open", "--no-browser", "--today", "2027-01-20"]).arg(folder);
        if let Some(book) = book {
            command.arg("--book").arg(book);
        }
        let mut child = command.stdout(Stdio::piped()).spawn()?;
        let said = child.stdout.take().ok_or("it says nothing")?;
        let line = BufReader::new(said)
            .lines()
            .map_while(Result::ok)
            .find(|line| line.contains("http://"))
            .ok_or("it says no address")?;
        let (_, address) = line.split_once("http://").ok_or("no address")?;
        let (host, rest) = address.split_once('/').ok_or("no path")?;
        let key = rest.split_once("key=").ok_or("no key")?.1.trim().to_owned();
        Ok(Self { child, host: host.to_owned(), key })
    }

    /// Status and body of one page, and how long it took until its last byte.
    fn ask(&self, path: &str) -> Done<(u16, Vec<u8>, Duration)> {
        let started = Instant::now();
        let mut line = TcpStream::connect(&self.host)?;
        write!(
            line,
            "GET {path} HTTP/1.1\r\nhost: {}\r\ncookie: dyewright-key={}\r\nconnection: close\r\n\r\n",
            self.host, self.key
        )?;
        let mut answer = vec![];
        line.read_to_end(&mut answer)?;
        let took = started.elapsed();
        let head = answer.windows(4).position(|w| w == b"\r\n\r\n").ok_or("no head")?;
        let status = String::from_utf8_lossy(&answer[..head]);
        let status = status.split(' ').nth(1).and_then(|s| s.parse().ok()).ok_or("no status")?;
        Ok((status, answer.split_off(head + 4), took))
    }

    /// Sends a form.
    fn tell(&self, path: &str, form: &str) -> Done<()> {
        let mut line = TcpStream::connect(&self.host)?;
        write!(
            line,
            "POST {path} HTTP/1.1\r\nhost: {0}\r\norigin: http://{0}\r\ncookie: dyewright-key={1}\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: {2}\r\nconnection: close\r\n\r\n{form}",
            self.host,
            self.key,
            form.len()
        )?;
        let mut answer = vec![];
        line.read_to_end(&mut answer)?;
        let head = String::from_utf8_lossy(&answer);
        match head.starts_with("HTTP/1.1 303") {
            true => Ok(()),
            false => Err(format!("{path}: {}", head.lines().next().unwrap_or_default()).into()),
        }
    }

    /// Bytes of everything that a page waits for before it is painted: style sheets, and scripts that are neither deferred
    /// nor modules.
    fn waited_for(&self, page: &str) -> Done<usize> {
        let mut all = 0;
        for tag in page.split('<').filter_map(|rest| rest.split('>').next()) {
            let of = |name: &str| tag.split_once(&format!("{name}=\""))?.1.split('"').next();
            let address = match tag {
                tag if tag.starts_with("link ") && of("rel") == Some("stylesheet") => of("href"),
                tag if tag.starts_with("script ")
                    && of("type") != Some("module")
                    && !tag.contains(" defer")
                    && !tag.contains(" async") =>
                {
                    of("src")
                }
                _ => None,
            };
            if let Some(address) = address {
                all += self.ask(address)?.1.len();
            }
        }
        Ok(all)
    }

    /// Waits until nothing is being made for this page.
    fn planned(&self, costume: &str) -> Done<Duration> {
        let started = Instant::now();
        self.ask(costume)?;
        while String::from_utf8_lossy(&self.ask(&format!("{costume}/progress"))?.1)
            .contains("\"busy\":true")
        {
            std::thread::sleep(Duration::from_millis(50));
        }
        Ok(started.elapsed())
    }
}

/// One page, asked so many times.
struct Asked {
    path: String,
    status: u16,
    first_ms: f64,
    median_ms: f64,
    slowest_ms: f64,
    bytes: usize,
    /// The bytes of its text and of all it waits for before it is painted.
    painted: usize,
}

fn ask_each(room: &Open, paths: &[String], times: usize) -> Done<Vec<Asked>> {
    let mut all = vec![];
    for path in paths {
        let mut took = vec![];
        let (mut status, mut page) = (0, vec![]);
        for _ in 0..times.max(1) {
            let (s, body, t) = room.ask(path)?;
            (status, page) = (s, body);
            took.push(t.as_secs_f64() * 1e3);
        }
        let bytes = page.len();
        let painted = bytes + room.waited_for(&String::from_utf8_lossy(&page))?;
        let first_ms = took[0];
        took.sort_by(f64::total_cmp);
        let (median_ms, slowest_ms) = (took[took.len() / 2], took[took.len() - 1]);
        all.push(Asked {
            path: path.clone(),
            status,
            first_ms,
            median_ms,
            slowest_ms,
            bytes,
            painted,
        });
    }
    Ok(all)
}

fn told(name: &str, planned: Duration, asked: &[Asked]) -> String {
    let worst = |of: fn(&Asked) -> f64| asked.iter().map(of).fold(0.0, f64::max);
    let mut out = format!(
        "{{\"folder\":\"{name}\",\"pages\":{},\"planned_s\":{:.1},\"worst_first_ms\":{:.1},\"worst_median_ms\":{:.1},\"slowest_ms\":{:.1},\"most_painted\":{},\"each\":[",
        asked.len(),
        planned.as_secs_f64(),
        worst(|a| a.first_ms),
        worst(|a| a.median_ms),
        worst(|a| a.slowest_ms),
        asked.iter().map(|a| a.painted).max().unwrap_or(0),
    );
    for (at, one) in asked.iter().enumerate() {
        let _ = write!(
            out,
            "{}\n  {{\"path\":\"{}\",\"status\":{},\"first_ms\":{:.1},\"median_ms\":{:.1},\"slowest_ms\":{:.1},\"bytes\":{},\"painted\":{}}}",
            if at > 0 { "," } else { "" },
            one.path,
            one.status,
            one.first_ms,
            one.median_ms,
            one.slowest_ms,
            one.bytes,
            one.painted
        );
    }
    out.push_str("\n]}");
    out
}

/// Pages that are of no costume.
const OF_THE_ROOM: &[&str] = &[
    "/",
    "/answer?cloth=cotton&colour=%232f6f5a&weight=250+g",
    "/shelf",
    "/shelf?of=starter",
    "/shelf/dye?of=shelf.toml&id=acid-navy",
    "/shelf/dye?of=starter&id=acid-navy",
    "/shelf/change?of=shelf.toml&kind=dye&id=acid-navy",
    "/shelf/file?of=shelf.toml",
    "/book",
    "/book?colour=%232f6f5a",
    "/book?colour=45+-12.5+8",
    "/book?colour=45+-12.5+8&within=20",
    "/book?colour=45+-12.5+8&within=20&page=9",
    "/book?dye=acid-navy",
    "/book?fibre=cotton&page=9",
    "/book?colour=45+-12.5+8&within=20&dye=acid-navy&fibre=wool",
    "/book/old",
    "/phone",
    "/phone/asking",
    "/wrong",
    "/nowhere",
    "/look.css",
    "/alive.js",
    "/picking.js",
];

/// Pages of a costume.
const OF_A_COSTUME: &[&str] = &[
    "",
    "?light=A",
    "/picture",
    "/match",
    "/swatches",
    "/days",
    "/days?day=2",
    "/shopping",
    "/print",
    "/file",
    "/progress",
    "/print/plan",
    "/print/sheets",
    "/print/cards",
    "/print/shopping-list",
    "/print/finished",
    "/print/shopping",
    "/print/days",
    "/print/calendar",
];

/// Pages of a piece.
const OF_A_PIECE: &[&str] =
    &["", "/bath/0", "/bath/1", "/bath/0/wrong", "/bath/0/wrong?step=5", "/bath/0/now"];

/// Pages of a piece that stand elsewhere.
const PRINTED_OF_A_PIECE: &[&str] = &["sheets", "hand-out", "record"];

fn paths(costume: &str, pieces: &[&str]) -> Vec<String> {
    let room = OF_THE_ROOM.iter().map(|p| (*p).to_owned());
    let whole = OF_A_COSTUME.iter().map(|p| format!("{costume}{p}"));
    let each = pieces
        .iter()
        .flat_map(|piece| OF_A_PIECE.iter().map(move |p| format!("{costume}/p/{piece}{p}")));
    let printed = pieces.iter().flat_map(|piece| {
        PRINTED_OF_A_PIECE.iter().map(move |what| format!("{costume}/print/{what}-{piece}"))
    });
    room.chain(whole).chain(each).chain(printed).collect()
}

/// Pages that are led to by a name or a number which only another page knows: the photograph of a swatch, a picture.
fn led_to(room: &Open, costume: &str, pieces: &[&str]) -> Done<Vec<String>> {
    let mut all = vec![];
    let from = pieces.iter().map(|piece| format!("{costume}/p/{piece}"));
    for page in from.chain([format!("{costume}/picture")]) {
        let text = String::from_utf8_lossy(&room.ask(&page)?.1).into_owned();
        for link in text.split("href=\"").chain(text.split("src=\"")).skip(1) {
            let link = link.split('"').next().unwrap_or_default();
            let known = link.ends_with("/photo") || link.contains("/picture/");
            if known && link.starts_with('/') && !all.contains(&link.to_owned()) {
                all.push(link.to_owned());
            }
        }
    }
    Ok(all)
}

/// Every page of one folder: first as it is found, then those of a bath that has begun.
fn ask_all(room: &Open, costume: &str, times: usize) -> Done<(Duration, Vec<Asked>)> {
    let planned = room.planned(costume)?;
    let pieces = ["coat", "shirt", "sash"];
    let mut wanted = paths(costume, &pieces);
    wanted.extend(led_to(room, costume, &pieces)?);
    let mut asked = ask_each(room, &wanted, times)?;
    let bath = format!("{costume}/p/coat/bath/0");
    for step in [1, 2] {
        room.tell(&bath, &format!("step={step}&mark=done"))?;
    }
    room.tell(&bath, "step=3&mark=start")?;
    let runs: Vec<String> =
        ["", "/wrong", "/now", "/alarms"].iter().map(|p| format!("{bath}{p}")).collect();
    let elsewhere = [format!("{costume}/days"), "/wrong".to_owned()];
    for mut one in ask_each(room, &[runs.as_slice(), &elsewhere].concat(), times)? {
        one.path.push_str(" (a bath runs)");
        asked.push(one);
    }
    Ok((planned, asked))
}

/// SplitMix64.
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        #[expect(clippy::cast_precision_loss, reason = "53 bits are what a double holds")]
        let share = ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * share
    }
}

/// A file of invented swatches on wool, cotton, silk and linen: colours, doses and days all invented.
fn swatches(from: u64, many: u64, dice: &mut Dice) -> String {
    let mut text = "[all]\nweight_g = 2.0\nspread = 1.0\nwashed_off = true\ndry = true\ncool = true\nironed = true\nby = \"invented\"\n"
        .to_owned();
    for n in 0..many {
        let at = from + n;
        let (cloth, dye) = [
            ("wool", "acid-navy"),
            ("cotton", "reactive-lemon"),
            ("silk", "acid-turquoise"),
            ("linen", "reactive-orange"),
        ][usize::try_from(n % 4).unwrap_or(0)];
        let (l, a, b) =
            (dice.between(15.0, 90.0), dice.between(-45.0, 45.0), dice.between(-45.0, 60.0));
        let _ = write!(
            text,
            "\n[[swatch]]\ncode = \"B-{at}\"\nday = 2027-01-{:02}\ncloth = \"{cloth}\"\nundyed = \"white\"\nliquor_ratio = 30\n\
             dose = [{{ dye = \"{dye}\", owf_pct = {:.2} }}]\nreading = [{{ colour = {{ lab = [{l:.1}, {a:.1}, {b:.1}] }} }}]\n",
            1 + n % 28,
            dice.between(0.05, 3.0),
        );
    }
    text
}

/// The worked example with its own swatches in a workbook.
fn example(folder: &Path) -> Done<std::path::PathBuf> {
    copied(folder, "costume.toml")?;
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
    std::fs::copy(example.join("swatches.toml"), folder.join("told.toml"))?;
    recorded(folder, "told.toml")
}

/// A file of swatches into a workbook of the folder; the file is gone then.
fn recorded(folder: &Path, file: &str) -> Done<std::path::PathBuf> {
    let (file, book) = (folder.join(file), folder.join("all.sqlite"));
    let done = Command::new(env!("CARGO_BIN_EXE_dyewright"))
        .args(["swatch", "record"])
        .arg(&file)
        .arg("--shelf")
        .arg(folder.join("shelf.toml"))
        .arg("--book")
        .arg(&book)
        .output()?;
    if !done.status.success() {
        return Err(String::from_utf8_lossy(&done.stderr).into_owned().into());
    }
    std::fs::remove_file(&file)?;
    Ok(book)
}

/// What lies beside the costume of the worked example, and its file under a name of its own.
fn copied(folder: &Path, named: &str) -> Done<String> {
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
    for file in ["shelf.toml", "reference.png"] {
        std::fs::copy(example.join(file), folder.join(file))?;
    }
    let readings = folder.join("readings");
    std::fs::create_dir(&readings)?;
    for entry in std::fs::read_dir(example.join("readings"))? {
        let entry = entry?;
        std::fs::copy(entry.path(), readings.join(entry.file_name()))?;
    }
    let costume = std::fs::read_to_string(example.join("costume.toml"))?;
    if !named.is_empty() {
        std::fs::write(folder.join(named), &costume)?;
    }
    Ok(costume)
}

fn many(folder: &Path, costumes: u64, count: u64) -> Done<std::path::PathBuf> {
    let costume = copied(folder, "")?;
    for n in 0..costumes {
        let named = costume.replace("The Lantern Warden\"", &format!("Warden {n:03}\""));
        std::fs::write(folder.join(format!("warden-{n:03}.toml")), named)?;
    }
    let mut book = folder.join("all.sqlite");
    let mut dice = Dice(1);
    let mut left = count;
    while left > 0 {
        let some = left.min(2500);
        std::fs::write(folder.join("more-swatches.toml"), swatches(count - left, some, &mut dice))?;
        book = recorded(folder, "more-swatches.toml")?;
        left -= some;
    }
    Ok(book)
}

#[expect(clippy::print_stdout, reason = "a bench")]
fn main() -> Done<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let said = |word: &str| words.iter().position(|w| w == word).and_then(|at| words.get(at + 1));
    let after = |word: &str, otherwise: u64| said(word).map_or(Ok(otherwise), |w| w.parse());
    let times = usize::try_from(after("--times", 9)?)?;
    let (costumes, count) = (after("--costumes", 100)?, after("--swatches", 10_000)?);
    let only = said("--only").map(String::as_str);
    if only != Some("many") {
        let folder = tempfile::tempdir()?;
        let book = example(folder.path())?;
        let room = Open::of(folder.path(), Some(&book))?;
        let (planned, asked) = ask_all(&room, "/c/costume", times)?;
        println!("{}", told("the worked example", planned, &asked));
    }
    if only != Some("example") {
        let folder = tempfile::tempdir()?;
        let book = many(folder.path(), costumes, count)?;
        let room = Open::of(folder.path(), Some(&book))?;
        let (planned, asked) = ask_all(&room, "/c/warden-007", times)?;
        println!("{}", told(&format!("{costumes} costumes, {count} swatches"), planned, &asked));
    }
    Ok(())
}
