-- Only what was delivered lately can come again, so the order of the deliveries counts. What the old table held
-- has none and is forgotten.

DROP TABLE delivery;
CREATE TABLE delivery (  -- the newest messages journalled in the broker's session
  number    INTEGER PRIMARY KEY,  -- grows with each
  packet_id INTEGER NOT NULL UNIQUE CHECK (packet_id BETWEEN 1 AND 65535),
  digest    INTEGER NOT NULL
);
