-- Checks of the canvas that the painter kept: the photo, and what was measured in it. They are no edits: undo leaves them.
CREATE TABLE canvas_check (
    number INTEGER PRIMARY KEY,
    photo TEXT NOT NULL REFERENCES photo (id),
    made_at INTEGER NOT NULL, -- milliseconds since 1970-01-01 00:00 UTC
    result TEXT NOT NULL -- JSON
) STRICT;
