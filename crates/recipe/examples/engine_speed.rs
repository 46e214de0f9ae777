//! How many sets a second the engine answers, alone or beside the reference's batched solver.
//!
//! The four targets of the reference's own bench × {1, 4} lights × sets of up to {3, 4} of 24
//! invented dyes, one thread, 40 steps and a gain of 1e-4 on both sides, every set's answer kept.
//!
//! ```text
//! cargo run --release -p recipe --example engine_speed
//! cargo run --release -p recipe --example engine_speed -- --reference DIR --python VENV/bin/python
//! ```
//!
//! With `--reference` (a scratch copy of the reference folder) the two take turns, best of three
//! each, in process CPU time. The last line is JSON. `--goals` times the two goals of the project
//! as well: every set of up to 4 of 60 dyes under three lights, and up to 3 of 24 under four.

use std::{
    error::Error,
    io::{BufRead, BufReader, Write},
    process::{Child, ChildStdin, ChildStdout, Command, Stdio},
    time::Instant,
};

use recipe::engine::{
    Aim, BANDS, Law, LightAim, Palette, Settings, Way, labs, reflectance, search,
};
use serde_json::{Value, json};

const LIGHTS: [&str; 4] = ["D65", "A", "FL11", "LED-B3"];
const ROUNDS: usize = 3;
/// Each figure stands on at least this much CPU time, in seconds.
const LEAST_TIMED: f64 = 0.15;

type Fault = Box<dyn Error>;

fn main() -> Result<(), Fault> {
    let arguments: Vec<String> = std::env::args().collect();
    let after = |flag: &str| {
        let at = arguments.iter().position(|a| a == flag)?;
        arguments.get(at + 1).cloned()
    };
    let mut numpy = match after("--reference") {
        Some(folder) => Some(Numpy::start(&folder, after("--python").as_deref())?),
        None => None,
    };
    let data: Value = serde_json::from_str(include_str!("../tests/fixtures/reference.json"))?;
    let palette = palette(&data)?;
    let mut rates = Vec::new();
    let mut ratios = [Vec::new(), Vec::new()];
    for lights in [1, 4] {
        for size in [3, 4] {
            for target in 0..4 {
                let aim = aim(&data, &palette, lights, target)?;
                let mut afresh = f64::INFINITY;
                let mut climb = f64::INFINITY;
                let mut theirs = f64::INFINITY;
                let mut sets = 0;
                for _ in 0..ROUNDS {
                    let mut timed = |way| -> Result<f64, Fault> {
                        let settings = Settings {
                            way,
                            keep: usize::MAX,
                            finish: 100,
                            list_idle: true,
                            ..Settings::default()
                        };
                        // The system counts CPU time by the tick: enough repeats to drown one.
                        let (mut repeats, mut spent) = (0, 0.0);
                        let begun = cpu()?;
                        while spent < LEAST_TIMED {
                            let found = search(&palette, &aim, size, &settings, 1)?;
                            sets = found.tried;
                            repeats += 1;
                            spent = if repeats % 4 == 0 { cpu()? - begun } else { spent };
                        }
                        Ok(spent / f64::from(repeats))
                    };
                    afresh = afresh.min(timed(Way::Afresh)?);
                    climb = climb.min(timed(Way::Climb)?);
                    if let Some(numpy) = &mut numpy {
                        theirs = theirs.min(numpy.time(lights, size, target)?);
                    }
                }
                let sets = sets as f64;
                let mut line = json!({
                    "lights": lights, "up_to": size, "target": target, "sets": sets,
                    "climb_per_s": (sets / climb).round(), "afresh_per_s": (sets / afresh).round(),
                });
                if theirs.is_finite() {
                    line["numpy_per_s"] = json!((sets / theirs).round());
                    line["ratio"] = json!(round(theirs / climb));
                    line["ratio_afresh"] = json!(round(theirs / afresh));
                    ratios[usize::from(lights == 4)].push((theirs / climb, theirs / afresh));
                }
                say(&line.to_string())?;
                rates.push(line);
            }
        }
    }
    let mut last = json!({});
    if numpy.is_some() {
        for (name, all) in ["one_light", "four_lights"].iter().zip(&ratios) {
            last[format!("ratio_{name}")] = json!(round(median(all.iter().map(|r| r.0))));
            last[format!("ratio_{name}_afresh")] = json!(round(median(all.iter().map(|r| r.1))));
        }
    }
    if arguments.iter().any(|a| a == "--goals") {
        last["goals"] = goals(&data, &palette)?;
    }
    last["rates"] = json!(rates);
    say(&last.to_string())
}

