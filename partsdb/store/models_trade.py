"""The tables of prices, terms, grades, lots and recipes as peewee models: see models.py."""

from __future__ import annotations

from peewee import CompositeKey, IntegerField, TextField

from partsdb.store.models import Line, Machine, Part, Position, PriceList, Row, Supplier, link


class Offer(Row):
    """A supplier's price for a part."""

    supplier = link(Supplier)
    part = link(Part)
    code = TextField(default="")
    price_e4 = IntegerField()
    price_per = IntegerField(default=1)
    currency = TextField()
    pack_units = IntegerField(default=1)
    min_units = IntegerField(default=1)
    unit = TextField(default="")
    lead_days = IntegerField(null=True)
    stock = TextField(default="")
    valid_from = TextField(null=True)
    valid_to = TextField(null=True)
    line = link(Line, null=True)
    price_list = link(PriceList, null=True)
    made_at = TextField()
    withdrawn_at = TextField(null=True)
    held = TextField(default="")


class PriceBreak(Row):
    """A price from so many units on."""

    offer = link(Offer)
    from_units = IntegerField()
    price_e4 = IntegerField()

    class Meta:
        primary_key = CompositeKey("offer", "from_units")


class SupplierTerms(Row):
    """A supplier's terms from a date on."""

    supplier = link(Supplier)
    valid_from = TextField()
    currency = TextField()
    incoterm = TextField(default="")
    named_place = TextField(default="")
    freight_minor = IntegerField(default=0)
    free_above_minor = IntegerField(null=True)
    min_order_minor = IntegerField(default=0)
    small_order_minor = IntegerField(default=0)
    insurance_minor = IntegerField(default=0)
    brokerage_minor = IntegerField(default=0)
    brokerage_currency = TextField(default="")
    duty_heading = TextField(default="")
    origin = TextField(default="")
    spread = TextField(default="0")
    lead_days = IntegerField(null=True)
    payment = TextField(default="")
    made_at = TextField()
    freight_per_kg_minor = IntegerField(null=True)
    fuel = TextField(default="0")
    volumetric_divisor = IntegerField(null=True)
    weigh_by = TextField(default="consignment")
    weight_step_g = IntegerField(default=0)
    price_breaks = TextField(default="all units")


class FxRate(Row):
    """A published exchange rate."""

    date = TextField()
    currency = TextField()
    per_eur = TextField()
    source = TextField()
    made_at = TextField(default="")

    class Meta:
        primary_key = CompositeKey("currency", "date", "made_at")


class DutyRate(Row):
    """A duty rate of a heading and origin."""

    heading = TextField()
    origin = TextField()
    rate = TextField()
    valid_from = TextField()
    valid_to = TextField(null=True)
    source = TextField()
    made_at = TextField(default="")


class Grade(Row):
    """The shop's grade of a subject."""

    subject_kind = TextField()
    subject_id = IntegerField()
    grade = TextField()
    reason = TextField()
    evidence = TextField(default="")
    made_by = TextField()
    made_at = TextField()


class Lot(Row):
    """Goods received together: one receipt, one label on the bin."""

    supplier = link(Supplier)
    part = link(Part)
    label = TextField()
    label_key = TextField(unique=True)
    supplier_label = TextField(default="")
    supplier_label_key = TextField(default="")
    received_at = TextField()
    units = IntegerField()
    state = TextField(default="held")
    order_ref = TextField(default="")
    bin = TextField(default="")
    due_at = TextField(null=True)
    ordered = IntegerField(null=True)
    document = TextField(default="")
    document_until = TextField(null=True)
    taken_apart_at = TextField(null=True)


class LotMovement(Row):
    """Units that left a lot other than by being fitted; "missing" is what a count found short."""

    lot = link(Lot)
    at = TextField()
    by = TextField()
    kind = TextField()
    units = IntegerField()
    reason = TextField(default="")


class LotComponent(Row):
    """A lot inside a lot of kits."""

    kit_lot = link(Lot)
    part = link(Part)
    component_lot = link(Lot, null=True)
    label = TextField(default="")
    label_key = TextField(default="")
    units = IntegerField()
    taken = IntegerField(default=0)
    source = TextField(default="")
    at = TextField()
    by = TextField()
    taken_back_at = TextField(null=True)


class Inspection(Row):
    """An inspection of a lot."""

    lot = link(Lot)
    at = TextField()
    by = TextField()
    sampled = IntegerField()
    rejected = IntegerField()
    note = TextField(default="")
    plan = TextField(default="")
    required = IntegerField(default=0)
    allowed = IntegerField(default=0)
    found = TextField(default="{}")
    decision = TextField(default="hold")


class Job(Row):
    """A repair job."""

    opened_at = TextField()
    machine = link(Machine, null=True)
    serial = TextField(default="")
    customer_ref = TextField(default="")
    note = TextField(default="")


class Fitting(Row):
    """A part put into a machine on a job."""

    job = link(Job)
    part = link(Part)
    lot = link(Lot, null=True)
    position = link(Position, null=True)
    units = IntegerField(default=1)
    at = TextField()


class Comeback(Row):
    """A failure that came back."""

    fitting = link(Fitting)
    at = TextField()
    cause = TextField()
    pressure_boundary = IntegerField(default=0)
    note = TextField(default="")
    explained = TextField(default="")
    explained_by = TextField(default="")
    explained_at = TextField(null=True)


class Recipe(Row):
    """What a rebuild takes."""

    name = TextField()
    name_key = TextField(unique=True)
    machine = link(Machine, null=True)
    minutes = IntegerField(default=0)
    hourly_minor = IntegerField(default=0)
    currency = TextField()
    comeback_minutes = IntegerField(default=0)
    comeback_carriage_minor = IntegerField(default=0)
    comeback_goodwill_minor = IntegerField(default=0)
    waiting_day_minor = IntegerField(default=0)
    consumables_minor = IntegerField(default=0)


class RecipeItem(Row):
    """A part that a recipe needs."""

    recipe = link(Recipe)
    part = link(Part)
    position = link(Position, null=True)
    quantity = IntegerField(default=1)
