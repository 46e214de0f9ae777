//! One piece decided: target and ground brought to spectra, the way chosen, everything written down.

use colour::{Bands, Lab, Light, Observer, Place, Weights};
use costume::{GroundGiven, Piece};
use dyeing::{Brightener, Ground, HOME, Spread, spreads_under};
use lore::{Offers, Part};
use recipe::Target;
use units::Share;

use crate::asked::fibres;
use crate::document::{ClassRefused, ColourSeen, Outcome, PiecePlan, Special, TestToMake};
use crate::goes_by::go_by;
use crate::making::dosed;
use crate::seen::{self, Resolved, resolve, sentence};
use crate::special::{Sheer, sheer, split_glow};
use crate::way::{NoWay, Try, Way};
use crate::{Request, advice, blend, written};

/// What is decided of one piece before anything is written down.
pub(crate) struct Decided<'a> {
    pub(crate) piece: &'a Piece,
    /// The lights it must hold under, D65 first.
    pub(crate) lights: &'a [Light],
    pub(crate) came_to: CameTo<'a>,
    /// Pieces that lie in its bulk bath with it.
    pub(crate) with: Vec<&'a Piece>,
    /// Place of the piece in whose bath it lies.
    pub(crate) follows: Option<usize>,
}

/// What it came to.
pub(crate) enum CameTo<'a> {
    /// A way of dyeing it.
    Way(Box<Found<'a>>),
    /// No bath: what is to be said instead.
    Without(Box<PiecePlan>),
}

/// A way with everything it was found from.
pub(crate) struct Found<'a> {
    /// The colour wanted.
    pub(crate) wanted: Resolved,
    /// The colour the recipe aims at: the wanted one, or where it had to go.
    pub(crate) aim: Resolved,
    pub(crate) offers: Offers,
    pub(crate) ground: &'a Ground,
    pub(crate) cloth: Option<ColourSeen>,
    pub(crate) way: Way<'a>,
    /// The second of two baths.
    pub(crate) second: Option<Way<'a>>,
    /// What a sheer shows over its backing.
    pub(crate) sheer: Option<&'a Sheer>,
    /// The optical brightener in its cloth.
    pub(crate) brightener: Option<Brightener>,
}

impl Found<'_> {
    /// What the finished piece looks like where it is worn: a sheer over its backing.
    pub(crate) fn looks(&self) -> Bands {
        let bands = self.way.made.dosed.bands;
        self.sheer.map_or(bands, |sheer| sheer.over.shown(&bands))
    }

    /// What it should look like where it is worn: a sheer over its backing; else what the recipe aims at.
    pub(crate) fn should_look(&self) -> &Bands {
        if self.sheer.is_some() { &self.wanted.bands } else { &self.aim.bands }
    }

    /// The colour of a look of this piece under a light, with the glow of its brightener. (What a sheer's
    /// brightener does over a backing is not modelled: it is left out.)
    pub(crate) fn lab_of(&self, bands: &Bands, light: Light) -> Lab {
        match self.brightener.filter(|_| self.sheer.is_none()) {
            None => Weights::of(light, Observer::Ten).lab(bands),
            Some(glow) => {
                glow.seen(&self.ground.reflectance(), bands.values(), light, Observer::Ten)
            }
        }
    }

    /// How far the glow of its brightener moves the dyed cloth under a light, ΔE00; none where nothing glows.
    pub(crate) fn glow(&self, light: Light) -> Option<f64> {
        let glow = self.brightener.filter(|_| self.sheer.is_none())?;
        let dyed = self.way.made.dosed.bands;
        Some(glow.shift(&self.ground.reflectance(), dyed.values(), light).de00)
    }

    /// Spread of the recipe and of the dyed piece under a light; of two baths the wider one.
    pub(crate) fn spreads(&self, light: Light) -> Option<(Spread, Spread)> {
        let of = |way: &Way| {
            let recipe = dosed(&way.asked, &way.made.bulk).ok()?;
            Some(spreads_under(&way.asked.whole, &recipe, HOME, light))
        };
        let one = of(&self.way)?;
        let two = self.second.as_ref().and_then(of);
        Some(two.filter(|two| two.1.rms() > one.1.rms()).unwrap_or(one))
    }

    /// Whether its recipe may be moved with those of a set: cloth of one bath, dyed all over, seen as it
    /// is. (The recipe of a heather is for its dyed part; what is seen is the whole.)
    pub(crate) fn moves(&self) -> bool {
        self.sheer.is_none() && self.second.is_none() && !self.way.asked.heather
    }
}

