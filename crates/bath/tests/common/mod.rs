//! What the tests of this room share: orders of every kind, and the JSON of docs/json.md made from a
//! sheet, so that the rules auditor can read it. Dyes and kitchens are invented.
#![allow(dead_code, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "figures written in tests are quantities")]

use bath::{
    Brought, Comes, DyeWanted, Kind, Kitchen, Lining, Machine, Near, Order, Refusal, Sheet,
    VesselAtHand, sheet,
};
use dosing::{Form, Kit, Scale, StockRules, Syringe};
use lore::{DyeClass, GoodsForm, Lore, Makeup, Method, Per, Procedure};
use serde_json::{Value, json};
use units::{LiquorRatio, Mass, OnFibre, PerLitre, Share, StockStrength, Volume};

pub(crate) const NOBODY: Near =
    Near { asthma: false, pregnancy: false, children: false, pets: false };

pub(crate) fn grams(g: f64) -> Mass {
    Mass::try_grams(g).unwrap()
}

pub(crate) fn litres(l: f64) -> Volume {
    Volume::try_litres(l).unwrap()
}

/// Syringes and a jug, and a scale of this step (0: none).
pub(crate) fn kit(step_g: f64) -> Kit {
    let syringe = |ml: f64, mark: f64| {
        let volume = |ml| Volume::try_millilitres(ml).unwrap();
        Syringe::try_new(volume(ml), volume(mark)).unwrap()
    };
    let measures =
        vec![syringe(1.0, 0.01), syringe(10.0, 0.2), syringe(50.0, 1.0), syringe(500.0, 10.0)];
    let scale = (step_g > 0.0).then(|| Scale::try_step(grams(step_g)).unwrap());
    Kit::try_new(scale, measures).unwrap()
}

pub(crate) fn makeup(lore: &Lore, fibres: &[(&str, f64)]) -> Makeup {
    let shares: Vec<(&str, Share)> =
        fibres.iter().map(|(id, share)| (*id, Share::try_fraction(*share).unwrap())).collect();
    lore.try_makeup(&shares).unwrap()
}

