-- What a group of kitchens keeps together. Each kitchen's own file is the truth about that kitchen; here lies what it
-- sent of it, and what others are to hear. Kitchens call the functions at the end and write nothing themselves.
--
-- Laid by `prepboard group found`, in one transaction, by whoever owns the database.

CREATE SCHEMA prepboard;

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

-- Who asks. Functions run as their owner, so only the login of the session says it.
CREATE FUNCTION prepboard.me() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT id FROM prepboard.kitchens WHERE login = session_user AND left_at IS NULL $$;

CREATE FUNCTION prepboard.asking() RETURNS text LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = '' AS $$
DECLARE kitchen text := prepboard.me();
BEGIN
    IF kitchen IS NULL THEN
        RAISE EXCEPTION 'no kitchen of this group has the login %', session_user USING ERRCODE = 'insufficient_privilege';
    END IF;
    RETURN kitchen;
END $$;

-- Where this kitchen's file stands here, and a lease for its one shipper: "other" while another one has it. The file
-- says how far it has heard; where that is no news of this server's it hears all once more.
CREATE FUNCTION prepboard.stand(shipper text, file text, seconds integer, heard bigint, token text) RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    asker text := prepboard.asking();
    stands prepboard.standing;
BEGIN
    SELECT * INTO stands FROM prepboard.standing AS s WHERE s.kitchen = asker FOR UPDATE;
    IF stands.shipper <> stand.shipper AND stands.shipper_until > clock_timestamp() THEN
        RETURN jsonb_build_object('said', 'other', 'file', stands.file);
    END IF;
    UPDATE prepboard.inboxes AS i SET heard = CASE WHEN EXISTS (SELECT 1 FROM prepboard.news AS n
            WHERE n.kitchen = asker AND n.number = stand.heard AND n.token::text = stand.token)
        THEN stand.heard ELSE 0 END WHERE i.kitchen = asker;
    UPDATE prepboard.standing AS s SET shipper = stand.shipper, heard_at = clock_timestamp(),
        shipper_until = clock_timestamp() + make_interval(secs => least(seconds, 600)),
        file = CASE WHEN s.file = '' THEN stand.file ELSE s.file END
        WHERE s.kitchen = asker;
    RETURN jsonb_build_object('said', 'yours', 'kitchen', asker, 'line', stands.line, 'chain', stands.chain,
        'action', stands.action, 'branch', stands.branch, 'stopped', stands.stopped,
        'file', CASE WHEN stands.file = '' THEN file ELSE stands.file END);
END $$;

