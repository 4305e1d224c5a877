-- Takes down what is laid anew with each version: lists, rights and functions. No table is touched.
DO $$
DECLARE one record;
BEGIN
    FOR one IN SELECT viewname FROM pg_views WHERE schemaname = 'prepboard' LOOP
        EXECUTE format('DROP VIEW IF EXISTS prepboard.%I CASCADE', one.viewname);
    END LOOP;
    FOR one IN SELECT policyname, tablename FROM pg_policies WHERE schemaname = 'prepboard' LOOP
        EXECUTE format('DROP POLICY %I ON prepboard.%I', one.policyname, one.tablename);
    END LOOP;
    FOR one IN SELECT p.oid::regprocedure AS named FROM pg_proc AS p WHERE p.pronamespace = 'prepboard'::regnamespace LOOP
        EXECUTE format('DROP FUNCTION %s', one.named);
    END LOOP;
END $$;
