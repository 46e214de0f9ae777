//! The question one way of dyeing puts to the recipe room: the cloth made ready for the class, and the
//! dyes of the shelf that go into its bath.

use colour::Light;
use costume::{Piece, ShelfDye};
use dosing::{Form, Kit, StockRules};
use dyeing::{Dye, Experience, HOME, Knowledge, Setting, Substrate};
use lore::{DyeClass, Makeup, Offer, Procedure};
use recipe::{Aimed, Candidate, Question, Target};
use units::{LiquorRatio, Mass, OnFibre, Share, StockStrength};

use crate::Request;
use crate::taught::{Lesson, Taught, fibre_of};
use crate::way::{Stop, Try};

/// Everything a question is made of, owned or borrowed from the request.
#[derive(Debug, Clone)]
pub(crate) struct Asked<'a> {
    /// The cloth that is brought to the colour.
    pub(crate) on: Substrate,
    /// The whole cloth; unlike `on` where part of it stays undyed.
    pub(crate) whole: Substrate,
    /// Whether part of the cloth stays undyed and the recipe is for the other part.
    pub(crate) heather: bool,
    /// Whether the bath is one of the two of a blend.
    pub(crate) one_of_two: bool,
    pub(crate) ratio: LiquorRatio,
    pub(crate) target: Target,
    pub(crate) lights: &'a [Light],
    /// Shelf places of the candidates.
    pub(crate) dyes: Vec<usize>,
    /// What its dyes are known on, as swatches count ([`fibre_of`]).
    pub(crate) fibre: Option<String>,
    candidates: Vec<Candidate<'a>>,
    goods: Mass,
    kit: &'a Kit,
    tolerance: f64,
    most_total: Option<OnFibre>,
}

impl<'a> Asked<'a> {
    pub(crate) fn try_of(
        tries: &Try<'a>,
        offer: &Offer,
        class: DyeClass,
        ratio: LiquorRatio,
    ) -> Result<Self, Stop> {
        let (request, piece) = (tries.request, tries.piece);
        let takes = |m: &str| {
            let known = request.lore.material(m).ok();
            known.is_some_and(|m| {
                let finding = request.lore.verdict_for(m, offer.procedure, class);
                finding.is_ok_and(|f| f.verdict.dyes())
            })
        };
        let whole = Substrate::try_for(tries.ground, class, ratio, &takes)?;
        // Where part of the cloth stays undyed the dyed part is brought to the colour: chasing the mean
        // of both would dye it garish, and the eye sees the heather all the same.
        let heather = whole.takers() < WHOLE;
        let on = if heather { whole.dyed_part() } else { whole.clone() };
        let mut dyes: Vec<usize> = (0..request.shelf.dyes.len())
            .filter(|&i| together(&request.shelf.dyes[i], offer, class))
            .collect();
        // A pack that tells fibres apart is one dye on each: the one for the fibre most of the dyed cloth is.
        let main = main_fibre(request, piece, &takes);
        let only = |i: &usize| request.shelf.dyes[*i].only_on.as_deref();
        let before = dyes.len();
        dyes.retain(|i| only(i).is_none_or(|fibre| dyes_alike(request, fibre, main.as_deref())));
        if dyes.is_empty() && before > 0 {
            let says = format!(
                "the packs on the shelf claim no colour for {}",
                main.as_deref().unwrap_or("this cloth")
            );
            return Err(Stop::Other(says));
        }
        one_for_each_pack(request, &mut dyes, main.as_deref());
        // Powder is kept from somebody near: a recipe of the liquids, where there are any; the bath
        // refuses the others in words.
        let liquid = |i: &usize| request.shelf.dyes[*i].dye.form != Form::Powder;
        if offer.liquid_only && dyes.iter().any(liquid) {
            dyes.retain(liquid);
        }
        let fibre = main.map(|main| fibre_of(request.lore, &main));
        let believed = believed(request, piece, fibre.as_deref());
        let candidates = dyes
            .iter()
            .filter_map(|&i| {
                let shelf = &request.shelf.dyes[i];
                let dye = believed.and_then(|dyes| dyes.get(i)).unwrap_or(&shelf.dye);
                Some(Candidate { dye, price: shelf.price, rules: stock_rules(shelf)? })
            })
            .collect();
        let most_total = most_total(request, piece, offer.procedure, &on);
        Ok(Self {
            on,
            whole,
            heather,
            one_of_two: tries.one_of_two,
            ratio,
            target: tries.target,
            lights: tries.lights,
            dyes,
            fibre,
            candidates,
            goods: piece.goods.dry,
            kit: &request.costume.kitchen.kit,
            tolerance: piece.viewing.limit(),
            most_total,
        })
    }