-- One number more in a kitchen's inbox. Inboxes are locked in the order of their kitchens by whoever tells several.
CREATE FUNCTION prepboard.tell(whom text, kind text, about text, word jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE n bigint;
BEGIN
    UPDATE prepboard.inboxes AS i SET told = i.told + 1 WHERE i.kitchen = whom RETURNING i.told INTO n;
    IF n IS NOT NULL THEN
        INSERT INTO prepboard.news (kitchen, number, kind, about, word) VALUES (whom, n, kind, about, word);
        PERFORM pg_notify('prepboard_' || md5(whom), '');
    END IF;
END $$;

-- What is wrong with a line that is to follow the line `before`; '' for nothing. Its text gives its hash, and names both.
CREATE FUNCTION prepboard.wrong_with_line(before text, before_number bigint, line jsonb) RETURNS text
LANGUAGE plpgsql IMMUTABLE SET search_path = '' AS $$
DECLARE
    said text := line->>2;
BEGIN
    IF length(line->>1) NOT IN (32, 64)
        OR left(encode(sha256(convert_to(said, 'UTF8')), 'hex'), length(line->>1)) <> line->>1 THEN
        RETURN format('line %s: its hash is not that of its words', line->>0);
    END IF;
    IF (said::json->>1)::bigint <> (line->>0)::bigint OR said::json->>0 <> before
        OR (line->>0)::bigint <> before_number + 1 THEN
        RETURN format('line %s: it does not follow the one before', line->>0);
    END IF;
    RETURN '';
END $$;

-- What is wrong with an action: its lines are its own, and what it left behind is what its last line holds.
CREATE FUNCTION prepboard.wrong_with_action(action jsonb) RETURNS text
LANGUAGE plpgsql IMMUTABLE SET search_path = '' AS $$
DECLARE
    holds text := (action->'lines'->-1->>2)::json->>14;
    digest text := left(encode(sha256(convert_to(action->>'left_behind', 'UTF8')), 'hex'), 10);
    line jsonb;
BEGIN
    IF holds IS NULL OR holds::json->>'did' IS DISTINCT FROM digest THEN
        RETURN format('action %s: what it left behind is not what its line holds', action->>'number');
    END IF;
    FOR line IN SELECT jsonb_array_elements(action->'lines') LOOP
        IF (line->>2)::json->>2 <> action->>'id' THEN
            RETURN format('line %s: it is of another action', line->>0);
        END IF;
    END LOOP;
    RETURN '';
END $$;

-- A row of what an action left behind, [[name, value], ...], as an object.
CREATE FUNCTION prepboard.named(pairs json) RETURNS jsonb LANGUAGE sql IMMUTABLE SET search_path = '' AS $$
    SELECT coalesce(jsonb_object_agg(pair->>0, pair->1), '{}') FROM json_array_elements(pairs) AS pair $$;

-- The moves of one kind that an action made, of one batch where it is named: the sum of their amounts, none for none.
CREATE FUNCTION prepboard.moved(action jsonb, kind text, code text) RETURNS bigint
LANGUAGE sql IMMUTABLE SET search_path = '' AS $$
    SELECT sum((m->>'amount')::bigint) FROM json_array_elements((action->>'left_behind')::json->1) AS pairs,
        prepboard.named(pairs) AS m
    WHERE m->>'kind' = moved.kind AND (code IS NULL OR m->>'batch' = code) $$;

-- A half, taken in: what it says must be what the action really moved, at its own moment.
CREATE FUNCTION prepboard.take_half(asker text, action jsonb, half jsonb, moment timestamptz) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
#variable_conflict use_variable
DECLARE
    word jsonb := half->'word';
    kind text := half->>'kind';
    whom text;
    changed integer;
    early jsonb;
    -- After a copy was put in the file's place it says again, later, what had left: of food of which it has less by then.
    again boolean := prepboard.named((action->>'left_behind')::json->0->0)->>'did' = 'put back';
BEGIN
    IF kind = 'sent' THEN
        IF EXISTS (SELECT 1 FROM prepboard.transfers AS t
                WHERE t.id = word->>'id' AND t.sender = asker AND t.sent_at IS NOT NULL) THEN
            RETURN; -- said before: again by a file that was put back
        END IF;
        IF word->>'sender' <> asker
            OR again AND -coalesce(prepboard.moved(action, 'sent', word->>'batch'), 0) NOT BETWEEN 0 AND (word->>'amount')::bigint
            OR NOT again AND ((word->>'sent_at')::timestamptz <> moment
                OR prepboard.moved(action, 'sent', word->>'batch') IS DISTINCT FROM -(word->>'amount')::bigint) THEN
            RAISE EXCEPTION 'transfer %: it is not what was moved', word->>'id' USING ERRCODE = 'data_exception';
        END IF;
        INSERT INTO prepboard.transfers AS t (id, sender, receiver, amount, word, sent_at, sent_action)
            VALUES (word->>'id', asker, word->>'receiver', (word->>'amount')::bigint, word, moment, (action->>'number')::bigint)
            ON CONFLICT (id) DO UPDATE SET sent_at = excluded.sent_at, sent_action = excluded.sent_action,
                word = excluded.word, amount = excluded.amount
                WHERE t.sender = asker AND t.receiver = excluded.receiver AND t.sent_at IS NULL;
        GET DIAGNOSTICS changed = ROW_COUNT;
        IF changed = 1 THEN PERFORM prepboard.tell(word->>'receiver', 'sent', word->>'id', word); END IF;
    ELSIF kind = 'back' THEN
        UPDATE prepboard.transfers AS t SET back_at = moment, back = word,
                back_action = (action->>'number')::bigint
            WHERE t.id = word->>'transfer' AND t.sender = asker AND t.back_at IS NULL RETURNING t.receiver INTO whom;
        IF whom IS NOT NULL THEN PERFORM prepboard.tell(whom, 'back', word->>'transfer', word); END IF;
    ELSIF kind = 'got' THEN
        IF EXISTS (SELECT 1 FROM prepboard.transfers AS t WHERE t.id = word->>'transfer' AND t.receiver = asker
                AND (t.got_turn > (word->>'turn')::integer
                     OR t.got_turn = (word->>'turn')::integer AND NOT (word->>'undone')::boolean)) THEN
            RETURN;
        END IF;
        IF word->'sent'->>'receiver' <> asker OR word->>'got' = 'taken in' AND coalesce(word->>'undone', 'false') = 'false'
            AND prepboard.moved(action, 'received', NULL) IS DISTINCT FROM (word->>'amount')::bigint THEN
            RAISE EXCEPTION 'receipt of %: it is not what was moved', word->>'transfer' USING ERRCODE = 'data_exception';
        END IF;
        INSERT INTO prepboard.transfers AS t (id, sender, receiver, amount, word)
            VALUES (word->>'transfer', word->'sent'->>'sender', asker, (word->'sent'->>'amount')::bigint, word->'sent')
            ON CONFLICT (id) DO NOTHING;
        UPDATE prepboard.transfers AS t SET got_word = word, got_turn = (word->>'turn')::integer,
                got = CASE WHEN (word->>'undone')::boolean THEN '' ELSE word->>'got' END,
                got_amount = (word->>'amount')::bigint, got_at = moment, got_action = (action->>'number')::bigint
            WHERE t.id = word->>'transfer' AND t.receiver = asker
                AND (t.got_turn < (word->>'turn')::integer
                     OR t.got_turn = (word->>'turn')::integer AND (word->>'undone')::boolean AND t.got <> '')
            RETURNING t.sender INTO whom;
        IF whom IS NOT NULL THEN PERFORM prepboard.tell(whom, 'got', word->>'transfer', word); END IF;
    ELSIF kind = 'settled' THEN
        UPDATE prepboard.transfers AS t SET settled = word, settled_of = asker,
                settled_action = (action->>'number')::bigint
            WHERE t.id = word->>'transfer' AND asker IN (t.sender, t.receiver) AND word->>'kitchen' = asker
                AND t.settled IS DISTINCT FROM word
            RETURNING CASE asker WHEN t.sender THEN t.receiver ELSE t.sender END INTO whom;
        IF whom IS NOT NULL THEN PERFORM prepboard.tell(whom, 'settled', word->>'transfer', word); END IF;
    ELSIF kind = 'hold' THEN
        INSERT INTO prepboard.holds (id, kitchen, word) VALUES (word->>'id', asker, word) ON CONFLICT (id) DO NOTHING;
        IF FOUND THEN
            FOR whom IN SELECT i.kitchen FROM prepboard.inboxes AS i WHERE i.kitchen <> asker
                    AND coalesce(word->>'receiver', '') IN ('', i.kitchen) ORDER BY 1 LOOP
                PERFORM prepboard.tell(whom, 'hold', word->>'id', word);
            END LOOP;
            FOR early IN SELECT to_jsonb(s) FROM prepboard.holds_seen AS s WHERE s.hold = word->>'id' LOOP
                PERFORM prepboard.tell(asker, 'seen', word->>'id', early);
            END LOOP;
        END IF;
    ELSIF kind = 'lifted' THEN
        UPDATE prepboard.holds AS h SET lifted_at = moment
            WHERE h.id = word->>'id' AND h.kitchen = asker AND h.lifted_at IS NULL;
        IF FOUND THEN
            FOR whom IN SELECT i.kitchen FROM prepboard.inboxes AS i WHERE i.kitchen <> asker
                    AND coalesce(word->>'receiver', '') IN ('', i.kitchen) ORDER BY 1 LOOP
                PERFORM prepboard.tell(whom, 'lifted', word->>'id', word);
            END LOOP;
        END IF;
    ELSIF kind = 'seen' THEN
        INSERT INTO prepboard.holds_seen (hold, kitchen, at, by) VALUES (word->>'hold', asker, moment, word->>'by')
            ON CONFLICT DO NOTHING;
        IF FOUND THEN
            SELECT h.kitchen INTO whom FROM prepboard.holds AS h WHERE h.id = word->>'hold';
            PERFORM prepboard.tell(whom, 'seen', word->>'hold', word || jsonb_build_object('kitchen', asker));
        END IF;
    ELSIF kind = 'order' THEN
        IF word->>'kitchen' <> asker THEN
            RAISE EXCEPTION 'order %: it is of another kitchen', word->>'id' USING ERRCODE = 'data_exception';
        END IF;
        INSERT INTO prepboard.orders AS o (id, kitchen, maker, word) VALUES (word->>'id', asker, word->>'maker', word)
            ON CONFLICT (id) DO UPDATE SET word = excluded.word WHERE o.kitchen = asker AND o.word = '{}';
        IF FOUND THEN PERFORM prepboard.tell(word->>'maker', 'order', word->>'id', word); END IF;
    ELSIF kind = 'answer' THEN
        -- To an order that is not here yet, too: the server was set back, and whoever ordered has not said so again.
        INSERT INTO prepboard.orders AS o (id, kitchen, maker, word, answer, answered)
            VALUES (word->>'order', word->>'kitchen', asker, '{}', word->>'answer', word)
            ON CONFLICT (id) DO UPDATE SET answer = excluded.answer, answered = excluded.answered
                WHERE o.maker = asker AND o.answered IS DISTINCT FROM excluded.answered
            RETURNING o.kitchen INTO whom;
        IF whom IS NOT NULL THEN PERFORM prepboard.tell(whom, 'answer', word->>'order', word); END IF;
    END IF;
END $$;

-- Takes in one finished action, its lines first, and what it says to others.
CREATE FUNCTION prepboard.take_action(asker text, branch integer, action jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    acted jsonb := prepboard.named((action->>'left_behind')::json->0->0);
    at timestamptz := (acted->>'at')::timestamptz;
    half jsonb;
BEGIN
    INSERT INTO prepboard.lines (kitchen, branch, number, chain, text)
        SELECT asker, branch, (line->>0)::bigint, line->>1, line->>2
        FROM jsonb_array_elements(action->'lines') AS line;
    INSERT INTO prepboard.actions (kitchen, branch, number, id, last_line, at, by, did, left_behind)
        VALUES (asker, branch, (action->>'number')::bigint, action->>'id', (action->'lines'->-1->>0)::bigint, at,
            coalesce(acted->>'by', ''), coalesce(acted->>'did', ''), action->>'left_behind');
    FOR half IN SELECT jsonb_array_elements(action->'halves') LOOP
        BEGIN
            PERFORM prepboard.take_half(asker, action, half, at);
        EXCEPTION WHEN data_exception OR integrity_constraint_violation THEN
            INSERT INTO prepboard.refused (kitchen, action, kind, why, word)
                VALUES (asker, (action->>'number')::bigint, half->>'kind', SQLERRM, half->'word');
        END;
    END LOOP;
END $$;

-- The kitchen that a half tells; '' for several, or where only what is kept says which.
CREATE FUNCTION prepboard.concerned(half jsonb) RETURNS text LANGUAGE sql IMMUTABLE SET search_path = '' AS $$
    SELECT coalesce(CASE half->>'kind'
        WHEN 'sent' THEN half->'word'->>'receiver'
        WHEN 'back' THEN half->'word'->'sent'->>'receiver'
        WHEN 'got' THEN half->'word'->'sent'->>'sender'
        WHEN 'order' THEN half->'word'->>'maker'
        WHEN 'answer' THEN half->'word'->>'kitchen' END, '') $$;

-- Finished actions in the order of their lines, from where the file stands here or from before it: what is here
-- already must be the same and is passed over. Says "in", or why not: "other" (shipper), "branch", "broken".
CREATE FUNCTION prepboard.ship(shipper text, actions jsonb) RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    asker text := prepboard.asking();
    s prepboard.standing;
    action jsonb;
    line jsonb;
    wrong text := '';
BEGIN
    SELECT * INTO s FROM prepboard.standing AS one WHERE one.kitchen = asker FOR UPDATE;
    IF s.shipper <> ship.shipper OR s.shipper_until < clock_timestamp() THEN
        RETURN jsonb_build_object('said', 'other');
    END IF;
    IF EXISTS (SELECT 1 FROM jsonb_array_elements(actions) AS a WHERE jsonb_array_length(a->'halves') > 0) THEN
        PERFORM 1 FROM prepboard.inboxes AS i
            WHERE i.kitchen IN (SELECT prepboard.concerned(half) FROM jsonb_array_elements(actions) AS a,
                    jsonb_array_elements(a->'halves') AS half)
                OR EXISTS (SELECT 1 FROM jsonb_array_elements(actions) AS a, jsonb_array_elements(a->'halves') AS half
                    WHERE prepboard.concerned(half) = '')
            ORDER BY i.kitchen FOR UPDATE;
    END IF;
    FOR action IN SELECT jsonb_array_elements(actions) LOOP
        IF (action->'lines'->-1->>0)::bigint <= s.line THEN
            IF NOT EXISTS (SELECT 1 FROM prepboard.lines AS l WHERE l.kitchen = asker AND l.branch = s.branch
                    AND l.number = (action->'lines'->-1->>0)::bigint AND l.chain = action->'lines'->-1->>1) THEN
                RETURN jsonb_build_object('said', 'branch', 'line', s.line);
            END IF;
            CONTINUE;
        END IF;
        IF s.line = 0 AND s.action = 0 THEN -- joined in the middle of its life: from here on
            s.line := (action->'lines'->0->>0)::bigint - 1;
            s.chain := (action->'lines'->0->>2)::json->>0;
        ELSIF (action->'lines'->0->>0)::bigint <= s.line THEN
            RETURN jsonb_build_object('said', 'branch', 'line', s.line);
        ELSIF (action->'lines'->0->>0)::bigint = s.line + 1 AND (action->'lines'->0->>2)::json->>0 <> s.chain THEN
            RETURN jsonb_build_object('said', 'branch', 'line', s.line);
        END IF;
        FOR line IN SELECT jsonb_array_elements(action->'lines') LOOP
            wrong := prepboard.wrong_with_line(s.chain, s.line, line);
            EXIT WHEN wrong <> '';
            s.line := (line->>0)::bigint;
            s.chain := line->>1;
        END LOOP;
        IF wrong = '' THEN
            wrong := prepboard.wrong_with_action(action);
        END IF;
        IF wrong = '' AND (action->>'number')::bigint <= s.action THEN
            wrong := format('action %s: there is a later one here', action->>'number');
        END IF;
        EXIT WHEN wrong <> '';
        PERFORM prepboard.take_action(asker, s.branch, action);
        s.action := (action->>'number')::bigint;
        UPDATE prepboard.standing AS one SET line = s.line, chain = s.chain, action = s.action WHERE one.kitchen = asker;
    END LOOP;
    UPDATE prepboard.standing AS one SET heard_at = clock_timestamp(), stopped = wrong WHERE one.kitchen = asker
        RETURNING one.line, one.action INTO s.line, s.action;
    RETURN jsonb_build_object('said', CASE WHEN wrong = '' THEN 'in' ELSE 'broken' END, 'why', wrong,
        'line', s.line, 'action', s.action);
END $$;

-- The last line that a file and any branch of it here have in common, of [[number, chain], ...]; none: null.
CREATE FUNCTION prepboard.fork(chains jsonb) RETURNS jsonb LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT jsonb_build_object('line', l.number, 'branch', l.branch)
    FROM jsonb_array_elements(chains) AS c
    JOIN prepboard.lines AS l ON l.kitchen = prepboard.asking() AND l.number = (c->>0)::bigint AND l.chain = c->>1
    ORDER BY l.number DESC, l.branch DESC LIMIT 1 $$;

-- A restored file goes on: from a line that is known here its lines follow, and the last of those given says "restored":
-- somebody said that this file is the right one after it left the branch that is known. What the group knows of its own
-- dispatches and receipts since then is told to itself, and after it what it had not heard yet.
CREATE FUNCTION prepboard.branch_off(shipper text, file text, at_line bigint, of_branch integer, restored jsonb) RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    asker text := prepboard.asking();
    s prepboard.standing;
    common prepboard.lines;
    last_action prepboard.actions;
    half prepboard.transfers;
    box prepboard.inboxes;
    again prepboard.news;
    line jsonb;
    before text;
    at_number bigint;
    wrong text := '';
BEGIN
    SELECT * INTO s FROM prepboard.standing AS one WHERE one.kitchen = asker FOR UPDATE;
    IF s.shipper <> branch_off.shipper OR s.shipper_until < clock_timestamp() THEN
        RETURN jsonb_build_object('said', 'other');
    END IF;
    SELECT * INTO common FROM prepboard.lines AS l
        WHERE l.kitchen = asker AND l.number = at_line AND l.branch = of_branch;
    before := common.chain;
    at_number := common.number;
    FOR line IN SELECT jsonb_array_elements(restored) LOOP
        wrong := prepboard.wrong_with_line(before, at_number, line);
        EXIT WHEN wrong <> '';
        before := line->>1;
        at_number := (line->>0)::bigint;
    END LOOP;
    IF common.number IS NULL OR wrong <> '' OR coalesce((restored->-1->>2)::json->>7, '') <> 'restored' THEN
        UPDATE prepboard.standing AS one SET stopped = 'two files of one name' WHERE one.kitchen = asker;
        RETURN jsonb_build_object('said', 'two files');
    END IF;
    SELECT * INTO last_action FROM prepboard.actions AS a WHERE a.kitchen = asker AND a.branch = of_branch
        AND a.last_line <= at_line ORDER BY a.number DESC LIMIT 1;
    INSERT INTO prepboard.branches (kitchen, branch, from_branch, from_line, from_action)
        VALUES (asker, s.branch + 1, of_branch, at_line, coalesce(last_action.number, 0));
    UPDATE prepboard.standing AS one SET branch = s.branch + 1, line = at_line, chain = common.chain, stopped = '',
        action = coalesce(last_action.number, 0), file = branch_off.file WHERE one.kitchen = asker;
    SELECT * INTO box FROM prepboard.inboxes AS i WHERE i.kitchen = asker FOR UPDATE;
    FOR half IN SELECT * FROM prepboard.transfers AS t WHERE t.sender = asker
            AND greatest(t.sent_action, t.back_action) > coalesce(last_action.number, 0) ORDER BY t.sent_action LOOP
        IF half.sent_action > coalesce(last_action.number, 0) THEN
            PERFORM prepboard.tell(asker, 'own sent', half.id, half.word);
        END IF;
        IF half.back IS NOT NULL THEN PERFORM prepboard.tell(asker, 'own back', half.id, half.back); END IF;
    END LOOP;
    FOR half IN SELECT * FROM prepboard.transfers AS t WHERE t.receiver = asker AND t.got_turn > 0
            AND t.got_action > coalesce(last_action.number, 0) ORDER BY t.got_action LOOP
        PERFORM prepboard.tell(asker, 'own got', half.id, half.got_word);
    END LOOP;
    FOR half IN SELECT * FROM prepboard.transfers AS t WHERE t.settled_of = asker
            AND t.settled_action > coalesce(last_action.number, 0) ORDER BY t.settled_action LOOP
        PERFORM prepboard.tell(asker, 'own settled', half.id, half.settled);
    END LOOP;
    -- Its own word comes first, since what others say of a dispatch is about one that the file must know again.
    FOR again IN SELECT * FROM prepboard.news AS n WHERE n.kitchen = asker AND n.number > box.heard
            AND n.number <= box.told AND n.kind NOT LIKE 'own %' ORDER BY n.number LOOP
        PERFORM prepboard.tell(asker, again.kind, again.about, again.word);
    END LOOP;
    UPDATE prepboard.inboxes AS i SET heard = box.told WHERE i.kitchen = asker;
    RETURN jsonb_build_object('said', 'branch taken', 'heard', box.told, 'token', (SELECT n.token FROM prepboard.news AS n
        WHERE n.kitchen = asker AND n.number = box.told));
END $$;

-- What this kitchen is to hear next, oldest first.
CREATE FUNCTION prepboard.hear(at_most integer) RETURNS jsonb LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT coalesce(jsonb_agg(jsonb_build_array(n.number, n.kind, n.about, n.word, n.token) ORDER BY n.number), '[]')
    FROM (SELECT * FROM prepboard.news AS one
        WHERE one.kitchen = prepboard.asking()
            AND one.number > (SELECT i.heard FROM prepboard.inboxes AS i WHERE i.kitchen = one.kitchen)
        ORDER BY one.number LIMIT at_most) AS n $$;

-- It has taken in all up to a number, but for those that it had to refuse: {"12": "why"}.
CREATE FUNCTION prepboard.heard(up_to bigint, refused jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE asker text := prepboard.asking();
BEGIN
    UPDATE prepboard.inboxes AS i SET heard = greatest(i.heard, least(up_to, i.told)) WHERE i.kitchen = asker;
    UPDATE prepboard.news AS n SET refused = one.value
        FROM jsonb_each_text(heard.refused) AS one WHERE n.kitchen = asker AND n.number = one.key::bigint;
END $$;

-- How this kitchen stands, for a person: where, what was refused of it and by it, what a restore left behind.
CREATE FUNCTION prepboard.status() RETURNS jsonb LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT jsonb_build_object('line', s.line, 'branch', s.branch, 'stopped', s.stopped, 'heard_at', s.heard_at,
        'refused', (SELECT coalesce(jsonb_agg(r.why ORDER BY r.at), '[]') FROM prepboard.refused AS r
            WHERE r.kitchen = s.kitchen AND r.at > now() - interval '7 days'),
        'not_taken_in', (SELECT coalesce(jsonb_agg(n.kind || ' ' || n.about || ': ' || n.refused ORDER BY n.number), '[]')
            FROM prepboard.news AS n WHERE n.kitchen = s.kitchen AND n.refused <> '' AND n.at > now() - interval '7 days'),
        'lost', (SELECT coalesce(jsonb_agg(a.at || ' ' || a.by || ' ' || a.did ORDER BY a.number), '[]')
            FROM prepboard.branches AS b JOIN prepboard.actions AS a
                ON a.kitchen = b.kitchen AND a.branch = b.branch - 1 AND a.number > b.from_action
            WHERE b.kitchen = s.kitchen AND b.at > now() - interval '7 days'
                AND a.did NOT IN ('dispatch', 'receive', 'refuse', 'take back')))
    FROM prepboard.standing AS s WHERE s.kitchen = prepboard.asking() $$;

-- Rights. A kitchen is a member of this role; it reads what is its own or concerns it, and calls the functions.
DO $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'prepboard_kitchen') THEN
        CREATE ROLE prepboard_kitchen NOLOGIN;
    END IF;
END $$;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA prepboard FROM PUBLIC;
GRANT USAGE ON SCHEMA prepboard TO prepboard_kitchen;
GRANT EXECUTE ON FUNCTION prepboard.me, prepboard.stand, prepboard.ship, prepboard.fork, prepboard.branch_off,
    prepboard.hear, prepboard.heard, prepboard.status TO prepboard_kitchen;
GRANT SELECT ON prepboard.kitchens, prepboard.standing, prepboard.lines, prepboard.actions, prepboard.transfers,
    prepboard.holds, prepboard.holds_seen, prepboard.orders, prepboard.books, prepboard.news, prepboard.refused,
    prepboard.branches TO prepboard_kitchen;
ALTER TABLE prepboard.standing ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.lines ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.actions ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.transfers ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.orders ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.news ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.refused ENABLE ROW LEVEL SECURITY;
ALTER TABLE prepboard.branches ENABLE ROW LEVEL SECURITY;
CREATE POLICY own ON prepboard.standing FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY own ON prepboard.lines FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY own ON prepboard.actions FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY own ON prepboard.news FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY own ON prepboard.refused FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY own ON prepboard.branches FOR SELECT TO prepboard_kitchen USING (kitchen = prepboard.me());
CREATE POLICY either ON prepboard.transfers FOR SELECT TO prepboard_kitchen
    USING (prepboard.me() IN (sender, receiver));
CREATE POLICY either ON prepboard.orders FOR SELECT TO prepboard_kitchen USING (prepboard.me() IN (kitchen, maker));

-- For the office: one book for all from a day on, and five lists of a week. Only the owner and members of this role may.
DO $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'prepboard_office') THEN
        CREATE ROLE prepboard_office NOLOGIN;
    END IF;
END $$;

CREATE FUNCTION prepboard.release(from_day date, texts jsonb) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    n integer;
    whom text;
BEGIN
    INSERT INTO prepboard.books (from_day, texts, by) VALUES (release.from_day, release.texts, session_user)
        RETURNING number INTO n;
    FOR whom IN SELECT i.kitchen FROM prepboard.inboxes AS i ORDER BY 1 LOOP
        PERFORM prepboard.tell(whom, 'book', n::text,
            jsonb_build_object('number', n, 'from_day', release.from_day, 'texts', release.texts));
    END LOOP;
    RETURN n;
END $$;

-- The log's lines of each file as it is now, by what they say: branches that a restore left are not in it.
CREATE VIEW prepboard.said AS
    SELECT l.kitchen, l.number, (w.words->>3)::timestamptz AS at, w.words->>4 AS by, w.words->>7 AS did,
        w.words->>8 AS batch, w.words->>9 AS prep, w.words->>11 AS before, w.words->>13 AS why
    FROM prepboard.lines AS l
    JOIN prepboard.standing AS s ON s.kitchen = l.kitchen
    CROSS JOIN LATERAL (SELECT l.text::json AS words) AS w
    WHERE l.branch = s.branch OR EXISTS (
        SELECT 1 FROM prepboard.branches AS b WHERE b.kitchen = l.kitchen AND b.branch = s.branch
            AND b.from_branch = l.branch AND l.number <= b.from_line);

CREATE VIEW prepboard.not_heard AS
    SELECT k.id AS kitchen, s.heard_at AS since, s.stopped AS why
    FROM prepboard.kitchens AS k JOIN prepboard.standing AS s ON s.kitchen = k.id
    WHERE k.left_at IS NULL
        AND (s.stopped <> '' OR coalesce(s.heard_at, '-infinity') < clock_timestamp() - interval '1 hour');

-- Left the kitchen after its van should have left.
CREATE VIEW prepboard.late AS
    SELECT sender AS kitchen, receiver, id, word->>'note' AS note, word->>'name' AS name, sent_at,
        (word->>'leaves')::timestamptz AS leaves
    FROM prepboard.transfers WHERE sent_at > (word->>'leaves')::timestamptz AND back_at IS NULL;

CREATE VIEW prepboard.discarded AS
    SELECT kitchen, at, by, batch, prep, before AS amount, why FROM prepboard.said WHERE did = 'discarded';

CREATE VIEW prepboard.cooling_misses AS
    SELECT kitchen, at, by, batch, prep, why AS held_to FROM prepboard.said WHERE did = 'read' AND why <> '' AND batch <> '';

-- Days on which food was made and nobody signed any part of the close. A day is that of the line's moment in UTC less
-- six hours, so that one in the morning belongs to the evening before.
CREATE VIEW prepboard.not_signed AS
    SELECT made.kitchen, made.day FROM (
        SELECT DISTINCT kitchen, (at - interval '6 hours')::date AS day FROM prepboard.said WHERE did = 'made') AS made
    WHERE made.day < (clock_timestamp() - interval '6 hours')::date AND NOT EXISTS (
        SELECT 1 FROM prepboard.said AS s WHERE s.kitchen = made.kitchen AND s.did = 'signed'
            AND split_part(s.why, ' ', 2) = made.day::text);

REVOKE ALL ON FUNCTION prepboard.release FROM PUBLIC;
GRANT USAGE ON SCHEMA prepboard TO prepboard_office;
GRANT EXECUTE ON FUNCTION prepboard.release TO prepboard_office;
GRANT SELECT ON ALL TABLES IN SCHEMA prepboard TO prepboard_office;
CREATE POLICY office ON prepboard.standing FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.lines FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.actions FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.transfers FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.orders FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.news FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.refused FOR SELECT TO prepboard_office USING (true);
CREATE POLICY office ON prepboard.branches FOR SELECT TO prepboard_office USING (true);
