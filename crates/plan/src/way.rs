//! Which way of dyeing and which recipe: the offers of the trade, tried best first on this shelf.

use colour::Light;
use costume::Piece;
use dyeing::Ground;
use lore::{DyeClass, Makeup, Offer, Offers, Procedure};
use recipe::{Answer, Choice, Question, Target, propose};
use units::LiquorRatio;

use crate::Request;
use crate::asked::{Asked, MOST_DYES};
use crate::goes_by::GoesBy;
use crate::making::{Made, made};

/// One way carried through to its sheets.
pub(crate) struct Way<'a> {
    pub(crate) offer: Offer,
    pub(crate) class: DyeClass,
    pub(crate) answer: Answer,
    /// Place of the recipe in the answer that the sheets are made of.
    pub(crate) chosen: usize,
    /// Whether the recipe is a set's, and not the first for the piece alone.
    pub(crate) for_set: bool,
    /// The question that was answered.
    pub(crate) asked: Asked<'a>,
    /// True when the usual ratio did not fit any vessel.
    pub(crate) ratio_lowered: bool,
    /// How near the best recipe comes that this kitchen cannot measure out, ΔE00 in daylight, and why it
    /// cannot.
    pub(crate) passed_over: Option<(f64, String)>,
    /// Ways tried before this one, and why each was not taken.
    pub(crate) tried: Vec<(Procedure, String)>,
    /// The sheets of the chosen recipe.
    pub(crate) made: Made,
    /// The swatch of the piece it goes by, where one was dyed this way.
    pub(crate) goes_by: Option<GoesBy>,
}

impl Way<'_> {
    /// The recipe the sheets are made of.
    pub(crate) fn choice(&self) -> &Choice {
        &self.answer.choices[self.chosen]
    }

    /// The colour its recipe is for: where its set brings it, else the one that was asked for.
    pub(crate) fn wanted(&self) -> Target {
        match &self.goes_by {
            Some(swatch) => swatch.target,
            None if self.for_set => {
                Target { bands: self.choice().prediction.bands, ..self.asked.target }
            }
            None => self.asked.target,
        }
    }

    /// ΔE00 from that colour that passes.
    pub(crate) fn passes(&self, piece: &Piece) -> f64 {
        self.goes_by.as_ref().map_or_else(|| piece.viewing.limit(), |swatch| swatch.passes)
    }

    /// Puts another recipe first, with its sheets; what could not be measured out stays out, and so does what does not
    /// really differ from it.
    pub(crate) fn put_first(&mut self, choice: Choice, made: Made) {
        self.answer.choices.drain(..self.chosen);
        self.answer.choices.retain(|other| choice.really_differs_from(other));
        self.answer.choices.insert(0, choice);
        self.answer.choices.truncate(recipe::MOST_CHOICES);
        self.chosen = 0;
        self.made = made;
    }

    /// How near the cloth comes to its colour, ΔE00 in daylight: of a heather the whole of it, with the
    /// fibre that stays as it is.
    pub(crate) fn gap(&self) -> f64 {
        if self.asked.heather {
            let light = colour::Weights::reference();
            let wanted = light.lab(&self.asked.target.bands);
            colour::ciede2000(wanted, light.lab(&self.made.dosed.bands))
        } else {
            self.answer.reach.gap
        }
    }
}

/// Why no way was found: a sentence for each that was tried.
pub(crate) struct NoWay(pub(crate) Vec<String>);

/// What every try at a way needs.
#[derive(Clone, Copy)]
pub(crate) struct Try<'a> {
    pub(crate) request: &'a Request<'a>,
    pub(crate) piece: &'a Piece,
    pub(crate) ground: &'a Ground,
    pub(crate) target: Target,
    pub(crate) lights: &'a [Light],
    /// Whether the bath is one of the two of a blend.
    pub(crate) one_of_two: bool,
}

