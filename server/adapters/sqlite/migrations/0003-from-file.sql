-- Probes known from an imported file alone: nobody waits for their next reading until they tell it themselves.
ALTER TABLE probe ADD COLUMN from_file INTEGER NOT NULL DEFAULT 0;
