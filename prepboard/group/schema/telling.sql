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
        -- A receipt that was put back may be of food that this file had taken in already.
        IF word->'sent'->>'receiver' <> asker OR word->>'got' = 'taken in' AND coalesce(word->>'undone', 'false') = 'false'
            AND NOT (again AND prepboard.moved(action, 'received', NULL) IS NULL)
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
        -- Of what is not here yet, too: the server was set back, and the sender has not said so again.
        IF asker IN (word->'sent'->>'sender', word->'sent'->>'receiver') THEN
            INSERT INTO prepboard.transfers AS t (id, sender, receiver, amount, word)
                VALUES (word->>'transfer', word->'sent'->>'sender', word->'sent'->>'receiver',
                    (word->'sent'->>'amount')::bigint, word->'sent')
                ON CONFLICT (id) DO NOTHING;
        END IF;
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

-- All that a kitchen would have heard, had it been here from the beginning: it was let in after it was told.
CREATE FUNCTION prepboard.catch_up(whom text) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
BEGIN
    PERFORM prepboard.tell(whom, 'book', b.number::text,
            jsonb_build_object('number', b.number, 'from_day', b.from_day, 'texts', b.texts))
        FROM prepboard.books AS b ORDER BY b.number;
    PERFORM prepboard.tell(whom, 'hold', h.id, h.word) FROM prepboard.holds AS h
        WHERE h.kitchen <> whom AND h.lifted_at IS NULL AND coalesce(h.word->>'receiver', '') IN ('', whom) ORDER BY h.at;
    PERFORM prepboard.tell(whom, 'order', o.id, o.word) FROM prepboard.orders AS o
        WHERE o.maker = whom AND o.answer = '' AND o.word <> '{}' ORDER BY o.id;
    PERFORM prepboard.tell(whom, 'sent', t.id, t.word) FROM prepboard.transfers AS t
        WHERE t.receiver = whom AND t.sent_at IS NOT NULL AND t.back_at IS NULL AND t.got = '' ORDER BY t.sent_at;
    PERFORM prepboard.tell(whom, 'got', t.id, t.got_word) FROM prepboard.transfers AS t
        WHERE t.sender = whom AND t.got_turn > 0 ORDER BY t.got_at;
    PERFORM prepboard.tell(whom, 'settled', t.id, t.settled) FROM prepboard.transfers AS t
        WHERE whom IN (t.sender, t.receiver) AND t.settled_of <> whom ORDER BY t.id;
END $$;

-- What another kitchen told this one, and this server does not have, since it was set back: whose word it was is told,
-- for its file may have been set back as well. Nothing of it is written down here on anybody else's word.
CREATE FUNCTION prepboard.recall(halves jsonb) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    asker text := prepboard.asking();
    lost record;
    told integer := 0;
BEGIN
    FOR lost IN
        SELECT one->>'kind' AS kind, one->'word' AS word, coalesce(one->'word'->>'transfer',
            one->'word'->>'id') AS id, one->>'of' AS whom
        FROM jsonb_array_elements(halves) AS one WHERE one->>'of' <> asker
        ORDER BY 4, coalesce(one->'word'->>'code', '') <> '', 3 -- a lot before what was made of it
    LOOP
        CONTINUE WHEN NOT EXISTS (SELECT 1 FROM prepboard.inboxes AS i WHERE i.kitchen = lost.whom)
            OR EXISTS (SELECT 1 FROM prepboard.transfers AS t WHERE t.id = lost.id AND CASE lost.kind
                WHEN 'sent' THEN t.sent_at IS NOT NULL
                WHEN 'back' THEN t.back_at IS NOT NULL
                WHEN 'got' THEN t.got_turn >= (lost.word->>'turn')::integer
                ELSE t.settled IS NOT NULL END)
            OR EXISTS (SELECT 1 FROM prepboard.holds AS h WHERE h.id = lost.id);
        PERFORM prepboard.tell(lost.whom, 'lost ' || lost.kind, lost.id, lost.word);
        told := told + 1;
    END LOOP;
    RETURN told;
END $$;
