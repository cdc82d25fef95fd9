import type { InstallationFacts, PlaceFacts } from '../../../shared/wire/places/morning.ts';
import type { Night, NightRow } from '../../../shared/wire/places/night.ts';
import { answersOnWire, nightAnswers } from '../../../shared/words/morning/questions.ts';
import type { BatchContext } from '../batches/context.ts';
import { type NightSeen, nightOf } from '../readout/night/night.ts';
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

/**
 * The night with what the fifteen questions of a morning are answered from, and the answers.
 * @param date YYYY-MM-DD of the morning; null: today's
 * @throws Fault `bad-request` for a date to come, or one that no calendar has
 */
export function morningOf(date: string | null, context: MorningContext): Night {
  const { isToday, night } = nightOf(date, context);
  const span = { fromMs: Date.parse(night.from), toMs: Date.parse(night.to) };
  const asked: NightQuery = { span, isToday };
  const places = night.places.map((row): NightRow => ({ ...row, facts: factsOf(row, asked, context) }));
  const whole = { ...night, places, installation: installationFacts(asked, context) };
  const reader = { unit: 'C', timeZone: context.timeZone, nowMs: span.toMs } as const;
  return { ...whole, answers: answersOnWire(nightAnswers(whole, reader)) };
}

function factsOf(
  { placeId }: NightSeen['places'][number],
  asked: NightQuery,
  context: MorningContext,
): PlaceFacts {
  const place = context.world.places.get(placeId);
  if (!place) throw new RangeError(`place ${placeId} is gone`);
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
