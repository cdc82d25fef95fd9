import type { Alarm } from '../../../shared/model/alarms/alarm.ts';
import { factsOnWire } from '../../../shared/rules/ceiling-alias.ts';
import type { AlarmRecord } from './record.ts';

/** The alarm as the page, the messages and the topics show it. */
export function alarmView(record: AlarmRecord, placeName: string): Alarm {
  const { conditions: _conditions, seenWorst: _seen, ...shown } = record;
  const { shelved, suppressedBy, outOfService, chatter, facts, ...rest } = shown;
  const held = chatter?.held ?? null;
  const [suppression, suppressedReason] = suppressionOf(record);
  return {
    ...rest,
    facts: factsOnWire(record.rule, facts),
    placeName,
    suppression,
    suppressedReason,
    shelvedUntilMs: shelved?.untilMs ?? null,
    shelvedReason: shelved?.reason ?? null,
    ...(held === null ? {} : { comesAndGoes: { sinceMs: held.sinceMs, times: held.times } }),
    ...(suppressedBy?.why === 'lapsed'
      ? { notJudged: { sinceMs: suppressedBy.sinceMs, why: suppressedBy.reason } }
      : {}),
  };
}

function suppressionOf({ shelved, suppressedBy, outOfService }: AlarmRecord) {
  if (outOfService) return ['out-of-service', outOfService.reason] as const;
  if (shelved) return ['shelved', shelved.reason] as const;
  if (suppressedBy?.why === 'lapsed')
    return ['by-design', `${suppressedBy.reason}; it had not recovered`] as const;
  if (suppressedBy?.why === 'vent' && suppressedBy.sinceMs !== undefined)
    return ['by-design', 'the cover was opened, so dry air is meant until it is shut'] as const;
  if (suppressedBy?.why === 'vent') return ['by-design', 'a vent is written down as open'] as const;
  if (suppressedBy?.why === 'questions-open')
    return ['by-design', 'the three questions about this place are not answered yet'] as const;
  if (suppressedBy) return ['by-design', `it follows from ${suppressedBy.of}`] as const;
  return ['none', null] as const;
}
