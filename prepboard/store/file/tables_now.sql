-- Every table as it stands in a new file. Made from the migrations, which are what counts; read only.

CREATE TABLE actions (
  number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, at TEXT NOT NULL, by TEXT NOT NULL,
  station TEXT NOT NULL, did TEXT NOT NULL, answer TEXT NOT NULL DEFAULT '{}', undone_by TEXT, entered TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX actions_by ON actions (by COLLATE NOCASE, number);
CREATE INDEX actions_taken_back ON actions (undone_by) WHERE undone_by IS NOT NULL;

CREATE TABLE added_services (
  day TEXT NOT NULL, service TEXT NOT NULL, name TEXT NOT NULL DEFAULT '', starts TEXT NOT NULL DEFAULT '',
  ends TEXT NOT NULL DEFAULT '', covers INTEGER NOT NULL DEFAULT 0, like TEXT NOT NULL DEFAULT '',
  counts TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(counts)), over TEXT NOT NULL DEFAULT '0',
  PRIMARY KEY (day, service)) STRICT;

CREATE TABLE batches (
  code TEXT PRIMARY KEY, prep TEXT NOT NULL, name TEXT NOT NULL DEFAULT '',
  run TEXT REFERENCES runs (code), state TEXT NOT NULL CHECK (state IN ('live', 'closed', 'undone')),
  left INTEGER NOT NULL CHECK (left >= 0), unit TEXT NOT NULL, made_at TEXT NOT NULL,
  day_one TEXT NOT NULL, passes_on TEXT, use_by TEXT, why TEXT NOT NULL,
  store TEXT NOT NULL, place TEXT NOT NULL, station TEXT NOT NULL, by TEXT NOT NULL,
  blocked TEXT NOT NULL DEFAULT '', set_aside TEXT NOT NULL DEFAULT '', frozen_at TEXT, first_day TEXT, inherited TEXT, safety TEXT, stays TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(stays)), cold INTEGER NOT NULL DEFAULT 0, parent TEXT REFERENCES batches (code), pack INTEGER NOT NULL DEFAULT 0, lot TEXT NOT NULL DEFAULT '', allergens TEXT CHECK (allergens IS NULL OR json_valid(allergens)), kept TEXT NOT NULL DEFAULT '', blocked_for TEXT NOT NULL DEFAULT '', label_says TEXT, counts_on_at TEXT, counts_on_by TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX batches_live ON batches (prep, use_by) WHERE state = 'live';
CREATE INDEX batches_of_lot ON batches (lot) WHERE lot != '';
CREATE INDEX batches_of_parent ON batches (parent) WHERE parent IS NOT NULL;
CREATE INDEX batches_of_place ON batches (place, made_at);
CREATE INDEX batches_of_run ON batches (run);
CREATE INDEX batches_that_are_packs ON batches (code) WHERE pack;

CREATE TABLE blocked_places (
  place TEXT PRIMARY KEY, why TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL) STRICT;

CREATE TABLE book (
  version INTEGER PRIMARY KEY, digest TEXT NOT NULL, loaded_at TEXT NOT NULL, by TEXT NOT NULL,
  texts TEXT NOT NULL CHECK (json_valid(texts))) STRICT;

CREATE TABLE changes (
  number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), row_of TEXT NOT NULL,
  key TEXT NOT NULL, before TEXT, after TEXT) STRICT;
CREATE INDEX changes_of_action ON changes (action);
CREATE INDEX changes_of_row ON changes (row_of, key);

CREATE TABLE checked_books (
  version INTEGER PRIMARY KEY REFERENCES book (version), form TEXT NOT NULL,
  checked TEXT NOT NULL CHECK (json_valid(checked))) STRICT;

CREATE TABLE codes_gone (code TEXT PRIMARY KEY) STRICT, WITHOUT ROWID;

CREATE TABLE corrections (
  number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
  by TEXT NOT NULL, station TEXT NOT NULL, batch TEXT NOT NULL REFERENCES batches (code),
  what TEXT NOT NULL, how TEXT NOT NULL) STRICT;
CREATE TRIGGER corrections_are_never_changed BEFORE UPDATE ON corrections BEGIN SELECT RAISE(ABORT, 'corrections: rows are only ever added'); END;
CREATE TRIGGER corrections_are_never_deleted BEFORE DELETE ON corrections BEGIN SELECT RAISE(ABORT, 'corrections: rows are only ever added'); END;
CREATE INDEX corrections_of ON corrections (batch, at);
CREATE INDEX corrections_of_action ON corrections (action);

