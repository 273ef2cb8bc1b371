-- A store as version 1 wrote it. It never changes: every later version must open it.

CREATE TABLE schema (version INTEGER NOT NULL);
INSERT INTO schema (version) VALUES (1);

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

INSERT INTO places (no, id, name, opened, version) VALUES (1, 'north', 'Workshop north', 1780000000123, 1);
INSERT INTO places (no, id, name, opened, version) VALUES (2, 'south', 'Workshop south', 1780000000123, 1);
INSERT INTO cursors (place, newest) VALUES (1, 5);
INSERT INTO cursors (place, newest) VALUES (2, 5);
INSERT INTO texts (place, hash, says) VALUES (1, '\x34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', '\x613a20c3a90d0a');
INSERT INTO texts (place, hash, says) VALUES (1, '\x3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', '\x613a20320a');
INSERT INTO texts (place, hash, says) VALUES (2, '\x34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', '\x613a20c3a90d0a');
INSERT INTO texts (place, hash, says) VALUES (2, '\x3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', '\x613a20320a');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (1, 'guide', 'v27p', 1, '\x34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', 7, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (1, 'guide', 'v27p', 2, '\x3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', 5, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (2, 'guide', 'v27p', 1, '\x34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', 7, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (2, 'guide', 'v27p', 2, '\x3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', 5, 'kim', 1780000000123, 'because', '');
INSERT INTO people (place, id, name, role, password, disabled, since, version) VALUES (1, 'kim', 'Kim ü', 'owner', '\x0100ff', 0, 1780000000123, 1);
INSERT INTO people (place, id, name, role, password, disabled, since, version) VALUES (2, 'kim', 'Kim ü', 'owner', '\x0100ff', 0, 1780000000123, 1);
INSERT INTO passkeys (place, person, id, data, name, since) VALUES (1, 'kim', '\x00', '\x05', 'phone', 1780000000123);
INSERT INTO passkeys (place, person, id, data, name, since) VALUES (2, 'kim', '\x01', '\x05', 'phone', 1780000000123);
INSERT INTO identities (place, person, issuer, subject) VALUES (1, 'kim', 'https://id.example', '77');
INSERT INTO identities (place, person, issuer, subject) VALUES (2, 'kim', 'https://id.example', '77');
INSERT INTO sessions (place, token, person, device, since, expires, revoked) VALUES (1, '\xae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'kim', '', 1780000000123, 1780000000132, 0);
INSERT INTO sessions (place, token, person, device, since, expires, revoked) VALUES (2, '\xb7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'kim', '', 1780000000123, 1780000000132, 0);
INSERT INTO attempts (name, began, count) VALUES ('k', 1780000000123, 1);
INSERT INTO customers (place, id, name, address, phone, mail, note, since, erased, version) VALUES (1, 'c1', 'Ann', '', '', '', '', 1780000000123, 0, 1);
INSERT INTO customers (place, id, name, address, phone, mail, note, since, erased, version) VALUES (2, 'c1', 'Ann', '', '', '', '', 1780000000123, 0, 1);
INSERT INTO machines (place, id, name, plate, serial, customer, guide, variant, note, data, version) VALUES (1, 'm1', 'green one', '', '', 'c1', '', '', '', '\x00', 1);
INSERT INTO machines (place, id, name, plate, serial, customer, guide, variant, note, data, version) VALUES (2, 'm1', 'green one', '', '', 'c1', '', '', '', '\x00', 1);
INSERT INTO jobs (place, id, title, machine, customer, stands, state, opened, closed, updated, pin_guide, pin_revision, pin_date, pin_hash, words, data, version) VALUES (1, 'j1', 'rattle', 'm1', 'c1', '', 'in', 1780000000123, 0, 1780000000123, '', '', '', '', '', NULL, 1);
INSERT INTO jobs (place, id, title, machine, customer, stands, state, opened, closed, updated, pin_guide, pin_revision, pin_date, pin_hash, words, data, version) VALUES (2, 'j1', 'rattle', 'm1', 'c1', '', 'in', 1780000000123, 0, 1780000000123, '', '', '', '', '', NULL, 1);
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 1, 'j1', '\x019e7044887c7a7c973b17446e4ed778', 1780000000129, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837632d376137632d393733622d313734343665346564373738222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a312c226174223a22323032362d30352d32385432303a32363a34302e3132345a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 2, 'j1', '\x019e7044887d7b889f34f95473bc0606', 1780000000130, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837642d376238382d396633342d663935343733626330363036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a322c226174223a22323032362d30352d32385432303a32363a34302e3132355a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 3, 'j1', '\x019e7044887e75018113dae90337e406', 1780000000131, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837652d373530312d383131332d646165393033333765343036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a332c226174223a22323032362d30352d32385432303a32363a34302e3132365a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 4, 'j1', '\x019e7044887f763da207ebaf83a720a3', 1780000000132, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837662d373633642d613230372d656261663833613732306133222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a342c226174223a22323032362d30352d32385432303a32363a34302e3132375a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 5, 'j1', '\x019e704488807de9b3cd40a313a17c0d', 1780000000133, '\x7b22736368656d61223a312c226964223a2230313965373034342d383838302d376465392d623363642d343061333133613137633064222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a352c226174223a22323032362d30352d32385432303a32363a34302e3132385a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 1, 'j1', '\x019e7044887c7a7c973b17446e4ed778', 1780000000129, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837632d376137632d393733622d313734343665346564373738222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a312c226174223a22323032362d30352d32385432303a32363a34302e3132345a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 2, 'j1', '\x019e7044887d7b889f34f95473bc0606', 1780000000130, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837642d376238382d396633342d663935343733626330363036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a322c226174223a22323032362d30352d32385432303a32363a34302e3132355a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 3, 'j1', '\x019e7044887e75018113dae90337e406', 1780000000131, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837652d373530312d383131332d646165393033333765343036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a332c226174223a22323032362d30352d32385432303a32363a34302e3132365a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 4, 'j1', '\x019e7044887f763da207ebaf83a720a3', 1780000000132, '\x7b22736368656d61223a312c226964223a2230313965373034342d383837662d373633642d613230372d656261663833613732306133222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a342c226174223a22323032362d30352d32385432303a32363a34302e3132375a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 5, 'j1', '\x019e704488807de9b3cd40a313a17c0d', 1780000000133, '\x7b22736368656d61223a312c226964223a2230313965373034342d383838302d376465392d623363642d343061333133613137633064222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a352c226174223a22323032362d30352d32385432303a32363a34302e3132385a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO pictures (place, hash, type, size, job, event, added) VALUES (1, '\xae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'image/png', 3, 'j1', '\x00000000000000000000000000000000', 1780000000123);
INSERT INTO pictures (place, hash, type, size, job, event, added) VALUES (2, '\xb7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'image/png', 3, 'j1', '\x00000000000000000000000000000000', 1780000000123);
INSERT INTO papers (place, job, kind, number, revision, at, by, type, content, customer) VALUES (1, 'j1', 'quote', 1, 1, 1780000000123, '', 'text/plain', '\x78', '\x416e6e');
INSERT INTO papers (place, job, kind, number, revision, at, by, type, content, customer) VALUES (2, 'j1', 'quote', 1, 1, 1780000000123, '', 'text/plain', '\x78', '\x416e6e');
INSERT INTO links (place, token, job, kind, number, revision, by, since, expires, revoked) VALUES (1, '\xae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'j1', '', 0, 0, '', 1780000000123, 1780000000132, 0);
INSERT INTO links (place, token, job, kind, number, revision, by, since, expires, revoked) VALUES (2, '\xb7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'j1', '', 0, 0, '', 1780000000123, 1780000000132, 0);
INSERT INTO trail (place, number, at, person, came_from, did, done_on, says) VALUES (1, 1, 1780000000123, '', '', 'x', '', '');
INSERT INTO trail (place, number, at, person, came_from, did, done_on, says) VALUES (2, 1, 1780000000123, '', '', 'x', '', '');
INSERT INTO settings (place, name, value, version) VALUES (0, 'key', '\x0001', 1);
INSERT INTO settings (place, name, value, version) VALUES (1, 'key', '\x76', 1);
INSERT INTO settings (place, name, value, version) VALUES (2, 'key', '\x76', 1);
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'customer', 'c1', 'Ann', 'ann c1');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'machine', 'm1', 'green one', 'green m1 one');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'job', 'j1', 'rattle', 'j1 m1 rattle');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'guide', 'v27p', 'v27p', 'v27p');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'customer', 'c1', 'Ann', 'ann c1');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'machine', 'm1', 'green one', 'green m1 one');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'job', 'j1', 'rattle', 'j1 m1 rattle');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'guide', 'v27p', 'v27p', 'v27p');
