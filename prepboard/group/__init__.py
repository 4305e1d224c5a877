"""A kitchen's file and the group's PostgreSQL: what one of them has and the other should hear.

Nothing in a kitchen waits for any of this. It needs the extra `group` (psycopg), loaded only here.
"""