CREATE TABLE counts (
  day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
  PRIMARY KEY (day, service, dish)) STRICT;
CREATE TRIGGER counts_learned_anew_after_delete AFTER DELETE ON counts WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER counts_learned_anew_after_insert AFTER INSERT ON counts WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER counts_learned_anew_after_update AFTER UPDATE ON counts WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;

CREATE TABLE equipment_that_works (
  day TEXT NOT NULL, equipment TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
  PRIMARY KEY (day, equipment)) STRICT;

CREATE TABLE food (
  kind TEXT NOT NULL CHECK (kind IN ('batch', 'run')), code TEXT NOT NULL,
  marks TEXT NOT NULL CHECK (json_valid(marks)), PRIMARY KEY (kind, code)) STRICT;

CREATE TABLE given (
  day TEXT NOT NULL, prep TEXT NOT NULL, station TEXT NOT NULL, PRIMARY KEY (day, prep)) STRICT;

CREATE TABLE goods_counted (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, goods TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('counted', 'delivered')), amount INTEGER NOT NULL,
  lot TEXT NOT NULL DEFAULT '', safe_to TEXT, degrees TEXT NOT NULL DEFAULT '', supplier TEXT NOT NULL DEFAULT '',
  by TEXT NOT NULL, station TEXT NOT NULL) STRICT;
CREATE INDEX goods_counted_at ON goods_counted (goods, at);

CREATE TABLE goods_discarded (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, goods TEXT NOT NULL,
  amount INTEGER NOT NULL CHECK (amount > 0), why TEXT NOT NULL,
  by TEXT NOT NULL, station TEXT NOT NULL) STRICT;
CREATE INDEX goods_discarded_at ON goods_discarded (at);

CREATE TABLE group_books (
  number INTEGER PRIMARY KEY, from_day TEXT NOT NULL, texts TEXT NOT NULL CHECK (json_valid(texts)),
  heard_at TEXT NOT NULL, taken_at TEXT) STRICT;

CREATE TABLE hands (
  day TEXT NOT NULL, station TEXT NOT NULL, n INTEGER NOT NULL CHECK (n >= 0),
  PRIMARY KEY (day, station)) STRICT;

CREATE TABLE held_batches (batch TEXT PRIMARY KEY, line INTEGER NOT NULL) STRICT;