/// The project's two goals: wall time on two threads, and CPU time of one thread, for each target;
/// best of three. The wall says little when other work shares the cores; the CPU time does.
fn goals(data: &Value, palette: &Palette) -> Result<Value, Fault> {
    let wide = sixty(palette);
    let mut out = json!({});
    for (name, palette, lights, size) in
        [("up_to_4_of_60_three_lights", &wide, 3, 4), ("up_to_3_of_24_four_lights", palette, 4, 3)]
    {
        for (how, way) in [("climb", Way::Climb), ("afresh", Way::Afresh)] {
            let settings = Settings { way, ..Settings::default() };
            let (mut walls, mut cpus, mut best) = (Vec::new(), Vec::new(), Vec::new());
            for target in 0..4 {
                let aim = aim(data, palette, lights, target)?;
                let (mut wall, mut one) = (f64::INFINITY, f64::INFINITY);
                let mut rms = None;
                for _ in 0..ROUNDS {
                    let begun = Instant::now();
                    let found = search(palette, &aim, size, &settings, 2)?;
                    wall = wall.min(begun.elapsed().as_secs_f64());
                    rms = found.combos.first().map(|c| (c.rms * 1e6).round() / 1e6);
                    let (begun, mut repeats, mut spent) = (cpu()?, 0, 0.0);
                    while spent < LEAST_TIMED {
                        search(palette, &aim, size, &settings, 1)?;
                        repeats += 1;
                        spent = cpu()? - begun;
                    }
                    one = one.min(spent / f64::from(repeats));
                }
                walls.push(round(wall * 1e3));
                cpus.push(round(one * 1e3));
                best.push(rms);
            }
            out[name][how] = json!({
                "two_threads_wall_ms": walls, "one_thread_cpu_ms": cpus, "best_rms": best,
            });
        }
    }
    Ok(out)
}

/// Sixty dyes: the twenty-four, and mixtures of neighbours at other strengths (invented).
fn sixty(palette: &Palette) -> Palette {
    let mut wide = palette.clone();
    for more in 0..36 {
        let (a, b) = (more % 24, (more * 7 + 5) % 24);
        let share = 0.35 + 0.3 * f64::from(u8::from(more > 23));
        let mix = |x: f64, y: f64| (1.0 - share) * x + share * y;
        let shape = std::array::from_fn(|i| mix(palette.shapes[a][i], palette.shapes[b][i]));
        wide.shapes.push(shape);
        wide.most.push(mix(palette.most[a], palette.most[b]));
    }
    wide
}

fn palette(data: &Value) -> Result<Palette, Fault> {
    let list = |key: &str| numbers(&data[key]);
    let (fix, csat, cmax) = (list("fix")?, list("csat")?, list("cmax")?);
    let shapes = data["A"].as_array().ok_or("no dyes")?;
    Ok(Palette {
        cloth_ks: bands(&data["substrates"]["white cotton"])?
            .map(|r| (1.0 - r) * (1.0 - r) / (2.0 * r)),
        surface: 0.0,
        shapes: shapes.iter().map(bands).collect::<Result<_, _>>()?,
        most: (0..fix.len()).map(|i| fix[i] * cmax[i] / (1.0 + cmax[i] / csat[i])).collect(),
        law: Law::Plain,
    })
}

