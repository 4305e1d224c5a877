-- What a group of kitchens keeps together. Each kitchen's own file is the truth about that kitchen; here lies what it
-- sent of it, and what others are to hear. Kitchens call the functions at the end and write nothing themselves.
--
-- Laid by `prepboard group found`, in one transaction, by whoever owns the database. What changes here later goes into
-- the folder `later`, too, which brings older tables up to date; the functions are laid anew each time.

CREATE SCHEMA prepboard;

-- Which tables these are. Those of the first kind had no such table.
CREATE TABLE prepboard.laid (version integer NOT NULL, at timestamptz NOT NULL DEFAULT now());
INSERT INTO prepboard.laid (version) VALUES (2);

CREATE TABLE prepboard.kitchens (
    id text PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    login name NOT NULL UNIQUE,
    joined_at timestamptz NOT NULL DEFAULT now(),
    left_at timestamptz);

-- Where each kitchen's file stands, as far as it was heard: its last line of the log and the last action.
-- `stopped` says why nothing more is taken in of it until somebody settles that.
CREATE TABLE prepboard.standing (
    kitchen text PRIMARY KEY REFERENCES prepboard.kitchens,
    file text NOT NULL DEFAULT '',
    branch integer NOT NULL DEFAULT 1,
    line bigint NOT NULL DEFAULT 0,
    chain text NOT NULL DEFAULT '',
    action bigint NOT NULL DEFAULT 0,
    heard_at timestamptz,
    shipper text NOT NULL DEFAULT '',
    shipper_until timestamptz NOT NULL DEFAULT '-infinity',
    stopped text NOT NULL DEFAULT '');

-- A restored file goes on from an older line of its log: a new branch of it.
CREATE TABLE prepboard.branches (
    kitchen text NOT NULL REFERENCES prepboard.kitchens,
    branch integer NOT NULL,
    from_branch integer NOT NULL,
    from_line bigint NOT NULL,
    from_action bigint NOT NULL,
    at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kitchen, branch));

-- The log's lines, as their chain hashes them. `text` is the JSON list that was hashed.
CREATE TABLE prepboard.lines (
    kitchen text NOT NULL,
    branch integer NOT NULL,
    number bigint NOT NULL,
    chain text NOT NULL,
    text text NOT NULL,
    PRIMARY KEY (kitchen, branch, number)) PARTITION BY HASH (kitchen);

-- Finished actions. `left_behind` is the JSON whose digest the action's last line holds: who, when, moves, readings.
CREATE TABLE prepboard.actions (
    kitchen text NOT NULL,
    branch integer NOT NULL,
    number bigint NOT NULL,
    id text NOT NULL,
    last_line bigint NOT NULL,
    at timestamptz NOT NULL,
    by text NOT NULL,
    did text NOT NULL,
    left_behind text NOT NULL,
    arrived_at timestamptz NOT NULL DEFAULT clock_timestamp(),
    PRIMARY KEY (kitchen, branch, number)) PARTITION BY HASH (kitchen);

DO $$
BEGIN
    FOR part IN 0..7 LOOP
        EXECUTE format('CREATE TABLE prepboard.lines_%s PARTITION OF prepboard.lines'
            ' FOR VALUES WITH (MODULUS 8, REMAINDER %s)', part, part);
        EXECUTE format('CREATE TABLE prepboard.actions_%s PARTITION OF prepboard.actions'
            ' FOR VALUES WITH (MODULUS 8, REMAINDER %s)', part, part);
    END LOOP;
END $$;
CREATE INDEX actions_by_time ON prepboard.actions (at);