CREATE TABLE holds_kept (
  id TEXT PRIMARY KEY, sender TEXT NOT NULL, code TEXT NOT NULL DEFAULT '', goods TEXT NOT NULL DEFAULT '',
  lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL,
  lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '', lifted_why TEXT NOT NULL DEFAULT '',
  seen_at TEXT, seen_by TEXT NOT NULL DEFAULT '', seen_in TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX holds_kept_of ON holds_kept (sender, code);
CREATE INDEX holds_kept_seen_in ON holds_kept (seen_in) WHERE seen_in != '';

CREATE TABLE holds_seen (hold TEXT NOT NULL, kitchen TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL, PRIMARY KEY (hold, kitchen)) STRICT;

CREATE TABLE holds_told (
  id TEXT PRIMARY KEY, of TEXT NOT NULL, receiver TEXT NOT NULL DEFAULT '', code TEXT NOT NULL DEFAULT '',
  goods TEXT NOT NULL DEFAULT '', lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL, at TEXT NOT NULL,
  by TEXT NOT NULL, told_in TEXT NOT NULL, lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '',
  lifted_in TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX holds_told_in_force ON holds_told (of) WHERE lifted_at IS NULL;
CREATE INDEX holds_told_lifted_in ON holds_told (lifted_in) WHERE lifted_in != '';
CREATE INDEX holds_told_told_in ON holds_told (told_in) WHERE told_in != '';

CREATE TABLE learned (dish TEXT PRIMARY KEY, state TEXT NOT NULL CHECK (json_valid(state))) STRICT;

CREATE TABLE log (
  number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
  by TEXT NOT NULL, role TEXT NOT NULL, station TEXT NOT NULL, did TEXT NOT NULL,
  batch TEXT NOT NULL DEFAULT '', prep TEXT NOT NULL DEFAULT '', dish TEXT NOT NULL DEFAULT '',
  before TEXT NOT NULL DEFAULT '', after TEXT NOT NULL DEFAULT '', why TEXT NOT NULL DEFAULT '', chain TEXT NOT NULL DEFAULT '', holds TEXT NOT NULL DEFAULT '') STRICT;
CREATE TRIGGER log_are_never_changed BEFORE UPDATE ON log BEGIN SELECT RAISE(ABORT, 'log: rows are only ever added'); END;
CREATE TRIGGER log_are_never_deleted BEFORE DELETE ON log BEGIN SELECT RAISE(ABORT, 'log: rows are only ever added'); END;
CREATE INDEX log_at ON log (at);
CREATE INDEX log_of_the_clock ON log (at) WHERE did = 'clock';

CREATE TABLE missing (goods TEXT PRIMARY KEY, since TEXT NOT NULL, until TEXT) STRICT;

CREATE TABLE mixes (
  day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, share TEXT NOT NULL,
  PRIMARY KEY (day, service, dish)) STRICT;

CREATE TABLE "moves" (
  number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
  batch TEXT NOT NULL REFERENCES batches (code),
  kind TEXT NOT NULL CHECK (kind IN ('made', 'opened', 'used', 'plated', 'counted', 'gone', 'discarded',
      'moved', 'frozen', 'thawed', 'split', 'sent', 'received', 'undone')),
  amount INTEGER NOT NULL, run TEXT REFERENCES runs (code), plate INTEGER REFERENCES plates (number),
  why TEXT NOT NULL DEFAULT '', gives_back INTEGER REFERENCES "moves" (number)) STRICT;
CREATE TRIGGER moves_are_never_changed BEFORE UPDATE ON moves BEGIN SELECT RAISE(ABORT, 'moves: rows are only ever added'); END;
CREATE TRIGGER moves_are_never_deleted BEFORE DELETE ON moves BEGIN SELECT RAISE(ABORT, 'moves: rows are only ever added'); END;
CREATE INDEX moves_given_back ON moves (gives_back) WHERE gives_back IS NOT NULL;
CREATE INDEX moves_of_action ON moves (action);
CREATE INDEX moves_of_batch ON moves (batch, amount);
CREATE INDEX moves_of_plate ON moves (plate) WHERE plate IS NOT NULL;
CREATE INDEX moves_of_run ON moves (run) WHERE run IS NOT NULL;
CREATE INDEX moves_to_place ON moves (why, at) WHERE why != '';
CREATE INDEX moves_unsold ON moves (at) WHERE kind IN ('gone', 'discarded');

CREATE TABLE notes (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
  whom TEXT NOT NULL, text TEXT NOT NULL, done_at TEXT, done_by TEXT) STRICT;
CREATE INDEX notes_done ON notes (done_at) WHERE done_at IS NOT NULL;
CREATE INDEX notes_open ON notes (number) WHERE done_at IS NULL;

CREATE TABLE orders (
  id TEXT PRIMARY KEY, van TEXT NOT NULL, day TEXT NOT NULL, kitchen TEXT NOT NULL, maker TEXT NOT NULL,
  prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0), unit TEXT NOT NULL, at TEXT NOT NULL,
  by TEXT NOT NULL, ordered_in TEXT NOT NULL DEFAULT '', late INTEGER NOT NULL DEFAULT 0,
  answer TEXT NOT NULL DEFAULT '' CHECK (answer IN ('', 'yes', 'no')), answered_at TEXT,
  answered_by TEXT NOT NULL DEFAULT '', answer_why TEXT NOT NULL DEFAULT '',
  answered_in TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX orders_answered_in ON orders (answered_in) WHERE answered_in != '';
CREATE INDEX orders_for_a_van ON orders (day, van);
CREATE INDEX orders_ordered_in ON orders (ordered_in) WHERE ordered_in != '';

CREATE TABLE pars (
  day TEXT NOT NULL, service TEXT NOT NULL, prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0),
  PRIMARY KEY (day, service, prep)) STRICT;

CREATE TABLE pins (
  person TEXT PRIMARY KEY, kept TEXT NOT NULL, set_at TEXT NOT NULL, by TEXT NOT NULL,
  wrong INTEGER NOT NULL DEFAULT 0, wait_until TEXT) STRICT, WITHOUT ROWID;

CREATE TABLE plates (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, service TEXT NOT NULL, day TEXT NOT NULL,
  dish TEXT NOT NULL, n INTEGER NOT NULL CHECK (n > 0), back INTEGER NOT NULL DEFAULT 0,
  again TEXT NOT NULL DEFAULT '', by TEXT NOT NULL, station TEXT NOT NULL) STRICT;
CREATE INDEX plates_again ON plates (at) WHERE again != '';
CREATE TRIGGER plates_learned_anew_after_delete AFTER DELETE ON plates WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER plates_learned_anew_after_insert AFTER INSERT ON plates WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER plates_learned_anew_after_update AFTER UPDATE ON plates WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE INDEX plates_of_day ON plates (day, service, dish);

CREATE TABLE portions (
  day TEXT NOT NULL, dish TEXT NOT NULL, prep TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0),
  PRIMARY KEY (day, dish, prep)) STRICT;