/// The reference bench's targets: two true three-dye mixes and two Lab colours, whose colours under
/// the further lights are those of the smooth reflectance the fixture gives.
fn aim(data: &Value, palette: &Palette, lights: usize, target: usize) -> Result<Aim, Fault> {
    let light = |name: &str, lab: [f64; 3]| -> Result<LightAim, Fault> {
        let rows = &data["weights"][name];
        let weights = [bands(&rows[0])?, bands(&rows[1])?, bands(&rows[2])?];
        let white = weights.map(|w| w.iter().sum());
        Ok(LightAim { weights, white, lab, share: 1.0 / lights as f64 })
    };
    let neutral = [50.0, 0.0, 0.0];
    let all: Result<Vec<_>, _> = LIGHTS[..lights].iter().map(|n| light(n, neutral)).collect();
    let mut aim = Aim { lights: all?, start: [0.5; BANDS] };
    let mix = match target {
        0 => Some(([0.6, 0.35, 0.25], [2, 9, 17])),
        1 => Some(([1.2, 2.0, 2.5], [3, 8, 18])),
        _ => None,
    };
    let colours = if let Some((owf, dyes)) = mix {
        let (fix, csat) = (numbers(&data["fix"])?, numbers(&data["csat"])?);
        let fixed = |i: usize| fix[dyes[i]] * owf[i] / (1.0 + owf[i] / csat[dyes[i]]);
        let recipe = [0, 1, 2].map(|i| (dyes[i], fixed(i)));
        aim.start = reflectance(palette, &recipe);
        labs(palette, &aim, &recipe)
    } else {
        let lab = if target == 2 { [45.0, -25.0, -12.0] } else { [55.0, 75.0, 55.0] };
        let cases = data["inverse_3of24"].as_array().ok_or("no targets")?;
        let named = |case: &&Value| numbers(&case["target_lab"][0]).is_ok_and(|l| l == lab);
        let case = cases.iter().find(named).ok_or("a target is missing")?;
        aim.start = bands(&case["start_R"])?;
        let mut colours = shown(&aim, &aim.start);
        colours[0] = lab;
        colours
    };
    for (light, lab) in aim.lights.iter_mut().zip(colours) {
        light.lab = lab;
    }
    Ok(aim)
}

/// Lab of a reflectance under the lights: a cloth of that K/S with nothing on it.
fn shown(aim: &Aim, r: &[f64; BANDS]) -> Vec<[f64; 3]> {
    let cloth_ks = r.map(|r| (1.0 - r) * (1.0 - r) / (2.0 * r));
    let bare = Palette { cloth_ks, surface: 0.0, shapes: vec![], most: vec![], law: Law::Plain };
    labs(&bare, aim, &[])
}

/// A Python that solves the same sets on request.
struct Numpy {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Numpy {
    fn start(folder: &str, python: Option<&str>) -> Result<Self, Fault> {
        let driver = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/numpy_driver.py");
        let mut command = Command::new(python.unwrap_or("python3"));
        for name in ["OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"] {
            command.env(name, "1");
        }
        command.args(["-W", "ignore", driver, folder]);
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn()?;
        let to = child.stdin.take().ok_or("no way to write to Python")?;
        let from = BufReader::new(child.stdout.take().ok_or("no way to read from Python")?);
        Ok(Self { child, to, from })
    }

    /// CPU seconds of one batched solve.
    fn time(&mut self, lights: usize, size: usize, target: usize) -> Result<f64, Fault> {
        writeln!(self.to, "{lights} {size} {target}")?;
        self.to.flush()?;
        let mut line = String::new();
        self.from.read_line(&mut line)?;
        line.trim().parse().map_err(|_| format!("Python said {line:?}, not a time").into())
    }
}

impl Drop for Numpy {
    fn drop(&mut self) {
        let _ = writeln!(self.to, "stop");
        let _ = self.child.wait();
    }
}

/// CPU seconds of this process so far, to the nanosecond where the system keeps them.
fn cpu() -> Result<f64, Fault> {
    let text = std::fs::read_to_string("/proc/self/schedstat");
    let spent = text.ok().and_then(|t| t.split(' ').next().and_then(|n| n.parse::<f64>().ok()));
    // Elsewhere the clock on the wall has to do; then nothing else should be running.
    static BEGUN: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    Ok(spent.map_or_else(|| BEGUN.get_or_init(Instant::now).elapsed().as_secs_f64(), |n| n * 1e-9))
}

fn median(of: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = of.collect();
    all.sort_by(f64::total_cmp);
    let middle = all.len() / 2;
    match all.len() {
        0 => f64::NAN,
        n if n % 2 == 1 => all[middle],
        _ => 0.5 * (all[middle - 1] + all[middle]),
    }
}

fn round(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn numbers(value: &Value) -> Result<Vec<f64>, Fault> {
    let all = value.as_array().ok_or("a list of numbers is missing")?;
    all.iter().map(|v| v.as_f64().ok_or_else(|| "not a number".into())).collect()
}

fn bands(value: &Value) -> Result<[f64; BANDS], Fault> {
    numbers(value)?.try_into().map_err(|_| "not 31 bands".into())
}

fn say(line: &str) -> Result<(), Fault> {
    writeln!(std::io::stdout(), "{line}")?;
    Ok(())
}
