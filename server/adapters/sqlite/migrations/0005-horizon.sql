-- Sums of the exposures of a place, the parts of a day (UTC) in one row: derived from the readings. Those before
-- the horizon cannot be counted again once readings were dropped, and stay.
DROP TABLE settled;
CREATE TABLE settled (
  place_id TEXT    NOT NULL,
  day      INTEGER NOT NULL, -- days since 1970, UTC
  parts    BLOB    NOT NULL,
  PRIMARY KEY (place_id, day)
) STRICT, WITHOUT ROWID;

-- The same of whole local days, so that a year is read quickly.
CREATE TABLE settled_day (
  place_id TEXT    NOT NULL,
  from_ms  INTEGER NOT NULL,
  to_ms    INTEGER NOT NULL,
  sums     BLOB    NOT NULL,
  PRIMARY KEY (place_id, from_ms)
) STRICT, WITHOUT ROWID;

-- One row once readings were to be dropped for their age; hours since 1970, UTC. It only ever goes forward.
CREATE TABLE horizon (
  id           INTEGER PRIMARY KEY CHECK (id = 1),
  counted_hour INTEGER NOT NULL, -- exposures before are settled for good
  dropped_hour INTEGER NOT NULL  -- blocks before hold minutes in place of readings
) STRICT;
