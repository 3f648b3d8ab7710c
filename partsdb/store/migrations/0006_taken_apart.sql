-- A lot of kits may be taken apart again as a whole: none of it is left, and what was taken for it lies
-- in its own lots again.
ALTER TABLE lot ADD COLUMN taken_apart_at TEXT;
ALTER TABLE lot_component ADD COLUMN taken_back_at TEXT;
