"""The tables, as a list of migrations: the n-th brings a store of version n - 1 to version n. Never edit an old one."""

from typing import Final

_FIRST: Final = """
CREATE TABLE documents (
    name TEXT PRIMARY KEY,
    revision INTEGER NOT NULL CHECK (revision > 0)
) STRICT;
CREATE TABLE revisions (
    document TEXT NOT NULL REFERENCES documents (name) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    content TEXT NOT NULL,
    what TEXT NOT NULL,
    at TEXT NOT NULL,
    position INTEGER NOT NULL,
    parent INTEGER,
    ahead INTEGER,
    PRIMARY KEY (document, number)
) STRICT;
CREATE TABLE jobs (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    client TEXT NOT NULL DEFAULT '',
    archived INTEGER NOT NULL DEFAULT 0 CHECK (archived IN (0, 1)),
    created TEXT NOT NULL,
    changed TEXT NOT NULL,
    pieces INTEGER NOT NULL DEFAULT 0,
    total TEXT NOT NULL DEFAULT '',
    words TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE TABLE quotes (
    job INTEGER NOT NULL REFERENCES jobs (id),
    version INTEGER NOT NULL,
    number TEXT NOT NULL,
    sent_on TEXT NOT NULL,
    total TEXT NOT NULL,
    currency TEXT NOT NULL,
    content TEXT NOT NULL,
    office TEXT NOT NULL,
    plans TEXT NOT NULL,
    result TEXT NOT NULL,
    at TEXT NOT NULL,
    PRIMARY KEY (job, version)
) STRICT;
CREATE TRIGGER quotes_are_frozen BEFORE UPDATE ON quotes BEGIN SELECT RAISE (ABORT, 'a sent quote is frozen'); END;
CREATE TRIGGER quotes_are_kept BEFORE DELETE ON quotes BEGIN SELECT RAISE (ABORT, 'a sent quote is kept'); END;
CREATE TABLE standings (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    job INTEGER NOT NULL REFERENCES jobs (id),
    standing TEXT NOT NULL,
    on_day TEXT NOT NULL,
    amount TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '',
    gone INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE TABLE actuals (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    job INTEGER NOT NULL REFERENCES jobs (id),
    kind TEXT NOT NULL CHECK (kind IN ('hours', 'receipt')),
    on_day TEXT NOT NULL,
    what TEXT NOT NULL,
    amount TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    gone INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE TABLE plans (
    key TEXT PRIMARY KEY,
    effort TEXT NOT NULL,
    content TEXT NOT NULL,
    at TEXT NOT NULL
) STRICT;
"""

_SECOND: Final = """
CREATE TABLE offcuts (
    name TEXT PRIMARY KEY,
    good TEXT NOT NULL,
    length INTEGER NOT NULL CHECK (length > 0),
    width INTEGER NOT NULL CHECK (width >= 0),
    value TEXT NOT NULL,
    count INTEGER NOT NULL CHECK (count > 0),
    place TEXT NOT NULL DEFAULT '',
    from_job INTEGER REFERENCES jobs (id),
    gone INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE TABLE takings (
    offcut TEXT NOT NULL REFERENCES offcuts (name) ON UPDATE CASCADE,
    job INTEGER NOT NULL REFERENCES jobs (id),
    count INTEGER NOT NULL CHECK (count > 0),
    at TEXT NOT NULL,
    PRIMARY KEY (offcut, job)
) STRICT;
CREATE TRIGGER taken_once_new BEFORE INSERT ON takings
WHEN NEW.count + (SELECT coalesce(sum(count), 0) FROM takings WHERE offcut = NEW.offcut AND job <> NEW.job)
    > (SELECT CASE gone WHEN 1 THEN 0 ELSE count END FROM offcuts WHERE name = NEW.offcut)
BEGIN SELECT RAISE (ABORT, 'an offcut cannot be taken twice'); END;
CREATE TRIGGER taken_once_more BEFORE UPDATE ON takings
WHEN NEW.count + (SELECT coalesce(sum(count), 0) FROM takings WHERE offcut = NEW.offcut AND job <> NEW.job)
    > (SELECT CASE gone WHEN 1 THEN 0 ELSE count END FROM offcuts WHERE name = NEW.offcut)
BEGIN SELECT RAISE (ABORT, 'an offcut cannot be taken twice'); END;
CREATE TABLE shelf (
    name TEXT PRIMARY KEY,
    good TEXT NOT NULL,
    quantity INTEGER NOT NULL CHECK (quantity > 0),
    width INTEGER NOT NULL CHECK (width >= 0),
    place TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE TABLE fetched (
    job INTEGER NOT NULL REFERENCES jobs (id),
    stock TEXT NOT NULL,
    count TEXT NOT NULL,
    PRIMARY KEY (job, stock)
) STRICT;
CREATE TABLE photos (
    job INTEGER NOT NULL REFERENCES jobs (id),
    piece TEXT NOT NULL,
    jpeg BLOB NOT NULL,
    PRIMARY KEY (job, piece)
) STRICT;
"""

