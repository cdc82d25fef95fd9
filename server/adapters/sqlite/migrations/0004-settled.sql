-- Sums of the exposures of a place in one hour (UTC), derived from the readings: may be dropped at any time.
CREATE TABLE settled (
  place_id TEXT    NOT NULL,
  hour     INTEGER NOT NULL,
  formula  INTEGER NOT NULL, -- version of the formulas that made it
  targets  INTEGER NOT NULL, -- the edit of the place's targets it was judged by, counted from 1
  sums     BLOB    NOT NULL,
  PRIMARY KEY (place_id, hour)
) STRICT, WITHOUT ROWID;
