-- What became of a beer after it left its vessel.

CREATE TABLE fill (
  id              INTEGER PRIMARY KEY AUTOINCREMENT,
  batch           INTEGER NOT NULL REFERENCES batch(id),
  time_ms         INTEGER NOT NULL,
  container       TEXT    NOT NULL,  -- bottles, keg
  count           INTEGER NOT NULL CHECK (count > 0),
  litres_each     REAL    NOT NULL CHECK (litres_each > 0),
  gas             TEXT    NOT NULL,  -- priming, cylinder
  storage_celsius REAL    NOT NULL,
  taken_back      INTEGER NOT NULL DEFAULT 0 CHECK (taken_back IN (0, 1))
);
CREATE INDEX fill_batch ON fill (batch);
CREATE TABLE tasting (note INTEGER PRIMARY KEY);  -- the notes that are about how it tasted
