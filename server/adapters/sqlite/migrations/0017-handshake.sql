-- Messages of QoS 2 that were stored and whose handshake is not known to be over: one that comes again is stored once.
CREATE TABLE handshake (
  key     TEXT    PRIMARY KEY, -- client id and packet identifier
  content TEXT    NOT NULL,    -- digest of topic and payload
  at_ms   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX handshake_by_time ON handshake (at_ms);
