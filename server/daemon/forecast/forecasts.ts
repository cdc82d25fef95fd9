import { Fault } from '../../../shared/faults.ts';
import type { Place } from '../../../shared/model/place.ts';
import type { EarlyNotices, ForecastAnswer, ForecastQuantity } from '../../../shared/wire/places/forecast.ts';
import type { Clock, Log, Parts, Timers } from '../../ports.ts';
import { answerFrom } from './answer.ts';
import { createLearner, type LearnerContext } from './learner.ts';
import { createNotices, type Expected } from './notices/notices.ts';

/** One part of learning a turn, some milliseconds each, so that nothing waits for it; ms. */
const TURN_EVERY_MS = 250;
/** Each place is evaluated every two minutes, and so many in one second, so that hundreds of them make no turn long. */
const EVALUATE_EVERY_MS = 120_000;
const MOST_A_SECOND = 5;

export type ForecastService = {
  /** In parts. @param query.atMs null: now. @throws Fault `bad-request` for a time to come */
  answer(
    place: Place,
    query: { readonly quantity: ForecastQuantity; readonly atMs: number | null },
  ): Parts<ForecastAnswer>;
  /** The forecast of now by what was learned beside other work; null while nothing was. */
  held(placeId: string, quantity: ForecastQuantity): ForecastAnswer | null;
  /** What is new of the early notices of a place, evaluated every two minutes. */
  expected(placeId: string): Expected[];
  /** How the early notices of the last weeks did, of places that had any. */
  notices(): EarlyNotices[];
  start(deps: { readonly timers: Timers; readonly log: Log }): () => void;
};

/** Forecasts of all places, of now and of the past, and the early notices that rest on them. */
export function createForecasts(context: LearnerContext): ForecastService {
  const { world, clock } = context;
  const learner = createLearner(context);
  const isDue = everyTwoMinutes(clock);
  const held = (place: Place, quantity: ForecastQuantity): ForecastAnswer | null => {
    const learned = learner.held(place, quantity);
    return learned && answerFrom(place, { quantity, atMs: clock.nowMs(), learned }, context);
  };
  const notices = createNotices(context, { held, byMorning: learner.byMorning, cameOf: learner.cameOf });
  return {
    *answer(place, { quantity, atMs }) {
      const nowMs = clock.nowMs();
      if (atMs === null) {
        const learned = yield* learner.forNow(place, quantity);
        return answerFrom(place, { quantity, atMs: nowMs, learned }, context);
      }
      if (atMs > nowMs) {
        const message = '"at" must not lie in the future; a forecast reaches two hours from then on.';
        throw new Fault({ code: 'bad-request', message, details: { field: 'at' } });
      }
      const learned = yield* learner.forTime(place, { quantity, atMs });
      return answerFrom(place, { quantity, atMs, learned }, context);
    },
    held(placeId, quantity) {
      const place = world.places.get(placeId);
      return place ? held(place, quantity) : null;
    },
    expected(placeId) {
      const place = world.places.get(placeId);
      return place && isDue(placeId) ? notices.expected(place) : [];
    },
    notices: notices.counted,
    start: ({ timers, log }) =>
      timers.every(TURN_EVERY_MS, () => {
        try {
          learner.turn();
        } catch (cause) {
          log.error('a forecast could not be learned', { error: String(cause) });
        }
      }),
  };
}

/** Whether a place is to be evaluated again. */
function everyTwoMinutes(clock: Clock) {
  const evaluatedMs = new Map<string, number>();
  let turn = { second: 0, count: 0 };
  return (placeId: string): boolean => {
    const nowMs = clock.nowMs();
    const second = Math.floor(nowMs / 1_000);
    if (turn.second !== second) turn = { second, count: 0 };
    const agoMs = nowMs - (evaluatedMs.get(placeId) ?? Number.NEGATIVE_INFINITY);
    // evaluated later than now: by a clock that was ahead
    if ((agoMs >= 0 && agoMs < EVALUATE_EVERY_MS) || turn.count >= MOST_A_SECOND) return false;
    turn.count += 1;
    evaluatedMs.set(placeId, nowMs);
    return true;
  };
}
