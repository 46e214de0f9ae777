//! A bath runs late: what of the day plan moves with it, today and onto later days.
//!
//! What has begun stays where it is; what has not is moved only as far as pots, burners, sinks and hands call for, and to
//! the next day there is time where it would not end within the day any more. It is an outlook and writes nothing: a
//! plan made anew, from the day it names, decides for good. Left out: what may wait within a bath (`bath_now`).

use plan::document::{DayItem, DayPlan, DaySeen};
use units::Day;

/// The bath that runs late, as the day plan knows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LateBath<'a> {
    /// Id of the piece.
    pub piece: &'a str,
    /// swatch or bulk.
    pub job: &'a str,
    /// Which of two baths of its kind, from 1.
    pub bath: usize,
    /// When it began, minutes since midnight; none: it has not.
    pub begun_min: Option<f64>,
    /// Minutes that it has fallen behind since.
    pub behind_min: f64,
    /// What the clock says now, minutes since midnight.
    pub now_min: f64,
}

/// What becomes of the days.
#[derive(Debug, Clone, PartialEq)]
pub struct DayLate {
    /// When the plan has the bath begin: "10:10".
    pub begins: String,
    /// When the plan has it through: "14:20".
    pub planned: String,
    /// Minutes that it is behind the day plan; at or below zero: in time.
    pub by_min: f64,
    /// What moves, in order.
    pub moved: Vec<Moved>,
    /// What it comes to, in a sentence.
    pub verdict: String,
    /// Where not all of it ends today: the next day there is time, from which the rest can be planned anew.
    pub anew_from: Option<String>,
}

/// A job that moves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// Whose it is.
    pub name: String,
    /// swatch, bulk, scour, judge …
    pub job: &'static str,
    /// When it was to begin.
    pub was: String,
    /// When it begins now.
    pub now: String,
    /// The day it moves to, where not today.
    pub to: Option<String>,
}

/// One job of a day: its stretches, by the clock.
#[derive(Debug, Clone)]
struct Job<'a> {
    items: Vec<&'a DayItem>,
}

/// A stretch at the place it has now.
#[derive(Debug, Clone, Copy)]
struct Placed<'a> {
    item: &'a DayItem,
    from: f64,
    to: f64,
}

/// How finely a job is moved, minutes.
const STEP_MIN: f64 = 5.0;
/// Days looked at for a job that no longer fits.
const MOST_DAYS: i32 = 120;

