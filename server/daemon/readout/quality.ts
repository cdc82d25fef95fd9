import {
  type AlarmPriority,
  LIMIT_RULE_DEFINITIONS,
  LIMIT_RULES,
  RULES,
} from '../../../shared/rules/rules.ts';
import type { AlarmQualityAnswer, TalkativeAlarm } from '../../../shared/wire/alarms/alarm-quality.ts';
import { heldRule } from '../../domain/alarms/limits.ts';
import { alarmQuality, type CountedEvent } from '../../domain/alarms/quality.ts';
import type { AlarmRecord } from '../../domain/alarms/record.ts';
import type { Clock, Span, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import { viewOf } from '../world/world-view.ts';
import { setPriority } from './alarms/stake.ts';

const WEEK_MS = 7 * 86_400_000;
const MINUTE_MS = 60_000;
const MOST_EVENTS = 20_000;
const MOST_TALKATIVE = 5;
/** An alarm that was raised less often than this is no nuisance. */
const TALKS_FROM = 3;

type QualityContext = { readonly world: World; readonly store: Store; readonly clock: Clock };

/** How good the alarms of a span were, week by week, and which are most frequent. */
export function qualityOver(span: Span, context: QualityContext): AlarmQualityAnswer {
  const { store, world, clock } = context;
  const nowMs = clock.nowMs();
  const events = store.alarms
    .eventsIn({ fromMs: span.fromMs - WEEK_MS, toMs: nowMs + 1, limit: MOST_EVENTS })
    .flatMap(({ alarmId, transition, atMs, note }): CountedEvent[] => {
      const record = world.alarms.get(alarmId);
      if (!record) return [];
      const { placeId } = record;
      const priority = priorityBefore(record, context);
      return [
        { alarmId, placeId, priority, transition, atMs, told: transition !== 'raised' || note === null },
      ];
    });
  const of = (part: Span) => alarmQuality(events, { ...part, nowMs });
  return { whole: of(span), weeks: weeksOf(span).map(of), talkative: talkative(events, span, context) };
}

/** The priority an alarm is raised with, as far as harm does not raise it: of what it has now nothing follows for before. */
function priorityBefore({ placeId, rule, priority }: AlarmRecord, context: QualityContext): AlarmPriority {
  const place = context.world.places.get(placeId ?? '');
  const set = place && setPriority(rule, place, context);
  return set ?? (rule === 'probe-silent' ? priority : RULES[rule].priority);
}

function weeksOf({ fromMs, toMs }: Span): Span[] {
  const weeks: Span[] = [];
  for (let end = toMs; end > fromMs; end -= WEEK_MS)
    weeks.unshift({ fromMs: Math.max(fromMs, end - WEEK_MS), toMs: end });
  return weeks;
}

function talkative(events: readonly CountedEvent[], span: Span, { world }: QualityContext): TalkativeAlarm[] {
  const counts = new Map<string, number>();
  for (const { alarmId, transition, atMs, told: notified } of events)
    if (transition === 'raised' && notified && atMs >= span.fromMs && atMs < span.toMs)
      counts.set(alarmId, (counts.get(alarmId) ?? 0) + 1);
  return [...counts]
    .filter(([, notified]) => notified >= TALKS_FROM)
    .sort(([, a], [, b]) => b - a)
    .slice(0, MOST_TALKATIVE)
    .flatMap(([alarmId, notified]) => {
      const record = world.alarms.get(alarmId);
      if (!record) return [];
      const { placeId, rule } = record;
      const { placeName } = viewOf(record, world);
      return [{ alarmId, placeId, placeName, rule, told: notified, tryIt: suggestionFor(record, world) }];
    });
}

/** What quietens most alarms: twice the delay and half as much deadband again. Common practice, no source. */
function suggestionFor({ placeId, rule }: AlarmRecord, world: World): TalkativeAlarm['tryIt'] {
  const triable = LIMIT_RULES.find((one) => one === rule);
  const place = placeId === null ? undefined : world.places.get(placeId);
  if (!triable || !place) return null;
  const targets = world.targets(place.id, world.newestMs(place.id));
  const held = heldRule(triable, { place, targets });
  const onDelayMs = Math.max(2 * held.onDelayMs, LIMIT_RULE_DEFINITIONS[triable].onDelayMs, MINUTE_MS);
  return { rule: triable, onDelayMin: onDelayMs / MINUTE_MS, deadband: held.deadband * 1.5 };
}