# Which photo shows a piece becomes part of its job's document, so that undo reaches it. Every revision that is kept
# gets the photos there were: an undo of something older must not take them away.
_THIRD: Final = """
CREATE TABLE pictures (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    jpeg BLOB NOT NULL
) STRICT;
INSERT INTO pictures (id, jpeg) SELECT rowid, jpeg FROM photos;
UPDATE revisions SET content = json_set(content, '$.photos', json((
    SELECT json_group_object(piece, p.rowid) FROM photos p WHERE 'job:' || p.job = revisions.document)))
WHERE document IN (SELECT 'job:' || job FROM photos);
DROP TABLE photos;
"""

# The last answer of each kind of long work that a job had: none is lost with the desk that is closed.
_FOURTH: Final = """
CREATE TABLE answers (
    job INTEGER NOT NULL REFERENCES jobs (id),
    kind TEXT NOT NULL,
    made_by TEXT NOT NULL,
    content TEXT NOT NULL,
    at TEXT NOT NULL,
    PRIMARY KEY (job, kind)
) STRICT;
"""

# How many were fetched before a line was ticked off whole, so that the tick taken back brings them back.
_FIFTH: Final = """
ALTER TABLE fetched ADD COLUMN part TEXT NOT NULL DEFAULT '';
"""

# A sent quote keeps its papers as they went out. A printing seals them: once it stands without trouble, no paper can be
# added, changed or lost. One with trouble says why there are none, and may be followed by a better one. The triggers
# on inserts are there because a row that is replaced passes by those on deletes.
_SIXTH: Final = """
CREATE TABLE sent_papers (
    job INTEGER NOT NULL,
    version INTEGER NOT NULL,
    name TEXT NOT NULL,
    packing TEXT NOT NULL CHECK (packing IN ('', 'zlib')),
    content BLOB NOT NULL,
    PRIMARY KEY (job, version, name),
    FOREIGN KEY (job, version) REFERENCES quotes (job, version)
) STRICT;
CREATE TABLE printings (
    job INTEGER NOT NULL,
    version INTEGER NOT NULL,
    made_by TEXT NOT NULL,
    at TEXT NOT NULL,
    afterwards INTEGER NOT NULL CHECK (afterwards IN (0, 1)),
    trouble TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (job, version),
    FOREIGN KEY (job, version) REFERENCES quotes (job, version)
) STRICT;
CREATE TRIGGER quotes_are_sent_once BEFORE INSERT ON quotes
WHEN EXISTS (SELECT 1 FROM quotes WHERE job = NEW.job AND version = NEW.version)
BEGIN SELECT RAISE (ABORT, 'a sent quote is frozen'); END;
CREATE TRIGGER sent_papers_are_frozen BEFORE UPDATE ON sent_papers
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are frozen'); END;
CREATE TRIGGER sent_papers_are_kept BEFORE DELETE ON sent_papers
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are kept'); END;
CREATE TRIGGER sent_papers_are_sealed BEFORE INSERT ON sent_papers
WHEN EXISTS (SELECT 1 FROM sent_papers WHERE job = NEW.job AND version = NEW.version AND name = NEW.name)
    OR EXISTS (SELECT 1 FROM printings WHERE job = NEW.job AND version = NEW.version AND trouble = '')
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are frozen'); END;
CREATE TRIGGER printings_are_frozen BEFORE UPDATE ON printings WHEN OLD.trouble = ''
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are frozen'); END;
CREATE TRIGGER printings_are_kept BEFORE DELETE ON printings WHEN OLD.trouble = ''
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are kept'); END;
CREATE TRIGGER printings_are_made_once BEFORE INSERT ON printings
WHEN EXISTS (SELECT 1 FROM printings WHERE job = NEW.job AND version = NEW.version AND trouble = '')
BEGIN SELECT RAISE (ABORT, 'the papers of a sent quote are frozen'); END;
"""