/// What a piece is before anything is searched: its colour, the trade's offers, its cloth.
pub(crate) struct Opened<'a> {
    pub(crate) piece: &'a Piece,
    pub(crate) lights: Vec<Light>,
    pub(crate) known: Result<Known, Box<PiecePlan>>,
}

/// What is known of a piece that can be searched.
pub(crate) struct Known {
    pub(crate) wanted: Resolved,
    pub(crate) offers: Offers,
    pub(crate) ground: Ground,
    pub(crate) cloth: Option<ColourSeen>,
    pub(crate) sheer: Option<Sheer>,
    pub(crate) brightener: Option<Brightener>,
}

/// Brings a piece's colours to spectra and asks what takes on its cloth.
pub(crate) fn open<'a>(request: &Request, piece: &'a Piece) -> Opened<'a> {
    let lights = lights_of(&piece.places);
    let known = know(request, piece, &lights);
    Opened { piece, lights, known }
}

fn know(request: &Request, piece: &Piece, lights: &[Light]) -> Result<Known, Box<PiecePlan>> {
    let wanted = resolve(&piece.target, lights).map_err(|why| Box::new(no_target(piece, &why)))?;
    let parts: Vec<&Part> =
        piece.goods.parts.iter().filter_map(|p| request.lore.part(p).ok()).collect();
    let people = request.costume.people;
    let near = lore::People {
        asthma: people.asthma,
        pregnancy: people.pregnancy,
        children: people.children,
    };
    let offers = request.lore.offer(&piece.goods.makeup, &parts, near);
    if let Some(stopped) = stopped(request, piece, &wanted, &offers) {
        return Err(Box::new(stopped));
    }
    match ground(request, piece) {
        Ok(ground) => {
            let cloth = cloth_seen(piece, &ground);
            let (ground, brightener) = split_glow(piece, ground);
            match sheer(piece, &wanted, &ground) {
                Ok(sheer) => Ok(Known { wanted, offers, ground, cloth, sheer, brightener }),
                Err(why) => {
                    let gate = advice::Gate::Undecided;
                    Err(Box::new(without(request, piece, &wanted, &offers, cloth, &why, gate)))
                }
            }
        }
        Err(why) => {
            let gate = advice::Gate::Undecided;
            Err(Box::new(without(request, piece, &wanted, &offers, None, &why, gate)))
        }
    }
}

/// Searches the way of a piece; `aim` is where its colour goes when that is not where it was wanted.
pub(crate) fn decide<'a>(
    request: &'a Request<'a>,
    opened: &'a Opened<'a>,
    aim: Option<Resolved>,
) -> Decided<'a> {
    let Opened { piece, lights, known } = opened;
    let came_to = match known {
        Err(plan) => CameTo::Without(plan.clone()),
        Ok(Known { wanted, offers, ground, cloth, sheer, brightener }) => {
            let sheer_aim = sheer.as_ref().map(|s| s.aim.clone());
            let aim = aim.or(sheer_aim).unwrap_or_else(|| wanted.clone());
            let target = Target { bands: aim.bands, assumed: aim.assumed };
            let tries = Try { request, piece, ground, target, lights, one_of_two: false };
            match blend::chosen(&tries, offers) {
                Ok((mut way, second)) => {
                    if second.is_none() {
                        go_by(request, piece, &mut way);
                    }
                    CameTo::Way(Box::new(Found {
                        wanted: wanted.clone(),
                        aim,
                        offers: offers.clone(),
                        ground,
                        cloth: cloth.clone(),
                        way,
                        second,
                        sheer: sheer.as_ref(),
                        brightener: *brightener,
                    }))
                }
                Err(NoWay(said)) => {
                    let why = format!("no bath could be written: {}", said.join("; "));
                    let gate = advice::Gate::Undecided;
                    let cloth = cloth.clone();
                    let plan = without(request, piece, wanted, offers, cloth, &why, gate);
                    CameTo::Without(Box::new(plan))
                }
            }
        }
    };
    Decided { piece, lights, came_to, with: vec![], follows: None }
}

impl Decided<'_> {
    /// The piece's plan, written down.
    pub(crate) fn written(&self, request: &Request) -> PiecePlan {
        match &self.came_to {
            CameTo::Way(found) => written::with_bath(request, self.piece, found, self.lights),
            CameTo::Without(plan) => (**plan).clone(),
        }
    }

    /// Its way, when it has one.
    pub(crate) fn found(&self) -> Option<&Found<'_>> {
        match &self.came_to {
            CameTo::Way(found) => Some(found),
            CameTo::Without(_) => None,
        }
    }
}

