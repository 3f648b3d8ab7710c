"""The shelf: migrations, queries. The only SQL and the only transactions."""
