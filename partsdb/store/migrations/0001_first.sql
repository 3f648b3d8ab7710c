-- The schema of partsdb. Text keys of numbers and names are stored and indexed.
-- Money: *_minor is whole minor units; *_e4 a unit price in whole 1/10000ths of the major unit.
-- Times are UTC, "YYYY-MM-DDTHH:MM:SSZ"; dates "YYYY-MM-DD". Rows that a price list brought in carry
-- its price_list_id and are live while withdrawn_at IS NULL. An offer whose `held` is not '' waits for
-- a person and is offered to nobody. A list that renews another takes its place as a whole. A row of stands_in with decided = 1 is a
-- person's word and outranks every proposal; views *_now show the row that counts.

CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE event (
    id INTEGER PRIMARY KEY, at TEXT NOT NULL, who TEXT NOT NULL, action TEXT NOT NULL,
    subject_kind TEXT NOT NULL, subject_id INTEGER, detail TEXT NOT NULL DEFAULT '{}'
) STRICT;
CREATE INDEX event_subject ON event (subject_kind, subject_id);
CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'events are append-only'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'events are append-only'); END;

CREATE TABLE maker (id INTEGER PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL UNIQUE) STRICT;
CREATE TABLE maker_alias (
    alias_key TEXT PRIMARY KEY, alias TEXT NOT NULL, maker_id INTEGER NOT NULL REFERENCES maker (id)
) STRICT;
CREATE TABLE supplier (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL UNIQUE,
    maker_id INTEGER REFERENCES maker (id), note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE price_list (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    file_name TEXT NOT NULL, sha256 TEXT NOT NULL, reader TEXT NOT NULL,
    read_at TEXT NOT NULL, read_by TEXT NOT NULL, currency TEXT NOT NULL DEFAULT '',
    valid_from TEXT, valid_to TEXT,
    profiles TEXT NOT NULL DEFAULT '[]', assumptions TEXT NOT NULL DEFAULT '[]',
    skipped TEXT NOT NULL DEFAULT '[]', withdrawn_at TEXT, withdrawn_why TEXT NOT NULL DEFAULT '',
    renews_id INTEGER REFERENCES price_list (id)
) STRICT;
CREATE INDEX price_list_supplier ON price_list (supplier_id, read_at);
CREATE UNIQUE INDEX price_list_once ON price_list (supplier_id, sha256) WHERE withdrawn_at IS NULL;
CREATE TABLE list_profile (
    supplier_id INTEGER NOT NULL REFERENCES supplier (id), layout_key TEXT NOT NULL,
    profile TEXT NOT NULL, made_at TEXT NOT NULL, PRIMARY KEY (supplier_id, layout_key)
) STRICT;
CREATE TABLE line (
    id INTEGER PRIMARY KEY, price_list_id INTEGER NOT NULL REFERENCES price_list (id),
    sheet TEXT NOT NULL, row INTEGER NOT NULL, kind TEXT NOT NULL,
    code TEXT NOT NULL DEFAULT '', code_key TEXT NOT NULL DEFAULT '',
    description TEXT NOT NULL DEFAULT '', fields TEXT NOT NULL, notes TEXT NOT NULL DEFAULT '[]'
) STRICT;
CREATE INDEX line_list ON line (price_list_id, id);

CREATE TABLE part (
    id INTEGER PRIMARY KEY, maker_id INTEGER NOT NULL REFERENCES maker (id),
    number TEXT NOT NULL, number_key TEXT NOT NULL, number_fold TEXT NOT NULL,
    description TEXT NOT NULL DEFAULT '', role TEXT NOT NULL DEFAULT '',
    contents_stated INTEGER NOT NULL DEFAULT 0, weight_g INTEGER, origin TEXT NOT NULL DEFAULT '',
    heading TEXT NOT NULL DEFAULT '', price_list_id INTEGER REFERENCES price_list (id),
    added_at TEXT NOT NULL, withdrawn_at TEXT, UNIQUE (maker_id, number)
) STRICT;
CREATE INDEX part_key ON part (number_key);
CREATE INDEX part_fold ON part (number_fold);
CREATE INDEX part_role ON part (role);
CREATE INDEX part_list ON part (price_list_id) WHERE price_list_id IS NOT NULL;
-- What changed in the shop's own parts, in order: an index kept outside follows it. `mark` tells two
-- histories apart that count alike, after a restore or a transaction undone.
CREATE TABLE part_change (
    id INTEGER PRIMARY KEY, part_id INTEGER NOT NULL, mark INTEGER NOT NULL DEFAULT (random())
) STRICT;
CREATE TRIGGER part_added AFTER INSERT ON part WHEN new.price_list_id IS NULL
BEGIN INSERT INTO part_change (part_id) VALUES (new.id); END;
CREATE TRIGGER part_changed AFTER UPDATE OF maker_id, number, description, price_list_id, withdrawn_at ON part
WHEN new.price_list_id IS NULL OR old.price_list_id IS NULL
BEGIN INSERT INTO part_change (part_id) VALUES (new.id); END;
CREATE TABLE kit_item (
    id INTEGER PRIMARY KEY, part_id INTEGER NOT NULL REFERENCES part (id), item TEXT NOT NULL,
    role TEXT NOT NULL, quantity INTEGER NOT NULL CHECK (quantity >= 0), kind TEXT NOT NULL,
    material TEXT NOT NULL DEFAULT '', size TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX kit_item_part ON kit_item (part_id);

CREATE TABLE claim (
    id INTEGER PRIMARY KEY, part_id INTEGER NOT NULL REFERENCES part (id),
    kind TEXT NOT NULL, about TEXT NOT NULL DEFAULT '', value TEXT NOT NULL,
    pascals INTEGER, basis TEXT NOT NULL DEFAULT '', reference TEXT NOT NULL DEFAULT '',
    evidence TEXT NOT NULL, source TEXT NOT NULL DEFAULT '', line_id INTEGER REFERENCES line (id),
    price_list_id INTEGER REFERENCES price_list (id), made_by TEXT NOT NULL, made_at TEXT NOT NULL,
    supersedes_id INTEGER REFERENCES claim (id), withdrawn_at TEXT
) STRICT;
CREATE INDEX claim_part ON claim (part_id);
CREATE INDEX claim_list ON claim (price_list_id);
CREATE INDEX claim_supersedes ON claim (supersedes_id) WHERE supersedes_id IS NOT NULL;
CREATE VIEW claim_now AS SELECT c.* FROM claim c WHERE c.withdrawn_at IS NULL AND NOT EXISTS (
    SELECT 1 FROM claim n WHERE n.supersedes_id = c.id AND n.withdrawn_at IS NULL);
CREATE TRIGGER claim_keeps BEFORE UPDATE OF part_id, kind, about, value, pascals, basis, evidence, source ON claim
BEGIN SELECT RAISE(ABORT, 'claims are never overwritten'); END;

CREATE TABLE stands_in (
    id INTEGER PRIMARY KEY, asked_part_id INTEGER NOT NULL REFERENCES part (id),
    fitted_part_id INTEGER NOT NULL REFERENCES part (id),
    state TEXT NOT NULL CHECK (state IN ('proposed', 'accepted', 'rejected')),
    decided INTEGER NOT NULL DEFAULT 0 CHECK (decided IN (0, 1)),
    evidence TEXT NOT NULL, source TEXT NOT NULL DEFAULT '', line_id INTEGER REFERENCES line (id),
    price_list_id INTEGER REFERENCES price_list (id), made_by TEXT NOT NULL, made_at TEXT NOT NULL,
    withdrawn_at TEXT, CHECK (asked_part_id <> fitted_part_id)
) STRICT;
CREATE INDEX stands_in_asked ON stands_in (asked_part_id, fitted_part_id);
CREATE INDEX stands_in_fitted ON stands_in (fitted_part_id);
CREATE INDEX stands_in_list ON stands_in (price_list_id);
CREATE TRIGGER stands_in_keeps BEFORE UPDATE OF asked_part_id, fitted_part_id, state, decided, evidence, source ON stands_in
BEGIN SELECT RAISE(ABORT, 'decisions are never overwritten'); END;
CREATE VIEW stands_in_now AS SELECT s.* FROM stands_in s WHERE s.withdrawn_at IS NULL AND NOT EXISTS (
    SELECT 1 FROM stands_in n WHERE n.asked_part_id = s.asked_part_id AND n.fitted_part_id = s.fitted_part_id
    AND n.withdrawn_at IS NULL AND (n.decided, n.id) > (s.decided, s.id));
CREATE TABLE condition (
    id INTEGER PRIMARY KEY, stands_in_id INTEGER NOT NULL REFERENCES stands_in (id), text TEXT NOT NULL
) STRICT;
CREATE INDEX condition_edge ON condition (stands_in_id);
CREATE TABLE supersession (
    id INTEGER PRIMARY KEY, old_part_id INTEGER NOT NULL REFERENCES part (id),
    new_part_id INTEGER REFERENCES part (id), from_date TEXT, serial_from TEXT NOT NULL DEFAULT '',
    serial_to TEXT NOT NULL DEFAULT '', source TEXT NOT NULL DEFAULT '', made_by TEXT NOT NULL,
    made_at TEXT NOT NULL, withdrawn_at TEXT
) STRICT;
CREATE INDEX supersession_old ON supersession (old_part_id);
CREATE INDEX supersession_new ON supersession (new_part_id);

CREATE TABLE machine (
    id INTEGER PRIMARY KEY, maker_id INTEGER NOT NULL REFERENCES maker (id),
    model TEXT NOT NULL, model_key TEXT NOT NULL, kind TEXT NOT NULL DEFAULT '',
    serviced INTEGER NOT NULL DEFAULT 1, UNIQUE (maker_id, model_key)
) STRICT;
CREATE INDEX machine_model ON machine (model_key);
CREATE TABLE position (
    id INTEGER PRIMARY KEY, machine_id INTEGER NOT NULL REFERENCES machine (id),
    name TEXT NOT NULL, role TEXT NOT NULL, UNIQUE (machine_id, name)
) STRICT;
CREATE TABLE position_demand (
    id INTEGER PRIMARY KEY, position_id INTEGER NOT NULL REFERENCES position (id),
    kind TEXT NOT NULL CHECK (kind IN ('pressure', 'temp_c_max', 'fluid', 'port', 'material', 'size', 'block_material')),
    about TEXT NOT NULL DEFAULT '', value TEXT NOT NULL, pascals INTEGER
) STRICT;
CREATE INDEX position_demand_position ON position_demand (position_id);
CREATE TABLE position_part (
    position_id INTEGER NOT NULL REFERENCES position (id), part_id INTEGER NOT NULL REFERENCES part (id),
    quantity INTEGER NOT NULL DEFAULT 1, PRIMARY KEY (position_id, part_id)
) STRICT;
CREATE INDEX position_part_part ON position_part (part_id);

CREATE TABLE reading (
    id INTEGER PRIMARY KEY, line_id INTEGER NOT NULL REFERENCES line (id),
    kind TEXT NOT NULL, part_id INTEGER REFERENCES part (id),
    own_part_id INTEGER REFERENCES part (id), confidence REAL NOT NULL,
    damage TEXT NOT NULL DEFAULT '', evidence TEXT NOT NULL DEFAULT '[]', matcher_version INTEGER NOT NULL
) STRICT;
CREATE INDEX reading_line ON reading (line_id);
CREATE INDEX reading_own ON reading (own_part_id) WHERE own_part_id IS NOT NULL;
CREATE TABLE decision (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    code_key TEXT NOT NULL, said TEXT NOT NULL, kind TEXT NOT NULL, part_id INTEGER REFERENCES part (id),
    reason TEXT NOT NULL DEFAULT '', made_by TEXT NOT NULL, made_at TEXT NOT NULL,
    reading_id INTEGER REFERENCES reading (id), taken_back_at TEXT
) STRICT;
CREATE INDEX decision_code ON decision (supplier_id, code_key);

CREATE TABLE offer (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    part_id INTEGER NOT NULL REFERENCES part (id), code TEXT NOT NULL DEFAULT '',
    price_e4 INTEGER NOT NULL CHECK (price_e4 > 0), price_per INTEGER NOT NULL DEFAULT 1 CHECK (price_per > 0),
    currency TEXT NOT NULL, pack_units INTEGER NOT NULL DEFAULT 1 CHECK (pack_units > 0),
    min_units INTEGER NOT NULL DEFAULT 1, unit TEXT NOT NULL DEFAULT '', lead_days INTEGER,
    stock TEXT NOT NULL DEFAULT '', valid_from TEXT, valid_to TEXT,
    line_id INTEGER REFERENCES line (id), price_list_id INTEGER REFERENCES price_list (id),
    made_at TEXT NOT NULL, withdrawn_at TEXT, held TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX offer_part ON offer (part_id);
CREATE INDEX offer_list ON offer (price_list_id);
CREATE INDEX offer_supplier ON offer (supplier_id, part_id);
CREATE TABLE price_break (
    offer_id INTEGER NOT NULL REFERENCES offer (id), from_units INTEGER NOT NULL,
    price_e4 INTEGER NOT NULL CHECK (price_e4 > 0), PRIMARY KEY (offer_id, from_units)
) STRICT;
CREATE TABLE supplier_terms (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    valid_from TEXT NOT NULL, currency TEXT NOT NULL, incoterm TEXT NOT NULL DEFAULT '',
    named_place TEXT NOT NULL DEFAULT '', freight_minor INTEGER NOT NULL DEFAULT 0,
    free_above_minor INTEGER, min_order_minor INTEGER NOT NULL DEFAULT 0,
    small_order_minor INTEGER NOT NULL DEFAULT 0, insurance_minor INTEGER NOT NULL DEFAULT 0,
    brokerage_minor INTEGER NOT NULL DEFAULT 0, brokerage_currency TEXT NOT NULL DEFAULT '',
    duty_heading TEXT NOT NULL DEFAULT '', origin TEXT NOT NULL DEFAULT '', spread TEXT NOT NULL DEFAULT '0',
    lead_days INTEGER, payment TEXT NOT NULL DEFAULT '', made_at TEXT NOT NULL,
    freight_per_kg_minor INTEGER, fuel TEXT NOT NULL DEFAULT '0'
) STRICT;
CREATE INDEX supplier_terms_supplier ON supplier_terms (supplier_id, valid_from);
CREATE TABLE fx_rate (
    date TEXT NOT NULL, currency TEXT NOT NULL, per_eur TEXT NOT NULL, source TEXT NOT NULL,
    made_at TEXT NOT NULL DEFAULT '', PRIMARY KEY (currency, date, made_at)
) STRICT;
CREATE VIEW fx_now AS SELECT date, currency, per_eur, source, max(made_at) AS made_at FROM fx_rate
    GROUP BY currency, date;
CREATE TABLE duty_rate (
    id INTEGER PRIMARY KEY, heading TEXT NOT NULL, origin TEXT NOT NULL, rate TEXT NOT NULL,
    valid_from TEXT NOT NULL, valid_to TEXT, source TEXT NOT NULL, made_at TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX duty_rate_heading ON duty_rate (heading, origin);

CREATE TABLE grade (
    id INTEGER PRIMARY KEY, subject_kind TEXT NOT NULL CHECK (subject_kind IN ('supplier', 'maker', 'part', 'lot')),
    subject_id INTEGER NOT NULL, grade TEXT NOT NULL CHECK (grade IN ('A', 'B', 'C', 'D', 'barred')),
    reason TEXT NOT NULL, evidence TEXT NOT NULL DEFAULT '', made_by TEXT NOT NULL, made_at TEXT NOT NULL
) STRICT;
CREATE INDEX grade_subject ON grade (subject_kind, subject_id, id);
CREATE TABLE lot (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    part_id INTEGER NOT NULL REFERENCES part (id),
    label TEXT NOT NULL, label_key TEXT NOT NULL UNIQUE,
    supplier_label TEXT NOT NULL DEFAULT '', supplier_label_key TEXT NOT NULL DEFAULT '',
    received_at TEXT NOT NULL, units INTEGER NOT NULL CHECK (units > 0),
    state TEXT NOT NULL DEFAULT 'held' CHECK (state IN ('held', 'accepted', 'returned', 'barred')),
    order_ref TEXT NOT NULL DEFAULT '', bin TEXT NOT NULL DEFAULT '', due_at TEXT,
    ordered INTEGER CHECK (ordered > 0), document TEXT NOT NULL DEFAULT '', document_until TEXT
) STRICT;
CREATE INDEX lot_part ON lot (part_id);
CREATE INDEX lot_supplier ON lot (supplier_id, received_at);
CREATE INDEX lot_received ON lot (received_at);
CREATE INDEX lot_supplier_label ON lot (supplier_label_key) WHERE supplier_label_key <> '';
CREATE TABLE lot_movement (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), at TEXT NOT NULL,
    by TEXT NOT NULL, kind TEXT NOT NULL CHECK (kind IN ('returned', 'written off', 'missing')),
    units INTEGER NOT NULL CHECK (units <> 0), reason TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX lot_movement_lot ON lot_movement (lot_id);
CREATE TABLE inspection (
    id INTEGER PRIMARY KEY, lot_id INTEGER NOT NULL REFERENCES lot (id), at TEXT NOT NULL, by TEXT NOT NULL,
    sampled INTEGER NOT NULL CHECK (sampled > 0),
    rejected INTEGER NOT NULL CHECK (rejected BETWEEN 0 AND sampled),
    note TEXT NOT NULL DEFAULT '', plan TEXT NOT NULL DEFAULT '', required INTEGER NOT NULL DEFAULT 0,
    allowed INTEGER NOT NULL DEFAULT 0, found TEXT NOT NULL DEFAULT '{}',
    decision TEXT NOT NULL DEFAULT 'hold' CHECK (decision IN ('accept', 'hold', 'return'))
) STRICT;
CREATE INDEX inspection_lot ON inspection (lot_id);
CREATE TABLE job (
    id INTEGER PRIMARY KEY, opened_at TEXT NOT NULL, machine_id INTEGER REFERENCES machine (id),
    serial TEXT NOT NULL DEFAULT '', customer_ref TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX job_serial ON job (serial) WHERE serial <> '';
CREATE TABLE fitting (
    id INTEGER PRIMARY KEY, job_id INTEGER NOT NULL REFERENCES job (id),
    part_id INTEGER NOT NULL REFERENCES part (id), lot_id INTEGER REFERENCES lot (id),
    position_id INTEGER REFERENCES position (id),
    units INTEGER NOT NULL DEFAULT 1 CHECK (units > 0), at TEXT NOT NULL
) STRICT;
CREATE INDEX fitting_job ON fitting (job_id);
CREATE INDEX fitting_part ON fitting (part_id, at);
CREATE INDEX fitting_lot ON fitting (lot_id) WHERE lot_id IS NOT NULL;
CREATE TABLE comeback (
    id INTEGER PRIMARY KEY, fitting_id INTEGER NOT NULL REFERENCES fitting (id), at TEXT NOT NULL,
    cause TEXT NOT NULL, pressure_boundary INTEGER NOT NULL DEFAULT 0 CHECK (pressure_boundary IN (0, 1)),
    note TEXT NOT NULL DEFAULT '', explained TEXT NOT NULL DEFAULT '',
    explained_by TEXT NOT NULL DEFAULT '', explained_at TEXT
) STRICT;
CREATE INDEX comeback_fitting ON comeback (fitting_id);
CREATE INDEX comeback_open ON comeback (fitting_id) WHERE pressure_boundary = 1 AND explained = '';

CREATE TABLE recipe (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, name_key TEXT NOT NULL UNIQUE,
    machine_id INTEGER REFERENCES machine (id), minutes INTEGER NOT NULL DEFAULT 0,
    hourly_minor INTEGER NOT NULL DEFAULT 0, currency TEXT NOT NULL,
    comeback_minutes INTEGER NOT NULL DEFAULT 0, comeback_carriage_minor INTEGER NOT NULL DEFAULT 0,
    comeback_goodwill_minor INTEGER NOT NULL DEFAULT 0, waiting_day_minor INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE TABLE recipe_item (
    id INTEGER PRIMARY KEY, recipe_id INTEGER NOT NULL REFERENCES recipe (id),
    part_id INTEGER NOT NULL REFERENCES part (id), position_id INTEGER REFERENCES position (id),
    quantity INTEGER NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX recipe_item_recipe ON recipe_item (recipe_id);
