-- The words that the program has for these things now.
UPDATE outbox SET together = 'sent-late' WHERE together = 'told-late';
UPDATE decision SET kind = 'clock-behind' WHERE kind = 'clock-late';
