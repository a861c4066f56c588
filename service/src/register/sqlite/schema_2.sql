-- Schema 2. Photos that people send one by one, and imports that others can see and go on with.

-- The key under which a photo was sent and what came with it, so that a second try is known.
-- `outcome` is there once the photo is.
CREATE TABLE uploads (
    key TEXT PRIMARY KEY,
    content TEXT NOT NULL,
    at INTEGER NOT NULL,
    plate_id INTEGER REFERENCES plates (id),
    outcome TEXT CHECK (outcome IN ('new', 'by_identity', 'by_look', 'held')),
    CHECK ((plate_id IS NULL) = (outcome IS NULL))
) STRICT, WITHOUT ROWID;

-- `kept` asks for copies of the photos; `location` is where photos stand that tell no other;
-- `resumes` is the import that this one goes on with.
ALTER TABLE imports ADD COLUMN origin TEXT NOT NULL DEFAULT 'command'
    CHECK (origin IN ('command', 'upload', 'folder'));
ALTER TABLE imports ADD COLUMN kept INTEGER NOT NULL DEFAULT 0;
ALTER TABLE imports ADD COLUMN location TEXT;
ALTER TABLE imports ADD COLUMN resumes INTEGER REFERENCES imports (id);
CREATE INDEX imports_by_resumes ON imports (resumes) WHERE resumes IS NOT NULL;