# A pin keeps the whole quote of a job as it was when it was accepted or first cut: what was entered, the quote as a
# value, its tables for programs that cannot read the value any more, and its papers, or the sent version whose papers
# they are. Nothing of it ever changes but whether it holds. Which pins hold and what is sawn of them is a document too
# (``cut:JOB``), so that undo leads to and fro.
_SEVENTH: Final = """
CREATE TABLE pins (
    job INTEGER NOT NULL REFERENCES jobs (id),
    number INTEGER NOT NULL CHECK (number > 0),
    at TEXT NOT NULL,
    on_day TEXT NOT NULL,
    made_by TEXT NOT NULL,
    why TEXT NOT NULL,
    revision INTEGER NOT NULL,
    content TEXT NOT NULL,
    quote BLOB NOT NULL,
    result TEXT NOT NULL,
    sent INTEGER NOT NULL,
    gone INTEGER NOT NULL DEFAULT 0 CHECK (gone IN (0, 1)),
    PRIMARY KEY (job, number)
) STRICT;
CREATE TABLE pin_papers (
    job INTEGER NOT NULL,
    number INTEGER NOT NULL,
    name TEXT NOT NULL,
    packing TEXT NOT NULL CHECK (packing IN ('', 'zlib')),
    content BLOB NOT NULL,
    PRIMARY KEY (job, number, name),
    FOREIGN KEY (job, number) REFERENCES pins (job, number)
) STRICT;
CREATE TABLE sawn (
    job INTEGER NOT NULL,
    pin INTEGER NOT NULL,
    good TEXT NOT NULL,
    sheet INTEGER NOT NULL CHECK (sheet >= 0),
    count INTEGER NOT NULL CHECK (count > 0),
    PRIMARY KEY (job, pin, good, sheet),
    FOREIGN KEY (job, pin) REFERENCES pins (job, number)
) STRICT;
CREATE TRIGGER pins_are_frozen
BEFORE UPDATE OF job, number, at, on_day, made_by, why, revision, content, quote, result, sent ON pins
BEGIN SELECT RAISE (ABORT, 'what is pinned is frozen'); END;
CREATE TRIGGER pins_are_kept BEFORE DELETE ON pins BEGIN SELECT RAISE (ABORT, 'what is pinned is kept'); END;
CREATE TRIGGER pins_are_made_once BEFORE INSERT ON pins
WHEN EXISTS (SELECT 1 FROM pins WHERE job = NEW.job AND number = NEW.number)
BEGIN SELECT RAISE (ABORT, 'what is pinned is frozen'); END;
CREATE TRIGGER pin_papers_are_frozen BEFORE UPDATE ON pin_papers
BEGIN SELECT RAISE (ABORT, 'the papers of what is pinned are frozen'); END;
CREATE TRIGGER pin_papers_are_kept BEFORE DELETE ON pin_papers
BEGIN SELECT RAISE (ABORT, 'the papers of what is pinned are kept'); END;
CREATE TRIGGER pin_papers_are_made_once BEFORE INSERT ON pin_papers
WHEN EXISTS (SELECT 1 FROM pin_papers WHERE job = NEW.job AND number = NEW.number AND name = NEW.name)
BEGIN SELECT RAISE (ABORT, 'the papers of what is pinned are frozen'); END;
"""

# The list of jobs says beside a total what is held, and so not in it.
_EIGHTH: Final = "ALTER TABLE jobs ADD COLUMN held TEXT NOT NULL DEFAULT '';"

# Which built-in rates the folder was begun with, by the form of their file: one that holds something already goes on
# with those of before there were forms, as long as it has no rates file of its own.
_NINTH: Final = """
CREATE TABLE begun (rates_form INTEGER NOT NULL CHECK (rates_form > 0)) STRICT;
INSERT INTO begun
SELECT CASE WHEN EXISTS (SELECT 1 FROM jobs) OR EXISTS (SELECT 1 FROM documents) THEN 1 ELSE 2 END;
"""

