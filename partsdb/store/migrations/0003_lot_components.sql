-- Which lots are inside a lot of kits: taken out of our own bins (taken = 1) or as its papers say. A
-- component lot that never came to us by itself is known by the label and the part alone.
CREATE TABLE lot_component (
    id INTEGER PRIMARY KEY, kit_lot_id INTEGER NOT NULL REFERENCES lot (id),
    part_id INTEGER NOT NULL REFERENCES part (id), component_lot_id INTEGER REFERENCES lot (id),
    label TEXT NOT NULL DEFAULT '', label_key TEXT NOT NULL DEFAULT '',
    units INTEGER NOT NULL CHECK (units > 0), taken INTEGER NOT NULL DEFAULT 0 CHECK (taken IN (0, 1)),
    source TEXT NOT NULL DEFAULT '', at TEXT NOT NULL, by TEXT NOT NULL,
    CHECK (component_lot_id IS NOT NULL OR (label_key <> '' AND taken = 0)),
    CHECK (component_lot_id IS NULL OR component_lot_id <> kit_lot_id)
) STRICT;
CREATE INDEX lot_component_kit ON lot_component (kit_lot_id);
CREATE INDEX lot_component_lot ON lot_component (component_lot_id) WHERE component_lot_id IS NOT NULL;
CREATE INDEX lot_component_label ON lot_component (label_key) WHERE label_key <> '';
CREATE INDEX lot_component_part ON lot_component (part_id);
-- A recall of a part looks for the kits that list its number.
CREATE INDEX kit_item_item ON kit_item (item);
-- The record of every lot is summed from this index alone, and what names no lot is found by it.
CREATE INDEX fitting_part_lot ON fitting (part_id, lot_id, at, units);
DROP INDEX fitting_part;
-- What left a lot by being fitted is summed from the index alone.
DROP INDEX fitting_lot;
CREATE INDEX fitting_lot ON fitting (lot_id, units) WHERE lot_id IS NOT NULL;
