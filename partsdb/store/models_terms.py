"""The tables of suppliers' further terms as peewee models: see models.py."""

from __future__ import annotations

from peewee import IntegerField, TextField

from partsdb.store.models import Maker, Part, Row, Supplier, link


class FreightStep(Row):
    """A step of a freight table; rows of one entry are one table."""

    supplier = link(Supplier)
    entry = IntegerField()
    valid_from = TextField()
    basis = TextField()
    currency = TextField()
    start = IntegerField()
    freight_minor = IntegerField()
    per_kg_more_minor = IntegerField(null=True)
    made_at = TextField()


class SupplierFee(Row):
    """A fee on an order, with its bounds."""

    supplier = link(Supplier)
    fee = TextField()
    fee_key = TextField()
    valid_from = TextField()
    valid_to = TextField(null=True)
    currency = TextField()
    flat_minor = IntegerField(default=0)
    rate = TextField(default="0")
    of = TextField(default="goods")
    least_minor = IntegerField(null=True)
    most_minor = IntegerField(null=True)
    share_by = TextField(default="value")
    dutiable = TextField(default="no")
    in_vat = IntegerField(default=0)
    source = TextField(default="")
    made_at = TextField()


class SupplierDiscount(Row):
    """What comes off a supplier's list prices."""

    supplier = link(Supplier)
    valid_from = TextField()
    valid_to = TextField(null=True)
    maker = link(Maker, null=True)
    role = TextField(default="")
    code = TextField(default="")
    rate = TextField()
    note = TextField(default="")
    made_at = TextField()


class CoreDeposit(Row):
    """What is laid out for the old core of a part."""

    supplier = link(Supplier)
    part = link(Part)
    valid_from = TextField()
    valid_to = TextField(null=True)
    currency = TextField()
    deposit_minor = IntegerField()
    returned = TextField(default="")
    made_at = TextField()


class CustomsRate(Row):
    """What customs count a currency at."""

    currency = TextField()
    home = TextField()
    valid_from = TextField()
    valid_to = TextField(null=True)
    rate = TextField()
    source = TextField()
    made_at = TextField()
