-- Batches of cuttings. `entered` counts edits of batches, of who leads and of targets by hand: of two that hold from
-- one instant, the one entered later counts.
CREATE TABLE batch (
  id             INTEGER PRIMARY KEY AUTOINCREMENT,
  place_id       TEXT    REFERENCES place (id), -- where it was stuck; NULL: that place was removed
  stuck_ms       INTEGER NOT NULL,
  entered        INTEGER NOT NULL,
  closed_ms      INTEGER,
  closed_entered INTEGER,
  deleted_ms     INTEGER,
  body           TEXT    NOT NULL
) STRICT;
-- The first stage of each holds from when it was stuck.
CREATE TABLE batch_stage (
  batch_id INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
  n        INTEGER NOT NULL,
  stage    TEXT    NOT NULL,
  from_ms  INTEGER NOT NULL,
  entered  INTEGER NOT NULL,
  PRIMARY KEY (batch_id, n),
  UNIQUE (batch_id, from_ms)
) STRICT, WITHOUT ROWID;
CREATE TABLE batch_move (
  batch_id INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
  n        INTEGER NOT NULL,
  place_id TEXT    REFERENCES place (id),
  from_ms  INTEGER NOT NULL,
  entered  INTEGER NOT NULL,
  PRIMARY KEY (batch_id, n),
  UNIQUE (batch_id, from_ms)
) STRICT, WITHOUT ROWID;
CREATE INDEX batch_move_to ON batch_move (place_id);
CREATE TABLE batch_count (
  batch_id INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
  n        INTEGER NOT NULL,
  at_ms    INTEGER NOT NULL,
  body     TEXT    NOT NULL,
  PRIMARY KEY (batch_id, n)
) STRICT, WITHOUT ROWID;
-- Which batch somebody chose to lead at a place, from a time on; NULL: none.
CREATE TABLE leading (
  id       INTEGER PRIMARY KEY,
  place_id TEXT    NOT NULL REFERENCES place (id),
  batch_id INTEGER REFERENCES batch (id) ON DELETE CASCADE,
  from_ms  INTEGER NOT NULL,
  entered  INTEGER NOT NULL
) STRICT;
CREATE INDEX leading_of_place ON leading (place_id, id);

-- Edits by hand have their order among edits of batches. What follows from batches stands behind those by hand, and is
-- made again with each edit.
ALTER TABLE targets ADD COLUMN entered INTEGER NOT NULL DEFAULT 0;
ALTER TABLE targets ADD COLUMN of_batches INTEGER NOT NULL DEFAULT 0;