CREATE TABLE probe_checks (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, probe TEXT NOT NULL COLLATE NOCASE,
  water TEXT NOT NULL CHECK (water IN ('ice', 'boiling')), degrees TEXT NOT NULL,
  unit TEXT NOT NULL CHECK (unit IN ('C', 'F')), ok INTEGER NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
  entered TEXT NOT NULL) STRICT;
CREATE INDEX probe_checks_at ON probe_checks (at);
CREATE INDEX probe_checks_of ON probe_checks (probe, at);

CREATE TABLE ran_out (
  day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, at TEXT NOT NULL,
  went_on INTEGER NOT NULL DEFAULT 0, PRIMARY KEY (day, service, dish)) STRICT;
CREATE TRIGGER ran_out_learned_anew_after_delete AFTER DELETE ON ran_out WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER ran_out_learned_anew_after_insert AFTER INSERT ON ran_out WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER ran_out_learned_anew_after_update AFTER UPDATE ON ran_out WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;

CREATE TABLE readings (
  number INTEGER PRIMARY KEY, action TEXT NOT NULL REFERENCES actions (id), at TEXT NOT NULL,
  by TEXT NOT NULL, station TEXT NOT NULL, of TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('batch', 'run', 'place', 'goods')),
  degrees TEXT NOT NULL, unit TEXT NOT NULL CHECK (unit IN ('C', 'F')), meant TEXT NOT NULL DEFAULT '',
  held_to TEXT NOT NULL DEFAULT '', ok INTEGER, entered TEXT NOT NULL DEFAULT '', from_record TEXT NOT NULL DEFAULT '', probe TEXT NOT NULL DEFAULT '' COLLATE NOCASE) STRICT;
CREATE TRIGGER readings_are_never_changed BEFORE UPDATE ON readings BEGIN SELECT RAISE(ABORT, 'readings: rows are only ever added'); END;
CREATE TRIGGER readings_are_never_deleted BEFORE DELETE ON readings BEGIN SELECT RAISE(ABORT, 'readings: rows are only ever added'); END;
CREATE INDEX readings_at ON readings (at);
CREATE INDEX readings_of ON readings (kind, of, at);
CREATE INDEX readings_of_action ON readings (action);
CREATE INDEX readings_with ON readings (probe, at) WHERE probe != '';

CREATE TABLE received_as (
  ours TEXT PRIMARY KEY REFERENCES batches (code), sender TEXT NOT NULL, code TEXT NOT NULL,
  transfer TEXT NOT NULL REFERENCES transfers (id), at TEXT NOT NULL, stays INTEGER NOT NULL,
  lots TEXT NOT NULL CHECK (json_valid(lots)), ends TEXT NOT NULL CHECK (json_valid(ends))) STRICT;
CREATE INDEX received_as_theirs ON received_as (sender, code);

CREATE TABLE resets (day TEXT NOT NULL, dish TEXT NOT NULL, at TEXT NOT NULL, PRIMARY KEY (day, dish)) STRICT;
CREATE TRIGGER resets_learned_anew_after_delete AFTER DELETE ON resets WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER resets_learned_anew_after_insert AFTER INSERT ON resets WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER resets_learned_anew_after_update AFTER UPDATE ON resets WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;

