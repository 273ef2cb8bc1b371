-- Version 1. Times are milliseconds of the Unix epoch; place is places.no.
CREATE TABLE places (
	no BIGINT PRIMARY KEY,
	id TEXT COLLATE "C" NOT NULL UNIQUE,
	name TEXT COLLATE "C" NOT NULL,
	opened BIGINT NOT NULL,
	version BIGINT NOT NULL
);

-- The cursor of the newest event of each place.
CREATE TABLE cursors (
	place BIGINT PRIMARY KEY,
	newest BIGINT NOT NULL
);

CREATE TABLE texts (
	place BIGINT NOT NULL,
	hash BYTEA NOT NULL,
	says BYTEA NOT NULL,
	PRIMARY KEY (place, hash)
);

CREATE TABLE revisions (
	place BIGINT NOT NULL,
	kind TEXT COLLATE "C" NOT NULL,
	name TEXT COLLATE "C" NOT NULL,
	number BIGINT NOT NULL,
	hash BYTEA NOT NULL,
	size BIGINT NOT NULL,
	author TEXT COLLATE "C" NOT NULL,
	at BIGINT NOT NULL,
	note TEXT COLLATE "C" NOT NULL,
	words TEXT COLLATE "C" NOT NULL,
	PRIMARY KEY (place, kind, name, number)
);

CREATE TABLE people (
	place BIGINT NOT NULL,
	id TEXT COLLATE "C" NOT NULL,
	name TEXT COLLATE "C" NOT NULL,
	role TEXT COLLATE "C" NOT NULL,
	password BYTEA,
	disabled BIGINT NOT NULL,
	since BIGINT NOT NULL,
	version BIGINT NOT NULL,
	PRIMARY KEY (place, id)
);

CREATE TABLE passkeys (
	place BIGINT NOT NULL,
	person TEXT COLLATE "C" NOT NULL,
	id BYTEA NOT NULL PRIMARY KEY,
	data BYTEA,
	name TEXT COLLATE "C" NOT NULL,
	since BIGINT NOT NULL
);
CREATE INDEX passkeys_person ON passkeys (place, person);

CREATE TABLE identities (
	place BIGINT NOT NULL,
	person TEXT COLLATE "C" NOT NULL,
	issuer TEXT COLLATE "C" NOT NULL,
	subject TEXT COLLATE "C" NOT NULL,
	PRIMARY KEY (issuer, subject, place)
);
CREATE INDEX identities_person ON identities (place, person);

CREATE TABLE sessions (
	place BIGINT NOT NULL,
	token BYTEA NOT NULL PRIMARY KEY,
	person TEXT COLLATE "C" NOT NULL,
	device TEXT COLLATE "C" NOT NULL,
	since BIGINT NOT NULL,
	expires BIGINT NOT NULL,
	revoked BIGINT NOT NULL
);
CREATE INDEX sessions_person ON sessions (place, person);

CREATE TABLE attempts (
	name TEXT COLLATE "C" NOT NULL PRIMARY KEY,
	began BIGINT NOT NULL,
	count BIGINT NOT NULL
);

CREATE TABLE customers (
	place BIGINT NOT NULL,
	id TEXT COLLATE "C" NOT NULL,
	name TEXT COLLATE "C" NOT NULL,
	address TEXT COLLATE "C" NOT NULL,
	phone TEXT COLLATE "C" NOT NULL,
	mail TEXT COLLATE "C" NOT NULL,
	note TEXT COLLATE "C" NOT NULL,
	since BIGINT NOT NULL,
	erased BIGINT NOT NULL,
	version BIGINT NOT NULL,
	PRIMARY KEY (place, id)
);

CREATE TABLE machines (
	place BIGINT NOT NULL,
	id TEXT COLLATE "C" NOT NULL,
	name TEXT COLLATE "C" NOT NULL,
	plate TEXT COLLATE "C" NOT NULL,
	serial TEXT COLLATE "C" NOT NULL,
	customer TEXT COLLATE "C" NOT NULL,
	guide TEXT COLLATE "C" NOT NULL,
	variant TEXT COLLATE "C" NOT NULL,
	note TEXT COLLATE "C" NOT NULL,
	data BYTEA,
	version BIGINT NOT NULL,
	PRIMARY KEY (place, id)
);
CREATE INDEX machines_customer ON machines (place, customer, id);

CREATE TABLE jobs (
	place BIGINT NOT NULL,
	id TEXT COLLATE "C" NOT NULL,
	title TEXT COLLATE "C" NOT NULL,
	machine TEXT COLLATE "C" NOT NULL,
	customer TEXT COLLATE "C" NOT NULL,
	stands TEXT COLLATE "C" NOT NULL,
	state TEXT COLLATE "C" NOT NULL,
	opened BIGINT NOT NULL,
	closed BIGINT NOT NULL,
	updated BIGINT NOT NULL,
	pin_guide TEXT COLLATE "C" NOT NULL,
	pin_revision TEXT COLLATE "C" NOT NULL,
	pin_date TEXT COLLATE "C" NOT NULL,
	pin_hash TEXT COLLATE "C" NOT NULL,
	words TEXT COLLATE "C" NOT NULL,
	data BYTEA,
	version BIGINT NOT NULL,
	PRIMARY KEY (place, id)
);
CREATE INDEX jobs_updated ON jobs (place, updated DESC, id);
CREATE INDEX jobs_open ON jobs (place, updated DESC, id) WHERE closed = 0;
CREATE INDEX jobs_machine ON jobs (place, machine, updated DESC, id);
CREATE INDEX jobs_customer ON jobs (place, customer, updated DESC, id);

