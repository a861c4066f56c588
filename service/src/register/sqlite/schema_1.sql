-- Schema 1. Times are milliseconds since 1970 (UTC). What is only ever added to has triggers
-- that refuse to change or delete it.

CREATE TABLE settings (
    key TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;

CREATE TABLE locations (
    id INTEGER PRIMARY KEY,
    tag TEXT NOT NULL COLLATE NOCASE UNIQUE,
    description TEXT,
    place TEXT NOT NULL,
    version INTEGER NOT NULL,
    changed_at INTEGER NOT NULL
) STRICT;

CREATE TABLE imports (
    id INTEGER PRIMARY KEY,
    who TEXT NOT NULL,
    sources TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('running', 'done', 'stopped', 'interrupted')),
    started_at INTEGER NOT NULL,
    ended_at INTEGER,
    seen INTEGER NOT NULL DEFAULT 0,
    taken INTEGER NOT NULL DEFAULT 0,
    held INTEGER NOT NULL DEFAULT 0,
    refused INTEGER NOT NULL DEFAULT 0,
    failed INTEGER NOT NULL DEFAULT 0,
    left_over INTEGER NOT NULL DEFAULT 0,
    CHECK (seen = taken + held + refused + failed)
) STRICT;

CREATE TABLE problems (
    id INTEGER PRIMARY KEY,
    import_id INTEGER NOT NULL REFERENCES imports (id),
    source TEXT NOT NULL,
    failed INTEGER NOT NULL,
    reason TEXT NOT NULL
) STRICT;
CREATE INDEX problems_by_import ON problems (import_id, id);

CREATE TABLE plates (
    id INTEGER PRIMARY KEY,
    version INTEGER NOT NULL,
    tag TEXT COLLATE NOCASE,
    location_id INTEGER REFERENCES locations (id),
    maker TEXT,
    kind TEXT,
    serial TEXT COLLATE NOCASE,
    year INTEGER,
    certificate TEXT,
    marking TEXT NOT NULL,
    outcome TEXT CHECK (outcome IN ('unsuitable', 'undecided', 'conditional', 'suitable')),
    review TEXT NOT NULL CHECK (review IN ('not_needed', 'waiting', 'put_back', 'settled')),
    urgency INTEGER NOT NULL,
    photos INTEGER NOT NULL,
    fields TEXT NOT NULL,
    differences TEXT NOT NULL,
    reading_id INTEGER REFERENCES readings (id),
    settlement_id INTEGER REFERENCES settlements (id),
    verdict_id INTEGER REFERENCES verdicts (id),
    put_back TEXT,
    held_by TEXT,
    held_until INTEGER,
    created_at INTEGER NOT NULL,
    changed_at INTEGER NOT NULL
) STRICT;
CREATE INDEX plates_by_location ON plates (location_id, outcome, review, id);
CREATE INDEX plates_by_location_review ON plates (location_id, review, id);
CREATE INDEX plates_by_location_id ON plates (location_id, id);
CREATE INDEX plates_by_outcome ON plates (outcome, review, id);
CREATE INDEX plates_by_outcome_id ON plates (outcome, id);
CREATE INDEX plates_by_review ON plates (review, id);
CREATE INDEX plates_by_location_outcome_id ON plates (location_id, outcome, id);
CREATE INDEX plates_by_urgency ON plates (urgency DESC, id)
    WHERE review IN ('waiting', 'put_back');
CREATE INDEX plates_by_location_urgency ON plates (location_id, urgency DESC, id)
    WHERE review IN ('waiting', 'put_back');
CREATE INDEX plates_by_serial ON plates (serial, id);
CREATE INDEX plates_by_tag ON plates (tag, id);

-- What a plate is searched by; three characters at least.
CREATE VIRTUAL TABLE plate_text USING fts5 (
    tag, location, serial, certificate, maker, kind,
    tokenize = 'trigram', content = '', contentless_delete = 1
);

-- Serial number and certificate, both sure, name one plate.
CREATE TABLE plate_keys (
    key TEXT PRIMARY KEY,
    plate_id INTEGER NOT NULL REFERENCES plates (id)
) STRICT, WITHOUT ROWID;

CREATE TABLE photos (
    id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,
    bytes INTEGER NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'read', 'refused', 'failed')),
    reason TEXT,
    attempts INTEGER NOT NULL DEFAULT 0,
    worker TEXT,
    lease_until INTEGER,
    fence INTEGER NOT NULL DEFAULT 0,
    kept INTEGER NOT NULL DEFAULT 0,
    width INTEGER,
    height INTEGER,
    taken_at TEXT,
    north REAL,
    east REAL,
    look INTEGER,
    look_0 INTEGER,
    look_1 INTEGER,
    look_2 INTEGER,
    look_3 INTEGER,
    tag TEXT,
    location_id INTEGER REFERENCES locations (id),
    plate_id INTEGER REFERENCES plates (id),
    reading_id INTEGER REFERENCES readings (id),
    import_id INTEGER REFERENCES imports (id),
    added_at INTEGER NOT NULL,
    CHECK ((state = 'read') = (plate_id IS NOT NULL AND reading_id IS NOT NULL))
) STRICT;
CREATE INDEX photos_open ON photos (state, id) WHERE state IN ('waiting', 'refused', 'failed');
CREATE INDEX photos_by_plate ON photos (plate_id, id);
CREATE INDEX photos_by_import ON photos (import_id, id);
CREATE INDEX photos_by_look_0 ON photos (look_0) WHERE look IS NOT NULL;
CREATE INDEX photos_by_look_1 ON photos (look_1) WHERE look IS NOT NULL;
CREATE INDEX photos_by_look_2 ON photos (look_2) WHERE look IS NOT NULL;
CREATE INDEX photos_by_look_3 ON photos (look_3) WHERE look IS NOT NULL;

