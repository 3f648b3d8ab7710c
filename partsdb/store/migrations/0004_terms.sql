-- Suppliers' terms in full: how a carrier weighs and steps, fees with bounds, discounts, core deposits.
-- A weight step of NULL grams is the last one, for whatever is heavier. Rows of one freight table bear
-- the same `entry`; the newest entry of a day replaces the table. Shares are decimal text, 0.1 is 10 %.
ALTER TABLE supplier_terms ADD COLUMN volumetric_divisor INTEGER CHECK (volumetric_divisor > 0);
ALTER TABLE supplier_terms ADD COLUMN weigh_by TEXT NOT NULL DEFAULT 'consignment' CHECK (weigh_by IN ('consignment', 'piece'));
ALTER TABLE supplier_terms ADD COLUMN weight_step_g INTEGER NOT NULL DEFAULT 0;
ALTER TABLE supplier_terms ADD COLUMN price_breaks TEXT NOT NULL DEFAULT 'all units' CHECK (price_breaks IN ('all units', 'incremental'));
-- The size of one unit as it is packed, in whole millimetres: "245x120x30", '' where it is not known.
ALTER TABLE part ADD COLUMN packed_mm TEXT NOT NULL DEFAULT '';

CREATE TABLE freight_step (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id), entry INTEGER NOT NULL,
    valid_from TEXT NOT NULL, basis TEXT NOT NULL CHECK (basis IN ('weight', 'value')), currency TEXT NOT NULL,
    start INTEGER NOT NULL CHECK (start >= 0), freight_minor INTEGER NOT NULL CHECK (freight_minor >= 0),
    per_kg_more_minor INTEGER, made_at TEXT NOT NULL
) STRICT;
CREATE INDEX freight_step_supplier ON freight_step (supplier_id, basis, valid_from);
CREATE TABLE supplier_fee (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    fee TEXT NOT NULL, fee_key TEXT NOT NULL, valid_from TEXT NOT NULL, valid_to TEXT,
    currency TEXT NOT NULL, flat_minor INTEGER NOT NULL DEFAULT 0, rate TEXT NOT NULL DEFAULT '0',
    of TEXT NOT NULL DEFAULT 'goods' CHECK (of IN ('goods', 'customs value')),
    least_minor INTEGER, most_minor INTEGER,
    share_by TEXT NOT NULL DEFAULT 'value' CHECK (share_by IN ('weight', 'value', 'quantity', 'line')),
    dutiable TEXT NOT NULL DEFAULT 'no' CHECK (dutiable IN ('no', 'CIF', 'always')),
    in_vat INTEGER NOT NULL DEFAULT 0 CHECK (in_vat IN (0, 1)),
    source TEXT NOT NULL DEFAULT '', made_at TEXT NOT NULL
) STRICT;
CREATE INDEX supplier_fee_supplier ON supplier_fee (supplier_id, fee_key, valid_from);
CREATE TABLE supplier_discount (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    valid_from TEXT NOT NULL, valid_to TEXT, maker_id INTEGER REFERENCES maker (id),
    role TEXT NOT NULL DEFAULT '', code TEXT NOT NULL DEFAULT '', rate TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '', made_at TEXT NOT NULL
) STRICT;
CREATE INDEX supplier_discount_supplier ON supplier_discount (supplier_id, valid_from);
CREATE TABLE core_deposit (
    id INTEGER PRIMARY KEY, supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    part_id INTEGER NOT NULL REFERENCES part (id), valid_from TEXT NOT NULL, valid_to TEXT,
    currency TEXT NOT NULL, deposit_minor INTEGER NOT NULL CHECK (deposit_minor >= 0),
    returned TEXT NOT NULL DEFAULT '', made_at TEXT NOT NULL
) STRICT;
CREATE INDEX core_deposit_supplier ON core_deposit (supplier_id, part_id, valid_from);
-- What customs count a currency at: units of the home currency for one of it.
CREATE TABLE customs_rate (
    id INTEGER PRIMARY KEY, currency TEXT NOT NULL, home TEXT NOT NULL, valid_from TEXT NOT NULL,
    valid_to TEXT, rate TEXT NOT NULL, source TEXT NOT NULL, made_at TEXT NOT NULL
) STRICT;
CREATE INDEX customs_rate_currency ON customs_rate (currency, home, valid_from);
