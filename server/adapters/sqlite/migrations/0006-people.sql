-- Who is told, by which ways, in which order.
CREATE TABLE person (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  name       TEXT    NOT NULL,
  quiet_from TEXT,
  quiet_to   TEXT
) STRICT;
CREATE TABLE way (
  id        INTEGER PRIMARY KEY AUTOINCREMENT,
  person_id INTEGER NOT NULL REFERENCES person (id) ON DELETE CASCADE,
  body      TEXT    NOT NULL
) STRICT;
CREATE TABLE ladder (
  id   INTEGER PRIMARY KEY CHECK (id = 1),
  body TEXT    NOT NULL
) STRICT;
CREATE TABLE morning_sheet (
  id  INTEGER PRIMARY KEY CHECK (id = 1),
  day TEXT    NOT NULL -- of the last one, YYYY-MM-DD, by the wall clock of the house
) STRICT;

-- What has been told of each alarm, and when to look again.
CREATE TABLE calling (
  alarm_id      TEXT PRIMARY KEY REFERENCES alarm (id) ON DELETE CASCADE,
  body          TEXT NOT NULL,
  look_again_ms INTEGER
) STRICT, WITHOUT ROWID;
CREATE INDEX calling_due ON calling (look_again_ms) WHERE look_again_ms IS NOT NULL;

-- Ways that did not take their last message.
CREATE TABLE way_failing (
  way_id   INTEGER PRIMARY KEY,
  since_ms INTEGER NOT NULL,
  attempts INTEGER NOT NULL, -- most of one message
  error    TEXT    NOT NULL,
  for_good INTEGER NOT NULL
) STRICT;

-- Links by which an alarm was acknowledged: each works once.
CREATE TABLE spent_link (
  id         TEXT    PRIMARY KEY,
  expires_ms INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

ALTER TABLE outbox ADD COLUMN way_id INTEGER NOT NULL DEFAULT 0; -- 0: the webhook of the settings
ALTER TABLE outbox ADD COLUMN alarm_id TEXT;
ALTER TABLE outbox ADD COLUMN recipient TEXT NOT NULL DEFAULT 'the webhook of the house';
ALTER TABLE outbox ADD COLUMN kind TEXT NOT NULL DEFAULT 'alarm';
ALTER TABLE outbox ADD COLUMN sent_ms INTEGER;
CREATE INDEX outbox_of_alarm ON outbox (alarm_id, id) WHERE alarm_id IS NOT NULL;
