-- How a message was put together, so that a repetition of it is the same message.

ALTER TABLE outbox ADD COLUMN together TEXT NOT NULL DEFAULT 'alone';
ALTER TABLE outbox ADD COLUMN packed_ms INTEGER;
