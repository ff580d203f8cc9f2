-- The same readings in two thirds of the room, or less.

CREATE TABLE amended_kept AS SELECT * FROM amended_sample;
DROP TABLE amended_sample;
DROP INDEX reading_once;
ALTER TABLE reading RENAME TO reading_kept;

CREATE TABLE series (  -- one quantity of one sensor
  id       INTEGER PRIMARY KEY,
  sensor   INTEGER NOT NULL REFERENCES word(id),
  quantity INTEGER NOT NULL REFERENCES word(id),
  newest   INTEGER,  -- its newest reading; absent: the sensor was forgotten, and not heard since
  UNIQUE (sensor, quantity)
);
INSERT INTO series(sensor, quantity, newest)
  SELECT r.sensor, r.quantity, CASE WHEN r.sensor IN (SELECT sensor FROM sensor) THEN max(r.id) END
  FROM reading_kept r GROUP BY 1, 2;
DROP TABLE sensor;

CREATE TABLE reading (  -- ids are the order of the journal
  id           INTEGER PRIMARY KEY,
  time_ms      INTEGER NOT NULL,
  delay_ms     INTEGER NOT NULL,  -- from then until it was received
  series       INTEGER NOT NULL REFERENCES series(id),
  value        NOT NULL,  -- an integer: millionths, if that is exact; else it is REAL, the value itself
  time_quality INTEGER NOT NULL CHECK (time_quality IN (0, 1, 2))  -- 0 stamped, 1 arrival, 2 backlog
);
INSERT INTO reading(id, time_ms, delay_ms, series, value, time_quality)
  SELECT r.id, r.time_ms, r.received_ms - r.time_ms, s.id,
         CASE WHEN abs(r.value) < 1e9 AND CAST(round(r.value * 1e6) AS INTEGER) / 1e6 = r.value
              THEN CAST(round(r.value * 1e6) AS INTEGER) ELSE r.value END,
         r.time_quality
  FROM reading_kept r JOIN series s ON s.sensor = r.sensor AND s.quantity = r.quantity ORDER BY r.id;
DROP TABLE reading_kept;
-- What carries its own time is recognised by its content: it is looked for among those of the same four minutes.
CREATE INDEX reading_near ON reading(time_ms >> 18, series) WHERE time_quality = 0;

CREATE TABLE amended_sample (  -- what counts in place of the reading
  reading INTEGER PRIMARY KEY REFERENCES reading(id),
  time_ms INTEGER NOT NULL,
  value   REAL  -- absent: nothing does, it was taken back
);
INSERT INTO amended_sample SELECT * FROM amended_kept;
DROP TABLE amended_kept;

CREATE TABLE thinned (  -- packaged batches that keep some of their readings only
  batch    INTEGER PRIMARY KEY REFERENCES batch(id),
  every_ms INTEGER NOT NULL,  -- one of each quantity stays in so long a time
  removed  INTEGER NOT NULL,  -- readings
  course   TEXT               -- JSON, as evaluated from all of them; absent: something was amended since
);
