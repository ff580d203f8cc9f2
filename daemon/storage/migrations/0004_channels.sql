-- Alerts are also about the watcher itself, reach several channels each in its own way, and can be
-- acknowledged. A decision without a batch is the watcher's.

CREATE TABLE decision_kept AS SELECT * FROM decision;
CREATE TABLE outbox_kept AS SELECT * FROM outbox;
DROP TABLE outbox;
DROP TABLE decision;

CREATE TABLE decision (
  id              INTEGER PRIMARY KEY AUTOINCREMENT,
  batch           INTEGER REFERENCES batch(id),
  kind            TEXT NOT NULL,
  sensor          TEXT NOT NULL,
  step            INTEGER NOT NULL,  -- 0: about no hold
  occurrence      INTEGER NOT NULL,
  state           TEXT NOT NULL CHECK (state IN ('raised', 'withdrawn')),
  time_ms         INTEGER NOT NULL,
  severity        TEXT NOT NULL,
  sentence        TEXT NOT NULL,
  evidence        TEXT NOT NULL,  -- JSON
  acknowledged_ms INTEGER,
  snoozed_ms      INTEGER  -- until
);
CREATE UNIQUE INDEX decision_once ON decision(ifnull(batch, 0), kind, sensor, step, occurrence, state);
INSERT INTO decision(id, batch, kind, sensor, step, occurrence, state, time_ms, severity, sentence, evidence)
  SELECT id, batch, kind, sensor, step, occurrence, state, time_ms, severity, sentence, evidence
  FROM decision_kept;

CREATE TABLE outbox (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  decision INTEGER NOT NULL REFERENCES decision(id),
  channel  TEXT NOT NULL,
  reminder INTEGER NOT NULL DEFAULT 0,  -- 0: the alert itself; else the how-manieth reminder of it
  parcel   INTEGER,  -- what goes in one message, and is repeated as that: the id of its first delivery
  attempts INTEGER NOT NULL DEFAULT 0,  -- failed so far
  next_ms  INTEGER NOT NULL DEFAULT 0,
  outcome  TEXT NOT NULL DEFAULT 'waiting'
           CHECK (outcome IN ('waiting', 'delivered', 'refused', 'overtaken')),
  ended_ms INTEGER,
  answer   TEXT NOT NULL DEFAULT '',
  UNIQUE (decision, channel, reminder)
);
CREATE INDEX outbox_waiting ON outbox(channel, decision) WHERE outcome = 'waiting';
INSERT INTO outbox(id, decision, channel, attempts, next_ms, outcome, ended_ms, answer)
  SELECT id, decision, channel, attempts, next_ms,
         CASE WHEN delivered_ms IS NULL THEN 'waiting' ELSE 'delivered' END, delivered_ms, error
  FROM outbox_kept;
DROP TABLE decision_kept;
DROP TABLE outbox_kept;

CREATE TABLE run (  -- of the daemon
  id         INTEGER PRIMARY KEY AUTOINCREMENT,
  started_ms INTEGER NOT NULL,
  alive_ms   INTEGER NOT NULL,  -- noted now and then while it ran
  stopped_ms INTEGER  -- absent: it was killed, or runs
);
