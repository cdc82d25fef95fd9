-- Keys by which others know this installation: webhook-secret, link-key, push-keys; each as its maker wrote it.
CREATE TABLE installation_key (
  name  TEXT NOT NULL PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;

-- Contact methods that a restore left without what they need, until they are set up again or deliver a message.
CREATE TABLE restore_gap (
  way_id   INTEGER NOT NULL PRIMARY KEY, -- 0: the webhook of the settings
  why      TEXT    NOT NULL CHECK (why IN ('push-keys', 'webhook-secret', 'no-mail-server', 'no-webhook-url')),
  since_ms INTEGER NOT NULL
) STRICT;

-- Which message goes first: 0 high, 1 medium, 2 low.
ALTER TABLE outbox ADD COLUMN priority INTEGER NOT NULL DEFAULT 1;
UPDATE outbox SET priority = CASE json_extract(body, '$.data.alarm.priority') WHEN 'high' THEN 0 WHEN 'low' THEN 2 ELSE 1 END
  WHERE state = 'waiting' AND json_valid(body);
CREATE INDEX outbox_of_way ON outbox (way_id, priority, id) WHERE state = 'waiting';