/// Tries the offers, best first; takes the first that comes near enough to pass from where the piece is
/// seen, else the nearest. A class that holds better in wash and wear is worth more than a last unit
/// of colour nobody sees.
pub(crate) fn choose<'a>(
    tries: &Try<'a>,
    offers: &Offers,
    insisted: Option<Procedure>,
) -> Result<Way<'a>, NoWay> {
    let mut best: Option<Way<'a>> = None;
    // Each reason once, with every way it stops.
    let mut reasons: Vec<(Vec<String>, String)> = vec![];
    let mut no_dye: Vec<String> = vec![];
    let mut tried: Vec<(Procedure, String)> = vec![];
    for offer in wanted(offers, insisted) {
        for class in classes(tries, offer) {
            match one(tries, offer, class) {
                Ok(way) if near(tries, &way) <= tries.piece.viewing.limit() => {
                    return Ok(Way { tried, ..way });
                }
                Ok(way) => {
                    let comes_to = near(tries, &way);
                    tried.push((offer.procedure, format!("it comes to {comes_to:.1} only")));
                    // A lesser way is taken only where it comes visibly nearer.
                    let visibly = tries.piece.viewing.limit();
                    let nearer =
                        best.as_ref().is_none_or(|b| near(tries, &way) < near(tries, b) - visibly);
                    if nearer {
                        best = Some(way);
                    }
                }
                Err(why) => {
                    tried.push((offer.procedure, why.clone()));
                    let name = way_words(tries, offer.procedure);
                    match reasons.iter_mut().find(|(_, said)| *said == why) {
                        Some((names, _)) if names.contains(&name) => {}
                        Some((names, _)) => names.push(name),
                        None => reasons.push((vec![name], why)),
                    }
                }
            }
        }
        if classes(tries, offer).is_empty() {
            no_dye.push(way_words(tries, offer.procedure));
        }
    }
    let mut said = told_once(reasons);
    if !no_dye.is_empty() {
        said.push(format!("no dye on the shelf for {}", no_dye.join("; nor for ")));
    }
    best.map(|way| Way { tried, ..way }).ok_or(NoWay(said))
}

/// The reasons, with no sentence of one said again in the next.
fn told_once(reasons: Vec<(Vec<String>, String)>) -> Vec<String> {
    let mut before: Vec<String> = vec![];
    let mut said = vec![];
    for (names, why) in reasons {
        let sentences = why.split(". ").map(|s| s.trim_end_matches('.').to_owned());
        let new: Vec<String> = sentences.filter(|s| !before.contains(s)).collect();
        let rest = if new.is_empty() { "the same".to_owned() } else { new.join(". ") };
        said.push(format!("{}: {rest}", names.join(", ")));
        before.extend(new);
    }
    said
}

/// How near a way comes, with a recipe that can be measured out: of one bath of two, on the fibre it is there
/// for.
pub(crate) fn near(tries: &Try, way: &Way) -> f64 {
    let gap = if tries.one_of_two { way.answer.reach.gap } else { way.gap() };
    gap.max(way.choice().difference())
}

fn way_words(tries: &Try, procedure: Procedure) -> String {
    tries.request.lore.procedure_name(procedure).to_owned()
}

fn wanted(offers: &Offers, insisted: Option<Procedure>) -> impl Iterator<Item = &Offer> {
    offers.offered.iter().filter(move |o| insisted.is_none_or(|p| o.procedure == p))
}

/// The classes of an offer that the shelf holds; classes of one bath (milling and premetallised)
/// are searched together under the first of them.
pub(crate) fn classes(tries: &Try, offer: &Offer) -> Vec<DyeClass> {
    let held = |class: DyeClass| tries.request.shelf.dyes.iter().any(|d| d.dye.class == class);
    let mut held: Vec<DyeClass> =
        offer.classes.iter().map(|c| c.class).filter(|c| held(*c)).collect();
    if offer.procedure == Procedure::AcidMilling {
        held.truncate(1);
    }
    held
}

/// Liquor ratios tried, from the usual one down; unlike ratios want a swatch at that ratio.
pub(crate) const LOWER: [f64; 3] = [20.0, 15.0, 12.0];

