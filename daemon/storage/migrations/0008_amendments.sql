-- What was entered wrongly can be put right; what it was before is kept.

CREATE TABLE amendment (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  batch   INTEGER NOT NULL REFERENCES batch(id),
  time_ms INTEGER NOT NULL,
  subject TEXT NOT NULL CHECK (subject IN ('description', 'sample', 'note', 'packaged')),
  row     INTEGER NOT NULL,  -- the sample's reading, the note; else 0
  before  TEXT NOT NULL,  -- empty: it was not there
  after   TEXT NOT NULL,
  undoes  INTEGER REFERENCES amendment(id)
);
CREATE INDEX amendment_of_batch ON amendment(batch);

CREATE TABLE amended_sample (  -- what counts in place of the reading
  reading INTEGER PRIMARY KEY REFERENCES reading(id),
  time_ms INTEGER NOT NULL,
  value   REAL  -- absent: nothing does, it was taken back
);

-- A batch that is judged anew goes on from what was told of it.
CREATE TABLE judged_anew (
  batch      INTEGER PRIMARY KEY REFERENCES batch(id),
  due        INTEGER NOT NULL,  -- 1: still to be done
  settled_ms INTEGER  -- up to when its decisions have been told, or are not told
);
CREATE TABLE occurrence_shift (  -- added to the occurrences of its decisions since
  batch  INTEGER NOT NULL REFERENCES batch(id),
  kind   TEXT NOT NULL,
  sensor TEXT NOT NULL,
  step   INTEGER NOT NULL,
  shift  INTEGER NOT NULL,
  PRIMARY KEY (batch, kind, sensor, step)
) WITHOUT ROWID;
