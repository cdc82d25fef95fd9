-- Target sheets made here, one row a version; the body is JSON. A version that was kept never changes.
CREATE TABLE own_sheet (
  id         TEXT    NOT NULL,
  version    INTEGER NOT NULL CHECK (version >= 1),
  body       TEXT    NOT NULL,
  made_ms    INTEGER NOT NULL,
  removed_ms INTEGER,
  PRIMARY KEY (id, version)
) STRICT, WITHOUT ROWID;