/// What becomes of the days; nothing where the plan does not have this bath on this day.
#[must_use]
pub fn day_late(
    plan: &DayPlan,
    today: Day,
    ready: Option<Day>,
    late: &LateBath<'_>,
) -> Option<DayLate> {
    let day = plan.days.iter().find(|d| d.day == today.to_string())?;
    let jobs = jobs(day);
    let own = jobs.iter().position(|job| job.is(late))?;
    let end = jobs[own].hands_end()?;
    let start = jobs[own].start();
    let by_min = (late.begun_min.unwrap_or(late.now_min) - start + late.behind_min).round();
    let (begins, planned) = (clock(start), clock(end));
    if by_min < STEP_MIN {
        let verdict = "The day holds as planned.".to_owned();
        return Some(DayLate { begins, planned, by_min, moved: vec![], verdict, anew_from: None });
    }
    let mut placed: Vec<Placed<'_>> = vec![];
    let mut waiting: Vec<&Job<'_>> = vec![];
    for (at, job) in jobs.iter().enumerate() {
        if at == own {
            // What it is at now lasts longer: its pot is not free meanwhile.
            let on = |item: &DayItem| late.begun_min.is_some() && item.start_min <= late.now_min;
            placed.extend(job.items.iter().map(|item| Placed {
                from: if on(item) { item.start_min } else { item.start_min + by_min },
                ..moved_by(item, by_min)
            }));
        } else if job.start() < late.now_min {
            placed.extend(job.items.iter().map(|item| moved_by(item, 0.0)));
        } else {
            waiting.push(job);
        }
    }
    waiting.sort_by(|a, b| a.start().total_cmp(&b.start()));
    let until = minutes_of(&plan.limits.until).unwrap_or(24.0 * 60.0);
    let mut moved = vec![];
    let mut last = today;
    let mut no_day = vec![];
    // What a day gets that was not planned for it.
    let mut onto: Vec<(Day, Vec<Placed<'_>>)> = vec![];
    for job in waiting {
        // What follows of the same piece cannot overtake it.
        let same = job.of(late.piece);
        let least = if same { by_min } else { 0.0 };
        match free(&placed, job, least, plan).filter(|s| job.hands_end_at(*s) <= until) {
            Some(shift) => {
                placed.extend(job.items.iter().map(|item| moved_by(item, shift)));
                // That it hangs to dry later needs no telling.
                if shift > 0.0 && job.hands_end().is_some() {
                    moved.push(job.moved(shift, None));
                }
            }
            None => match next_day(plan, today, job, &mut onto) {
                Some((on, shift)) => {
                    last = last.max(on);
                    moved.push(job.moved(shift, Some(on)));
                }
                None => no_day.push(job.name()),
            },
        }
    }
    let mut verdict = verdict(&moved, last, today, ready, &no_day);
    let over = end + by_min > until;
    let anew_from = (over || last > today || !no_day.is_empty())
        .then(|| open_days(plan, today).next().map(|day| day.to_string()))
        .flatten();
    if over {
        let what = if late.begun_min.is_some() { "ends" } else { "would end" };
        verdict = format!(
            "This bath itself {what} at {}, after the day’s end at {}. {verdict}",
            clock(end + by_min),
            plan.limits.until
        );
    }
    Some(DayLate { begins, planned, by_min, moved, verdict, anew_from })
}

fn verdict(
    moved: &[Moved],
    last: Day,
    today: Day,
    ready: Option<Day>,
    no_day: &[String],
) -> String {
    let mut said = match (moved.is_empty(), last > today) {
        (true, _) => "Nothing else of today has to move.".to_owned(),
        (false, false) => "It all still ends today.".to_owned(),
        (false, true) => "Not all of it ends today.".to_owned(),
    };
    if let Some(ready) = ready {
        match last <= ready {
            true => said.push_str(&format!(" The costume’s day, {ready}, is not touched by it.")),
            false => said.push_str(&format!(" The costume’s day, {ready}, is missed by it.")),
        }
    }
    if !no_day.is_empty() {
        said.push_str(&format!(" No day was found for {}.", no_day.join(", ")));
    }
    said
}

/// The jobs of a day, each told once, in the order in which they begin.
fn jobs(day: &DaySeen) -> Vec<Job<'_>> {
    let mut all: Vec<Job<'_>> = vec![];
    for item in day.items.iter().filter(|item| item.leads()) {
        let same = |job: &&mut Job<'_>| {
            let first = job.items[0];
            first.piece == item.piece
                && first.job == item.job
                && first.bath == item.bath
                && item.piece.is_some()
        };
        match all.iter_mut().find(same) {
            Some(job) => job.items.push(item),
            None => all.push(Job { items: vec![item] }),
        }
    }
    all
}

impl Job<'_> {
    fn is(&self, late: &LateBath<'_>) -> bool {
        let first = self.items[0];
        first.job == late.job && first.bath.unwrap_or(1) == late.bath && self.of(late.piece)
    }

    fn of(&self, piece: &str) -> bool {
        let first = self.items[0];
        first.piece.as_deref() == Some(piece) || first.together.iter().any(|id| id == piece)
    }

    fn start(&self) -> f64 {
        self.items.iter().map(|item| item.start_min).fold(f64::INFINITY, f64::min)
    }

    /// When it needs no hands any more.
    fn hands_end(&self) -> Option<f64> {
        let busy = self.items.iter().filter(|item| item.hands != "away");
        busy.map(|item| item.end_min).max_by(f64::total_cmp)
    }

    fn hands_end_at(&self, shift: f64) -> f64 {
        self.hands_end().map_or(0.0, |end| end + shift)
    }

    fn name(&self) -> String {
        self.items[0].piece_name.clone().unwrap_or_else(|| "the kitchen".to_owned())
    }

    fn moved(&self, shift: f64, to: Option<Day>) -> Moved {
        Moved {
            name: self.name(),
            job: self.items[0].job,
            was: clock(self.start()),
            now: clock(self.start() + shift),
            to: to.map(|day| day.to_string()),
        }
    }
}

const fn moved_by(item: &DayItem, shift: f64) -> Placed<'_> {
    Placed { item, from: item.start_min + shift, to: item.end_min + shift }
}

