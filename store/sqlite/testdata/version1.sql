-- A store as version 1 wrote it. It never changes: every later version must open it.

CREATE TABLE schema (version INTEGER NOT NULL);
INSERT INTO schema (version) VALUES (1);

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

INSERT INTO places (no, id, name, opened, version) VALUES (1, 'north', 'Workshop north', 1780000000123, 1);
INSERT INTO places (no, id, name, opened, version) VALUES (2, 'south', 'Workshop south', 1780000000123, 1);
INSERT INTO cursors (place, newest) VALUES (1, 5);
INSERT INTO cursors (place, newest) VALUES (2, 5);
INSERT INTO texts (place, hash, says) VALUES (1, X'34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', X'613a20c3a90d0a');
INSERT INTO texts (place, hash, says) VALUES (1, X'3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', X'613a20320a');
INSERT INTO texts (place, hash, says) VALUES (2, X'34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', X'613a20c3a90d0a');
INSERT INTO texts (place, hash, says) VALUES (2, X'3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', X'613a20320a');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (1, 'guide', 'v27p', 1, X'34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', 7, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (1, 'guide', 'v27p', 2, X'3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', 5, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (2, 'guide', 'v27p', 1, X'34119ee915daf18d0b51aca609303cbe0d561ff862ed483f5b323fa4ebe58676', 7, 'kim', 1780000000123, 'because', '');
INSERT INTO revisions (place, kind, name, number, hash, size, author, at, note, words) VALUES (2, 'guide', 'v27p', 2, X'3a55d721fdd6a21fc7793a07ad20c6ad037c302ad003f552d5913039777eaec0', 5, 'kim', 1780000000123, 'because', '');
INSERT INTO people (place, id, name, role, password, disabled, since, version) VALUES (1, 'kim', 'Kim ü', 'owner', X'0100ff', 0, 1780000000123, 1);
INSERT INTO people (place, id, name, role, password, disabled, since, version) VALUES (2, 'kim', 'Kim ü', 'owner', X'0100ff', 0, 1780000000123, 1);
INSERT INTO passkeys (place, person, id, data, name, since) VALUES (1, 'kim', X'00', X'05', 'phone', 1780000000123);
INSERT INTO passkeys (place, person, id, data, name, since) VALUES (2, 'kim', X'01', X'05', 'phone', 1780000000123);
INSERT INTO identities (place, person, issuer, subject) VALUES (1, 'kim', 'https://id.example', '77');
INSERT INTO identities (place, person, issuer, subject) VALUES (2, 'kim', 'https://id.example', '77');
INSERT INTO sessions (place, token, person, device, since, expires, revoked) VALUES (1, X'ae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'kim', '', 1780000000123, 1780000000132, 0);
INSERT INTO sessions (place, token, person, device, since, expires, revoked) VALUES (2, X'b7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'kim', '', 1780000000123, 1780000000132, 0);
INSERT INTO attempts (name, began, count) VALUES ('k', 1780000000123, 1);
INSERT INTO customers (place, id, name, address, phone, mail, note, since, erased, version) VALUES (1, 'c1', 'Ann', '', '', '', '', 1780000000123, 0, 1);
INSERT INTO customers (place, id, name, address, phone, mail, note, since, erased, version) VALUES (2, 'c1', 'Ann', '', '', '', '', 1780000000123, 0, 1);
INSERT INTO machines (place, id, name, plate, serial, customer, guide, variant, note, data, version) VALUES (1, 'm1', 'green one', '', '', 'c1', '', '', '', X'00', 1);
INSERT INTO machines (place, id, name, plate, serial, customer, guide, variant, note, data, version) VALUES (2, 'm1', 'green one', '', '', 'c1', '', '', '', X'00', 1);
INSERT INTO jobs (place, id, title, machine, customer, stands, state, opened, closed, updated, pin_guide, pin_revision, pin_date, pin_hash, words, data, version) VALUES (1, 'j1', 'rattle', 'm1', 'c1', '', 'in', 1780000000123, 0, 1780000000123, '', '', '', '', '', NULL, 1);
INSERT INTO jobs (place, id, title, machine, customer, stands, state, opened, closed, updated, pin_guide, pin_revision, pin_date, pin_hash, words, data, version) VALUES (2, 'j1', 'rattle', 'm1', 'c1', '', 'in', 1780000000123, 0, 1780000000123, '', '', '', '', '', NULL, 1);
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 1, 'j1', X'019e7044887c7a7c973b17446e4ed778', 1780000000129, X'7b22736368656d61223a312c226964223a2230313965373034342d383837632d376137632d393733622d313734343665346564373738222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a312c226174223a22323032362d30352d32385432303a32363a34302e3132345a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 2, 'j1', X'019e7044887d7b889f34f95473bc0606', 1780000000130, X'7b22736368656d61223a312c226964223a2230313965373034342d383837642d376238382d396633342d663935343733626330363036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a322c226174223a22323032362d30352d32385432303a32363a34302e3132355a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 3, 'j1', X'019e7044887e75018113dae90337e406', 1780000000131, X'7b22736368656d61223a312c226964223a2230313965373034342d383837652d373530312d383131332d646165393033333765343036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a332c226174223a22323032362d30352d32385432303a32363a34302e3132365a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 4, 'j1', X'019e7044887f763da207ebaf83a720a3', 1780000000132, X'7b22736368656d61223a312c226964223a2230313965373034342d383837662d373633642d613230372d656261663833613732306133222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a342c226174223a22323032362d30352d32385432303a32363a34302e3132375a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (1, 5, 'j1', X'019e704488807de9b3cd40a313a17c0d', 1780000000133, X'7b22736368656d61223a312c226964223a2230313965373034342d383838302d376465392d623363642d343061333133613137633064222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a352c226174223a22323032362d30352d32385432303a32363a34302e3132385a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 1, 'j1', X'019e7044887c7a7c973b17446e4ed778', 1780000000129, X'7b22736368656d61223a312c226964223a2230313965373034342d383837632d376137632d393733622d313734343665346564373738222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a312c226174223a22323032362d30352d32385432303a32363a34302e3132345a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 2, 'j1', X'019e7044887d7b889f34f95473bc0606', 1780000000130, X'7b22736368656d61223a312c226964223a2230313965373034342d383837642d376238382d396633342d663935343733626330363036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a322c226174223a22323032362d30352d32385432303a32363a34302e3132355a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 3, 'j1', X'019e7044887e75018113dae90337e406', 1780000000131, X'7b22736368656d61223a312c226964223a2230313965373034342d383837652d373530312d383131332d646165393033333765343036222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a332c226174223a22323032362d30352d32385432303a32363a34302e3132365a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 4, 'j1', X'019e7044887f763da207ebaf83a720a3', 1780000000132, X'7b22736368656d61223a312c226964223a2230313965373034342d383837662d373633642d613230372d656261663833613732306133222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a342c226174223a22323032362d30352d32385432303a32363a34302e3132375a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO events (place, cursor, job, id, received, raw) VALUES (2, 5, 'j1', X'019e704488807de9b3cd40a313a17c0d', 1780000000133, X'7b22736368656d61223a312c226964223a2230313965373034342d383838302d376465392d623363642d343061333133613137633064222c226a6f62223a226a31222c22617574686f72223a226b696d222c22646576696365223a2270686f6e65222c22736571223a352c226174223a22323032362d30352d32385432303a32363a34302e3132385a222c226b696e64223a226e6f7465222c22626f6479223a7b2274657874223a226e6f74652070686f6e65227d7d');
INSERT INTO pictures (place, hash, type, size, job, event, added) VALUES (1, X'ae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'image/png', 3, 'j1', X'00000000000000000000000000000000', 1780000000123);
INSERT INTO pictures (place, hash, type, size, job, event, added) VALUES (2, X'b7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'image/png', 3, 'j1', X'00000000000000000000000000000000', 1780000000123);
INSERT INTO papers (place, job, kind, number, revision, at, by, type, content, customer) VALUES (1, 'j1', 'quote', 1, 1, 1780000000123, '', 'text/plain', X'78', X'416e6e');
INSERT INTO papers (place, job, kind, number, revision, at, by, type, content, customer) VALUES (2, 'j1', 'quote', 1, 1, 1780000000123, '', 'text/plain', X'78', X'416e6e');
INSERT INTO links (place, token, job, kind, number, revision, by, since, expires, revoked) VALUES (1, X'ae974d4a74c2371d8cfe842b7aa4f6698de8570526eeb3db1941b0b72311d470', 'j1', '', 0, 0, '', 1780000000123, 1780000000132, 0);
INSERT INTO links (place, token, job, kind, number, revision, by, since, expires, revoked) VALUES (2, X'b7ae7729555ec6829c579c2602edc6cb94b4ed3d820ddda0a45ac54030f8a53d', 'j1', '', 0, 0, '', 1780000000123, 1780000000132, 0);
INSERT INTO trail (place, number, at, person, came_from, did, done_on, says) VALUES (1, 1, 1780000000123, '', '', 'x', '', '');
INSERT INTO trail (place, number, at, person, came_from, did, done_on, says) VALUES (2, 1, 1780000000123, '', '', 'x', '', '');
INSERT INTO settings (place, name, value, version) VALUES (0, 'key', X'0001', 1);
INSERT INTO settings (place, name, value, version) VALUES (1, 'key', X'76', 1);
INSERT INTO settings (place, name, value, version) VALUES (2, 'key', X'76', 1);
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'customer', 'c1', 'Ann', 'ann c1');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'machine', 'm1', 'green one', 'green m1 one');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'job', 'j1', 'rattle', 'j1 m1 rattle');
INSERT INTO found (place, kind, id, title, body) VALUES (1, 'guide', 'v27p', 'v27p', 'v27p');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'customer', 'c1', 'Ann', 'ann c1');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'machine', 'm1', 'green one', 'green m1 one');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'job', 'j1', 'rattle', 'j1 m1 rattle');
INSERT INTO found (place, kind, id, title, body) VALUES (2, 'guide', 'v27p', 'v27p', 'v27p');
