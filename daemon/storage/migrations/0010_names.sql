-- The names that the program has for these things now.
INSERT OR IGNORE INTO word (text) VALUES ('inclination');
UPDATE reading SET quantity = (SELECT id FROM word WHERE text = 'inclination')
  WHERE quantity = (SELECT id FROM word WHERE text = 'tilt');
UPDATE batch SET spec = replace(spec, '{ attenuated = ', '{ progress = ');
ALTER TABLE calibration RENAME COLUMN least_tilt TO least_inclination;
ALTER TABLE calibration RENAME COLUMN most_tilt TO most_inclination;
ALTER TABLE calibration_point RENAME COLUMN tilt TO inclination;
ALTER TABLE judged_anew RENAME TO re_evaluated;
