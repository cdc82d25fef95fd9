import type { Place } from '../../../../shared/model/place.ts';
import type {
  CeilingExpectedFacts,
  FilmExpectedFacts,
  FloorExpectedFacts,
} from '../../../../shared/rules/facts.ts';
import { NOTICE_RULES, type NoticeRule } from '../../../../shared/rules/ids.ts';
import type {
  EarlyNotices,
  ForecastAnswer,
  ForecastQuantity,
} from '../../../../shared/wire/places/forecast.ts';
import { isActive } from '../../../domain/alarms/record.ts';
import type { ByMorning } from '../../../domain/forecast/by-morning.ts';
import type { Clock } from '../../../ports.ts';
import type { RecordContext } from '../../world/records.ts';
import { ceilingExpected } from './ceiling.ts';
import { type CameOf, createCounted } from './counted.ts';
import { filmExpected } from './film.ts';
import { floorExpected } from './floor.ts';

/** A root zone moves slowly: it is looked at so often, ms. */
const FLOOR_EVERY_MS = 10 * 60_000;

type ExpectedFacts = CeilingExpectedFacts | FloorExpectedFacts | FilmExpectedFacts;
/** What an early notice says now; null where none is due any more. */
export type Expected = { readonly rule: NoticeRule; readonly facts: ExpectedFacts | null };

/** What notices rest on: forecasts of now, and what was learned of nights and films. */
type Rests = {
  readonly held: (place: Place, quantity: ForecastQuantity) => ForecastAnswer | null;
  readonly byMorning: (placeId: string) => ByMorning | null;
  readonly cameOf: CameOf;
};

/** The early notices of all places: what each says now, and how they did. */
export function createNotices(context: RecordContext & { readonly clock: Clock }, rests: Rests) {
  const countedOf = createCounted(context, rests.cameOf);
  const floorAtMs = new Map<string, number>();
  const factsOf = (place: Place, rule: NoticeRule): ExpectedFacts | null | undefined => {
    const record = context.world.alarm({ placeId: place.id, rule });
    const nowMs = context.clock.nowMs();
    const isOff = place.settings.alarms[rule]?.on === false;
    if (isOff || countedOf(place).some(({ of }) => of.rule === rule && of.heldBack))
      return isActive(record) ? null : undefined;
    if (rule === 'ceiling-expected')
      return ceilingExpected(place, { forecast: rests.held(place, 'airTemperatureC'), record }, context);
    if (rule === 'film-drying-expected') return filmExpected(place, record, nowMs, context);
    if (Math.abs(nowMs - (floorAtMs.get(place.id) ?? 0)) < FLOOR_EVERY_MS) return undefined;
    floorAtMs.set(place.id, nowMs);
    const forecast = rests.held(place, 'rootZoneTemperatureC');
    return floorExpected(place, { forecast, byMorning: rests.byMorning(place.id), record }, nowMs, context);
  };
  return {
    /** What is new of each notice of a place. */
    expected(place: Place): Expected[] {
      for (const id of floorAtMs.keys()) if (!context.world.places.has(id)) floorAtMs.delete(id);
      return NOTICE_RULES.flatMap((rule) => {
        const facts = factsOf(place, rule);
        return facts === undefined ? [] : [{ rule, facts }];
      });
    },
    /** How the notices of each place did, of those that had any. */
    counted: (): EarlyNotices[] =>
      [...context.world.places.values()]
        .flatMap((place) => countedOf(place))
        .filter(({ count }) => count > 0)
        .map(({ of }) => of),
  };
}