/// The least shift from `least` on at which a job meets nothing that stands; none within a day.
fn free(placed: &[Placed<'_>], job: &Job<'_>, least: f64, plan: &DayPlan) -> Option<f64> {
    let shifts = std::iter::successors(Some(least), |s| Some(s + STEP_MIN));
    let mut shifts = shifts.take_while(|s| *s < least + 24.0 * 60.0);
    shifts.find(|shift| {
        let mut all = placed.to_vec();
        job.items.iter().all(|item| {
            let one = moved_by(item, *shift);
            let free = fits(&all, &one, plan);
            all.push(one);
            free
        })
    })
}

/// Whether a stretch meets no pot, burner, sink or hand that is taken.
fn fits(placed: &[Placed<'_>], one: &Placed<'_>, plan: &DayPlan) -> bool {
    let beside: Vec<&Placed<'_>> =
        placed.iter().filter(|p| p.from < one.to && one.from < p.to).collect();
    let item = one.item;
    let full = |hands: &str| hands == "all" || hands == "alone";
    let in_the_way = |p: &&&Placed<'_>| {
        let other = p.item;
        let own = other.piece == item.piece && other.job == item.job && other.bath == item.bath;
        let pot = item.vessel.is_some() && item.vessel == other.vessel;
        let sink = item.sink_no.is_some() && item.sink_no == other.sink_no;
        let alone = |a: &DayItem, b: &DayItem| a.hands == "alone" && b.hands != "away";
        !own && (pot || sink || alone(item, other) || alone(other, item))
    };
    let hands = beside.iter().filter(|p| full(p.item.hands)).count();
    let burners = beside.iter().filter(|p| p.item.burner).count();
    beside.iter().find(in_the_way).is_none()
        && (!full(item.hands) || hands < plan.limits.hands)
        && (!item.burner || burners < plan.limits.burners)
}

/// The next day on which a job ends within the working hours, and by how much it is moved there.
fn next_day<'a>(
    plan: &'a DayPlan,
    today: Day,
    job: &Job<'a>,
    onto: &mut Vec<(Day, Vec<Placed<'a>>)>,
) -> Option<(Day, f64)> {
    let (from, until) = (minutes_of(&plan.limits.from)?, minutes_of(&plan.limits.until)?);
    let least = from - job.start();
    for day in open_days(plan, today) {
        let named = day.to_string();
        let stands = plan.days.iter().find(|d| d.day == named);
        let mut placed: Vec<Placed<'a>> = stands
            .into_iter()
            .flat_map(|d| d.items.iter().filter(|item| item.leads()))
            .map(|item| moved_by(item, 0.0))
            .collect();
        let own = onto.iter().position(|(on, _)| *on == day);
        placed.extend(own.iter().flat_map(|at| onto[*at].1.iter().copied()));
        if let Some(shift) =
            free(&placed, job, least, plan).filter(|s| job.hands_end_at(*s) <= until)
        {
            let now: Vec<Placed<'a>> = job.items.iter().map(|item| moved_by(item, shift)).collect();
            match own {
                Some(at) => onto[at].1.extend(now),
                None => onto.push((day, now)),
            }
            return Some((day, shift));
        }
    }
    None
}

/// The days after this one on which there is time.
fn open_days(plan: &DayPlan, today: Day) -> impl Iterator<Item = Day> {
    let open = move |day: &Day| {
        let weekday = day.weekday().to_string();
        plan.limits.weekdays.iter().any(|w| *w == weekday)
            && !plan.limits.not_on.contains(&day.to_string())
    };
    (1..=MOST_DAYS).map(move |n| today.plus_days(n)).filter(open)
}

/// "09:30" in minutes since midnight.
fn minutes_of(clock: &str) -> Option<f64> {
    let (hours, minutes) = clock.split_once(':')?;
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    Some(f64::from(hours * 60 + minutes))
}

/// Minutes since midnight as a clock; beyond midnight it counts on from 0.
fn clock(minutes: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a day or two")]
    let all = minutes.round() as i64;
    let of_day = all.rem_euclid(24 * 60);
    format!("{:02}:{:02}", of_day / 60, of_day % 60)
}

#[cfg(test)]
mod tests {
    use plan::document::DayLimits;

    use super::*;

    fn item(piece: &str, job: &'static str, at: (f64, f64), hands: &'static str) -> DayItem {
        DayItem {
            start: clock(at.0),
            end: clock(at.1),
            start_min: at.0,
            end_min: at.1,
            piece: Some(piece.to_owned()),
            piece_name: Some(piece.to_owned()),
            job,
            bath: None,
            what: job.to_owned(),
            vessel: None,
            stands: None,
            together: vec![],
            burner: false,
            hands,
            powder: false,
            changing: false,
            sink: vec![],
            sink_no: None,
            over_night: false,
        }
    }

    /// Coat 10:00 to 12:00, sash 12:30 to 13:30 in the same pot, hood 15:00 to 16:00; the day ends at 16:30.
    fn plan() -> DayPlan {
        let pot = |i: DayItem| DayItem { vessel: Some("big pot".to_owned()), ..i };
        let items = vec![
            pot(item("coat", "bulk", (600.0, 720.0), "all")),
            item("coat", "drying", (720.0, 1400.0), "away"),
            pot(item("sash", "bulk", (750.0, 810.0), "all")),
            item("hood", "scour", (900.0, 960.0), "all"),
        ];
        let day = DaySeen {
            day: "2031-05-10".to_owned(),
            weekday: "Saturday",
            kind: "dyeing".to_owned(),
            begins: "10:00".to_owned(),
            ends: "16:00".to_owned(),
            items,
        };
        let limits = DayLimits {
            vessels: vec!["big pot".to_owned()],
            burners: 2,
            hands: 1,
            sinks: 1,
            drying: 4,
            from: "09:30".to_owned(),
            until: "16:30".to_owned(),
            delivery_days: 3,
            weekdays: vec!["Saturday", "Sunday"],
            not_on: vec!["2031-05-11".to_owned()],
        };
        DayPlan {
            fits: true,
            done: None,
            latest_start: None,
            verdict: String::new(),
            limits,
            days: vec![day],
            orders: vec![],
            at_hand: vec![],
            drop_first: vec![],
            still_possible: vec![],
            no_place: vec![],
            leftovers: vec![],
            rules: vec![],
        }
    }

    fn late(by: f64) -> DayLate {
        let today = Day::try_ymd(2031, 5, 10).unwrap();
        let bath = LateBath {
            piece: "coat",
            job: "bulk",
            bath: 1,
            begun_min: Some(600.0),
            behind_min: by,
            now_min: 700.0,
        };
        let ready = Day::try_ymd(2031, 5, 12).ok();
        day_late(&plan(), today, ready, &bath).unwrap()
    }

    #[test]
    fn what_has_room_stays_and_the_same_pot_waits_only_as_long_as_it_must() {
        assert!(late(0.0).moved.is_empty() && late(20.0).moved.is_empty(), "30 minutes of room");
        let by = late(60.0);
        let sash = &by.moved[0];
        assert_eq!((sash.was.as_str(), sash.now.as_str(), &sash.to), ("12:30", "13:00", &None));
        assert_eq!(by.moved.len(), 1, "the hood has room: {by:?}");
        assert!(by.verdict.contains("still ends today"), "{}", by.verdict);
    }

    #[test]
    fn what_no_longer_ends_within_the_day_goes_to_the_next_one_there_is_time() {
        let by = late(240.0);
        // 16:00 on: the sash would end at 17:00; Sunday is not free, the next Saturday is, after the costume's day.
        let sash = by.moved.iter().find(|m| m.name == "sash").unwrap();
        assert_eq!(sash.to.as_deref(), Some("2031-05-17"));
        assert_eq!(sash.now, "09:30");
        assert!(!by.verdict.contains("This bath itself"), "it ends at 16:00: {}", by.verdict);
        assert!(late(300.0).verdict.contains("ends at 17:00, after the day’s end at 16:30"));
        let hood = by.moved.iter().find(|m| m.name == "hood").unwrap();
        assert_eq!((hood.to.as_deref(), hood.now.as_str()), (Some("2031-05-17"), "10:30"));
        assert!(by.verdict.contains("is missed"), "{}", by.verdict);
        assert_eq!(by.anew_from.as_deref(), Some("2031-05-17"), "the next day there is time");
        assert_eq!(late(60.0).anew_from, None, "all of it ends today");
    }

    #[test]
    fn another_day_knows_nothing_of_it() {
        let bath = LateBath {
            piece: "coat",
            job: "bulk",
            bath: 1,
            begun_min: None,
            behind_min: 0.0,
            now_min: 700.0,
        };
        let other = Day::try_ymd(2031, 5, 11).unwrap();
        assert_eq!(day_late(&plan(), other, None, &bath), None);
    }
}