    /// A candidate as it is believed here, by its id.
    pub(crate) fn dye_called(&self, id: &str) -> Option<&'a Dye> {
        self.candidates.iter().map(|c| c.dye).find(|dye| dye.id == id)
    }

    /// A candidate as it is believed here, by its place in the question.
    pub(crate) fn dye(&self, place: usize) -> &'a Dye {
        self.candidates[place].dye
    }

    /// What is asked of everything that swatches taught, in the job of one of them.
    pub(crate) fn aimed<'t>(&'t self, taught: &'t Taught, lesson: &'t Lesson) -> Aimed<'t> {
        let experience = taught.experience_on(&lesson.fibre);
        self.aimed_in(experience, (&lesson.fibre, lesson.job), lesson.doses.len())
    }

    /// The same on a fibre and in a job, with so many dyes at least.
    pub(crate) fn aimed_in<'t>(
        &'t self,
        experience: &'t Experience,
        (fibre, job): (&'t str, u64),
        dyes: usize,
    ) -> Aimed<'t> {
        Aimed {
            experience,
            setting: Setting { on: &self.on, fibre, job },
            dyes: &self.dyes,
            target: self.target,
            lights: self.lights,
            most_dyes: dyes.clamp(3, MOST_DYES),
            most_total: self.most_total,
            dosing: STOCKS,
            scatter: HOME,
            tolerance: self.tolerance,
        }
    }

    /// A recipe by the places of the stock, in this question's own; none where one of its dyes is not asked for.
    pub(crate) fn places(&self, doses: &[(usize, OnFibre)]) -> Option<Vec<(usize, OnFibre)>> {
        let place = |&(stock, dose): &(usize, OnFibre)| {
            Some((self.dyes.iter().position(|dye| *dye == stock)?, dose))
        };
        doses.iter().map(place).collect()
    }

    /// A recipe of this question by the places of the stock.
    pub(crate) fn in_stock(&self, doses: &[(usize, OnFibre)]) -> Vec<(usize, OnFibre)> {
        doses.iter().map(|&(place, dose)| (self.dyes[place], dose)).collect()
    }

    /// Candidates that are known: those of a recipe, and those that a swatch of this fibre told of; all of them where
    /// that leaves too few to bring a colour anywhere.
    pub(crate) fn known(&self, recipe: &[(usize, OnFibre)]) -> Vec<usize> {
        let own = |place: &usize| {
            recipe.iter().any(|dose| dose.0 == *place)
                || self.dye(*place).knowledge >= Knowledge::Swatches
        };
        let known: Vec<usize> = (0..self.candidates.len()).filter(own).collect();
        if known.len() < 3 { (0..self.candidates.len()).collect() } else { known }
    }

    /// These of the candidates.
    pub(crate) fn candidates(&self, places: &[usize]) -> Vec<Candidate<'a>> {
        places.iter().map(|place| self.candidates[*place].clone()).collect()
    }

    /// The question.
    pub(crate) fn question(&self) -> Question<'_> {
        Question {
            on: &self.on,
            dyes: &self.candidates,
            target: self.target,
            lights: self.lights,
            goods: self.goods,
            kit: self.kit,
            tolerance: self.tolerance,
            most_dyes: MOST_DYES,
            most_total: self.most_total,
            scatter: HOME,
        }
    }
}

/// The dyes of the shelf as swatches taught them, on this fibre and in the job the piece goes on in; none
/// where nothing was learnt.
fn believed<'a>(request: &Request<'a>, piece: &Piece, fibre: Option<&str>) -> Option<&'a [Dye]> {
    let taught = request.taught?;
    taught.believed(fibre?, taught.job_of(&request.costume.name, &piece.id))
}

/// Whether a dye of the shelf goes into this bath. Classes of one bath (milling and premetallised) go
/// together.
fn together(dye: &ShelfDye, offer: &Offer, class: DyeClass) -> bool {
    match offer.procedure {
        Procedure::AcidMilling => offer.classes.iter().any(|c| c.class == dye.dye.class),
        _ => dye.dye.class == class,
    }
}

