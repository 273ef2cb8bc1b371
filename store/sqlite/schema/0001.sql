-- Version 1. Times are milliseconds of the Unix epoch; place is places.no.
CREATE TABLE places (
	no INTEGER PRIMARY KEY,
	id TEXT NOT NULL UNIQUE,
	name TEXT NOT NULL,
	opened INTEGER NOT NULL,
	version INTEGER NOT NULL
);

-- The cursor of the newest event of each place.
CREATE TABLE cursors (
	place INTEGER PRIMARY KEY,
	newest INTEGER NOT NULL
);

CREATE TABLE texts (
	place INTEGER NOT NULL,
	hash BLOB NOT NULL,
	says BLOB NOT NULL,
	PRIMARY KEY (place, hash)
);

CREATE TABLE revisions (
	place INTEGER NOT NULL,
	kind TEXT NOT NULL,
	name TEXT NOT NULL,
	number INTEGER NOT NULL,
	hash BLOB NOT NULL,
	size INTEGER NOT NULL,
	author TEXT NOT NULL,
	at INTEGER NOT NULL,
	note TEXT NOT NULL,
	words TEXT NOT NULL,
	PRIMARY KEY (place, kind, name, number)
) WITHOUT ROWID;

CREATE TABLE people (
	place INTEGER NOT NULL,
	id TEXT NOT NULL,
	name TEXT NOT NULL,
	role TEXT NOT NULL,
	password BLOB,
	disabled INTEGER NOT NULL,
	since INTEGER NOT NULL,
	version INTEGER NOT NULL,
	PRIMARY KEY (place, id)
) WITHOUT ROWID;

