-- What people write down of a place or a batch, at a time. Vents are entries too, with their end where one was written
-- down. `photo` names a file beside the record.
CREATE TABLE diary_entry (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  place_id   TEXT    REFERENCES place (id), -- NULL: that place was removed
  batch_id   INTEGER REFERENCES batch (id) ON DELETE SET NULL,
  kind       TEXT    NOT NULL,
  at_ms      INTEGER NOT NULL,
  to_ms      INTEGER,
  note       TEXT,
  by_name    TEXT,
  photo      TEXT,
  deleted_ms INTEGER
) STRICT;
CREATE INDEX diary_entry_at ON diary_entry (at_ms, id);
CREATE INDEX diary_entry_of_place ON diary_entry (place_id, at_ms);
CREATE INDEX diary_entry_of_batch ON diary_entry (batch_id);
CREATE INDEX diary_entry_photo ON diary_entry (photo);

-- Numbers of vents that were removed are not given again.
INSERT INTO sqlite_sequence (name, seq) SELECT 'diary_entry', seq FROM sqlite_sequence WHERE name = 'vent';
INSERT INTO diary_entry (id, place_id, kind, at_ms, to_ms, note)
  SELECT id, place_id, 'vented', from_ms, to_ms, note FROM vent ORDER BY id;
DROP TABLE vent;