CREATE TABLE run_lots (
  run TEXT NOT NULL REFERENCES runs (code), goods TEXT NOT NULL, lot TEXT NOT NULL,
  PRIMARY KEY (run, goods)) STRICT;

CREATE TABLE runs (
  code TEXT PRIMARY KEY, prep TEXT NOT NULL, size TEXT NOT NULL, line TEXT, need TEXT NOT NULL DEFAULT '',
  n INTEGER NOT NULL DEFAULT 0, need_day TEXT NOT NULL,
  book INTEGER NOT NULL REFERENCES book (version),
  state TEXT NOT NULL CHECK (state IN ('under way', 'done', 'lost', 'undone')),
  started TEXT NOT NULL, recorded INTEGER NOT NULL, ended TEXT, ended_by TEXT, ended_at_station TEXT,
  step INTEGER NOT NULL, step_began TEXT NOT NULL, step_ends TEXT NOT NULL DEFAULT '{}',
  taken TEXT NOT NULL DEFAULT '[]', first_day TEXT, outputs TEXT NOT NULL,
  by TEXT NOT NULL, station TEXT NOT NULL, first_safety TEXT, instead TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(instead)), other_places TEXT NOT NULL DEFAULT '' CHECK (other_places = '' OR json_valid(other_places))) STRICT;
CREATE INDEX runs_by_day ON runs (need_day, prep, need, n) WHERE line IS NOT NULL AND state != 'undone';
CREATE INDEX runs_by_need ON runs (need, prep, n) WHERE line IS NOT NULL AND state != 'undone';
CREATE INDEX runs_ended ON runs (ended) WHERE ended IS NOT NULL;
CREATE UNIQUE INDEX runs_one_a_line ON runs (line) WHERE line IS NOT NULL AND state != 'undone';
CREATE INDEX runs_under_way ON runs (started) WHERE state = 'under way';

CREATE TABLE schedules (
  line TEXT PRIMARY KEY, size TEXT NOT NULL, ready_by TEXT, due TEXT,
  steps TEXT NOT NULL CHECK (json_valid(steps)), moved TEXT CHECK (moved IS NULL OR json_valid(moved))) STRICT;

CREATE TABLE services (
  day TEXT NOT NULL, service TEXT NOT NULL, covers INTEGER, came INTEGER,
  percent INTEGER NOT NULL DEFAULT 0, cancelled INTEGER NOT NULL DEFAULT 0, special INTEGER NOT NULL DEFAULT 0, past INTEGER NOT NULL DEFAULT 0, ended TEXT, moved_to TEXT, at_start INTEGER,
  PRIMARY KEY (day, service)) STRICT;
CREATE TRIGGER services_learned_anew_after_delete AFTER DELETE ON services WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER services_learned_anew_after_insert AFTER INSERT ON services WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER services_learned_anew_after_update AFTER UPDATE ON services WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;

CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE shorts (
  day TEXT NOT NULL, prep TEXT NOT NULL, need TEXT NOT NULL, since TEXT NOT NULL,
  PRIMARY KEY (day, prep, need)) STRICT;

CREATE TABLE signed (
  day TEXT NOT NULL, station TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL,
  PRIMARY KEY (day, station)) STRICT;

CREATE TABLE standing_by_weekday (
  prep TEXT NOT NULL, weekday INTEGER NOT NULL CHECK (weekday BETWEEN 0 AND 6),
  amount INTEGER NOT NULL CHECK (amount >= 0), PRIMARY KEY (prep, weekday)) STRICT;

CREATE TABLE standing_pars (
  prep TEXT PRIMARY KEY, amount INTEGER NOT NULL CHECK (amount >= 0)) STRICT;

CREATE TABLE staying (
  day TEXT NOT NULL, station TEXT NOT NULL, since TEXT NOT NULL, minutes INTEGER NOT NULL,
  PRIMARY KEY (day, station, since)) STRICT, WITHOUT ROWID;

CREATE TABLE taken_off (
  day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, why TEXT NOT NULL, at TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (day, service, dish)) STRICT;
CREATE TRIGGER taken_off_learned_anew_after_delete AFTER DELETE ON taken_off WHEN OLD.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER taken_off_learned_anew_after_insert AFTER INSERT ON taken_off WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;
CREATE TRIGGER taken_off_learned_anew_after_update AFTER UPDATE ON taken_off WHEN NEW.day <= (SELECT value FROM settings WHERE name = 'learned to') BEGIN DELETE FROM learned; DELETE FROM settings WHERE name = 'learned to'; END;

