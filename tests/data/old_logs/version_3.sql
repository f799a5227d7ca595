-- A log of schema version 3, invented: the small shop, a correction and a habit, both taken back. Made by version 3 of the schema itself.
PRAGMA application_id = 1229868121;
PRAGMA user_version = 3;
BEGIN TRANSACTION;
CREATE TABLE bits (
    id INTEGER PRIMARY KEY, bit TEXT NOT NULL UNIQUE CHECK (length(bit) BETWEEN 1 AND 200),
    nominal_angle_deg REAL NOT NULL CHECK (nominal_angle_deg > 0 AND nominal_angle_deg < 180),
    tip_flat REAL CHECK (tip_flat >= 0), cutting_diameter REAL CHECK (cutting_diameter > 0),
    notes TEXT NOT NULL DEFAULT '', 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, origin TEXT);
INSERT INTO "bits" VALUES(1,'b1',60.0,0.1,NULL,'',0,'{}','{}','mm',NULL);
INSERT INTO "bits" VALUES(2,'b2',30.0,NULL,NULL,'',0,'{}','{}','mm',NULL);
CREATE TABLE changes (
    id INTEGER PRIMARY KEY, at TEXT NOT NULL, "by" TEXT NOT NULL, what TEXT NOT NULL,
    undoes INTEGER REFERENCES changes (id), taken_back_by INTEGER REFERENCES changes (id), session TEXT NOT NULL DEFAULT '');
INSERT INTO "changes" VALUES(1,'2026-11-27T13:38:44+00:00','Ada','filled',NULL,NULL,'');
INSERT INTO "changes" VALUES(2,'2026-11-27T13:38:44+00:00','Bo','corrected cut k1 with 4 readings',NULL,3,'s1');
INSERT INTO "changes" VALUES(3,'2026-11-27T13:38:44+00:00','Bo','took back: corrected cut k1 with 4 readings',2,NULL,'s1');
INSERT INTO "changes" VALUES(4,'2026-11-27T13:38:44+00:00','Ada','stated the shop''s habits',NULL,5,'s1');
INSERT INTO "changes" VALUES(5,'2026-11-27T13:38:44+00:00','Ada','took back: stated the shop''s habits',4,NULL,'s1');
CREATE TABLE coupons (
    id INTEGER PRIMARY KEY, coupon TEXT NOT NULL UNIQUE CHECK (length(coupon) BETWEEN 1 AND 200),
    stations TEXT NOT NULL, 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, layout TEXT NOT NULL DEFAULT '');
INSERT INTO "coupons" VALUES(1,'c1','[{"coupon": "c1", "station": "B1", "kind": "bar", "stroke_width": 1.0, "land_width": 4.0, "grain": "along", "unit": "mm", "origin": null, "typed": {}, "extra": {}}, {"coupon": "c1", "station": "B2", "kind": "bar", "stroke_width": 2.0, "land_width": 4.0, "grain": "along", "unit": "mm", "origin": null, "typed": {}, "extra": {}}, {"coupon": "c1", "station": "B3", "kind": "bar", "stroke_width": 3.0, "land_width": 4.0, "grain": "along", "unit": "mm", "origin": null, "typed": {}, "extra": {}}, {"coupon": "c1", "station": "W1", "kind": "wedge", "stroke_width": 5.0, "land_width": 4.0, "grain": "along", "unit": "mm", "origin": null, "typed": {}, "extra": {}}]',0,'{}','{}','mm','');
CREATE TABLE cuts (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL UNIQUE CHECK (length(cut) BETWEEN 1 AND 200), date TEXT,
    bit TEXT NOT NULL REFERENCES bits (bit) ON UPDATE CASCADE,
    pair TEXT NOT NULL REFERENCES pairs (pair) ON UPDATE CASCADE,
    coupon TEXT REFERENCES coupons (coupon) ON UPDATE CASCADE,
    start_depth REAL NOT NULL CHECK (start_depth >= 0), pocket_depth REAL NOT NULL CHECK (pocket_depth > 0),
    relief_depth REAL NOT NULL CHECK (relief_depth >= 0), sanded_off REAL CHECK (sanded_off >= 0),
    path_angle_deg REAL CHECK (path_angle_deg > 0 AND path_angle_deg < 180), outline_offset REAL,
    pass_spacing REAL CHECK (pass_spacing >= 0), path_length_m REAL CHECK (path_length_m >= 0),
    outcome TEXT CHECK (outcome IN ('tight', 'hairline', 'open', 'proud', 'broken')),
    notes TEXT NOT NULL DEFAULT '', photo TEXT NOT NULL DEFAULT '', 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, picture TEXT NOT NULL DEFAULT '', origin TEXT);
