-- Times are milliseconds since the Unix epoch, UTC. Nothing is ever deleted from reading, batch or decision.

CREATE TABLE word (  -- sensor ids and names of quantities, written once
  id   INTEGER PRIMARY KEY,
  text TEXT NOT NULL UNIQUE
);

CREATE TABLE reading (  -- ids are the order of the journal
  id           INTEGER PRIMARY KEY,
  received_ms  INTEGER NOT NULL,
  time_ms      INTEGER NOT NULL,
  sensor       INTEGER NOT NULL REFERENCES word(id),
  quantity     INTEGER NOT NULL REFERENCES word(id),
  value        REAL NOT NULL,
  time_quality INTEGER NOT NULL CHECK (time_quality IN (0, 1, 2))  -- 0 stamped, 1 arrival, 2 backlog
);
-- What carries its own time is known again by its content; the rest only by its delivery (below).
CREATE UNIQUE INDEX reading_once ON reading(sensor, quantity, time_ms, value) WHERE time_quality = 0;

CREATE TABLE sensor (
  sensor   INTEGER PRIMARY KEY REFERENCES word(id),
  heard_ms INTEGER NOT NULL
);

CREATE TABLE refusal (  -- the newest ones only
  id          INTEGER PRIMARY KEY AUTOINCREMENT,
  received_ms INTEGER NOT NULL,
  reason      TEXT NOT NULL,
  topic       TEXT NOT NULL,
  sensor      TEXT NOT NULL,
  detail      TEXT NOT NULL,
  head        BLOB NOT NULL
);

CREATE TABLE refusal_count (  -- all there ever were
  reason TEXT PRIMARY KEY,
  count  INTEGER NOT NULL
);

CREATE TABLE delivery (  -- the last message journalled under each packet identifier of the broker's session
  packet_id INTEGER PRIMARY KEY CHECK (packet_id BETWEEN 1 AND 65535),
  digest    INTEGER NOT NULL
);

CREATE TABLE batch (
  id          INTEGER PRIMARY KEY AUTOINCREMENT,
  vessel      TEXT NOT NULL,
  name        TEXT NOT NULL,
  pitched_ms  INTEGER NOT NULL,
  packaged_ms INTEGER,
  spec        TEXT NOT NULL  -- TOML
);
CREATE UNIQUE INDEX batch_one_open ON batch(vessel) WHERE packaged_ms IS NULL;

CREATE TABLE decision (
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  batch      INTEGER NOT NULL REFERENCES batch(id),
  kind       TEXT NOT NULL,
  sensor     TEXT NOT NULL,
  step       INTEGER NOT NULL,  -- 0: about no hold
  occurrence INTEGER NOT NULL,
  state      TEXT NOT NULL CHECK (state IN ('raised', 'withdrawn')),
  time_ms    INTEGER NOT NULL,
  severity   TEXT NOT NULL,
  sentence   TEXT NOT NULL,
  evidence   TEXT NOT NULL,  -- JSON
  UNIQUE (batch, kind, sensor, step, occurrence, state)
);

CREATE TABLE outbox (
  id           INTEGER PRIMARY KEY AUTOINCREMENT,
  decision     INTEGER NOT NULL REFERENCES decision(id),
  channel      TEXT NOT NULL,
  attempts     INTEGER NOT NULL DEFAULT 0,
  next_ms      INTEGER NOT NULL DEFAULT 0,
  delivered_ms INTEGER,
  error        TEXT NOT NULL DEFAULT '',
  UNIQUE (decision, channel)
);
CREATE INDEX outbox_waiting ON outbox(channel, decision) WHERE delivered_ms IS NULL;
