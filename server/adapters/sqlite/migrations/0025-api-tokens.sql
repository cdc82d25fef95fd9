-- Tokens with which programs read, of which only a fingerprint is kept.
CREATE TABLE api_token (
  id          INTEGER PRIMARY KEY AUTOINCREMENT,
  name        TEXT    NOT NULL UNIQUE,
  scope       TEXT    NOT NULL,
  fingerprint TEXT    NOT NULL UNIQUE,
  created_ms  INTEGER NOT NULL
) STRICT;
