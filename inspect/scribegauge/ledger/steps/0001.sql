-- Who, when, what: a reading is kept whole, and each photo belongs to one plate only.
CREATE TABLE pupil (
  code TEXT NOT NULL PRIMARY KEY
) STRICT;
CREATE TABLE plate (
  id INTEGER PRIMARY KEY,
  pupil TEXT NOT NULL REFERENCES pupil (code) ON DELETE CASCADE,
  made TEXT NOT NULL,
  title TEXT NOT NULL,
  program TEXT NOT NULL,
  kept TEXT NOT NULL
) STRICT;
CREATE INDEX plate_by_pupil ON plate (pupil, made);
CREATE TABLE photo (
  sha256 TEXT NOT NULL PRIMARY KEY,
  plate INTEGER NOT NULL REFERENCES plate (id) ON DELETE CASCADE,
  place INTEGER NOT NULL
) STRICT;
CREATE INDEX photo_by_plate ON photo (plate);
CREATE TABLE reading (
  plate INTEGER PRIMARY KEY REFERENCES plate (id) ON DELETE CASCADE,
  json TEXT NOT NULL
) STRICT;
