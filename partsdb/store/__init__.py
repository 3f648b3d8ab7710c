"""The shelf: peewee models, migrations, queries. The only SQL and the only transactions."""
