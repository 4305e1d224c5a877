-- Which tables these are.
CREATE TABLE prepboard.laid (version integer NOT NULL, at timestamptz NOT NULL DEFAULT now());
INSERT INTO prepboard.laid (version) VALUES (2);
