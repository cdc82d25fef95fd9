-- When the wall clock was set rather than advanced, ms since epoch.
CREATE TABLE clock_jump (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  from_ms INTEGER NOT NULL, -- what it would have shown
  to_ms   INTEGER NOT NULL, -- what it showed
  by_ms   INTEGER NOT NULL,
  exact   INTEGER NOT NULL  -- 0: the computer was off in between, and it was set back by this at least
) STRICT;

-- Readings taken out of the record because the clock that dated them was wrong, packed as sealed hours are.
CREATE TABLE set_aside (
  id        INTEGER PRIMARY KEY AUTOINCREMENT,
  jump_id   INTEGER NOT NULL REFERENCES clock_jump (id),
  probe_id  INTEGER NOT NULL,
  first_ms  INTEGER NOT NULL,
  last_ms   INTEGER NOT NULL,
  count     INTEGER NOT NULL,
  on_return INTEGER NOT NULL DEFAULT 0, -- 1: on its way back into the record
  block     BLOB    NOT NULL
) STRICT;
CREATE INDEX set_aside_on_return ON set_aside (id) WHERE on_return = 1;
CREATE INDEX set_aside_of_jump ON set_aside (jump_id, probe_id);