# Hours are noted under an operation or a room, receipts under what they were for. What was typed before there was a
# list stays as it was typed: it counts under a heading that it names, naming nothing else; all else under "other".
_TENTH: Final = """
ALTER TABLE actuals ADD COLUMN under TEXT NOT NULL DEFAULT 'other';
ALTER TABLE actuals ADD COLUMN stock TEXT NOT NULL DEFAULT '';
ALTER TABLE actuals ADD COLUMN bought TEXT NOT NULL DEFAULT '';
ALTER TABLE actuals ADD COLUMN leftover TEXT NOT NULL DEFAULT '';
CREATE TEMP TABLE named (kind TEXT, words TEXT, heading TEXT);
INSERT INTO named VALUES
    ('hours', 'trip to the yard', 'yard'), ('hours', 'yard', 'yard'),
    ('hours', 'sheets brought to the saw', 'load'), ('hours', 'cuts with the track saw', 'track_cut'),
    ('hours', 'armfuls of panels carried to the next tool', 'carry'), ('hours', 'fence set-ups', 'setup'),
    ('hours', 'rips', 'rip'), ('hours', 'ripping', 'rip'), ('hours', 'crosscuts', 'crosscut'),
    ('hours', 'crosscutting', 'crosscut'), ('hours', 'panels turned at the table saw', 'turn'),
    ('hours', 'stops set at the chop saw', 'stop_setup'),
    ('hours', 'passes of the chop saw through sheet goods', 'chop_cut'),
    ('hours', 'blade tilted for a bevel, and back', 'bevel_setup'), ('hours', 'cuts of foam and board', 'knife_cut'),
    ('hours', 'cutting foam', 'knife_cut'), ('hours', 'lumber cut to length', 'stick_cut'),
    ('hours', 'parts labelled and marked out', 'mark_out'), ('hours', 'marking out', 'mark_out'),
    ('hours', 'strips of paper, film and foam cut', 'strip'), ('hours', 'holes drilled', 'hole'),
    ('hours', 'drilling', 'hole'), ('hours', 'screws driven', 'screw'), ('hours', 'driving screws', 'screw'),
    ('hours', 'staples driven', 'staple'), ('hours', 'stapling', 'staple'),
    ('hours', 'bolts set, with their holes', 'bolt'),
    ('hours', 'handles, straps and bags of silica gel put in place', 'fitting'), ('hours', 'glue runs', 'glue_run'),
    ('hours', 'gluing', 'glue_run'), ('hours', 'frames, faces and cases assembled', 'assembly'),
    ('hours', 'assembly', 'assembly'), ('hours', 'assembling', 'assembly'),
    ('hours', 'gaskets laid and insides sealed', 'seal'),
    ('hours', 'pieces photographed, condition reports written', 'record'),
    ('hours', 'condition reports', 'record'), ('hours', 'layers wrapped', 'wrap'), ('hours', 'wrapping', 'wrap'),
    ('hours', 'pieces mounted', 'mounting'), ('hours', 'mounting', 'mounting'),
    ('hours', 'handling marks and labels put on', 'label'), ('hours', 'labels', 'label'),
    ('hours', 'crates handed over to the carrier', 'hand_over'),
    ('receipt', 'sheet goods', 'sheets'), ('receipt', 'sheets', 'sheets'), ('receipt', 'plywood', 'sheets'),
    ('receipt', 'strand board', 'sheets'), ('receipt', 'lumber', 'sticks'), ('receipt', 'sticks', 'sticks'),
    ('receipt', 'fasteners', 'fasteners'), ('receipt', 'screws', 'fasteners'), ('receipt', 'bolts', 'fasteners'),
    ('receipt', 'staples', 'fasteners'), ('receipt', 'foam', 'foam'), ('receipt', 'paper', 'paper'),
    ('receipt', 'film', 'paper'), ('receipt', 'cartons', 'boxes'), ('receipt', 'freight', 'freight'),
    ('receipt', 'carrier', 'freight');
INSERT INTO named SELECT 'room', 'hour saw', 'saw' UNION ALL SELECT 'room', 'saw', 'saw'
    UNION ALL SELECT 'room', 'hour bench', 'bench' UNION ALL SELECT 'room', 'bench', 'bench'
    UNION ALL SELECT 'room', 'hour packing', 'packing' UNION ALL SELECT 'room', 'packing', 'packing';
UPDATE actuals SET under = coalesce(
    (SELECT heading FROM named n WHERE n.kind = actuals.kind AND n.words = lower(trim(what))),
    (SELECT heading FROM named n WHERE n.kind = actuals.kind AND n.words = lower(trim(note))),
    (SELECT heading FROM named n WHERE n.kind = 'room' AND actuals.kind = 'hours' AND n.words = lower(trim(what))),
    'other');
DROP TABLE named;
"""

# The list of jobs says by when a job must leave the studio.
_ELEVENTH: Final = "ALTER TABLE jobs ADD COLUMN due TEXT NOT NULL DEFAULT '';"

MIGRATIONS: Final = (_FIRST, _SECOND, _THIRD, _FOURTH, _FIFTH, _SIXTH, _SEVENTH, _EIGHTH, _NINTH, _TENTH, _ELEVENTH)

TABLES: Final = (
    "documents", "revisions", "jobs", "quotes", "sent_papers", "printings", "pins", "pin_papers", "sawn",
    "standings", "actuals", "plans", "offcuts", "takings", "shelf", "fetched", "pictures", "answers", "begun",
)  # fmt: skip
"""Every table, those that others refer to first: the order in which an export can be read back."""
