-- Schema 3: accounts and their keys. A name that the history may speak of is never given to
-- somebody else, so accounts are marked as removed and stay. Of keys only the SHA-256 is kept.

CREATE TABLE accounts (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL COLLATE NOCASE UNIQUE,
    role TEXT NOT NULL CHECK (role IN ('reader', 'inspector', 'reviewer', 'administrator')),
    password TEXT,
    created_at INTEGER NOT NULL,
    removed_at INTEGER
) STRICT;

-- A session ends, a token may; a token may be good for less than its account.
CREATE TABLE keys (
    id INTEGER PRIMARY KEY,
    account_id INTEGER NOT NULL REFERENCES accounts (id),
    kind TEXT NOT NULL CHECK (kind IN ('session', 'token')),
    label TEXT NOT NULL,
    role TEXT CHECK (role IN ('reader', 'inspector', 'reviewer', 'administrator')),
    sha256 BLOB NOT NULL UNIQUE,
    created_at INTEGER NOT NULL,
    expires_at INTEGER,
    used_at INTEGER
) STRICT;
CREATE INDEX keys_by_account ON keys (account_id, kind, id);

-- What was done to accounts.
CREATE TABLE account_events (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    account_id INTEGER NOT NULL REFERENCES accounts (id),
    what TEXT NOT NULL
) STRICT;

CREATE TRIGGER accounts_remain BEFORE DELETE ON accounts
BEGIN SELECT RAISE(ABORT, 'accounts are never deleted'); END;
CREATE TRIGGER account_events_stay BEFORE UPDATE ON account_events
BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END;
CREATE TRIGGER account_events_remain BEFORE DELETE ON account_events
BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END;