/// An order in plain words.
#[derive(Clone)]
pub(crate) struct Plain<'a> {
    pub(crate) lore: &'a Lore,
    pub(crate) makeup: Makeup,
    pub(crate) parts: Vec<&'a str>,
    pub(crate) procedure: Procedure,
    pub(crate) dyes: Vec<(&'a str, DyeClass, f64)>,
    pub(crate) form: Form,
    pub(crate) goods_g: f64,
    pub(crate) ratio: f64,
    pub(crate) scale_g: f64,
    pub(crate) hardness: Option<f64>,
    pub(crate) near: Near,
    pub(crate) vessels: Vec<VesselAtHand<'a>>,
    pub(crate) goods_as: GoodsForm,
    pub(crate) parts_weigh: Vec<(&'a str, Mass)>,
    pub(crate) lining: Option<(Makeup, f64)>,
    pub(crate) spare_g: f64,
    pub(crate) shrinkage_allowed: bool,
    pub(crate) swatch_g: Option<f64>,
    pub(crate) alkalinity: Option<f64>,
    pub(crate) lifts_kg: Option<f64>,
    pub(crate) methods: Vec<Method>,
    pub(crate) machine: Option<Machine>,
    pub(crate) burner: bool,
    pub(crate) one_of_two: bool,
    pub(crate) contains: Vec<Brought<'a>>,
}

impl<'a> Plain<'a> {
    /// 400 g of one material, one dye of the procedure's first class.
    pub(crate) fn of(
        lore: &'a Lore,
        fibres: &[(&str, f64)],
        procedure: Procedure,
        owf: f64,
    ) -> Self {
        let class = procedure.classes()[0];
        Self {
            lore,
            makeup: makeup(lore, fibres),
            parts: Vec::new(),
            procedure,
            dyes: vec![("rust", class, owf * 0.7), ("slate", class, owf * 0.3)],
            form: Form::Powder,
            goods_g: 400.0,
            ratio: 20.0,
            scale_g: 0.1,
            hardness: None,
            near: NOBODY,
            vessels: vec![
                VesselAtHand::of("big pot", litres(20.0), "stainless"),
                VesselAtHand::of("tub", litres(15.0), "plastic"),
            ],
            goods_as: GoodsForm::Roll,
            parts_weigh: Vec::new(),
            lining: None,
            spare_g: 0.0,
            shrinkage_allowed: false,
            swatch_g: None,
            alkalinity: None,
            lifts_kg: None,
            methods: vec![Method::Pot, Method::Tub],
            machine: None,
            burner: true,
            one_of_two: false,
            contains: Vec::new(),
        }
    }

    pub(crate) fn sheet(&self, kind: Kind) -> Result<Sheet, Refusal> {
        self.with_order(kind, sheet)
    }

    /// Hands over the order this is.
    pub(crate) fn with_order<T>(&self, kind: Kind, see: impl FnOnce(&Order<'_>) -> T) -> T {
        let rules = StockRules::new(StockStrength::try_percent(2.0).unwrap(), 7);
        let dyes: Vec<DyeWanted<'_>> = self
            .dyes
            .iter()
            .map(|(id, class, owf)| DyeWanted {
                id,
                name: id,
                class: *class,
                ci: None,
                form: self.form,
                owf: OnFibre::try_percent(*owf).unwrap(),
                stock: rules,
                phthalocyanine: *id == "turquoise",
                contains: self.contains.clone(),
                may_split: !self.contains.is_empty(),
                price: units::PricePerGram::try_per_gram(0.41).ok(),
            })
            .collect();
        let kit = kit(self.scale_g);
        let per_litre = |mg: f64| PerLitre::try_grams_per_litre(mg / 1000.0).unwrap();
        see(&Order {
            lore: self.lore,
            kind,
            makeup: &self.makeup,
            made_up: None,
            parts: &self.parts,
            procedure: self.procedure,
            dyes: &dyes,
            goods: grams(self.goods_g),
            comes: Comes {
                form: self.goods_as,
                parts_weigh: &self.parts_weigh,
                lining: self.lining.as_ref().map(|(makeup, g)| Lining { makeup, dry: grams(*g) }),
                spare: Some(self.spare_g).filter(|g| *g > 0.0).map(grams),
                swatch_weighs: self.swatch_g.map(grams),
                shrinkage_allowed: self.shrinkage_allowed,
                one_of_two: self.one_of_two,
            },
            ratio: LiquorRatio::try_litres_per_kilogram(self.ratio).unwrap(),
            kitchen: Kitchen {
                kit: &kit,
                vessels: &self.vessels,
                hardness: self.hardness.map(per_litre),
                vinegar: Share::try_percent(5.0).unwrap(),
                alkalinity: self.alkalinity.map(per_litre),
                lifts: self.lifts_kg.map(|kg| grams(kg * 1000.0)),
                methods: &self.methods,
                machine: self.machine,
                burner: self.burner,
            },
            near: self.near,
        })
    }

    /// The sheet's broken rules; empty is good.
    pub(crate) fn audit(&self, sheet: &Sheet) -> Vec<auditor::Broken> {
        let near = self.near;
        let people = json!({"asthma": near.asthma, "pregnancy": near.pregnancy, "children": near.children, "pets": near.pets});
        auditor::audit_sheet("piece", &json_of(sheet, &self.makeup), &people, &[])
    }
}

pub(crate) fn goods_json(sheet: &Sheet, makeup: &Makeup) -> Value {
    match makeup {
        Makeup::Known(portions) => {
            let fibres: Vec<Value> = portions
                .iter()
                .map(|p| json!({"fibre": p.material, "share": p.share.to_fraction()}))
                .collect();
            json!({"words": "cloth", "known": true, "fibres": fibres, "parts": sheet.parts, "dry_g": sheet.dry.to_grams()})
        }
        Makeup::Unknown(odds) => {
            let possible: Vec<Value> = odds
                .counted()
                .map(|row| json!({"fibre": row.materials[0], "odds": row.odds}))
                .collect();
            json!({"words": "cloth", "known": false, "possible": possible, "parts": sheet.parts, "dry_g": sheet.dry.to_grams()})
        }
    }
}

/// The JSON of docs/json.md, as `plan` writes it.
pub(crate) fn json_of(sheet: &Sheet, makeup: &Makeup) -> Value {
    let steps: Vec<Value> = sheet
        .steps
        .iter()
        .map(|step| {
            let adds: Vec<Value> = step
                .adds
                .iter()
                .map(|add| {
                    json!({"id": add.id, "group": add.group.id(), "grams": add.grams.value(),
                           "portion": add.portion.to_fraction(), "dissolved": add.dissolved})
                })
                .collect();
            let mut it = json!({
                "n": step.n, "at_min": step.at.to_minutes(), "do": step.kind.id(), "text": step.text,
                "from_c": step.from.to_degrees(), "to_c": step.to.to_degrees(),
                "minutes": step.minutes.to_minutes(), "adds": adds, "agitation": step.agitation.id(),
            });
            let mut put = |key: &str, value: Option<Value>| {
                if let Some(value) = value {
                    it[key] = value;
                }
            };
            put("rate_c_per_min", step.ramp.map(|r| json!(r.to_degrees_per_minute())));
            put("ph", step.ph.map(|ph| json!(ph.to_value())));
            put("stretch_min", step.stretch.map(|m| json!(m.to_minutes())));
            put("until", step.until.as_ref().map(|u| json!(u)));
            put("vessel", step.vessel.as_ref().map(|v| json!({"words": v.words, "material": v.material})));
            put("look_for", step.look_for.as_ref().map(|u| json!(u)));
            it
        })
        .collect();
    let dyes: Vec<Value> = sheet
        .dyes
        .iter()
        .map(|dye| {
            json!({"id": dye.id, "name": dye.name, "class": dye.class.id(), "owf_pct": dye.owf_pct.value(),
                   "form": dye.form, "how": dye.dose.how().word(), "grams": dye.grams.value()})
        })
        .collect();
    let auxiliaries: Vec<Value> = sheet
        .auxiliaries
        .iter()
        .map(|aux| {
            let mut it = json!({"id": aux.id, "name": aux.name, "grams": aux.grams.value()});
            match aux.per {
                Per::PerLitre(amount) => it["g_per_l"] = json!(amount.to_grams_per_litre()),
                Per::OnFibre(amount) => it["owf_pct"] = json!(amount.to_percent()),
            }
            it
        })
        .collect();
    let cautions: Vec<Value> =
        sheet.cautions.iter().map(|c| json!({"id": c.id, "text": c.text})).collect();
    let mut it = json!({
        "kind": sheet.kind.name(), "procedure": sheet.procedure.id(),
        "goods": goods_json(sheet, makeup),
        "dry_g": sheet.dry.to_grams(), "liquor_ratio": sheet.ratio.to_litres_per_kilogram(),
        "liquor_ml": sheet.liquor_ml.value(),
        "vessel": {"words": sheet.vessel.words, "material": sheet.vessel.material},
        "cautions": cautions, "dyes": dyes, "auxiliaries": auxiliaries, "steps": steps,
        "judge": {"text": sheet.judge, "lights": ["daylight", "hall lamps"]},
        "fastness_claimed": sheet.fastness_claimed,
    });
    if let Some(after) = sheet.no_top_up_after {
        it["no_top_up_after"] = json!(after);
    }
    if sheet.kind == Kind::Bulk {
        it["first_line"] = json!("provisional: dye the swatch first");
    }
    it
}
