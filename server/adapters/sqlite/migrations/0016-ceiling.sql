-- The alarm of the ceiling has settings and facts like any other rule; version 1 of the interface keeps its own on the wire.
-- What is no JSON is left as it is: its settings fall back to the defaults at a start, and are named.
UPDATE place SET settings = json_insert(settings, '$.alarms', json('{}')) WHERE json_valid(settings);
UPDATE place SET settings = json_remove(
  json_set(
    settings,
    '$.alarms."air-over-ceiling"',
    json_patch(
      json_object(
        'onDelayMs', settings -> '$.ceilingAlarm.onDelayMs',
        'offDelayMs', settings -> '$.ceilingAlarm.offDelayMs',
        'deadband', settings -> '$.ceilingAlarm.deadbandK'
      ),
      coalesce(settings -> '$.alarms."air-over-ceiling"', json('{}'))
    )
  ),
  '$.ceilingAlarm'
) WHERE CASE WHEN json_valid(settings) THEN settings -> '$.ceilingAlarm' END IS NOT NULL;
UPDATE alarm SET body = json_set(
  body,
  '$.facts',
  json_object(
    'kind', 'past-limit',
    'value', body -> '$.facts.valueC',
    'limit', body -> '$.facts.ceilingC',
    'worst', body -> '$.facts.peakC',
    'sinceMs', body -> '$.facts.sinceMs',
    'atMs', body -> '$.facts.atMs',
    'slopePerMin', body -> '$.facts.slopeKPerMin'
  )
) WHERE CASE WHEN json_valid(body) THEN body ->> '$.facts.kind' END = 'air-over-ceiling';
