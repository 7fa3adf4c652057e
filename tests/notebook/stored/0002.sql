PRAGMA application_id = 1347440194;
BEGIN TRANSACTION;
CREATE TABLE event (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	study_id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	payload TEXT NOT NULL, 
	person TEXT, 
	at TEXT NOT NULL, 
	CONSTRAINT fk_event_study_id FOREIGN KEY(study_id) REFERENCES study (id), 
	CONSTRAINT uq_event_study_id_key UNIQUE (study_id, "key")
);
INSERT INTO "event" VALUES(1,'seeded-oat-crackers','ballot','ada-417-1','{"score":7.5,"taster":"Ada"}',NULL,'2026-05-04T11:00:00.000Z');
INSERT INTO "event" VALUES(2,'seeded-oat-crackers','words','ada-417-w','{"words":"snaps, a bit salty 🥨"}','Ada','2026-05-04T11:00:05.000Z');
INSERT INTO "event" VALUES(4,'cucumber-dip','reading','w1','{"mass_g":212}',NULL,'2026-05-03T09:30:00.000Z');
CREATE TABLE media (
	digest TEXT NOT NULL, 
	name TEXT NOT NULL, 
	media_type TEXT NOT NULL, 
	size BIGINT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_media PRIMARY KEY (digest)
);
INSERT INTO "media" VALUES('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad','tray 1.jpg','image/jpeg',3,'2026-05-04T11:10:00.000Z');
CREATE TABLE people (
	study_id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	facts TEXT NOT NULL, 
	changed TEXT NOT NULL, 
	CONSTRAINT pk_people PRIMARY KEY (study_id, name), 
	CONSTRAINT fk_people_study_id FOREIGN KEY(study_id) REFERENCES study (id)
);
INSERT INTO "people" VALUES('seeded-oat-crackers','Ada','{"no":["sesame"]}','2026-05-04T10:30:00.000Z');
INSERT INTO "people" VALUES('dip-for-four','Bo','{"contact":"bo@larkspur.example","no":["tahini","mustard","milk"]}','2026-06-03T08:00:00.000Z');
INSERT INTO "people" VALUES('dip-for-four','Ada','{"contact":"ada@larkspur.example"}','2026-06-01T08:00:00.000Z');
CREATE TABLE proofpan_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT proofpan_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "proofpan_version" VALUES('0002');
CREATE TABLE revision (
	study_id TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	parent INTEGER, 
	same_as INTEGER, 
	at TEXT NOT NULL, 
	note TEXT NOT NULL, 
	title TEXT NOT NULL, 
	step TEXT NOT NULL, 
	text TEXT NOT NULL, 
	words TEXT, 
	CONSTRAINT pk_revision PRIMARY KEY (study_id, number), 
	CONSTRAINT fk_revision_study_id FOREIGN KEY(study_id) REFERENCES study (id)
);
INSERT INTO "revision" VALUES('seeded-oat-crackers',1,NULL,NULL,'2026-05-03T09:14:00.000Z','started','Oat crackers','brief','title: Oat crackers
',NULL);
INSERT INTO "revision" VALUES('seeded-oat-crackers',2,1,NULL,'2026-05-03T09:20:00.000Z','seeds in','Seeded oat crackers','rounds','title: Seeded oat crackers
note: crème',NULL);
INSERT INTO "revision" VALUES('seeded-oat-crackers',3,NULL,1,'2026-05-03T09:21:00.000Z','Undid: seeds in','Oat crackers','brief','title: Oat crackers
',NULL);
INSERT INTO "revision" VALUES('seeded-oat-crackers',4,NULL,2,'2026-05-04T10:00:00.000Z','Redid: seeds in','Seeded oat crackers','rounds','title: Seeded oat crackers
note: crème',NULL);
INSERT INTO "revision" VALUES('cucumber-dip',1,NULL,NULL,'2026-05-03T09:15:00.000Z','','Cucumber dip','brief','{}','cucumber mint yoghurt');
INSERT INTO "revision" VALUES('dip-for-four',1,NULL,NULL,'2026-06-01T08:00:00.000Z','imported','Dip for four','brief','# ours
title: Dip for four
tasters: [{name: Ada, no: [sesame]}, {name: Bo, no: [tahini, mustard]}, Kim, {name: Zoë, no: [celery]}]   # four of us
',NULL);
INSERT INTO "revision" VALUES('dip-for-four',2,1,NULL,'2026-06-02T08:00:00.000Z','Ada asked','Dip for four','brief','# ours
title: Dip for four
tasters: [{name: Ada, no: [sesame, egg]}, {name: Bo, no: [tahini, mustard]}, Kim, Zoë]
',NULL);
INSERT INTO "revision" VALUES('dip-for-four',3,2,NULL,'2026-06-03T08:00:00.000Z','no salt: a note','Dip for four','rounds','title: Dip for four
question: "Is there no: in this text?"
tasters: [{name: Ada, no: [sesame, egg]}, {name: Bo, no: [tahini]}, Kim, Zoë]
',NULL);
INSERT INTO "revision" VALUES('old-brittle',1,NULL,NULL,'2026-06-01T08:00:00.000Z','','Old brittle','brief','title: Old brittle
tasters:
  - name: Ada
    no:
      - almonds
  - {no: [], name: Bo}
notes: kept
','brittle sugar almonds');
INSERT INTO "revision" VALUES('in-json',1,NULL,NULL,'2026-06-01T08:00:00.000Z','','In JSON','brief','{"title": "In JSON", "tasters": [{"name": "Ada", "no": ["lupin"]}]}',NULL);
INSERT INTO "revision" VALUES('in-json',2,1,NULL,'2026-06-01T09:00:00.000Z','','In JSON','brief','title: [ no: never closed',NULL);
CREATE TABLE seat (
	study_id TEXT NOT NULL, 
	round INTEGER NOT NULL, 
	taster TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	token_digest TEXT NOT NULL, 
	CONSTRAINT pk_seat PRIMARY KEY (study_id, round, taster), 
	CONSTRAINT fk_seat_study_id_round FOREIGN KEY(study_id, round) REFERENCES tasting (study_id, round), 
	CONSTRAINT uq_seat_token_digest UNIQUE (token_digest)
);
INSERT INTO "seat" VALUES('seeded-oat-crackers',1,'Ada',1,'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855');
INSERT INTO "seat" VALUES('seeded-oat-crackers',2,'Ada',1,'2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae');
INSERT INTO "seat" VALUES('seeded-oat-crackers',2,'Bo',2,'fcde2b2edba56bf408601fb721fe9b5c338d10ee429ea04fae5511b68fbf8fb9');
CREATE TABLE study (
	id TEXT NOT NULL, 
	title TEXT NOT NULL, 
	step TEXT NOT NULL, 
	created TEXT NOT NULL, 
	changed TEXT NOT NULL, 
	deleted TEXT, 
	revision INTEGER NOT NULL, 
	CONSTRAINT pk_study PRIMARY KEY (id)
);
INSERT INTO "study" VALUES('seeded-oat-crackers','Seeded oat crackers','rounds','2026-05-03T09:14:00.000Z','2026-05-04T10:00:00.000Z',NULL,4);
INSERT INTO "study" VALUES('cucumber-dip','Cucumber dip','brief','2026-05-03T09:15:00.000Z','2026-05-03T09:15:00.000Z','2026-05-05T08:00:00.000Z',1);
INSERT INTO "study" VALUES('dip-for-four','Dip for four','rounds','2026-06-01T08:00:00.000Z','2026-06-03T08:00:00.000Z',NULL,3);
INSERT INTO "study" VALUES('old-brittle','Old brittle','brief','2026-06-01T08:00:00.000Z','2026-06-01T08:00:00.000Z','2026-06-02T08:00:00.000Z',1);
INSERT INTO "study" VALUES('in-json','In JSON','brief','2026-06-01T08:00:00.000Z','2026-06-01T08:00:00.000Z',NULL,2);
CREATE TABLE tasting (
	study_id TEXT NOT NULL, 
	round INTEGER NOT NULL, 
	opened TEXT NOT NULL, 
	closed TEXT, 
	CONSTRAINT pk_tasting PRIMARY KEY (study_id, round), 
	CONSTRAINT fk_tasting_study_id FOREIGN KEY(study_id) REFERENCES study (id)
);
INSERT INTO "tasting" VALUES('seeded-oat-crackers',1,'2026-05-04T10:50:00.000Z','2026-05-04T12:00:00.000Z');
INSERT INTO "tasting" VALUES('seeded-oat-crackers',2,'2026-05-05T10:50:00.000Z',NULL);
CREATE INDEX ix_event_study_id_id ON event (study_id, id);
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('event',4);
COMMIT;
CREATE VIRTUAL TABLE study_words USING fts5(study_id UNINDEXED, title, words, tokenize = 'porter unicode61 remove_diacritics 2');
INSERT INTO study_words (study_id, title, words)
  SELECT s.id, r.title, coalesce(r.words, r.text) FROM study s JOIN revision r ON r.study_id = s.id AND r.number = s.revision;