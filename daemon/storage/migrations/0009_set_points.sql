-- What outside thermostats were asked for, and what the brewer agreed to.

CREATE TABLE set_point (
  batch        INTEGER NOT NULL REFERENCES batch(id),
  step         INTEGER NOT NULL,  -- the hold whose end led to it, 1-based
  celsius      REAL NOT NULL,
  confirmed_ms INTEGER,           -- when the brewer said yes last; NULL: never
  asked_ms     INTEGER,           -- when the broker took it as something new last; NULL: never
  PRIMARY KEY (batch, step, celsius)
) WITHOUT ROWID;
