-- How a supplier's lists were read before a layout was replaced or forgotten: an answer as of a day gone by
-- reads a list as it was read then.
CREATE TABLE list_profile_past (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id), layout_key TEXT NOT NULL,
    profile TEXT NOT NULL, made_at TEXT NOT NULL, ended_at TEXT NOT NULL
) STRICT;
CREATE INDEX list_profile_past_supplier ON list_profile_past (supplier_id, layout_key);
