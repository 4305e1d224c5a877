-- Whether a file has heard this server's news up to a number, and no other server's; of none heard there is none other.
CREATE FUNCTION prepboard.is_known(whom text, heard bigint, its_token text) RETURNS boolean
LANGUAGE sql STABLE SET search_path = '' AS $$
    SELECT heard = 0 OR EXISTS (SELECT 1 FROM prepboard.news AS n
        WHERE n.kitchen = whom AND n.number = heard AND n.token::text = its_token) $$;

-- Kitchens call these. They are brought up to date one after the other, the server some time before or after them: what
-- an older shipper calls stays, with what it was answered.

-- Where this kitchen's file stands here, and a lease for its one shipper: "other" while another one has it. The file
-- says how far it has heard; where that is no news of this server's it hears all once more, and "anew" says that this
-- server was set back. `speaks` is the version of tables that the shipper knows.
CREATE FUNCTION prepboard.stand(shipper text, file text, seconds integer, heard bigint, token text, speaks integer)
RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE
    asker text := prepboard.asking();
    stands prepboard.standing;
    known boolean := prepboard.is_known(asker, heard, token);
BEGIN
    SELECT * INTO stands FROM prepboard.standing AS s WHERE s.kitchen = asker FOR UPDATE;
    IF stands.shipper <> stand.shipper AND stands.shipper_until > clock_timestamp() THEN
        RETURN jsonb_build_object('said', 'other', 'file', stands.file);
    END IF;
    UPDATE prepboard.inboxes AS i SET heard = CASE WHEN known THEN stand.heard ELSE 0 END WHERE i.kitchen = asker;
    UPDATE prepboard.standing AS s SET shipper = stand.shipper, heard_at = clock_timestamp(),
        shipper_until = clock_timestamp() + make_interval(secs => least(seconds, 600)),
        file = CASE WHEN s.file = '' THEN stand.file ELSE s.file END
        WHERE s.kitchen = asker;
    RETURN jsonb_build_object('said', 'yours', 'kitchen', asker, 'line', stands.line, 'chain', stands.chain,
        'action', stands.action, 'branch', stands.branch, 'stopped', stands.stopped, 'anew', NOT known,
        'file', CASE WHEN stands.file = '' THEN file ELSE stands.file END);
END $$;

CREATE FUNCTION prepboard.stand(shipper text, file text, seconds integer, heard bigint, token text) RETURNS jsonb
LANGUAGE sql SECURITY DEFINER SET search_path = '' AS $$
    SELECT prepboard.stand(shipper, file, seconds, heard, token, 1) - 'anew' $$;

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
-- dispatches and receipts since then is told to itself, and after it what this file has not heard yet, as it says.
CREATE FUNCTION prepboard.branch_off(shipper text, file text, at_line bigint, of_branch integer, restored jsonb,
    heard bigint, token text) RETURNS jsonb
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
    IF NOT prepboard.is_known(asker, heard, token) THEN
        heard := 0;
    END IF;
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
    PERFORM prepboard.tell(asker, 'own hold', h.id, h.word) FROM prepboard.holds AS h
        WHERE h.kitchen = asker AND h.lifted_at IS NULL ORDER BY coalesce(h.word->>'code', '') <> '', h.at; -- lots first
    -- Its own word comes first, since what others say of a dispatch is about one that the file must know again; that
    -- of an earlier time too, which a copy may have not heard that was made after another one was put back.
    FOR again IN SELECT * FROM prepboard.news AS n WHERE n.kitchen = asker AND n.number > branch_off.heard
            AND n.number <= box.told ORDER BY n.kind NOT LIKE 'own %', n.number LOOP
        PERFORM prepboard.tell(asker, again.kind, again.about, again.word);
    END LOOP;
    UPDATE prepboard.inboxes AS i SET heard = box.told WHERE i.kitchen = asker;
    RETURN jsonb_build_object('said', 'branch taken', 'heard', box.told, 'token', (SELECT n.token FROM prepboard.news AS n
        WHERE n.kitchen = asker AND n.number = box.told));
