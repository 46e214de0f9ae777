-- What a bath needs to teach as a swatch does, and to be made again: its fibre and how the cloth looked before; how
-- long it dyed, and how hot at the hottest.

ALTER TABLE bath ADD COLUMN fibre TEXT;
ALTER TABLE bath ADD COLUMN undyed TEXT;
ALTER TABLE bath ADD COLUMN minutes REAL CHECK (minutes BETWEEN 0 AND 100000);
ALTER TABLE bath ADD COLUMN hottest_c REAL CHECK (hottest_c BETWEEN -20 AND 250);
