-- Records of the workbook. Every record is one entry of the journal and bears its number. Nothing is
-- changed or deleted: an undoing is an entry of its own (table `undo`).

CREATE TABLE journal (
    entry INTEGER PRIMARY KEY,
    kind  TEXT NOT NULL,
    at    TEXT NOT NULL,
    who   TEXT NOT NULL
) STRICT;

CREATE TABLE undo (
    entry  INTEGER PRIMARY KEY REFERENCES journal (entry),
    about  INTEGER NOT NULL REFERENCES journal (entry),
    undone INTEGER NOT NULL CHECK (undone IN (0, 1))
) STRICT;
CREATE INDEX undo_about ON undo (about, entry);

CREATE TABLE costume (
    entry INTEGER PRIMARY KEY REFERENCES journal (entry),
    name  TEXT NOT NULL,
    note  TEXT
) STRICT;

CREATE TABLE piece (
    entry   INTEGER PRIMARY KEY REFERENCES journal (entry),
    costume INTEGER NOT NULL REFERENCES costume (entry),
    name    TEXT NOT NULL,
    goods   TEXT NOT NULL,
    dry_g   REAL CHECK (dry_g BETWEEN 0 AND 1e6),
    note    TEXT
) STRICT;
CREATE INDEX piece_costume ON piece (costume);

CREATE TABLE dye (
    entry        INTEGER PRIMARY KEY REFERENCES journal (entry),
    name         TEXT NOT NULL,
    class        TEXT NOT NULL,
    generic_name TEXT,
    note         TEXT
) STRICT;

CREATE TABLE lot (
    entry    INTEGER PRIMARY KEY REFERENCES journal (entry),
    dye      INTEGER NOT NULL REFERENCES dye (entry),
    mark     TEXT NOT NULL,
    opened   TEXT,
    bought_g REAL CHECK (bought_g BETWEEN 0 AND 1e6),
    note     TEXT
) STRICT;
CREATE INDEX lot_dye ON lot (dye);

-- The bytes of a photograph, once, under the SHA-256 of them.
CREATE TABLE content (
    hash  TEXT NOT NULL PRIMARY KEY CHECK (length(hash) = 64),
    bytes BLOB NOT NULL
) STRICT;

CREATE TABLE photograph (
    entry INTEGER PRIMARY KEY REFERENCES journal (entry),
    hash  TEXT NOT NULL REFERENCES content (hash),
    media TEXT NOT NULL,
    piece INTEGER REFERENCES piece (entry),
    note  TEXT
) STRICT;
CREATE INDEX photograph_piece ON photograph (piece);
CREATE INDEX photograph_hash ON photograph (hash);

CREATE TABLE swatch (
    entry     INTEGER PRIMARY KEY REFERENCES journal (entry),
    piece     INTEGER REFERENCES piece (entry),
    over      INTEGER REFERENCES swatch (entry),
    code      TEXT,
    day       TEXT,
    cloth     TEXT NOT NULL,
    fibre     TEXT NOT NULL,
    goods_g   REAL NOT NULL CHECK (goods_g > 0 AND goods_g <= 1e6),
    liquor    REAL CHECK (liquor BETWEEN 0.5 AND 1000),
    class     TEXT NOT NULL,
    procedure TEXT,
    hand      TEXT NOT NULL,
    whose     TEXT,
    note      TEXT
) STRICT;
CREATE INDEX swatch_piece ON swatch (piece);
CREATE INDEX swatch_over ON swatch (over);
CREATE INDEX swatch_code ON swatch (code);

CREATE TABLE bath (
    entry       INTEGER PRIMARY KEY REFERENCES journal (entry),
    purpose     TEXT NOT NULL,
    after       INTEGER REFERENCES bath (entry),
    from_swatch INTEGER REFERENCES swatch (entry),
    day         TEXT NOT NULL,
    liquor      REAL CHECK (liquor BETWEEN 0.5 AND 1000),
    class       TEXT NOT NULL,
    procedure   TEXT,
    sheet       TEXT,
    note        TEXT
) STRICT;
CREATE INDEX bath_after ON bath (after);
CREATE INDEX bath_from_swatch ON bath (from_swatch);

CREATE TABLE bath_piece (
    entry INTEGER NOT NULL REFERENCES bath (entry),
    place INTEGER NOT NULL,
    piece INTEGER NOT NULL REFERENCES piece (entry),
    dry_g REAL NOT NULL CHECK (dry_g > 0 AND dry_g <= 1e6),
    PRIMARY KEY (entry, place)
) STRICT;
CREATE INDEX bath_piece_piece ON bath_piece (piece);

-- What went into a swatch's or a bath's liquor, as really dosed.
CREATE TABLE dose (
    entry     INTEGER NOT NULL REFERENCES journal (entry),
    place     INTEGER NOT NULL,
    dye       INTEGER REFERENCES dye (entry),
    lot       INTEGER REFERENCES lot (entry),
    auxiliary TEXT,
    unit      TEXT NOT NULL,
    amount    REAL NOT NULL CHECK (amount BETWEEN 0 AND 1e6),
    scatter   REAL CHECK (scatter BETWEEN 0 AND 1),
    measured  TEXT,
    PRIMARY KEY (entry, place),
    CHECK ((dye IS NULL) <> (auxiliary IS NULL)),
    CHECK (lot IS NULL OR dye IS NOT NULL)
) STRICT;
CREATE INDEX dose_dye ON dose (dye);
CREATE INDEX dose_lot ON dose (lot);

