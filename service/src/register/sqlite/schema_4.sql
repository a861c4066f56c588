-- Schema 4. Two plates on a photo are two pieces of equipment; the register keeps the site's lists of
-- certificates.

-- Of which plate of its photo a reading is, counted from 0 as they came.
ALTER TABLE readings ADD COLUMN part INTEGER NOT NULL DEFAULT 0;

-- The plates of a photo beside the first one, which stands in the photo's own row.
CREATE TABLE further_plates (
    photo_id INTEGER NOT NULL REFERENCES photos (id),
    part INTEGER NOT NULL CHECK (part > 0),
    plate_id INTEGER NOT NULL REFERENCES plates (id),
    reading_id INTEGER NOT NULL REFERENCES readings (id),
    PRIMARY KEY (photo_id, part)
) STRICT, WITHOUT ROWID;
CREATE INDEX further_plates_by_plate ON further_plates (plate_id, photo_id);
CREATE TRIGGER further_plates_remain BEFORE DELETE ON further_plates
BEGIN SELECT RAISE(ABORT, 'plates are never deleted'); END;

-- Every plate of every photo, with the reading that counts for it.
CREATE VIEW shown (photo_id, part, plate_id, reading_id) AS
SELECT id, 0, plate_id, reading_id FROM photos WHERE plate_id IS NOT NULL
UNION ALL
SELECT photo_id, part, plate_id, reading_id FROM further_plates;

-- Lists of certificates as they were given; the last one counts.
CREATE TABLE certificate_lists (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL,
    who TEXT NOT NULL,
    source TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    certificates INTEGER NOT NULL,
    content TEXT NOT NULL
) STRICT;
CREATE TRIGGER certificate_lists_stay BEFORE UPDATE ON certificate_lists
BEGIN SELECT RAISE(ABORT, 'lists of certificates are only added to'); END;
CREATE TRIGGER certificate_lists_remain BEFORE DELETE ON certificate_lists
BEGIN SELECT RAISE(ABORT, 'lists of certificates are only added to'); END;
