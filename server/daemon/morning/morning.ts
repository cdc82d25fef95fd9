import type { Place } from '../../../shared/model/place.ts';
import type { InstallationFacts, PlaceFacts } from '../../../shared/wire/places/morning.ts';
import type { Night, NightRow } from '../../../shared/wire/places/night.ts';
import { answersOnWire, nightAnswers } from '../../../shared/words/morning/questions.ts';
import type { Parts } from '../../ports.ts';
import type { BatchContext } from '../batches/context.ts';
import { nightInParts } from '../readout/night/night.ts';
import { climateFacts } from './climate-facts.ts';
import { lotFacts, pairFacts } from './lot-facts.ts';
import {
  changeFacts,
  type NightQuery,
  probeFacts,
  raisedFacts,
  unwatchedSpans,
  type WatchContext,
} from './watch-facts.ts';

type MorningContext = BatchContext & WatchContext;

/** The same as `morningInParts`, in one go. */
export function morningOf(date: string | null, context: MorningContext): Night {
  const parts = morningInParts(date, context);
  for (;;) {
    const { done, value } = parts.next();
    if (done) return value;
  }
}

/**
 * The night, in parts, with what the fifteen questions of a morning are answered from, and the answers.
 * @param date YYYY-MM-DD of the morning; null: today's
 * @throws Fault `bad-request` for a date to come, or one that no calendar has
 */
export function* morningInParts(date: string | null, context: MorningContext): Parts<Night> {
  const { isToday, night } = yield* nightInParts(date, context);
  const span = { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  const asked: NightQuery = { span, isToday };
  const places: NightRow[] = [];
  for (const row of night.places) {
    yield;
    // it may be gone by now
    const place = context.world.places.get(row.placeId);
    if (place) places.push({ ...row, facts: factsOf(place, asked, context) });
  }
  yield;
  const whole = { ...night, places, installation: installationFacts(asked, context) };
  const reader = { unit: 'C', timeZone: context.timeZone, nowMs: span.toMs } as const;
  return { ...whole, answers: answersOnWire(nightAnswers(whole, reader)) };
}

function factsOf(place: Place, asked: NightQuery, context: MorningContext): PlaceFacts {
  return {
    ...climateFacts(place, asked.span, context),
    probes: probeFacts(place, asked, context),
    lots: lotFacts(place, asked, context),
    changes: changeFacts(place, asked, context),
    raised: raisedFacts(place, asked, context),
  };
}

function installationFacts(asked: NightQuery, context: MorningContext): InstallationFacts {
  return { unwatched: unwatchedSpans(asked, context), pairs: pairFacts(asked, context) };
}
