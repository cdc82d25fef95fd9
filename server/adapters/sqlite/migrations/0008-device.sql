-- Devices that log in with a secret of their own: SHA-256 of 256 random bits. The name is user and client id.
-- One that is retired stays: what it told is kept under its name, and nobody else may take that up.
CREATE TABLE device (
  name        TEXT    NOT NULL PRIMARY KEY,
  fingerprint TEXT    NOT NULL,
  state       TEXT    NOT NULL CHECK (state IN ('enabled', 'disabled', 'retired')),
  created_ms  INTEGER NOT NULL,
  secret_ms   INTEGER NOT NULL,
  state_ms    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
