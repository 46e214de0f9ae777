//! Room `workroom`: one function per thing a maker can do, for whichever door asks.
//!
//! The only room that opens files: costume, shelf and reading files in; plans and shelves out, each
//! written whole beside its final place and then moved there, so that nothing half written is ever
//! left. Answers are documents with every number already rounded to what is printed. Never here: HTML
//! by hand, standard output, rules of the trade.

mod amount_typed;
mod as_noted;
mod asked;
mod bath_clock;
mod bath_now;
mod baths_recorded;
mod begun;
mod blend_taught;
mod book_again;
mod book_asked;
mod book_gaps;
mod book_kept;
mod book_names;
mod book_noted;
mod book_record;
mod book_repair;
mod book_seen;
mod book_sought;
mod books;
mod card_laid;
mod card_printed;
mod card_read;
mod cloth_told;
mod cloths;
mod coloured;
mod coloured_kept;
mod coloured_picked;
mod coloured_reach;
mod compared;
mod corrected;
mod costume_edited;
mod costume_kept;
mod costumes_found;
mod day_late;
mod disk;
mod dye_ladder;
mod dyed_noted;
mod dyed_typed;
mod example_begun;
mod files_near;
mod finished;
mod hand_out;
mod identified;
mod known_here;
mod lesson_read;
mod lessons;
mod old_noted;
mod on_record;
mod opened;
mod own_values;
mod photo_asked;
mod photo_beside;
mod photo_differ;
mod photo_dyes;
mod photo_known;
mod photo_read;
mod photo_swatches;
mod photo_tray;
mod picks_seen;
mod pictures_beside;
mod piece_written;
mod places;
mod plan_changed;
mod planned;
mod predicted;
mod proposed;
mod record_named;
mod record_printed;
mod remembered;
mod shelf_added;
mod shelf_advice;
mod shelf_edited;
mod shelf_written;
mod shelves;
mod shown;
mod swatch_doubts;
mod swatch_typed;
mod swatches_planned;
mod swatches_recorded;
mod trouble;
mod went_wrong;

pub use amount_typed::amount_of;
pub use bath_clock::{BathClock, BathMark, SaidLate, bath_clock, bath_clocks, mark_bath};
pub use bath_now::{BathNow, StepLater, StepNow, Waiting, bath_now, may_move, waiting};
pub use begun::begin_costume;
pub use blend_taught::teaches_nothing;
pub use book_again::RecipeFrom;
pub use book_asked::{
    EventSeen, Found, HistorySeen, NearSeen, SwatchesSeen, find_colour, history, list_swatches,
    swatch_of_card,
};
pub use book_kept::{
    BookChecked, BookPacked, BookUndone, BookUnpacked, check_book, pack_book, undo_entry,
    unpack_book,
};
pub use book_noted::{EntryMade, NoteWanted, Noted, note_of_piece};
pub use book_record::{PieceSeen, record_of_piece};
pub use book_repair::{RepairBegun, RepairWanted, begin_repair};
pub use book_seen::{BathSeen, DosedSeen, ReadSeen, SwatchSeen};
pub use book_sought::{
    SWATCHES_A_PAGE, SwatchNear, SwatchesFound, SwatchesSought, seek_swatches, swatches_by_dye,
};
pub use books::{Recording, WORKBOOK};
pub use card_laid::{CardDrawing, CardLaid, card_drawing, card_shown, keep_card, read_card_laid};
pub use card_printed::{CardDrawn, CardWanted, draw_card};
pub use card_read::{CardRead, CardReadWanted, PatchRead, read_card};
pub use cloths::{ShelfFound, auxiliaries_known, cloths_known, shelves_in, starters_known};
pub use coloured::{
    Anchored, Coloured, ColoursWanted, FlatSeen, OtherPicture, PairSeen, ShadeSeen, colours_of,
};
pub use coloured_kept::{ColoursKept, KeepWanted, PieceKept, colours_sheet, keep_colours};
pub use coloured_picked::{
    PickFor, PickKept, PickPlace, PickWanted, Picked, choose_picture, keep_picked, pick_colour,
    suggest_colours,
};
pub use compared::{
    Compared, DifferenceSeen, MetamerismSeen, PlaceSeen, ReadingSeen, compare_readings,
};
pub use corrected::{CorrectWanted, Corrected, correct_piece};
pub use costume::{Fault, Faults};
pub use costume_edited::{Change, PieceField, change_costume, costume_mark};
pub use costume_kept::{LastChange, last_change, take_back_change};
pub use costumes_found::{CostumeFound, costumes_in};
pub use day_late::{DayLate, LateBath, Moved, day_late};
pub use dye_ladder::{DyeLadder, LadderOn, RungSeen, ladder_of_dye};
pub use dyed_noted::{DyedWanted, note_dyed};
pub use dyed_typed::{
    DyedTyped, ReadingTyped, record_dyed_reading, record_dyed_typed, taking_dye, time_and_heat,
};
pub use example_begun::begin_example;
pub use finished::{finished_page, record_of_planned};
pub use identified::{FibreLikely, Identified, TestNext, identify_fibre};
pub use old_noted::{OldDose, OldSwatch, record_old};
pub use opened::look_for_faults;
pub use own_values::{ValuesFound, take_in_values, values_in};
pub use paper::{NotAStamp, Stamp};
pub use photo_beside::{PhotoBeside, chart_in, read_laid};
pub use photo_differ::{ApartRead, DifferenceRead};
pub use photo_known::whites_known;
pub use photo_read::{
    CardUsed, ChartSeen, ClothRead, ColourRead, DyedRead, PhotoRead, ReadWanted, WeakSeen,
    read_photo,
};
pub use photo_tray::{PhotoLaid, PhotoTray, keep_photo};
pub use picks_seen::{PickSeen, picks_of};
pub use pictures_beside::{
    LARGEST_UPLOAD, PictureFound, PictureShown, hide_picture, lay_picture, picture_numbered,
    pictures_of, show_picture, too_large,
};
pub use piece_written::{
    HeadAsWritten, PieceAsWritten, costume_text, head_as_written, piece_as_written,
    pieces_as_written,
};
pub use plan::Progress;
pub use plan::document;
pub use plan::document::{Outcome, Plan};
pub use plan_changed::said_change;
pub use planned::{PlanWanted, Planned, WRITING, plan_costume};
pub use predicted::{
    ClothSeen, DoseSeen, FibreSeen, LightSeen, PredictWanted, Predicted, SpreadSeen, predict_recipe,
};
pub use proposed::{ProposeWanted, Proposed, propose_one};
pub use record_named::Names;
pub use record_printed::print_record;
pub use shelf_added::{Added, Addition, add_to_shelf};
pub use shelf_edited::{ShelfChange, ShelfField, ShelfKind, change_shelf, take_back_shelf_change};
pub use shelf_written::{OnShelf, shelf_as_written};
pub use shelves::{DyeSeen, LookSeen, OtherSeen, PackSeen, ShelfSeen, check_shelf, list_shelf};
pub use swatch_typed::{SwatchTyped, record_typed};
pub use swatches_planned::{SwatchPlanWanted, SwatchesPlanned, plan_swatches};
pub use swatches_recorded::{SwatchesRecorded, SwatchesWanted, record_swatches};
pub use trouble::Trouble;
pub use went_wrong::{WentWrong, means_for_the_plan, went_wrong, went_wrong_at};
