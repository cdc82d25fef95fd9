-- Batches that are planned. batch_id is the batch one became; NULL again when that batch is forgotten.
CREATE TABLE preparation (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  batch_id   INTEGER REFERENCES batch (id) ON DELETE SET NULL,
  deleted_ms INTEGER,
  body       TEXT    NOT NULL
) STRICT;
