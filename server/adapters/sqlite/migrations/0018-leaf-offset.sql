-- A leaf 0 K off the air was what nobody had set: from now on nothing is stated there, and the light says how warm it is.
UPDATE place SET settings = json_set(settings, '$.leafOffsetK', json('null'))
WHERE CASE WHEN json_valid(settings) THEN settings ->> '$.leafOffsetK' END = 0;