-- What goes from one kitchen to another: two halves, each the word of one kitchen, in any order.
CREATE TABLE prepboard.transfers (
    id text PRIMARY KEY,
    sender text NOT NULL,
    receiver text NOT NULL,
    amount bigint NOT NULL CHECK (amount > 0),
    word jsonb NOT NULL,              -- the sender's half, as the sender or the note had it
    sent_at timestamptz,              -- none: the sender was not heard yet
    sent_action bigint,
    back_at timestamptz,
    back_action bigint,
    back jsonb,
    got text NOT NULL DEFAULT '' CHECK (got IN ('', 'taken in', 'refused')),
    got_amount bigint,
    got_at timestamptz,
    got_turn integer NOT NULL DEFAULT 0,
    got_action bigint,
    got_word jsonb,
    settled jsonb,                    -- who answered for what does not agree
    settled_of text,
    settled_action bigint,
    state text NOT NULL GENERATED ALWAYS AS (CASE
        WHEN back_at IS NOT NULL THEN CASE WHEN got = 'taken in' THEN 'crossed' ELSE 'taken back' END
        WHEN got = '' THEN 'on the van'
        WHEN sent_at IS NULL THEN 'received on paper'
        WHEN got = 'refused' THEN 'refused'
        WHEN got_amount < amount THEN 'short'
        ELSE 'received' END) STORED);
CREATE INDEX transfers_of_sender ON prepboard.transfers (sender, sent_action);
CREATE INDEX transfers_of_receiver ON prepboard.transfers (receiver, got_action);

-- What is held back everywhere, by whom it was said; and who has acknowledged it.
CREATE TABLE prepboard.holds (
    id text PRIMARY KEY,
    kitchen text NOT NULL,
    word jsonb NOT NULL,
    at timestamptz NOT NULL DEFAULT clock_timestamp(),
    lifted_at timestamptz);
CREATE TABLE prepboard.holds_seen (
    hold text NOT NULL,               -- may be known here first, after the server was set back
    kitchen text NOT NULL,
    at timestamptz NOT NULL,
    by text NOT NULL,
    PRIMARY KEY (hold, kitchen));

CREATE TABLE prepboard.orders (
    id text PRIMARY KEY,
    kitchen text NOT NULL,
    maker text NOT NULL,
    word jsonb NOT NULL,
    answer text NOT NULL DEFAULT '',
    answered jsonb);

-- One book for all, from a day on.
CREATE TABLE prepboard.books (
    number integer PRIMARY KEY GENERATED ALWAYS AS IDENTITY,
    from_day date NOT NULL,
    texts jsonb NOT NULL,
    released_at timestamptz NOT NULL DEFAULT now(),
    by text NOT NULL);

-- Halves that were not taken in, for a person.
CREATE TABLE prepboard.refused (
    kitchen text NOT NULL,
    action bigint NOT NULL,
    kind text NOT NULL,
    why text NOT NULL,
    word jsonb NOT NULL,
    at timestamptz NOT NULL DEFAULT clock_timestamp());

-- What a kitchen is to hear, numbered without a gap: `told` is the last number, `heard` what its file has taken in, by
-- the file's own word.
CREATE TABLE prepboard.inboxes (
    kitchen text PRIMARY KEY REFERENCES prepboard.kitchens,
    told bigint NOT NULL DEFAULT 0,
    heard bigint NOT NULL DEFAULT 0);
CREATE TABLE prepboard.news (
    kitchen text NOT NULL,
    number bigint NOT NULL,
    kind text NOT NULL,
    about text NOT NULL,
    word jsonb NOT NULL,
    at timestamptz NOT NULL DEFAULT clock_timestamp(),
    refused text NOT NULL DEFAULT '',
    token uuid NOT NULL DEFAULT gen_random_uuid(), -- a server that was set back gives numbers out again
    PRIMARY KEY (kitchen, number)) PARTITION BY HASH (kitchen);
DO $$
BEGIN
    FOR part IN 0..7 LOOP
        EXECUTE format('CREATE TABLE prepboard.news_%s PARTITION OF prepboard.news'
            ' FOR VALUES WITH (MODULUS 8, REMAINDER %s)', part, part);
    END LOOP;
END $$;
