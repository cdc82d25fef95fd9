-- Devices that nobody accepted yet, and those somebody ignored; what they sent is kept, within bounds, until then.
CREATE TABLE waiting_device (
  device     TEXT    NOT NULL PRIMARY KEY,
  state      TEXT    NOT NULL CHECK (state IN ('waiting', 'ignored')),
  first_ms   INTEGER NOT NULL,
  last_ms    INTEGER NOT NULL,
  received   INTEGER NOT NULL, -- packs
  packs      INTEGER NOT NULL, -- that are kept, and their bytes
  bytes      INTEGER NOT NULL,
  dropped    INTEGER NOT NULL, -- packs that were acknowledged and are not kept
  decided_ms INTEGER,
  decided_by TEXT
) STRICT, WITHOUT ROWID;
CREATE TABLE waiting_pack (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  device     TEXT    NOT NULL REFERENCES waiting_device (device) ON DELETE CASCADE,
  topic      TEXT    NOT NULL,
  payload    BLOB    NOT NULL,
  arrived_ms INTEGER NOT NULL,
  retained   INTEGER NOT NULL
) STRICT;
CREATE INDEX waiting_pack_of_device ON waiting_pack (device, id);
-- One row: packs that were dropped of devices that left the list, and packs that found the list full.
CREATE TABLE waiting_total (
  id          INTEGER PRIMARY KEY CHECK (id = 1),
  dropped     INTEGER NOT NULL,
  turned_away INTEGER NOT NULL
) STRICT;

-- What was archived or deleted. Places and probes name their item; those without one are live.
CREATE TABLE archive_item (
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  kind         TEXT    NOT NULL CHECK (kind IN ('place', 'probe', 'device')),
  name         TEXT    NOT NULL,
  state        TEXT    NOT NULL CHECK (state IN ('archived', 'deleted', 'removing')),
  since_ms     INTEGER NOT NULL, -- of the state
  by_name      TEXT,
  counted_days INTEGER NOT NULL, -- days since it was deleted, counted one at a time
  counted_ms   INTEGER NOT NULL,
  body         TEXT    NOT NULL  -- what undoing puts back, and what it held
) STRICT;
ALTER TABLE place ADD COLUMN archive_id INTEGER REFERENCES archive_item (id);
ALTER TABLE probe ADD COLUMN archive_id INTEGER REFERENCES archive_item (id);
CREATE INDEX place_archived ON place (archive_id) WHERE archive_id IS NOT NULL;
CREATE INDEX probe_archived ON probe (archive_id) WHERE archive_id IS NOT NULL;