/// Every light of every place, D65 first, each once.
pub(crate) fn lights_of(places: &[Place]) -> Vec<Light> {
    let mut lights = vec![Light::D65];
    for light in places.iter().flat_map(|p| p.lights()) {
        if !lights.contains(light) {
            lights.push(*light);
        }
    }
    lights
}

fn ground(request: &Request, piece: &Piece) -> Result<Ground, String> {
    let owned = fibres(request.lore, &piece.goods.makeup);
    let list: Vec<(&str, Share)> = owned.iter().map(|(m, s)| (m.as_str(), *s)).collect();
    match &piece.ground {
        GroundGiven::Assumed(look) => Ground::assumed(&list, *look).map_err(|e| e.to_string()),
        GroundGiven::Read(given) => Ok(Ground::read(&list, &resolve(given, &[])?.bands)),
    }
}

fn cloth_seen(piece: &Piece, ground: &Ground) -> Option<ColourSeen> {
    let from = match &piece.ground {
        GroundGiven::Assumed(dyeing::Look::White) => "usual look of white cloth of this fibre",
        GroundGiven::Assumed(dyeing::Look::Natural) => "usual look of natural cloth of this fibre",
        GroundGiven::Read(given) => given.written.as_str(),
    };
    let bands = Bands::try_new(ground.reflectance()).ok()?;
    Some(seen::of_bands(&bands, from, ground.assumed))
}

/// The refusal that tells the maker most: of the way that would be best for this cloth.
fn best_refused<'o>(
    request: &Request,
    piece: &Piece,
    offers: &'o Offers,
) -> Option<&'o lore::Refused> {
    let materials = request.lore.materials_of(&piece.goods.makeup);
    let best = materials.first().and_then(|m| {
        let refused = |p| offers.refused.iter().find(move |r| r.procedure == p);
        let at_home = |r: &&lore::Refused| r.stop != lore::Stop::NotAtHome;
        m.best_first.iter().filter_map(|p| refused(*p)).find(at_home)
    });
    best.or(offers.refused.first())
}

/// No way is offered at all: tests first for an unknown fibre, else the reason.
fn stopped(
    request: &Request,
    piece: &Piece,
    target: &Resolved,
    offers: &Offers,
) -> Option<PiecePlan> {
    let (why, gate) = if let Some(procedure) = piece.procedure
        && !offers.offered.iter().any(|o| o.procedure == procedure)
    {
        let refused = offers.refused.iter().find(|r| r.procedure == procedure);
        let why_not = refused.map_or("it is not offered for this cloth", |r| r.why_not.as_str());
        let name = request.lore.procedure_name(procedure);
        (format!("you asked for {name}: {why_not}"), advice::Gate::Hard)
    } else if !offers.offered.is_empty() {
        return None;
    } else if offers.tests.is_empty() {
        let first = best_refused(request, piece, offers);
        let because = first.map_or("nothing takes on it", |r| r.why_not.as_str());
        // People may go out for the day; cloth stays what it is.
        let says = match first.map(|r| r.stop) {
            Some(lore::Stop::People) => "not with those near the pots that the costume file names",
            _ => "nothing in a home dye kit colours this cloth safely",
        };
        (format!("{says}: {because}"), advice::Gate::Hard)
    } else {
        let why = "the fibre is not known well enough. What would colour it if it is one fibre would \
                   ruin it, or leave it white, if it is another: make the tests first";
        (why.to_owned(), advice::Gate::Tests)
    };
    Some(without(request, piece, target, offers, None, &why, gate))
}

/// A piece without a bath.
fn without(
    request: &Request,
    piece: &Piece,
    target: &Resolved,
    offers: &Offers,
    cloth: Option<ColourSeen>,
    why: &str,
    gate: advice::Gate,
) -> PiecePlan {
    let mut plan = empty(piece, target.seen.clone());
    plan.cloth = cloth;
    plan.why = sentence(why);
    plan.tests = tests(offers);
    if plan.tests.is_empty() {
        plan.tests = confirming(request, piece);
    }
    plan.others = others(request, offers, None, false);
    plan.advice = advice::without_bath(request, piece, target, offers, gate);
    plan
}

