"""Pure rules of the trade: no database, no file, no clock, no randomness."""