INSERT INTO "cuts" VALUES(1,'k1','2026-03-05','b1','p1','c1',2.5,3.9,1.4,NULL,NULL,NULL,NULL,NULL,'hairline','said "tight", twice','',0,'{}','{}','mm','',NULL);
INSERT INTO "cuts" VALUES(2,'k2','2026-03-06','b2','p1','c1',2.5,3.9,1.4,0.3,NULL,NULL,NULL,NULL,NULL,'','',0,'{}','{}','mm','',NULL);
CREATE TABLE forecasts (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL REFERENCES cuts (cut) ON UPDATE CASCADE, made TEXT NOT NULL,
    within REAL NOT NULL CHECK (within > 0), chance REAL CHECK (chance BETWEEN 0 AND 1),
    known INTEGER NOT NULL CHECK (known >= 0), stations TEXT NOT NULL, origin TEXT,
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)));
CREATE TABLE grooves (
    id INTEGER PRIMARY KEY, bit TEXT NOT NULL REFERENCES bits (bit) ON UPDATE CASCADE, date TEXT,
    depth REAL NOT NULL CHECK (depth > 0), width REAL NOT NULL CHECK (width > 0), 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, origin TEXT);
INSERT INTO "grooves" VALUES(1,'b1','2026-03-01',2.0,2.41,0,'{}','{}','mm',NULL);
CREATE TABLE habits (
    id INTEGER PRIMARY KEY CHECK (id = 1), pocket_depth REAL CHECK (pocket_depth > 0),
    relief_depth REAL CHECK (relief_depth >= 0), sanded_off REAL NOT NULL CHECK (sanded_off >= 0),
    tight_below REAL NOT NULL CHECK (tight_below > 0), hairline_below REAL NOT NULL CHECK (hairline_below > 0),
    loupe_limit REAL NOT NULL CHECK (loupe_limit > 0), maker TEXT NOT NULL DEFAULT '', 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
);
INSERT INTO "habits" VALUES(1,NULL,NULL,0.4,0.05,0.15,0.05,'',1,'{}','{}','mm');
CREATE TABLE history (
    id INTEGER PRIMARY KEY, change INTEGER NOT NULL REFERENCES changes (id), of_table TEXT NOT NULL,
    row_id INTEGER NOT NULL, before TEXT, after TEXT NOT NULL);
