-- Where each reading of a dyed thing lies in CIELAB (D65/10°), so that a colour dyed before is found
-- without reading everything. Made from the readings; no record by itself. The box of a reading is its
-- colour in single precision, rounded outward; the colour itself stands beside it whole.

CREATE VIRTUAL TABLE colour_index USING rtree (
    reading, l_from, l_to, a_from, a_to, b_from, b_to, +l REAL, +a REAL, +b REAL
);
