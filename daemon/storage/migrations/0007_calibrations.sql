-- How the gravity of each float follows from its tilt. Every one is kept, the newest counts.

CREATE TABLE calibration (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  sensor     TEXT NOT NULL,
  made_ms    INTEGER NOT NULL,
  c0         REAL,  -- specific gravity = c0 + c1 t + c2 t^2 + c3 t^3, t in degrees from vertical;
  c1         REAL,  -- absent: from here on the sensor is not calibrated
  c2         REAL,
  c3         REAL,
  least_tilt REAL,  -- where it may be trusted
  most_tilt  REAL
);
CREATE INDEX calibration_of ON calibration(sensor, id);

CREATE TABLE calibration_point (
  calibration INTEGER NOT NULL REFERENCES calibration(id),
  tilt        REAL NOT NULL,
  gravity     REAL NOT NULL
);
CREATE INDEX calibration_point_of ON calibration_point(calibration);

-- The newest calibration when the batch was packaged: later ones change nothing of how it is judged. Absent
-- while it is in its vessel.
ALTER TABLE batch ADD COLUMN last_calibration INTEGER;
UPDATE batch SET last_calibration = 0 WHERE packaged_ms IS NOT NULL;
CREATE TRIGGER batch_left_vessel AFTER UPDATE OF packaged_ms ON batch
  WHEN (OLD.packaged_ms IS NULL) <> (NEW.packaged_ms IS NULL)
BEGIN
  UPDATE batch SET last_calibration =
    CASE WHEN NEW.packaged_ms IS NOT NULL THEN (SELECT ifnull(max(id), 0) FROM calibration) END
  WHERE id = NEW.id;
END;