INSERT INTO "history" VALUES(1,1,'bits',1,NULL,'{"id": 1, "bit": "b1", "nominal_angle_deg": 60.0, "tip_flat": 0.1, "cutting_diameter": null, "notes": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "origin": null}');
INSERT INTO "history" VALUES(2,1,'bits',2,NULL,'{"id": 2, "bit": "b2", "nominal_angle_deg": 30.0, "tip_flat": null, "cutting_diameter": null, "notes": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "origin": null}');
INSERT INTO "history" VALUES(3,1,'grooves',1,NULL,'{"id": 1, "bit": "b1", "date": "2026-03-01", "depth": 2.0, "width": 2.41, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "origin": null}');
INSERT INTO "history" VALUES(4,1,'pairs',1,NULL,'{"id": 1, "pair": "p1", "host": "maple", "insert": "walnut", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "origin": null}');
INSERT INTO "history" VALUES(5,1,'coupons',1,NULL,'{"id": 1, "coupon": "c1", "stations": "[{\"coupon\": \"c1\", \"station\": \"B1\", \"kind\": \"bar\", \"stroke_width\": 1.0, \"land_width\": 4.0, \"grain\": \"along\", \"unit\": \"mm\", \"origin\": null, \"typed\": {}, \"extra\": {}}, {\"coupon\": \"c1\", \"station\": \"B2\", \"kind\": \"bar\", \"stroke_width\": 2.0, \"land_width\": 4.0, \"grain\": \"along\", \"unit\": \"mm\", \"origin\": null, \"typed\": {}, \"extra\": {}}, {\"coupon\": \"c1\", \"station\": \"B3\", \"kind\": \"bar\", \"stroke_width\": 3.0, \"land_width\": 4.0, \"grain\": \"along\", \"unit\": \"mm\", \"origin\": null, \"typed\": {}, \"extra\": {}}, {\"coupon\": \"c1\", \"station\": \"W1\", \"kind\": \"wedge\", \"stroke_width\": 5.0, \"land_width\": 4.0, \"grain\": \"along\", \"unit\": \"mm\", \"origin\": null, \"typed\": {}, \"extra\": {}}]", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "layout": ""}');
INSERT INTO "history" VALUES(6,1,'cuts',1,NULL,'{"id": 1, "cut": "k1", "date": "2026-03-05", "bit": "b1", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": null, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": "hairline", "notes": "said \"tight\", twice", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}');
INSERT INTO "history" VALUES(7,1,'cuts',2,NULL,'{"id": 2, "cut": "k2", "date": "2026-03-06", "bit": "b2", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": 0.3, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": null, "notes": "", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}');
INSERT INTO "history" VALUES(8,1,'readings',1,NULL,'{"id": 1, "cut": "k1", "kind": "backer_gap", "station": null, "value": 1.2, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(9,1,'readings',2,NULL,'{"id": 2, "cut": "k1", "kind": "fill", "station": "B1", "value": null, "limit": null, "state": "filled", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(10,1,'readings',3,NULL,'{"id": 3, "cut": "k1", "kind": "glue_line", "station": "B2", "value": 0.08, "limit": 0.05, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(11,1,'readings',4,NULL,'{"id": 4, "cut": "k1", "kind": "glue_line", "station": "B3", "value": null, "limit": 0.05, "state": "closed", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(12,1,'readings',5,NULL,'{"id": 5, "cut": "k1", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(13,1,'readings',6,NULL,'{"id": 6, "cut": "k2", "kind": "backer_gap", "station": null, "value": 1.2, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(14,1,'readings',7,NULL,'{"id": 7, "cut": "k2", "kind": "fill", "station": "B1", "value": null, "limit": null, "state": "filled", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(15,1,'readings',8,NULL,'{"id": 8, "cut": "k2", "kind": "glue_line", "station": "B2", "value": 0.08, "limit": 0.05, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(16,1,'readings',9,NULL,'{"id": 9, "cut": "k2", "kind": "glue_line", "station": "B3", "value": null, "limit": 0.05, "state": "closed", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(17,1,'readings',10,NULL,'{"id": 10, "cut": "k2", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(18,2,'cuts',1,'{"id": 1, "cut": "k1", "date": "2026-03-05", "bit": "b1", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": null, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": "hairline", "notes": "said \"tight\", twice", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}','{"id": 1, "cut": "k1", "date": "2026-03-05", "bit": "b1", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": null, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": "tight", "notes": "tight", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}');
INSERT INTO "history" VALUES(19,2,'readings',5,'{"id": 5, "cut": "k1", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}','{"id": 5, "cut": "k1", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 1, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(20,3,'readings',5,'{"id": 5, "cut": "k1", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 1, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}','{"id": 5, "cut": "k1", "kind": "wedge_stop", "station": "W1", "value": 0.5, "limit": null, "state": null, "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "method": null, "sd": null, "origin": null}');
INSERT INTO "history" VALUES(21,3,'cuts',1,'{"id": 1, "cut": "k1", "date": "2026-03-05", "bit": "b1", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": null, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": "tight", "notes": "tight", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}','{"id": 1, "cut": "k1", "date": "2026-03-05", "bit": "b1", "pair": "p1", "coupon": "c1", "start_depth": 2.5, "pocket_depth": 3.9, "relief_depth": 1.4, "sanded_off": null, "path_angle_deg": null, "outline_offset": null, "pass_spacing": null, "path_length_m": null, "outcome": "hairline", "notes": "said \"tight\", twice", "photo": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm", "picture": "", "origin": null}');
INSERT INTO "history" VALUES(22,4,'habits',1,NULL,'{"id": 1, "pocket_depth": null, "relief_depth": null, "sanded_off": 0.4, "tight_below": 0.05, "hairline_below": 0.15, "loupe_limit": 0.05, "maker": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm"}');
INSERT INTO "history" VALUES(23,5,'habits',1,'{"id": 1, "pocket_depth": null, "relief_depth": null, "sanded_off": 0.4, "tight_below": 0.05, "hairline_below": 0.15, "loupe_limit": 0.05, "maker": "", "deleted": 0, "typed": "{}", "extra": "{}", "unit": "mm"}','{"id": 1, "pocket_depth": null, "relief_depth": null, "sanded_off": 0.4, "tight_below": 0.05, "hairline_below": 0.15, "loupe_limit": 0.05, "maker": "", "deleted": 1, "typed": "{}", "extra": "{}", "unit": "mm"}');
CREATE TABLE pairs (
    id INTEGER PRIMARY KEY, pair TEXT NOT NULL UNIQUE CHECK (length(pair) BETWEEN 1 AND 200),
    host TEXT NOT NULL, "insert" TEXT NOT NULL, 
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, origin TEXT);
INSERT INTO "pairs" VALUES(1,'p1','maple','walnut',0,'{}','{}','mm',NULL);
CREATE TABLE readings (
    id INTEGER PRIMARY KEY, cut TEXT NOT NULL REFERENCES cuts (cut) ON UPDATE CASCADE, kind TEXT NOT NULL,
    station TEXT, value REAL CHECK (value >= 0), "limit" REAL CHECK ("limit" > 0), state TEXT,
    
    deleted INTEGER NOT NULL DEFAULT 0 CHECK (deleted IN (0, 1)),
    typed TEXT NOT NULL DEFAULT '{}', extra TEXT NOT NULL DEFAULT '{}',
    unit TEXT NOT NULL DEFAULT 'mm' CHECK (unit IN ('mm', 'in', 'thou', ''))
, method TEXT CHECK (method IN ('loupe', 'picture', 'feeler', 'gauge')), sd REAL CHECK (sd > 0), origin TEXT, CHECK (value IS NOT NULL OR state IS NOT NULL));
INSERT INTO "readings" VALUES(1,'k1','backer_gap',NULL,1.2,NULL,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(2,'k1','fill','B1',NULL,NULL,'filled',0,'{}','{}','',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(3,'k1','glue_line','B2',0.08,0.05,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(4,'k1','glue_line','B3',NULL,0.05,'closed',0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(5,'k1','wedge_stop','W1',0.5,NULL,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(6,'k2','backer_gap',NULL,1.2,NULL,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(7,'k2','fill','B1',NULL,NULL,'filled',0,'{}','{}','',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(8,'k2','glue_line','B2',0.08,0.05,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(9,'k2','glue_line','B3',NULL,0.05,'closed',0,'{}','{}','mm',NULL,NULL,NULL);
INSERT INTO "readings" VALUES(10,'k2','wedge_stop','W1',0.5,NULL,NULL,0,'{}','{}','mm',NULL,NULL,NULL);
CREATE INDEX readings_of_cut ON readings (cut);
CREATE INDEX history_of_change ON history (change);
CREATE INDEX forecasts_of_cut ON forecasts (cut);
COMMIT;
