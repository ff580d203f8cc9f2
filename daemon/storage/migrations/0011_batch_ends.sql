-- How a packaged batch stood at its end, so that its readings need not be judged again to show it.

CREATE TABLE batch_end (
  batch         INTEGER PRIMARY KEY REFERENCES batch(id),
  after_reading INTEGER NOT NULL,  -- the readings that it used come after this one
  ending        TEXT NOT NULL      -- JSON
);