-- Where the bytes of a photo were seen. `raw` holds a path that is no UTF-8.
CREATE TABLE sightings (
    photo_id INTEGER NOT NULL REFERENCES photos (id),
    source TEXT NOT NULL,
    raw BLOB,
    seen_at INTEGER NOT NULL,
    PRIMARY KEY (photo_id, source)
) STRICT;

CREATE TABLE readings (
    id INTEGER PRIMARY KEY,
    photo_id INTEGER NOT NULL REFERENCES photos (id),
    at INTEGER NOT NULL,
    program TEXT NOT NULL,
    models TEXT NOT NULL,
    facts TEXT NOT NULL,
    answer TEXT NOT NULL,
    evidence BLOB NOT NULL
) STRICT;
CREATE INDEX readings_by_photo ON readings (photo_id, id);

CREATE TABLE settlements (
    id INTEGER PRIMARY KEY,
    plate_id INTEGER NOT NULL REFERENCES plates (id),
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('confirmed', 'corrected', 'illegible')),
    lines TEXT NOT NULL,
    note TEXT
) STRICT;
CREATE INDEX settlements_by_plate ON settlements (plate_id, id);

-- `answer` is there for verdicts on settled lines; the others have that of their reading.
CREATE TABLE verdicts (
    id INTEGER PRIMARY KEY,
    plate_id INTEGER NOT NULL REFERENCES plates (id),
    at INTEGER NOT NULL,
    outcome TEXT,
    reading_id INTEGER REFERENCES readings (id),
    settlement_id INTEGER REFERENCES settlements (id),
    program TEXT NOT NULL,
    cause TEXT NOT NULL,
    answer TEXT
) STRICT;
CREATE INDEX verdicts_by_plate ON verdicts (plate_id, id);

CREATE TABLE inspections (
    id INTEGER PRIMARY KEY,
    plate_id INTEGER NOT NULL REFERENCES plates (id),
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    date TEXT NOT NULL,
    next TEXT,
    replaces INTEGER REFERENCES inspections (id),
    record TEXT NOT NULL
) STRICT;
CREATE INDEX inspections_by_plate ON inspections (plate_id, id);

CREATE TABLE history (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    subject TEXT NOT NULL CHECK (subject IN ('plate', 'photo', 'location')),
    subject_id INTEGER NOT NULL,
    what TEXT NOT NULL,
    before TEXT NOT NULL,
    after TEXT NOT NULL
) STRICT;
CREATE INDEX history_by_subject ON history (subject, subject_id, id);

CREATE TRIGGER readings_stay BEFORE UPDATE ON readings
BEGIN SELECT RAISE(ABORT, 'readings are only added to'); END;
CREATE TRIGGER readings_remain BEFORE DELETE ON readings
BEGIN SELECT RAISE(ABORT, 'readings are only added to'); END;
CREATE TRIGGER settlements_stay BEFORE UPDATE ON settlements
BEGIN SELECT RAISE(ABORT, 'settlements are only added to'); END;
CREATE TRIGGER settlements_remain BEFORE DELETE ON settlements
BEGIN SELECT RAISE(ABORT, 'settlements are only added to'); END;
CREATE TRIGGER verdicts_stay BEFORE UPDATE ON verdicts
BEGIN SELECT RAISE(ABORT, 'verdicts are only added to'); END;
CREATE TRIGGER verdicts_remain BEFORE DELETE ON verdicts
BEGIN SELECT RAISE(ABORT, 'verdicts are only added to'); END;
CREATE TRIGGER inspections_stay BEFORE UPDATE ON inspections
BEGIN SELECT RAISE(ABORT, 'inspections are only added to'); END;
CREATE TRIGGER inspections_remain BEFORE DELETE ON inspections
BEGIN SELECT RAISE(ABORT, 'inspections are only added to'); END;
CREATE TRIGGER history_stays BEFORE UPDATE ON history
BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END;
CREATE TRIGGER history_remains BEFORE DELETE ON history
BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END;
CREATE TRIGGER plates_remain BEFORE DELETE ON plates
BEGIN SELECT RAISE(ABORT, 'plates are never deleted'); END;
CREATE TRIGGER photos_remain BEFORE DELETE ON photos
BEGIN SELECT RAISE(ABORT, 'photos are never deleted'); END;

-- How many plates of each kind there are, kept by the database itself.
CREATE TABLE tallies (
    location_id INTEGER NOT NULL,
    outcome TEXT NOT NULL,
    review TEXT NOT NULL,
    plates INTEGER NOT NULL,
    PRIMARY KEY (location_id, outcome, review)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER tally_new AFTER INSERT ON plates
BEGIN
    INSERT INTO tallies VALUES (ifnull(new.location_id, 0), ifnull(new.outcome, ''), new.review, 1)
    ON CONFLICT DO UPDATE SET plates = plates + 1;
END;
CREATE TRIGGER tally_changed AFTER UPDATE OF location_id, outcome, review ON plates
BEGIN
    UPDATE tallies SET plates = plates - 1
    WHERE location_id = ifnull(old.location_id, 0)
        AND outcome = ifnull(old.outcome, '') AND review = old.review;
    INSERT INTO tallies VALUES (ifnull(new.location_id, 0), ifnull(new.outcome, ''), new.review, 1)
    ON CONFLICT DO UPDATE SET plates = plates + 1;
END;
