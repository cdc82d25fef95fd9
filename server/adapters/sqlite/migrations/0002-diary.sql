-- Vents that somebody wrote down.
CREATE TABLE vent (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  place_id TEXT    NOT NULL REFERENCES place (id),
  from_ms  INTEGER NOT NULL,
  to_ms    INTEGER,
  note     TEXT
) STRICT;
CREATE INDEX vent_of_place ON vent (place_id, from_ms);
