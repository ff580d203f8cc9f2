-- What the judgement was fed beside readings, so that a restart feeds it the same again.

CREATE TABLE tick (  -- the clock was said to have reached time_ms after reading number after_reading
  id            INTEGER PRIMARY KEY,
  after_reading INTEGER NOT NULL,
  time_ms       INTEGER NOT NULL
);

CREATE TABLE assignment (  -- the batch heeds the sensor's readings with after_reading < id <= until_reading
  batch         INTEGER NOT NULL REFERENCES batch(id),
  sensor        TEXT NOT NULL,
  after_reading INTEGER NOT NULL,
  until_reading INTEGER  -- absent: still
);
CREATE INDEX assignment_of_batch ON assignment(batch);
