-- The alarm of the ceiling has settings and facts like any other rule; version 1 of the interface keeps its own on the wire.
UPDATE place SET settings = json_insert(settings, '$.alarms', json('{}'));
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
) WHERE settings -> '$.ceilingAlarm' IS NOT NULL;
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
) WHERE body ->> '$.facts.kind' = 'air-over-ceiling';