-- The job log: only ever added to.
CREATE TABLE events (
	place BIGINT NOT NULL,
	cursor BIGINT NOT NULL,
	job TEXT COLLATE "C" NOT NULL,
	id BYTEA NOT NULL,
	received BIGINT NOT NULL,
	raw BYTEA NOT NULL,
	PRIMARY KEY (place, cursor)
);
CREATE UNIQUE INDEX events_id ON events (place, id);
CREATE INDEX events_job ON events (place, job, cursor);
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	RAISE EXCEPTION 'rows of % are only ever added', TG_TABLE_NAME;
END $$;
CREATE TRIGGER events_stay BEFORE UPDATE OR DELETE ON events FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER events_remain BEFORE TRUNCATE ON events EXECUTE FUNCTION refuse_change();

CREATE TABLE pictures (
	place BIGINT NOT NULL,
	hash BYTEA NOT NULL,
	type TEXT COLLATE "C" NOT NULL,
	size BIGINT NOT NULL,
	job TEXT COLLATE "C" NOT NULL,
	event BYTEA NOT NULL,
	added BIGINT NOT NULL,
	PRIMARY KEY (place, hash, job, event)
);
CREATE INDEX pictures_job ON pictures (place, job, added, hash);

CREATE TABLE papers (
	place BIGINT NOT NULL,
	job TEXT COLLATE "C" NOT NULL,
	kind TEXT COLLATE "C" NOT NULL,
	number BIGINT NOT NULL,
	revision BIGINT NOT NULL,
	at BIGINT NOT NULL,
	by TEXT COLLATE "C" NOT NULL,
	type TEXT COLLATE "C" NOT NULL,
	content BYTEA NOT NULL,
	customer BYTEA,
	PRIMARY KEY (place, kind, number, revision)
);
CREATE INDEX papers_job ON papers (place, job);

CREATE TABLE links (
	place BIGINT NOT NULL,
	token BYTEA NOT NULL PRIMARY KEY,
	job TEXT COLLATE "C" NOT NULL,
	kind TEXT COLLATE "C" NOT NULL,
	number BIGINT NOT NULL,
	revision BIGINT NOT NULL,
	by TEXT COLLATE "C" NOT NULL,
	since BIGINT NOT NULL,
	expires BIGINT NOT NULL,
	revoked BIGINT NOT NULL
);
CREATE INDEX links_job ON links (place, job);

-- The audit trail: only ever added to.
CREATE TABLE trail (
	place BIGINT NOT NULL,
	number BIGINT NOT NULL,
	at BIGINT NOT NULL,
	person TEXT COLLATE "C" NOT NULL,
	came_from TEXT COLLATE "C" NOT NULL,
	did TEXT COLLATE "C" NOT NULL,
	done_on TEXT COLLATE "C" NOT NULL,
	says TEXT COLLATE "C" NOT NULL,
	PRIMARY KEY (place, number)
);

CREATE TRIGGER trail_stays BEFORE UPDATE OR DELETE ON trail FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER trail_remains BEFORE TRUNCATE ON trail EXECUTE FUNCTION refuse_change();

CREATE TABLE settings (
	place BIGINT NOT NULL,
	name TEXT COLLATE "C" NOT NULL,
	value BYTEA,
	version BIGINT NOT NULL,
	PRIMARY KEY (place, name)
);

-- What can be found, by words divided by blanks. The newest row comes first. In
-- the index every word has the number of its place in front: 3_alternator.
CREATE TABLE found (
	no BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	place BIGINT NOT NULL,
	kind TEXT COLLATE "C" NOT NULL,
	id TEXT COLLATE "C" NOT NULL,
	title TEXT COLLATE "C" NOT NULL,
	body TEXT COLLATE "C" NOT NULL,
	words TSVECTOR GENERATED ALWAYS AS (array_to_tsvector(string_to_array(
		CAST(place AS TEXT) || '_' || replace(body, ' ', ' ' || CAST(place AS TEXT) || '_'), ' '))) STORED,
	UNIQUE (place, kind, id)
);
CREATE INDEX found_words ON found USING gin (words) WITH (fastupdate = off);
-- With these the planner knows which words are common and reads the newest rows
-- until there are enough, instead of all that contain them.
ALTER TABLE found ALTER COLUMN words SET STATISTICS 1000;
CREATE INDEX found_newest ON found (place, no DESC);
