-- What a swatch's cloth was before it was dyed, and whether it only stood for the real one; one reading
-- under several lights; and the seals of the entries.

ALTER TABLE swatch ADD COLUMN undyed TEXT;
ALTER TABLE swatch ADD COLUMN look_alike INTEGER CHECK (look_alike IN (0, 1));
ALTER TABLE reading ADD COLUMN also TEXT;

-- The SHA-256 of the seal before and of everything the entry recorded: a cell that has changed by
-- itself, or was changed by another program, no longer fits.
CREATE TABLE seal (
    entry  INTEGER PRIMARY KEY REFERENCES journal (entry),
    sha256 TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT;
CREATE TRIGGER seal_no_update BEFORE UPDATE ON seal
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
CREATE TRIGGER seal_no_delete BEFORE DELETE ON seal
BEGIN SELECT RAISE(ABORT, 'history is append-only'); END;