fn one<'a>(tries: &Try<'a>, offer: &Offer, class: DyeClass) -> Result<Way<'a>, String> {
    let usual = usual_ratio(tries.request.lore, &tries.piece.goods.makeup);
    let mut ratios = vec![tries.piece.ratio.map_or(usual, LiquorRatio::to_litres_per_kilogram)];
    if tries.piece.ratio.is_none() {
        ratios.extend(LOWER.into_iter().filter(|r| *r < usual));
        ratios.extend(machine_ratio(tries).filter(|r| *r < usual));
    }
    let mut why = String::new();
    for (i, ratio) in ratios.iter().enumerate() {
        let ratio = LiquorRatio::try_litres_per_kilogram(*ratio).map_err(|e| e.to_string())?;
        match at_ratio(tries, offer, class, ratio) {
            Ok(mut way) => {
                way.ratio_lowered = i > 0;
                return Ok(way);
            }
            Err(Stop::Vessel(says)) => {
                if why.is_empty() {
                    why = says;
                }
            }
            Err(Stop::Other(says)) => return Err(says),
        }
    }
    Err(why)
}

/// The ratio that the water of the washing machine makes with these goods, where the kitchen lists one to dye in and
/// they are not crowded in it: the last that is tried.
fn machine_ratio(tries: &Try) -> Option<f64> {
    let kitchen = &tries.request.costume.kitchen;
    let machine = kitchen.machine.filter(|_| kitchen.methods.contains(&lore::Method::Machine))?;
    let goods = tries.piece.goods.dry + tries.piece.spare.unwrap_or(units::Mass::ZERO);
    let ratio = machine.water.to_millilitres() / goods.to_grams();
    let ratio = (ratio * 100.0).round() / 100.0;
    (ratio.is_finite() && ratio >= bath::LEAST_RATIO).then_some(ratio)
}

/// 30:1 for what must move freely and not be stirred (protein, knit feathers, acetate), else 20:1
/// (common practice for pots).
pub(crate) fn usual_ratio(lore: &lore::Lore, makeup: &Makeup) -> f64 {
    use lore::Group;
    let roomy =
        |g: Group| matches!(g, Group::Protein | Group::Skin | Group::Acetate | Group::Acrylic);
    if lore.materials_of(makeup).iter().any(|m| roomy(m.group)) { 30.0 } else { USUAL }
}

/// Litres per kilogram of what need not move freely; less than this crowds what must (common practice for pots).
pub(crate) const USUAL: f64 = 20.0;

/// Why a way stopped.
pub(crate) enum Stop {
    /// No vessel at this ratio.
    Vessel(String),
    Other(String),
}

impl<E: std::error::Error> From<E> for Stop {
    fn from(e: E) -> Self {
        Self::Other(e.to_string())
    }
}

fn at_ratio<'a>(
    tries: &Try<'a>,
    offer: &Offer,
    class: DyeClass,
    ratio: LiquorRatio,
) -> Result<Way<'a>, Stop> {
    let asked = Asked::try_of(tries, offer, class, ratio)?;
    let mut passed_over: Option<(f64, String)> = None;
    // Where this kitchen cannot measure the traces of the best recipes, recipes of fewer dyes are asked
    // for: two, then one.
    for most_dyes in [MOST_DYES, 2, 1] {
        let question = Question { most_dyes, ..asked.question() };
        let answer = propose(&question, tries.request.threads)?;
        if answer.choices.is_empty() {
            let says = "the undyed cloth is as near as any dye can bring it";
            let why = passed_over.map_or_else(|| says.to_owned(), |(_, why)| why);
            return Err(Stop::Other(why));
        }
        for chosen in 0..answer.choices.len() {
            let doses = &answer.choices[chosen].doses;
            match made(tries.request, tries.piece, &[], offer, &asked, doses) {
                Ok(made) => {
                    let passed_over = passed_over.take();
                    return Ok(Way {
                        offer: offer.clone(),
                        class,
                        answer,
                        chosen,
                        for_set: false,
                        asked,
                        ratio_lowered: false,
                        passed_over,
                        tried: vec![],
                        made,
                        goes_by: None,
                    });
                }
                Err(Stop::Vessel(says)) => return Err(Stop::Vessel(says)),
                Err(Stop::Other(says)) => {
                    passed_over.get_or_insert((answer.choices[chosen].difference(), says));
                }
            }
        }
    }
    let why = passed_over.map(|(_, says)| says);
    Err(Stop::Other(why.unwrap_or_else(|| "no recipe could be dosed".to_owned())))
}
