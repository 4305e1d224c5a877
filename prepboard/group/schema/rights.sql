-- Rights. A kitchen is a member of this role; it reads what is its own or concerns it, and calls the functions.
DO $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'prepboard_kitchen') THEN
        CREATE ROLE prepboard_kitchen NOLOGIN;
    END IF;
END $$;
REVOKE ALL ON ALL FUNCTIONS IN SCHEMA prepboard FROM PUBLIC;
GRANT USAGE ON SCHEMA prepboard TO prepboard_kitchen;
GRANT EXECUTE ON FUNCTION prepboard.me(), prepboard.stand(text, text, integer, bigint, text),
    prepboard.stand(text, text, integer, bigint, text, integer), prepboard.ship(text, jsonb), prepboard.fork(jsonb),
    prepboard.branch_off(text, text, bigint, integer, jsonb),
    prepboard.branch_off(text, text, bigint, integer, jsonb, bigint, text), prepboard.hear(integer),
    prepboard.hear(integer, bigint, text), prepboard.heard(bigint, jsonb), prepboard.heard(bigint, bigint, jsonb),
    prepboard.hear_again(), prepboard.recall(jsonb), prepboard.status() TO prepboard_kitchen;
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
