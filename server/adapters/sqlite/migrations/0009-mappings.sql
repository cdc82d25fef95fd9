-- How messages of topics that are none of the contract's are read as readings; the body is JSON.
CREATE TABLE mapping (
  id   INTEGER PRIMARY KEY AUTOINCREMENT,
  body TEXT    NOT NULL
) STRICT;
