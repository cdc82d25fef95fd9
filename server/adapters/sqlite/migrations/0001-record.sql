-- The readings of each commit, one group a row, in the order of arrival: small, and appended only.
-- A row goes once all its readings are sealed.
CREATE TABLE journal (
  id   INTEGER PRIMARY KEY,
  body BLOB    NOT NULL
) STRICT;

-- The readings of one probe in one hour, packed; what they come to stands before them, so that a season
-- is read without opening a block.
CREATE TABLE sealed (
  probe_id    INTEGER NOT NULL,
  hour        INTEGER NOT NULL, -- hours since 1970, UTC
  count       INTEGER NOT NULL,
  first_ms    INTEGER NOT NULL,
  last_ms     INTEGER NOT NULL,
  first_value REAL    NOT NULL,
  last_value  REAL    NOT NULL,
  min_value   REAL    NOT NULL,
  max_value   REAL    NOT NULL,
  -- time between its readings that is covered by the usual gap limit, and value times ms over it
  covered_ms  INTEGER NOT NULL,
  area        REAL    NOT NULL,
  block       BLOB    NOT NULL,
  PRIMARY KEY (probe_id, hour)
) STRICT, WITHOUT ROWID;

CREATE TABLE probe (
  id         INTEGER PRIMARY KEY,
  device     TEXT    NOT NULL,
  name       TEXT    NOT NULL,
  quantity   TEXT,
  unit       TEXT    NOT NULL,
  place_id   TEXT    REFERENCES place (id),
  conflicts  INTEGER NOT NULL DEFAULT 0,
  cadence_ms INTEGER,
  UNIQUE (device, name)
) STRICT;

CREATE TABLE place (
  id       TEXT    PRIMARY KEY,
  name     TEXT    NOT NULL,
  kind     TEXT    NOT NULL,
  invented INTEGER NOT NULL,
  settings TEXT    NOT NULL
) STRICT;

CREATE TABLE targets (
  id         INTEGER PRIMARY KEY,
  place_id   TEXT    NOT NULL REFERENCES place (id),
  from_ms    INTEGER NOT NULL,
  entered_ms INTEGER NOT NULL,
  body       TEXT    NOT NULL
) STRICT;
CREATE INDEX targets_of_place ON targets (place_id, id);

CREATE TABLE refused (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  at_ms   INTEGER NOT NULL,
  code    TEXT    NOT NULL,
  reason  TEXT    NOT NULL,
  pointer TEXT,
  device  TEXT,
  topic   TEXT    NOT NULL,
  bytes   INTEGER NOT NULL,
  payload TEXT    NOT NULL,
  kept_bytes INTEGER NOT NULL
) STRICT;
CREATE TABLE refused_count (
  code TEXT    PRIMARY KEY,
  n    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE alarm (
  id       TEXT PRIMARY KEY,
  place_id TEXT REFERENCES place (id), -- NULL: an alarm of the house
  body     TEXT NOT NULL
) STRICT;
CREATE TABLE alarm_event (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  alarm_id   TEXT    NOT NULL REFERENCES alarm (id),
  at_ms      INTEGER NOT NULL,
  transition TEXT    NOT NULL,
  note       TEXT
) STRICT;
CREATE INDEX alarm_event_of_alarm ON alarm_event (alarm_id, id);
CREATE INDEX alarm_event_by_time ON alarm_event (at_ms);

CREATE TABLE outbox (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  message_key TEXT   NOT NULL UNIQUE,
  channel    TEXT    NOT NULL,
  body       TEXT    NOT NULL,
  state      TEXT    NOT NULL CHECK (state IN ('waiting', 'sent', 'abandoned')),
  attempts   INTEGER NOT NULL DEFAULT 0,
  created_ms INTEGER NOT NULL,
  next_at_ms INTEGER NOT NULL,
  last_error TEXT
) STRICT;
CREATE INDEX outbox_waiting ON outbox (next_at_ms) WHERE state = 'waiting';
