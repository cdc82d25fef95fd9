import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import type { HouseFacts, PlaceSummary } from '../../shared/wire/http.ts';
import type { LiveMessage } from '../../shared/wire/live.ts';

/** All the page knows of the installation; `null` house means that nothing has been received yet. */
export type Known = {
  readonly places: readonly PlaceSummary[];
  readonly alarms: readonly Alarm[];
  readonly house: HouseFacts | null;
  /** while the state comes in parts: what has come so far, and whether nothing was known before */
  readonly filling?: Filling | null;
};

type Filling = {
  readonly placeIds: readonly string[];
  readonly alarmIds: readonly string[];
  readonly first: boolean;
};

export const NOTHING_KNOWN: Known = { places: [], alarms: [], house: null };

function replaced<T extends { readonly id: string }>(items: readonly T[], item: T): T[] {
  return items.some(({ id }) => id === item.id)
    ? items.map((kept) => (kept.id === item.id ? item : kept))
    : [...items, item];
}

/** Alarms carry the name of their place: a new name holds for those that are known, too. */
function renamed(alarms: readonly Alarm[], { id, name }: PlaceSummary): Alarm[] {
  return alarms.map((alarm) => (alarm.placeId === id ? { ...alarm, placeName: name } : alarm));
}

type Part = { readonly places: readonly PlaceSummary[]; readonly alarms: readonly Alarm[] };

/** What was known stays in sight until all parts have come. */
function beginFilling(known: Known, message: Part & { readonly house: HouseFacts }): Known {
  const first = known.house === null || known.filling?.first === true;
  const { house } = message;
  return withPart({ ...known, house, filling: { placeIds: [], alarmIds: [], first } }, message);
}

function filled(known: Known, message: Part & { readonly more: boolean }): Known {
  const { places, alarms, house, filling } = withPart(known, message);
  if (message.more) return { places, alarms, house, filling: filling ?? null };
  if (!filling) return { places, alarms, house };
  const [placeIds, alarmIds] = [new Set(filling.placeIds), new Set(filling.alarmIds)];
  return {
    places: places.filter(({ id }) => placeIds.has(id)),
    alarms: alarms.filter(({ id }) => alarmIds.has(id)),
    house,
  };
}

function withPart(known: Known, { places, alarms }: Part): Known {
  const come = { placeIds: places.map(({ id }) => id), alarmIds: alarms.map(({ id }) => id) };
  return {
    ...known,
    ...withCome(known, come),
    places: merged(known.places, places),
    alarms: merged(known.alarms, alarms),
  };
}

function withCome(
  { filling }: Known,
  come: { placeIds: string[]; alarmIds: string[] },
): Pick<Known, 'filling'> {
  if (!filling) return {};
  return {
    filling: {
      ...filling,
      placeIds: [...filling.placeIds, ...come.placeIds],
      alarmIds: [...filling.alarmIds, ...come.alarmIds],
    },
  };
}

function merged<T extends { readonly id: string }>(items: readonly T[], fresh: readonly T[]): T[] {
  const byId = new Map(items.map((item) => [item.id, item]));
  for (const item of fresh) byId.set(item.id, item);
  return [...byId.values()];
}

/** What the page knows after a message of the live feed. */
export function applyLive(known: Known, message: LiveMessage): Known {
  switch (message.type) {
    case 'snapshot':
      if (message.more) return beginFilling(known, message);
      return { places: message.places, alarms: message.alarms, house: message.house };
    case 'part':
      return filled(known, message);
    case 'now': {
      const { now } = message;
      const places = known.places.map((place) => (place.id === now.placeId ? { ...place, now } : place));
      return { ...known, places };
    }
    case 'place':
      return {
        ...known,
        ...withCome(known, { placeIds: [message.place.id], alarmIds: [] }),
        places: replaced(known.places, message.place),
        alarms: renamed(known.alarms, message.place),
      };
    case 'place-gone': {
      const { placeId } = message;
      return {
        ...known,
        places: known.places.filter(({ id }) => id !== placeId),
        alarms: known.alarms.filter((alarm) => alarm.placeId !== placeId),
      };
    }
    case 'alarm':
      return {
        ...known,
        ...withCome(known, { placeIds: [], alarmIds: [message.alarm.id] }),
        alarms: replaced(known.alarms, message.alarm),
      };
    case 'house':
      return { ...known, house: message.house };
    case 'heard':
    case 'beat':
      return known;
  }
}

/** The time by the daemon's clock that a message carries, ms since epoch, or `null`. */
export function sentAtMs(message: LiveMessage): number | null {
  return 'atMs' in message ? message.atMs : null;
}

function isLoud(alarm: Alarm): boolean {
  return alarm.priority === 'high' && alarm.state === 'unacknowledged' && alarm.shelvedUntilMs === null;
}

/**
 * Alarms of high priority that are unacknowledged and not shelved now, and were not before; nothing is new in the
 * first answer.
 */
export function newHighAlarms(before: Known, after: Known): Alarm[] {
  if (before.house === null || before.filling?.first === true) return [];
  return after.alarms.filter((alarm) => {
    const earlier = before.alarms.find(({ id }) => id === alarm.id);
    const isOld = earlier !== undefined && isLoud(earlier) && earlier.raisedAtMs === alarm.raisedAtMs;
    return isLoud(alarm) && !isOld;
  });
}

/** the shortest silence that can count: contract of the alarm "no data" */
export const LEAST_SILENCE_MS = 5 * 60_000;

/** A place as it was last seen, for a page that receives nothing more: what is minutes old is stale, and nobody reports. */
export function agedPlace(place: PlaceSummary, nowMs: number): PlaceSummary {
  const aged = Object.entries(place.now.quantities).map(([name, value]) => {
    const isOld = nowMs - Date.parse(value.at) > LEAST_SILENCE_MS;
    return [name, isOld ? { ...value, state: 'stale' as const } : value] as const;
  });
  const isReporting = aged.some(([, { state }]) => state !== 'stale');
  const probesTelling = isReporting ? place.now.probesTelling : 0;
  const quantities = Object.fromEntries(aged);
  return { ...place, now: { ...place.now, probesTelling, quantities, catchingUp: false } };
}