CREATE TABLE tasks_done (
  day TEXT NOT NULL, task TEXT NOT NULL, at TEXT NOT NULL, by TEXT NOT NULL, station TEXT NOT NULL,
  degrees TEXT, unit TEXT CHECK (unit IN ('C', 'F')), probe TEXT NOT NULL DEFAULT '' COLLATE NOCASE, PRIMARY KEY (day, task)) STRICT;
CREATE INDEX tasks_done_at ON tasks_done (at);
CREATE INDEX tasks_done_with ON tasks_done (probe, at) WHERE probe != '';

CREATE TABLE timers (
  number INTEGER PRIMARY KEY, station TEXT NOT NULL, set_at TEXT NOT NULL, ends TEXT NOT NULL,
  by TEXT NOT NULL, text TEXT NOT NULL DEFAULT '', stopped TEXT) STRICT;
CREATE INDEX timers_running ON timers (ends) WHERE stopped IS NULL;

CREATE TABLE transfers (
  id TEXT PRIMARY KEY, note TEXT NOT NULL, sender TEXT NOT NULL, receiver TEXT NOT NULL,
  van TEXT NOT NULL DEFAULT '', day TEXT NOT NULL DEFAULT '', batch TEXT NOT NULL, prep TEXT NOT NULL,
  name TEXT NOT NULL, unit TEXT NOT NULL, amount INTEGER NOT NULL CHECK (amount >= 0), sent TEXT NOT NULL,
  sent_at TEXT NOT NULL, sent_by TEXT NOT NULL, sent_in TEXT NOT NULL DEFAULT '',
  back_at TEXT, back_by TEXT NOT NULL DEFAULT '', back_in TEXT NOT NULL DEFAULT '',
  got TEXT NOT NULL DEFAULT '' CHECK (got IN ('', 'taken in', 'refused')), got_amount INTEGER,
  got_at TEXT, got_by TEXT NOT NULL DEFAULT '', got_degrees TEXT NOT NULL DEFAULT '',
  got_why TEXT NOT NULL DEFAULT '', got_in TEXT NOT NULL DEFAULT '', got_turn INTEGER NOT NULL DEFAULT 0,
  ours TEXT NOT NULL DEFAULT '',
  settled_at TEXT, settled_by TEXT NOT NULL DEFAULT '', settled_why TEXT NOT NULL DEFAULT '', settled_in TEXT NOT NULL DEFAULT '') STRICT;
CREATE INDEX transfers_back_in ON transfers (back_in) WHERE back_in != '';
CREATE INDEX transfers_by_batch ON transfers (batch);
CREATE INDEX transfers_by_note ON transfers (note);
CREATE INDEX transfers_by_time ON transfers (sent_at);
CREATE INDEX transfers_for_a_van ON transfers (day, van);
CREATE INDEX transfers_got_in ON transfers (got_in) WHERE got_in != '';
CREATE INDEX transfers_open ON transfers (sent_at) WHERE settled_at IS NULL AND (got = '' AND back_at IS NULL OR got = 'refused' AND back_at IS NULL
  OR got = 'taken in' AND (back_at IS NOT NULL OR got_amount < amount));
CREATE INDEX transfers_sent_in ON transfers (sent_in) WHERE sent_in != '';
CREATE INDEX transfers_settled_in ON transfers (settled_in) WHERE settled_in != '';

CREATE TABLE was_off (
  day TEXT NOT NULL, service TEXT NOT NULL, dish TEXT NOT NULL, since TEXT NOT NULL, until TEXT NOT NULL,
  PRIMARY KEY (day, service, dish, since)) STRICT;

CREATE TABLE withdrawals (
  number INTEGER PRIMARY KEY, at TEXT NOT NULL, by TEXT NOT NULL, batch TEXT NOT NULL DEFAULT '',
  goods TEXT NOT NULL DEFAULT '', lot TEXT NOT NULL DEFAULT '', why TEXT NOT NULL,
  lifted_at TEXT, lifted_by TEXT NOT NULL DEFAULT '', lifted_why TEXT NOT NULL DEFAULT '', hold TEXT NOT NULL DEFAULT '') STRICT;
