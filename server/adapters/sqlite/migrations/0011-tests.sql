-- The weekly test of every way, and what came of each test message.
CREATE TABLE weekly_test (
  id       INTEGER PRIMARY KEY CHECK (id = 1),
  body     TEXT,            -- as somebody set it; null while what is proposed holds
  since_ms INTEGER NOT NULL -- tests that were due before are looked after
) STRICT;
CREATE TABLE path_test (
  id            INTEGER PRIMARY KEY AUTOINCREMENT,
  message_key   TEXT    NOT NULL UNIQUE,
  cause         TEXT    NOT NULL CHECK (cause IN ('weekly', 'asked')),
  person_id     INTEGER NOT NULL,
  way_id        INTEGER NOT NULL,
  recipient     TEXT    NOT NULL,
  put_ms        INTEGER NOT NULL,
  confirm_by_ms INTEGER NOT NULL,
  taken_ms      INTEGER,
  error         TEXT,
  given_up      INTEGER NOT NULL DEFAULT 0,
  confirmed_ms  INTEGER
) STRICT;
