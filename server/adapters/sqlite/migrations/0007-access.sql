-- Who may ask. Passwords are kept as scrypt with its parameters and salt; ids of sessions and secrets of devices,
-- which are random and long, as SHA-256.
CREATE TABLE account (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  name       TEXT    NOT NULL UNIQUE COLLATE NOCASE,
  role       TEXT    NOT NULL CHECK (role IN ('look', 'tend', 'own')),
  password   TEXT    NOT NULL,
  created_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE session (
  id          INTEGER PRIMARY KEY AUTOINCREMENT,
  fingerprint TEXT    NOT NULL UNIQUE,
  account_id  INTEGER NOT NULL REFERENCES account (id) ON DELETE CASCADE,
  created_ms  INTEGER NOT NULL,
  seen_ms     INTEGER NOT NULL,
  address     TEXT    NOT NULL,
  agent       TEXT    NOT NULL
) STRICT;
CREATE INDEX session_of_account ON session (account_id);
CREATE TABLE device_login (
  name        TEXT    NOT NULL PRIMARY KEY,
  fingerprint TEXT    NOT NULL,
  created_ms  INTEGER NOT NULL
) STRICT;