/// The fibre that most of the dyed part of the cloth is.
fn main_fibre(request: &Request, piece: &Piece, takes: &dyn Fn(&str) -> bool) -> Option<String> {
    let dyed = fibres(request.lore, &piece.goods.makeup).into_iter().filter(|(m, _)| takes(m));
    let most = dyed.reduce(|a, b| if b.1.to_fraction() > a.1.to_fraction() { b } else { a })?;
    Some(most.0)
}

/// Whether a colour claimed for one fibre holds for another: the same, or one the trade dyes as it is dyed.
fn dyes_alike(request: &Request, claimed: &str, main: Option<&str>) -> bool {
    let row = |m: &str| request.lore.material(m).map(|m| m.dyes_as.clone());
    main.is_some_and(|main| {
        claimed == main || matches!((row(claimed), row(main)), (Ok(a), Ok(b)) if a == b)
    })
}

/// Of a pack's claims for fibres that dye alike the one for this very fibre, else the first: a bath has
/// each pack once.
fn one_for_each_pack(request: &Request, dyes: &mut Vec<usize>, main: Option<&str>) {
    let all = &request.shelf.dyes;
    let better = |i: usize, than: usize| {
        let exact = |i: usize| all[i].only_on.as_deref() == main;
        all[i].dye.id == all[than].dye.id
            && (exact(i), std::cmp::Reverse(i)) > (exact(than), std::cmp::Reverse(than))
    };
    let here = dyes.clone();
    dyes.retain(|&one| !here.iter().any(|&other| other != one && better(other, one)));
}

/// From this share of takers on the cloth counts as dyed all over (as in the trade's own verdicts).
const WHOLE: f64 = 0.9;

/// The most dye the bath is good for: what the trade says for the fibre that leads, on the part of the
/// cloth that takes it.
fn most_total(
    request: &Request,
    piece: &Piece,
    procedure: Procedure,
    on: &Substrate,
) -> Option<OnFibre> {
    let owned = fibres(request.lore, &piece.goods.makeup);
    let takes = |m: &str| {
        request.lore.material(m).is_ok_and(|m| request.lore.verdict(m, procedure).verdict.dyes())
    };
    let mut goods: Vec<&str> = owned.iter().map(|(m, _)| m.as_str()).collect();
    goods.sort_by_key(|m| !takes(m));
    let most = request.lore.deepest(procedure, &goods)?;
    OnFibre::try_percent(most.to_percent() * on.takers()).ok()
}

/// Relative scatter of a dose by syringe from a stock solution (`dosing`'s own figure for a middling fill).
pub(crate) const STOCKS: f64 = 0.03;

/// Two or three dyes by default; a fourth only where the score says that it buys something.
pub(crate) const MOST_DYES: usize = 4;

/// How strong a stock of a class may be and how long it keeps: reactive and acid 5 %, direct 2 %,
/// a dispersion 1 % and shaken; reactive a week in the cool (from memory, trade practice).
pub(crate) fn stock_rules(shelf: &ShelfDye) -> Option<StockRules> {
    let (strongest, keeps) = match shelf.dye.class {
        DyeClass::ReactiveDct | DyeClass::ReactiveMct | DyeClass::ReactiveVs => (5.0, 7),
        DyeClass::AcidLevelling | DyeClass::AcidMilling | DyeClass::Premetallised => (5.0, 60),
        DyeClass::Disperse => (1.0, 1),
        _ => (2.0, 30),
    };
    let rules = StockRules::new(StockStrength::try_percent(strongest).ok()?, keeps);
    if let Some(pack) = &shelf.pack {
        // Dye with salt, or several dyes: no part of it weighed out is like the whole.
        return Some(rules.with_pack(pack.holds).dissolved_whole());
    }
    Some(match shelf.left {
        Some(left) if left.to_grams() > 0.0 => rules.with_pack(left),
        _ => rules,
    })
}

/// The fibres of a makeup as the dyeing room names them; all that count for an unknown fibre, alike.
pub(crate) fn fibres(lore: &lore::Lore, makeup: &Makeup) -> Vec<(String, Share)> {
    match makeup {
        Makeup::Known(portions) => portions.iter().map(|p| (p.material.clone(), p.share)).collect(),
        Makeup::Unknown(_) => lore
            .materials_of(makeup)
            .first()
            .map(|m| vec![(m.id.clone(), Share::WHOLE)])
            .unwrap_or_default(),
    }
}
