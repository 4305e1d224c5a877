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
