-- How the day is known: 'photo' (by its own record), 'given' (by a person), 'kept' (the day it was
-- kept, for want of better). Until now only days from photos were kept.
ALTER TABLE plate ADD COLUMN made_by TEXT NOT NULL DEFAULT 'photo'
  CHECK (made_by IN ('photo', 'given', 'kept'));
