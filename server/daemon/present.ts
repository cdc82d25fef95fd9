import type { Place } from '../../shared/model/place.ts';
import type { HouseFacts, PlaceNow, PlaceSummary } from '../../shared/wire/http.ts';
import { silenceLimitMs } from '../domain/alarms/silence.ts';
import { dayAndNight } from '../domain/calendar/nights.ts';
import { placeNow } from '../domain/present/now.ts';
import type { Clock } from '../ports.ts';
import { baseQuantity, type RecordContext, skyOf } from './records.ts';

/** What questions are answered from. */
export type QueryContext = RecordContext & {
  readonly clock: Clock;
  readonly house: () => HouseFacts;
  /** the entry of shared/sources.md under a key */
  readonly sourceText: (key: string) => string;
};

/** What a place is like now. */
export function nowOf(place: Place, context: QueryContext): PlaceNow {
  const { world, clock } = context;
  const nowMs = clock.nowMs();
  const targets = world.targets(place.id, nowMs);
  const assigned = world.probesOf(place.id);
  const probes = assigned.flatMap((probe) => {
    const heard = world.heard.get(probe.id);
    if (!heard) return [];
    const telling = nowMs - heard.tMs <= silenceLimitMs(heard);
    return [{ quantity: baseQuantity(probe), tMs: heard.tMs, value: heard.value, telling }];
  });
  const atMs = judgedAtMs(place, context);
  const window = { fromMs: atMs, toMs: atMs + 1 };
  const [half] = dayAndNight({
    targets,
    ...window,
    zone: context.timeZone,
    sky: skyOf(place, window, context),
  });
  const night = half?.night ?? true;
  return placeNow({ place, probes, targets, night, probesAssigned: assigned.length });
}

/** Light is known up to its last reading only: where it decides, day or night is that of the last reading. */
function judgedAtMs(place: Place, { world, clock }: QueryContext): number {
  const nowMs = clock.nowMs();
  if (world.targets(place.id, nowMs).dayBy?.kind !== 'light') return nowMs;
  const lit = world.probesOf(place.id).filter((probe) => probe.quantity?.startsWith('light/'));
  const lastMs = Math.max(0, ...lit.map((probe) => world.heard.get(probe.id)?.tMs ?? 0));
  return nowMs - lastMs <= place.settings.maxGapMs ? lastMs - 1 : nowMs;
}

/** A place with its state and targets. */
export function summary(place: Place, context: QueryContext): PlaceSummary {
  const targets = context.world.targets(place.id, context.clock.nowMs());
  return { ...place, now: nowOf(place, context), targets };
}
