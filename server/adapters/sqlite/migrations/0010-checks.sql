-- Checks of probes, the corrections that come of them, and when the next check is due. Readings stay as they were told.
CREATE TABLE correction (
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  probe_id     INTEGER NOT NULL REFERENCES probe (id) ON DELETE CASCADE,
  from_ms      INTEGER NOT NULL,
  gain         REAL    NOT NULL CHECK (gain > 0),
  offset       REAL    NOT NULL,
  reason       TEXT    NOT NULL,
  by_name      TEXT,
  entered_ms   INTEGER NOT NULL,
  check_id     INTEGER,
  withdrawn_ms INTEGER,
  withdrawn_by TEXT
) STRICT;
CREATE INDEX correction_of_probe ON correction (probe_id);
CREATE TABLE probe_check (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  probe_id   INTEGER NOT NULL REFERENCES probe (id) ON DELETE CASCADE,
  started_ms INTEGER NOT NULL,
  ended_ms   INTEGER,
  body       TEXT    NOT NULL
) STRICT;
CREATE INDEX probe_check_of_probe ON probe_check (probe_id);
CREATE TABLE check_due (
  probe_id INTEGER PRIMARY KEY REFERENCES probe (id) ON DELETE CASCADE,
  due_ms   INTEGER NOT NULL
) STRICT;
