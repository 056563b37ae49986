-- Whether the original was found sound when it was compared last, so that taking the file in again
-- mends one that was not.
ALTER TABLE compared ADD COLUMN sound INTEGER NOT NULL DEFAULT 1;