fn no_target(piece: &Piece, why: &str) -> PiecePlan {
    let grey = ColourSeen {
        words: "a colour no surface can have".to_owned(),
        lab: [0.0; 3],
        hex: "#808080".to_owned(),
        from: piece.target.written.clone(),
        assumed: true,
        screen_shows: false,
    };
    let mut plan = empty(piece, grey);
    plan.why = sentence(&format!("the target cannot be used: {why}"));
    plan
}

fn empty(piece: &Piece, target: ColourSeen) -> PiecePlan {
    PiecePlan {
        id: piece.id.clone(),
        name: piece.name.clone(),
        goods: seen::goods(&piece.goods),
        target,
        cloth: None,
        outcome: Outcome::NoBath,
        why: String::new(),
        tests: vec![],
        class: None,
        others: vec![],
        reach: None,
        recipes: vec![],
        search: None,
        expected: None,
        sheets: vec![],
        care: None,
        wrong: vec![],
        advice: vec![],
        special: Special::default(),
    }
}

/// The tests of an unknown fibre.
pub(crate) fn tests(offers: &Offers) -> Vec<TestToMake> {
    offers
        .tests
        .iter()
        .map(|t| {
            let settles = if t.test.observes.is_empty() {
                "the label may name the fibre outright".to_owned()
            } else {
                let words: Vec<String> = t
                    .test
                    .observes
                    .iter()
                    .map(|k| format!("{}: {}", k.id(), k.outcomes().join(", ")))
                    .collect();
                let tells = match t.bits {
                    b if b >= 1.0 => "most",
                    b if b >= 0.3 => "much",
                    _ => "a little",
                };
                format!("it tells {tells}; write what you see as one of {}", words.join("; "))
            };
            TestToMake { settles, ..to_make(&t.test) }
        })
        .collect()
}

/// For a fibre that is all but settled and still has no bath: the tests that would confirm it.
fn confirming(request: &Request, piece: &Piece) -> Vec<TestToMake> {
    let lore::Makeup::Unknown(odds) = &piece.goods.makeup else { return vec![] };
    let made =
        |test: &&lore::IdTest| odds.seen().iter().any(|seen| test.observes.contains(&seen.kind()));
    request
        .lore
        .id_tests()
        .iter()
        .filter(|t| !made(t))
        .take(2)
        .map(|t| TestToMake {
            settles: "it would confirm the fibre that is likeliest now".to_owned(),
            ..to_make(t)
        })
        .collect()
}

/// A test of the key, without what it settles.
fn to_make(test: &lore::IdTest) -> TestToMake {
    TestToMake {
        test: test.name.clone(),
        how: test.how.clone(),
        hazard: test.hazard.clone(),
        settles: String::new(),
        minutes: test.minutes.to_minutes(),
        leaves: test.leaves.clone(),
    }
}

/// The ways not chosen: refused ones with their reason, offered ones because another came first.
pub(crate) fn others(
    request: &Request,
    offers: &Offers,
    way: Option<&Way>,
    insisted: bool,
) -> Vec<ClassRefused> {
    let name = |p| request.lore.procedure_name(p).to_owned();
    let chosen = way.map(|w| w.offer.procedure);
    let first = match insisted {
        true => "the costume file asks for the other way",
        false => "the way chosen comes first",
    };
    let lesser =
        offers.offered.iter().filter(|o| chosen.is_some_and(|c| c != o.procedure)).map(|o| {
            // What is said of the way chosen tells nobody why it comes before this one.
            let same = way.is_some_and(|w| {
                let of_class = w.offer.classes.iter().find(|c| c.class == w.class);
                w.offer.why == o.why || of_class.is_some_and(|c| c.why == o.why)
            });
            let why = if same { String::new() } else { format!(": {}", o.why) };
            let tried = way.and_then(|w| w.tried.iter().find(|(p, _)| *p == o.procedure));
            let why_not = match tried {
                Some((_, why)) => format!("tried before the way chosen, and not taken: {why}"),
                None => format!("possible, but {first}{why}"),
            };
            ClassRefused {
                procedure: o.procedure.id().to_owned(),
                name: name(o.procedure),
                verdict: o.verdict.id().to_owned(),
                why_not: sentence(&why_not),
            }
        });
    let refused = offers.refused.iter().map(|r| ClassRefused {
        procedure: r.procedure.id().to_owned(),
        name: name(r.procedure),
        verdict: r.verdict.id().to_owned(),
        why_not: sentence(&r.why_not),
    });
    lesser.chain(refused).collect()
}
