-- What a broker may have been asked for: it keeps a subscription as long as the session.

CREATE TABLE subscription (
  filter TEXT PRIMARY KEY
) WITHOUT ROWID;
