"""The one database handle; a module of its own, so that a query loads no models."""

from __future__ import annotations

from peewee import SqliteDatabase

database = SqliteDatabase(None)
