-- What the brewer writes about a batch.

CREATE TABLE note (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  batch   INTEGER NOT NULL REFERENCES batch(id),
  time_ms INTEGER NOT NULL,  -- that it is about
  text    TEXT NOT NULL,
  UNIQUE (batch, time_ms, text)
);
