-- What happened at the door: sign-ins, refusals, changes of who may. Rows of a class beyond its limit are deleted.
CREATE TABLE access_event (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  class    TEXT    NOT NULL CHECK (class IN ('sign-in', 'refusal', 'change')),
  kind     TEXT    NOT NULL,
  first_ms INTEGER NOT NULL,
  at_ms    INTEGER NOT NULL,
  count    INTEGER NOT NULL CHECK (count >= 1),
  who      TEXT,
  whom     TEXT,
  address  TEXT,
  note     TEXT
) STRICT;
CREATE INDEX access_event_of_class ON access_event (class, id);
-- Passkeys (WebAuthn): the public key as COSE, the signature counter, and the host name it works at.
CREATE TABLE passkey (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  account_id INTEGER NOT NULL REFERENCES account (id) ON DELETE CASCADE,
  name       TEXT    NOT NULL,
  credential TEXT    NOT NULL UNIQUE,
  public_key BLOB    NOT NULL,
  counter    INTEGER NOT NULL CHECK (counter >= 0),
  transports TEXT    NOT NULL,
  host       TEXT    NOT NULL,
  created_ms INTEGER NOT NULL,
  used_ms    INTEGER
) STRICT;
CREATE INDEX passkey_of_account ON passkey (account_id);
