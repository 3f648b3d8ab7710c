"""The tables as peewee models; none leaves the store. Money is integers, never DecimalField."""

from __future__ import annotations

from typing import Any

from peewee import (
    CompositeKey,
    FloatField,
    ForeignKeyField,
    IntegerField,
    Model,
    TextField,
)

from partsdb.store.database import database


def link(model: Any, **options: Any) -> ForeignKeyField:
    """Return a foreign key without a back reference: rows are joined by queries, not walked."""
    return ForeignKeyField(model, backref="+", **options)


class Row(Model):
    """Base of all tables."""

    class Meta:
        database = database
        legacy_table_names = False


class Setting(Row):
    """A setting of the shop."""

    name = TextField(primary_key=True)
    value = TextField()


class Event(Row):
    """Something that was done; append-only."""

    at = TextField()
    who = TextField()
    action = TextField()
    subject_kind = TextField()
    subject_id = IntegerField(null=True)
    detail = TextField(default="{}")


class Maker(Row):
    """Who makes parts or machines."""

    name = TextField()
    name_key = TextField(unique=True)


class MakerAlias(Row):
    """Another spelling of a maker's name."""

    alias_key = TextField(primary_key=True)
    spelling = TextField(column_name="alias")  # Model has a method of the column's name
    maker = link(Maker)


class Supplier(Row):
    """Who sells parts."""

    name = TextField()
    name_key = TextField(unique=True)
    maker = link(Maker, null=True)
    note = TextField(default="")


class PriceList(Row):
    """A file received from a supplier."""

    supplier = link(Supplier)
    file_name = TextField()
    sha256 = TextField()
    reader = TextField()
    read_at = TextField()
    read_by = TextField()
    currency = TextField(default="")
    valid_from = TextField(null=True)
    valid_to = TextField(null=True)
    profiles = TextField(default="[]")
    assumptions = TextField(default="[]")
    skipped = TextField(default="[]")
    withdrawn_at = TextField(null=True)
    withdrawn_why = TextField(default="")
    renews = link("self", null=True)


class ListProfile(Row):
    """How a supplier's list is laid out."""

    supplier = link(Supplier)
    layout_key = TextField()
    profile = TextField()
    made_at = TextField()

    class Meta:
        primary_key = CompositeKey("supplier", "layout_key")


class ListProfilePast(Row):
    """A layout of a supplier's lists that was replaced or forgotten."""

    supplier = link(Supplier)
    layout_key = TextField()
    profile = TextField()
    made_at = TextField()
    ended_at = TextField()


class Line(Row):
    """A row of a price list as text."""

    price_list = link(PriceList)
    sheet = TextField()
    row = IntegerField()
    kind = TextField()
    code = TextField(default="")
    code_key = TextField(default="")
    description = TextField(default="")
    fields = TextField()
    notes = TextField(default="[]")


class Part(Row):
    """One maker's number."""

    maker = link(Maker)
    number = TextField()
    number_key = TextField()
    number_fold = TextField()
    description = TextField(default="")
    role = TextField(default="")
    contents_stated = IntegerField(default=0)
    weight_g = IntegerField(null=True)
    origin = TextField(default="")
    heading = TextField(default="")
    price_list = link(PriceList, null=True)
    added_at = TextField()
    withdrawn_at = TextField(null=True)
    packed_mm = TextField(default="")


class PartChange(Row):
    """A change of one of the shop's own parts; a trigger writes it, an index follows it."""

    part = link(Part)
    mark = IntegerField()

    class Meta:
        table_name = "part_change"


class KitItem(Row):
    """One line of a kit's contents."""

    part = link(Part)
    item = TextField()
    role = TextField()
    quantity = IntegerField()
    kind = TextField()
    material = TextField(default="")
    size = TextField(default="")


class Claim(Row):
    """A statement about a part; never overwritten."""

    part = link(Part)
    kind = TextField()
    about = TextField(default="")
    value = TextField()
    pascals = IntegerField(null=True)
    basis = TextField(default="")
    reference = TextField(default="")
    evidence = TextField()
    source = TextField(default="")
    line = link(Line, null=True)
    price_list = link(PriceList, null=True)
    made_by = TextField()
    made_at = TextField()
    supersedes = link("self", null=True)
    withdrawn_at = TextField(null=True)


class StandsIn(Row):
    """A directed edge between two parts; never overwritten."""

    asked_part = link(Part)
    fitted_part = link(Part)
    state = TextField()
    decided = IntegerField(default=0)
    evidence = TextField()
    source = TextField(default="")
    line = link(Line, null=True)
    price_list = link(PriceList, null=True)
    made_by = TextField()
    made_at = TextField()
    withdrawn_at = TextField(null=True)


class Condition(Row):
    """What an edge is tied to."""

    stands_in = link(StandsIn)
    text = TextField()


class Supersession(Row):
    """A maker's own replacement of a number."""

    old_part = link(Part)
    new_part = link(Part, null=True)
    from_date = TextField(null=True)
    serial_from = TextField(default="")
    serial_to = TextField(default="")
    source = TextField(default="")
    made_by = TextField()
    made_at = TextField()
    withdrawn_at = TextField(null=True)


class Machine(Row):
    """A machine model."""

    maker = link(Maker)
    model = TextField()
    model_key = TextField()
    kind = TextField(default="")
    serviced = IntegerField(default=1)


class Position(Row):
    """A place in a machine where a part goes."""

    machine = link(Machine)
    name = TextField()
    role = TextField()


class PositionDemand(Row):
    """One thing that a position asks of its part."""

    position = link(Position)
    kind = TextField()
    about = TextField(default="")
    value = TextField()
    pascals = IntegerField(null=True)


class PositionPart(Row):
    """A part that a position calls for."""

    position = link(Position)
    part = link(Part)
    quantity = IntegerField(default=1)

    class Meta:
        primary_key = CompositeKey("position", "part")


class Reading(Row):
    """What a line was taken for."""

    line = link(Line)
    kind = TextField()
    part = link(Part, null=True)
    own_part = link(Part, null=True)
    confidence = FloatField()
    damage = TextField(default="")
    evidence = TextField(default="[]")
    matcher_version = IntegerField()


class Decision(Row):
    """A person's word on what a supplier's code means."""

    supplier = link(Supplier)
    code_key = TextField()
    said = TextField()
    kind = TextField()
    part = link(Part, null=True)
    reason = TextField(default="")
    made_by = TextField()
    made_at = TextField()
    reading = link(Reading, null=True)
    taken_back_at = TextField(null=True)
