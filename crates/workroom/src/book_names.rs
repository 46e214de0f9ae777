//! What a file of swatches names, as the workbook has it by name: dyes and their lots, costumes and their pieces,
//! swatches by code; and what it has not yet, recorded.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use costume::{AmountNoted, DoseNoted, DosedNoted};
use units::Mass;
use workbook::{
    Amount, Book, Costume, Dose, Dosed, Id, Lot, Piece, Refusal, ShelfDye, Stamp, Swatch, Writing,
};

/// What the workbook has by name.
#[derive(Default)]
pub(crate) struct Named {
    dyes: BTreeMap<String, Id<ShelfDye>>,
    lots: BTreeMap<(String, String), Id<Lot>>,
    costumes: BTreeMap<String, Id<Costume>>,
    pieces: BTreeMap<(String, String), Id<Piece>>,
    pub(crate) swatches: BTreeMap<String, Id<Swatch>>,
    /// Dyes that were new.
    pub(crate) new_dyes: usize,
    /// Lots that were new.
    pub(crate) new_lots: usize,
}

impl Named {
    /// Looks the dyes and lots of doses up.
    pub(crate) fn look_up_doses(
        &mut self,
        book: &Book,
        doses: &[DoseNoted],
    ) -> Result<(), Refusal> {
        for dose in doses {
            let DosedNoted::Dye { id, lot, .. } = &dose.of else { continue };
            let Some(dye) = book.dye_named(id)? else { continue };
            self.dyes.insert(id.clone(), dye);
            if let Some(lot) = lot
                && let Some(found) = book.lot_marked(dye, lot)?
            {
                self.lots.insert((id.clone(), lot.clone()), found);
            }
        }
        Ok(())
    }

    /// Looks a piece up.
    pub(crate) fn look_up_piece(
        &mut self,
        book: &Book,
        of: &str,
        piece: &str,
    ) -> Result<(), Refusal> {
        if let Some(costume) = book.costume_named(of)? {
            self.costumes.insert(of.to_owned(), costume);
            if let Some(found) = book.piece_named(costume, piece)? {
                self.pieces.insert((of.to_owned(), piece.to_owned()), found);
            }
        }
        Ok(())
    }

    /// Looks a swatch up.
    pub(crate) fn look_up_swatch(&mut self, book: &Book, code: &str) -> Result<(), Refusal> {
        if let Some(swatch) = book.swatch_coded(code)? {
            self.swatches.insert(code.to_owned(), swatch);
        }
        Ok(())
    }

    /// Records the dyes and lots of doses that are not there yet.
    pub(crate) fn record_doses(
        &mut self,
        w: &Writing<'_>,
        stamp: &Stamp,
        doses: &[DoseNoted],
    ) -> Result<(), Refusal> {
        for dose in doses {
            let DosedNoted::Dye { id, class, lot } = &dose.of else { continue };
            let dye = match self.dyes.get(id) {
                Some(dye) => *dye,
                None => {
                    let class = class.id().to_owned();
                    let it = ShelfDye { name: id.clone(), class, generic_name: None, note: None };
                    self.new_dyes += 1;
                    let dye = w.record_dye(stamp, &it)?;
                    self.dyes.insert(id.clone(), dye);
                    dye
                }
            };
            if let Some(mark) = lot {
                let key = (id.clone(), mark.clone());
                if let Entry::Vacant(place) = self.lots.entry(key) {
                    let mark = mark.clone();
                    let it = Lot { dye, mark, opened: None, bought: None, note: None };
                    self.new_lots += 1;
                    place.insert(w.record_lot(stamp, &it)?);
                }
            }
        }
        Ok(())
    }

    /// Records a piece, and its costume, where they are not there yet.
    pub(crate) fn record_piece(
        &mut self,
        w: &Writing<'_>,
        stamp: &Stamp,
        (of, name): (&str, &str),
        (goods, dry): (&str, Option<Mass>),
    ) -> Result<(), Refusal> {
        let costume = match self.costumes.get(of) {
            Some(costume) => *costume,
            None => {
                let it = Costume { name: of.to_owned(), note: None };
                let costume = w.record_costume(stamp, &it)?;
                self.costumes.insert(of.to_owned(), costume);
                costume
            }
        };
        let key = (of.to_owned(), name.to_owned());
        if let Entry::Vacant(place) = self.pieces.entry(key) {
            let (name, goods) = (name.to_owned(), goods.to_owned());
            let it = Piece { costume, name, goods, dry, note: None };
            place.insert(w.record_piece(stamp, &it)?);
        }
        Ok(())
    }

    /// A piece that is there.
    pub(crate) fn piece(&self, of: &str, piece: &str) -> Option<Id<Piece>> {
        self.pieces.get(&(of.to_owned(), piece.to_owned())).copied()
    }

    /// Doses as the workbook has them; nothing where they name what is not there.
    pub(crate) fn doses(&self, noted: &[DoseNoted]) -> Option<Vec<Dose>> {
        let one = |dose: &DoseNoted| {
            Some(Dose {
                of: match &dose.of {
                    DosedNoted::Auxiliary(id) => Dosed::Auxiliary(id.clone()),
                    DosedNoted::Dye { id, lot, .. } => {
                        let lot = match lot {
                            None => None,
                            Some(mark) => Some(*self.lots.get(&(id.clone(), mark.clone()))?),
                        };
                        Dosed::Dye { dye: *self.dyes.get(id)?, lot }
                    }
                },
                amount: match dose.amount {
                    AmountNoted::OnFibre(share) => Amount::OnFibre(share),
                    AmountNoted::Weighed(mass) => Amount::Weighed(mass),
                    AmountNoted::Poured(volume) => Amount::Poured(volume),
                    AmountNoted::PerLitre(strength) => Amount::PerLitre(strength),
                },
                scatter: dose.scatter,
                measured: dose.measured.clone(),
            })
        };
        noted.iter().map(one).collect()
    }
}
