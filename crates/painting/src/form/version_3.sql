-- What goes along with the work and is no edit: undo leaves it. One text for each thing that is kept.
CREATE TABLE beside (
    what TEXT PRIMARY KEY NOT NULL,
    content TEXT NOT NULL
) STRICT;

-- Checks as before, but the number of one that was taken out is never given to another.
CREATE TABLE numbered_check (
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    photo TEXT NOT NULL REFERENCES photo (id),
    made_at INTEGER NOT NULL, -- milliseconds since 1970-01-01 00:00 UTC
    result TEXT NOT NULL -- JSON
) STRICT;
INSERT INTO numbered_check (number, photo, made_at, result) SELECT number, photo, made_at, result FROM canvas_check;
DROP TABLE canvas_check;
ALTER TABLE numbered_check RENAME TO canvas_check;
