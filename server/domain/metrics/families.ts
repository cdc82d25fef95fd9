import type { PlaceStateName } from '../../../shared/harm/place-state.ts';
import type { AlarmPriority } from '../../../shared/rules/rules.ts';

type Sample = { readonly labels?: Readonly<Record<string, string>>; readonly value: number };

/** One family of metrics; a name with a unit ends in it. */
export type Family = {
  readonly name: string;
  readonly type: 'gauge' | 'counter' | 'info';
  readonly help: string;
  /** those that are not finite are left out, as nothing is known */
  readonly samples: readonly Sample[];
};

/** Places that are listed one by one; the number of further ones is given. */
export const MOST_PLACES = 1_000;

/** How late timers ran in the last span that was measured, ms. */
export type LoopDelay = { readonly medianMs: number; readonly p99Ms: number; readonly maxMs: number };

/** What is measured of an installation; counts since its start unless said otherwise. */
export type Measured = {
  readonly version: string;
  readonly node: string;
  readonly isReady: boolean;
  readonly readingsAccepted: number;
  /** messages in the whole record, by fault code */
  readonly refusedByCode: Readonly<Record<string, number>>;
  readonly conflicts: number;
  /** places with a reading: how old their newest is, ms */
  readonly places: readonly { readonly placeId: string; readonly newestAgeMs: number }[];
  readonly alarmsActive: Readonly<Record<AlarmPriority, number>>;
  readonly outboxWaiting: number;
  readonly outboxFailures: number;
  /** how long the oldest message to people has waited, ms; 0 where none waits */
  readonly outboxAgeMs: number;
  /** probes of places that have read nothing for longer than the gap that their place allows */
  readonly probesSilent: number;
  readonly placesByState: Readonly<Record<PlaceStateName, number>>;
  /** whole days until the disk is full; null while nobody can tell */
  readonly diskDaysLeft: number | null;
  readonly databaseBytes: number;
  readonly freeBytes: number;
  readonly clockIsSteady: boolean;
  readonly loopDelay: LoopDelay;
};

/** What is measured, as families of metrics whose labels take a bounded number of values. */
export function families(measured: Measured): Family[] {
  return [...ofProgram(measured), ...ofReadings(measured), ...ofAlarms(measured), ...ofDisk(measured)];
}

function ofProgram({ version, node, isReady, clockIsSteady, loopDelay }: Measured): Family[] {
  const { medianMs, p99Ms, maxMs } = loopDelay;
  const delays = { p50: medianMs, p99: p99Ms, max: maxMs };
  return [
    {
      name: 'strikewell_build',
      type: 'info',
      help: 'Version of Strikewell and of Node.',
      samples: [{ labels: { version, node }, value: 1 }],
    },
    gauge('strikewell_ready', 'Whether readings can be taken, 1 or 0.', [one(isReady)]),
    gauge('strikewell_clock_steady', 'Whether the wall clock was not set lately, 1 or 0.', [
      one(clockIsSteady),
    ]),
    gauge('strikewell_event_loop_delay_seconds', 'How late timers ran in the last minute.', [
      ...Object.entries(delays).map(([stat, ms]) => ({ labels: { stat }, value: ms / 1000 })),
    ]),
  ];
}

function ofReadings(measured: Measured): Family[] {
  const { readingsAccepted, refusedByCode, conflicts, places, probesSilent, placesByState } = measured;
  const listed = places.slice(0, MOST_PLACES);
  return [
    counter('strikewell_readings_accepted', 'Readings stored since the start.', [
      { value: readingsAccepted },
    ]),
    counter(
      'strikewell_reading_conflicts',
      'Readings with another value than the one stored at their time.',
      [{ value: conflicts }],
    ),
    counter('strikewell_messages_refused', 'Messages refused, by fault code.', [
      ...Object.entries(refusedByCode).map(([code, value]) => ({ labels: { code }, value })),
    ]),
    gauge('strikewell_newest_reading_age_seconds', 'Time since the newest reading of each place.', [
      ...listed.map(({ placeId, newestAgeMs }) => ({
        labels: { place: placeId },
        value: newestAgeMs / 1000,
      })),
    ]),
    gauge('strikewell_places_unlisted', `Places beyond the ${MOST_PLACES} whose age is listed.`, [
      { value: places.length - listed.length },
    ]),
    gauge(
      'strikewell_probes_silent',
      'Probes of places that have read nothing for longer than the gap allowed.',
      [{ value: probesSilent }],
    ),
    gauge('strikewell_places', 'Places by how they do now: ok, watch or act.', [
      ...Object.entries(placesByState).map(([state, value]) => ({ labels: { state }, value })),
    ]),
  ];
}

function ofAlarms({ alarmsActive, outboxWaiting, outboxFailures, outboxAgeMs }: Measured): Family[] {
  return [
    gauge('strikewell_alarms_active', 'Alarms that are active, by priority.', [
      ...Object.entries(alarmsActive).map(([priority, value]) => ({ labels: { priority }, value })),
    ]),
    gauge('strikewell_outbox_waiting', 'Messages to people that wait to be sent.', [
      { value: outboxWaiting },
    ]),
    gauge('strikewell_outbox_age_seconds', 'How long the oldest message to people has waited.', [
      { value: outboxAgeMs / 1000 },
    ]),
    counter('strikewell_outbox_failures', 'Attempts to send a message that failed since the start.', [
      { value: outboxFailures },
    ]),
  ];
}

function ofDisk({ databaseBytes, freeBytes, diskDaysLeft }: Measured): Family[] {
  return [
    gauge('strikewell_database_bytes', 'Size of the database and its log.', [{ value: databaseBytes }]),
    gauge('strikewell_disk_free_bytes', 'Free space on the disk of the database.', [{ value: freeBytes }]),
    gauge(
      'strikewell_disk_left_days',
      'Whole days until record and backups fill the disk; 730: two years or more.',
      [{ value: diskDaysLeft ?? Number.NaN }],
    ),
  ];
}

function gauge(name: string, help: string, samples: readonly Sample[]): Family {
  return { name, type: 'gauge', help, samples };
}

function counter(name: string, help: string, samples: readonly Sample[]): Family {
  return { name, type: 'counter', help, samples };
}

function one(is: boolean): Sample {
  return { value: is ? 1 : 0 };
}
