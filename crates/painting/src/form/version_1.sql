-- Photos as the painter brought them; id is the SHA-256 of the bytes in hexadecimal.
CREATE TABLE photo (
    id TEXT PRIMARY KEY NOT NULL,
    bytes BLOB NOT NULL
) STRICT;

-- Every edit ever made, with the whole document after it. An edit follows the one that was present when it was made;
-- where an edit was made after an undo, two edits follow the same one, and the later of them is the line that redo takes.
CREATE TABLE edit (
    number INTEGER PRIMARY KEY,
    follows INTEGER REFERENCES edit (number) CHECK (follows < number),
    label TEXT NOT NULL,
    made_at INTEGER NOT NULL, -- milliseconds since 1970-01-01 00:00 UTC
    document TEXT NOT NULL
) STRICT;

CREATE INDEX edit_follows ON edit (follows);

-- Where the painting stands: one row. The revision grows by one with every edit, undo and redo.
CREATE TABLE present (
    only_row INTEGER PRIMARY KEY CHECK (only_row = 1),
    revision INTEGER NOT NULL CHECK (revision > 0),
    edit INTEGER NOT NULL REFERENCES edit (number)
) STRICT;
