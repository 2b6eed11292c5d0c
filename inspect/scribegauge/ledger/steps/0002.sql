-- What of a reading is compared over time, so that a page of progress need not open the readings.
-- Filled by the program: `rules` says by which, and older ones are worked out again.
CREATE TABLE score (
  plate INTEGER PRIMARY KEY REFERENCES plate (id) ON DELETE CASCADE,
  rules INTEGER NOT NULL,
  json TEXT NOT NULL
) STRICT;