END $$;

CREATE FUNCTION prepboard.branch_off(shipper text, file text, at_line bigint, of_branch integer, restored jsonb)
RETURNS jsonb LANGUAGE sql SECURITY DEFINER SET search_path = '' AS $$
    SELECT prepboard.branch_off(shipper, file, at_line, of_branch, restored, i.heard,
            (SELECT n.token::text FROM prepboard.news AS n WHERE n.kitchen = i.kitchen AND n.number = i.heard))
        FROM prepboard.inboxes AS i WHERE i.kitchen = prepboard.asking() $$;

-- What this kitchen is to hear next, oldest first, after what its file has heard by its own word; null where that is no
-- news of this server's: it was set back, and the file is to ask where it stands.
CREATE FUNCTION prepboard.hear(at_most integer, heard bigint, token text) RETURNS jsonb
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT CASE WHEN prepboard.is_known(prepboard.asking(), heard, hear.token) THEN (
        SELECT coalesce(jsonb_agg(jsonb_build_array(n.number, n.kind, n.about, n.word, n.token) ORDER BY n.number), '[]')
        FROM (SELECT * FROM prepboard.news AS one WHERE one.kitchen = prepboard.asking() AND one.number > hear.heard
            ORDER BY one.number LIMIT at_most) AS n) END $$;

CREATE FUNCTION prepboard.hear(at_most integer) RETURNS jsonb LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT coalesce(jsonb_agg(jsonb_build_array(n.number, n.kind, n.about, n.word, n.token) ORDER BY n.number), '[]')
    FROM (SELECT * FROM prepboard.news AS one
        WHERE one.kitchen = prepboard.asking()
            AND one.number > (SELECT i.heard FROM prepboard.inboxes AS i WHERE i.kitchen = one.kitchen)
        ORDER BY one.number LIMIT at_most) AS n $$;

-- It has taken in all after one number and up to another, but for those that it had to refuse: {"12": "why"}.
CREATE FUNCTION prepboard.heard(after bigint, up_to bigint, refused jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE asker text := prepboard.asking();
BEGIN
    UPDATE prepboard.inboxes AS i SET heard = greatest(i.heard, least(up_to, i.told)) WHERE i.kitchen = asker;
    UPDATE prepboard.news AS n SET refused = coalesce(heard.refused->>n.number::text, '')
        WHERE n.kitchen = asker AND n.number > after AND n.number <= up_to
            AND n.refused <> coalesce(heard.refused->>n.number::text, '');
END $$;

CREATE FUNCTION prepboard.heard(up_to bigint, refused jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = '' AS $$
DECLARE asker text := prepboard.asking();
BEGIN
    UPDATE prepboard.inboxes AS i SET heard = greatest(i.heard, least(up_to, i.told)) WHERE i.kitchen = asker;
    UPDATE prepboard.news AS n SET refused = one.value
        FROM jsonb_each_text(heard.refused) AS one WHERE n.kitchen = asker AND n.number = one.key::bigint;
END $$;

-- What this kitchen had to refuse in a week: it may be able to take it in by now. Not where there is later news of the
-- same.
CREATE FUNCTION prepboard.hear_again() RETURNS jsonb LANGUAGE sql STABLE SECURITY DEFINER SET search_path = '' AS $$
    SELECT coalesce(jsonb_agg(jsonb_build_array(n.number, n.kind, n.about, n.word, n.token) ORDER BY n.number), '[]')
    FROM prepboard.news AS n WHERE n.kitchen = prepboard.asking() AND n.refused <> '' AND n.at > now() - interval '7 days'
        AND NOT EXISTS (SELECT 1 FROM prepboard.news AS later WHERE later.kitchen = n.kitchen AND later.number > n.number
            AND later.about = n.about AND (later.kind = n.kind
                OR later.kind IN ('hold', 'lifted') AND n.kind IN ('hold', 'lifted'))) $$;

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