-- A spectrum (start, step, factors), or a Lab under a light for an observer.
CREATE TABLE reading (
    entry      INTEGER PRIMARY KEY REFERENCES journal (entry),
    swatch     INTEGER REFERENCES swatch (entry),
    bath       INTEGER REFERENCES bath (entry),
    piece      INTEGER REFERENCES piece (entry),
    start_nm   REAL,
    step_nm    REAL,
    factors    TEXT,
    l          REAL CHECK (l BETWEEN -1000 AND 1000),
    a          REAL CHECK (a BETWEEN -1000 AND 1000),
    b          REAL CHECK (b BETWEEN -1000 AND 1000),
    light      TEXT,
    observer   TEXT,
    spread     TEXT NOT NULL,
    spread_of  TEXT,
    washed_off TEXT NOT NULL,
    dry        TEXT NOT NULL,
    cool       TEXT NOT NULL,
    ironed     TEXT NOT NULL,
    nap        TEXT NOT NULL,
    backing    TEXT NOT NULL,
    day        TEXT,
    job        TEXT,
    lamp       TEXT,
    means      TEXT NOT NULL,
    device     TEXT,
    photograph INTEGER REFERENCES photograph (entry),
    hand       TEXT NOT NULL,
    whose      TEXT,
    note       TEXT,
    CHECK ((swatch IS NOT NULL) + (bath IS NOT NULL) <= 1),
    CHECK ((bath IS NULL) OR (piece IS NOT NULL)),
    CHECK ((swatch IS NULL) <> (piece IS NULL)),
    CHECK ((factors IS NULL) <> (l IS NULL)),
    CHECK ((factors IS NULL) = (start_nm IS NULL) AND (factors IS NULL) = (step_nm IS NULL)),
    CHECK ((l IS NULL) = (a IS NULL) AND (l IS NULL) = (b IS NULL)),
    CHECK ((l IS NULL) = (light IS NULL) AND (l IS NULL) = (observer IS NULL))
) STRICT;
CREATE INDEX reading_swatch ON reading (swatch);
CREATE INDEX reading_bath ON reading (bath);
CREATE INDEX reading_piece ON reading (piece);
CREATE INDEX reading_photograph ON reading (photograph);

-- A colour to be reached: given (as a reading's value is), or that of a reading already here.
CREATE TABLE target (
    entry    INTEGER PRIMARY KEY REFERENCES journal (entry),
    piece    INTEGER NOT NULL REFERENCES piece (entry),
    reading  INTEGER REFERENCES reading (entry),
    start_nm REAL,
    step_nm  REAL,
    factors  TEXT,
    l        REAL CHECK (l BETWEEN -1000 AND 1000),
    a        REAL CHECK (a BETWEEN -1000 AND 1000),
    b        REAL CHECK (b BETWEEN -1000 AND 1000),
    light    TEXT,
    observer TEXT,
    note     TEXT,
    CHECK ((reading IS NOT NULL) + (factors IS NOT NULL) + (l IS NOT NULL) = 1),
    CHECK ((factors IS NULL) = (start_nm IS NULL) AND (factors IS NULL) = (step_nm IS NULL)),
    CHECK ((l IS NULL) = (a IS NULL) AND (l IS NULL) = (b IS NULL)),
    CHECK ((l IS NULL) = (light IS NULL) AND (l IS NULL) = (observer IS NULL))
) STRICT;
CREATE INDEX target_piece ON target (piece);
CREATE INDEX target_reading ON target (reading);

CREATE TABLE verdict (
    entry   INTEGER PRIMARY KEY REFERENCES journal (entry),
    piece   INTEGER NOT NULL REFERENCES piece (entry),
    swatch  INTEGER REFERENCES swatch (entry),
    bath    INTEGER REFERENCES bath (entry),
    reading INTEGER REFERENCES reading (entry),
    call    TEXT NOT NULL,
    day     TEXT NOT NULL,
    note    TEXT
) STRICT;
CREATE INDEX verdict_piece ON verdict (piece);
CREATE INDEX verdict_swatch ON verdict (swatch);
CREATE INDEX verdict_bath ON verdict (bath);
CREATE INDEX verdict_reading ON verdict (reading);

-- History is append-only: the tables themselves refuse to change or lose a row.
CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER undo_no_update BEFORE UPDATE ON undo
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER undo_no_delete BEFORE DELETE ON undo
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER costume_no_update BEFORE UPDATE ON costume
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER costume_no_delete BEFORE DELETE ON costume
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER piece_no_update BEFORE UPDATE ON piece
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER piece_no_delete BEFORE DELETE ON piece
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER dye_no_update BEFORE UPDATE ON dye
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER dye_no_delete BEFORE DELETE ON dye
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER lot_no_update BEFORE UPDATE ON lot
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER lot_no_delete BEFORE DELETE ON lot
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER content_no_update BEFORE UPDATE ON content
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER content_no_delete BEFORE DELETE ON content
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER photograph_no_update BEFORE UPDATE ON photograph
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER photograph_no_delete BEFORE DELETE ON photograph
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER swatch_no_update BEFORE UPDATE ON swatch
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER swatch_no_delete BEFORE DELETE ON swatch
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER bath_no_update BEFORE UPDATE ON bath
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER bath_no_delete BEFORE DELETE ON bath
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER bath_piece_no_update BEFORE UPDATE ON bath_piece
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER bath_piece_no_delete BEFORE DELETE ON bath_piece
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER dose_no_update BEFORE UPDATE ON dose
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER dose_no_delete BEFORE DELETE ON dose
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER target_no_update BEFORE UPDATE ON target
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER target_no_delete BEFORE DELETE ON target
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER verdict_no_update BEFORE UPDATE ON verdict
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER verdict_no_delete BEFORE DELETE ON verdict
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