CREATE TABLE passkeys (
	place INTEGER NOT NULL,
	person TEXT NOT NULL,
	id BLOB NOT NULL PRIMARY KEY,
	data BLOB,
	name TEXT NOT NULL,
	since INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX passkeys_person ON passkeys (place, person);

CREATE TABLE identities (
	place INTEGER NOT NULL,
	person TEXT NOT NULL,
	issuer TEXT NOT NULL,
	subject TEXT NOT NULL,
	PRIMARY KEY (issuer, subject, place)
) WITHOUT ROWID;
CREATE INDEX identities_person ON identities (place, person);

CREATE TABLE sessions (
	place INTEGER NOT NULL,
	token BLOB NOT NULL PRIMARY KEY,
	person TEXT NOT NULL,
	device TEXT NOT NULL,
	since INTEGER NOT NULL,
	expires INTEGER NOT NULL,
	revoked INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX sessions_person ON sessions (place, person);

CREATE TABLE attempts (
	name TEXT NOT NULL PRIMARY KEY,
	began INTEGER NOT NULL,
	count INTEGER NOT NULL
) WITHOUT ROWID;

CREATE TABLE customers (
	place INTEGER NOT NULL,
	id TEXT NOT NULL,
	name TEXT NOT NULL,
	address TEXT NOT NULL,
	phone TEXT NOT NULL,
	mail TEXT NOT NULL,
	note TEXT NOT NULL,
	since INTEGER NOT NULL,
	erased INTEGER NOT NULL,
	version INTEGER NOT NULL,
	PRIMARY KEY (place, id)
) WITHOUT ROWID;

CREATE TABLE machines (
	place INTEGER NOT NULL,
	id TEXT NOT NULL,
	name TEXT NOT NULL,
	plate TEXT NOT NULL,
	serial TEXT NOT NULL,
	customer TEXT NOT NULL,
	guide TEXT NOT NULL,
	variant TEXT NOT NULL,
	note TEXT NOT NULL,
	data BLOB,
	version INTEGER NOT NULL,
	PRIMARY KEY (place, id)
);
CREATE INDEX machines_customer ON machines (place, customer, id);

CREATE TABLE jobs (
	place INTEGER NOT NULL,
	id TEXT NOT NULL,
	title TEXT NOT NULL,
	machine TEXT NOT NULL,
	customer TEXT NOT NULL,
	stands TEXT NOT NULL,
	state TEXT NOT NULL,
	opened INTEGER NOT NULL,
	closed INTEGER NOT NULL,
	updated INTEGER NOT NULL,
	pin_guide TEXT NOT NULL,
	pin_revision TEXT NOT NULL,
	pin_date TEXT NOT NULL,
	pin_hash TEXT NOT NULL,
	words TEXT NOT NULL,
	data BLOB,
	version INTEGER NOT NULL,
	PRIMARY KEY (place, id)
);
CREATE INDEX jobs_updated ON jobs (place, updated DESC, id);
CREATE INDEX jobs_open ON jobs (place, updated DESC, id) WHERE closed = 0;
CREATE INDEX jobs_machine ON jobs (place, machine, updated DESC, id);
CREATE INDEX jobs_customer ON jobs (place, customer, updated DESC, id);

-- The job log: only ever added to.
CREATE TABLE events (
	place INTEGER NOT NULL,
	cursor INTEGER NOT NULL,
	job TEXT NOT NULL,
	id BLOB NOT NULL,
	received INTEGER NOT NULL,
	raw BLOB NOT NULL,
	PRIMARY KEY (place, cursor)
);
CREATE UNIQUE INDEX events_id ON events (place, id);
CREATE INDEX events_job ON events (place, job, cursor);
CREATE TRIGGER events_stay BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'an event never changes'); END;
CREATE TRIGGER events_remain BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;

CREATE TABLE pictures (
	place INTEGER NOT NULL,
	hash BLOB NOT NULL,
	type TEXT NOT NULL,
	size INTEGER NOT NULL,
	job TEXT NOT NULL,
	event BLOB NOT NULL,
	added INTEGER NOT NULL,
	PRIMARY KEY (place, hash, job, event)
) WITHOUT ROWID;
CREATE INDEX pictures_job ON pictures (place, job, added, hash);

CREATE TABLE papers (
	place INTEGER NOT NULL,
	job TEXT NOT NULL,
	kind TEXT NOT NULL,
	number INTEGER NOT NULL,
	revision INTEGER NOT NULL,
	at INTEGER NOT NULL,
	by TEXT NOT NULL,
	type TEXT NOT NULL,
	content BLOB NOT NULL,
	customer BLOB,
	PRIMARY KEY (place, kind, number, revision)
);
CREATE INDEX papers_job ON papers (place, job);

CREATE TABLE links (
	place INTEGER NOT NULL,
	token BLOB NOT NULL PRIMARY KEY,
	job TEXT NOT NULL,
	kind TEXT NOT NULL,
	number INTEGER NOT NULL,
	revision INTEGER NOT NULL,
	by TEXT NOT NULL,
	since INTEGER NOT NULL,
	expires INTEGER NOT NULL,
	revoked INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX links_job ON links (place, job);

-- The audit trail: only ever added to.
CREATE TABLE trail (
	place INTEGER NOT NULL,
	number INTEGER NOT NULL,
	at INTEGER NOT NULL,
	person TEXT NOT NULL,
	came_from TEXT NOT NULL,
	did TEXT NOT NULL,
	done_on TEXT NOT NULL,
	says TEXT NOT NULL,
	PRIMARY KEY (place, number)
) WITHOUT ROWID;
CREATE TRIGGER trail_stays BEFORE UPDATE ON trail BEGIN SELECT RAISE(ABORT, 'an entry of the trail never changes'); END;
CREATE TRIGGER trail_remains BEFORE DELETE ON trail BEGIN SELECT RAISE(ABORT, 'an entry of the trail is never removed'); END;

CREATE TABLE settings (
	place INTEGER NOT NULL,
	name TEXT NOT NULL,
	value BLOB,
	version INTEGER NOT NULL,
	PRIMARY KEY (place, name)
) WITHOUT ROWID;

-- What can be found, by words divided by blanks. The newest row comes first.
CREATE TABLE found (
	no INTEGER PRIMARY KEY AUTOINCREMENT,
	place INTEGER NOT NULL,
	kind TEXT NOT NULL,
	id TEXT NOT NULL,
	title TEXT NOT NULL,
	body TEXT NOT NULL,
	UNIQUE (place, kind, id)
);
-- Its index. Every word has the number of its place in front: 3_alternator. The
-- prefixes are those of one to three letters in the first nine places.
CREATE VIRTUAL TABLE found_words USING fts5 (body, content = '', detail = none, prefix = '3 4 5', tokenize = "ascii tokenchars '_'");
INSERT INTO found_words (found_words, rank) VALUES ('secure-delete', 1);
CREATE TRIGGER found_add AFTER INSERT ON found BEGIN
	INSERT INTO found_words (rowid, body) VALUES (new.no, new.place || '_' || replace(new.body, ' ', ' ' || new.place || '_'));
END;
CREATE TRIGGER found_remove AFTER DELETE ON found BEGIN
	INSERT INTO found_words (found_words, rowid, body) VALUES ('delete', old.no, old.place || '_' || replace(old.body, ' ', ' ' || old.place || '_'));
END;
