-- What a rebuild uses up besides its parts (solvent, wipes, threadlocker out of the bottle), for one machine.
ALTER TABLE recipe ADD COLUMN consumables_minor INTEGER NOT NULL DEFAULT 0;
