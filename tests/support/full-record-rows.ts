import { systemSecrets } from '../../server/adapters/system/secrets.ts';
import { alarmId } from '../../server/domain/alarms/record.ts';
import { sumsOfNothing } from '../../server/domain/exposures/hour-sums.ts';
import { encodeDay } from '../../server/domain/exposures/settled-day.ts';
import { NOT_CALLED } from '../../server/domain/people/escalation.ts';
import { encodeBlock } from '../../server/domain/seal/block.ts';
import { shippedSheets } from '../../server/domain/sheets/shipped.ts';
import { NO_DETAILS } from '../../shared/model/cuttings/batch.ts';
import { NO_PREPARATION_DETAILS } from '../../shared/model/cuttings/preparation.ts';
import type { Sheet } from '../../shared/model/cuttings/sheet.ts';
import { FIRST_WEEKLY_TEST } from '../../shared/model/people/weekly-test.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
export const OF = { name: 'bench-1', device: 'node-1', probe: 'air/temperature' } as const;
const FINGERPRINT = systemSecrets.fingerprint('some secret of a device');
/** Secrets by their shape; none is used. */
const KEY = Buffer.alloc(32, 7).toString('base64');
const PAIR = { publicKey: 'P'.repeat(87), privateKey: 'p'.repeat(43) };

export type Value = string | number | Uint8Array | null;
type Rows = Readonly<Record<string, Readonly<Record<string, Value>>>>;

type Given = {
  readonly nowMs: number;
  readonly probeId: number;
  readonly oldHour: number;
  readonly reading: (id: number, tMs: number) => { tMs: number; value: number };
};

/** One row in each table that the store does not fill above. */
export async function furtherRows(given: Given): Promise<Rows> {
  return {
    ...rowsOfPlaces(given),
    ...rowsOfPeople(given),
    ...(await rowsOfAccess(given)),
    ...rowsOfIntake(given),
  };
}

function rowsOfPlaces({ nowMs, probeId, oldHour, reading }: Given): Rows {
  const fromMs = oldHour * HOUR_MS;
  const part = { fromMs, toMs: fromMs + HOUR_MS, formula: 3, targetsEdit: 1, sums: sumsOfNothing(HOUR_MS) };
  const lone = reading(probeId, nowMs + 90 * DAY_MS);
  const step = { reference: { kind: 'ice' }, sinceMs: nowMs - DAY_MS, untilMs: null, taken: null };
  const check = { kind: 'ice', by: null, temperature: null, steps: [step], result: null };
  const id = alarmId({ placeId: OF.name, rule: 'air-over-ceiling' });
  return {
    targets: { place_id: OF.name, from_ms: fromMs, entered_ms: fromMs, body: targetsBody() },
    ' targets': { place_id: 'old', from_ms: fromMs, entered_ms: fromMs, body: targetsBody() },
    ...rowsOfBatches(nowMs),
    leading: { place_id: OF.name, batch_id: 1, from_ms: nowMs - DAY_MS, entered: 3 },
    settled: { place_id: OF.name, day: Math.floor(fromMs / DAY_MS), parts: encodeDay([part]) },
    settled_day: { place_id: OF.name, from_ms: fromMs, to_ms: fromMs + HOUR_MS, sums: encodeDay([part]) },
    clock_jump: { id: 1, from_ms: nowMs + 90 * DAY_MS, to_ms: nowMs, by_ms: -90 * DAY_MS, exact: 1 },
    set_aside: {
      jump_id: 1,
      probe_id: probeId,
      first_ms: lone.tMs,
      last_ms: lone.tMs,
      count: 1,
      block: encodeBlock({ timesMs: Float64Array.of(lone.tMs), values: Float64Array.of(lone.value) }),
    },
    probe_check: {
      probe_id: probeId,
      started_ms: nowMs - 9 * DAY_MS,
      ended_ms: nowMs - 8 * DAY_MS,
      body: JSON.stringify(check),
    },
    correction: {
      probe_id: probeId,
      from_ms: nowMs - DAY_MS,
      gain: 1,
      offset: 0.3,
      reason: 'read low in ice',
      by_name: 'Sam',
      entered_ms: nowMs - DAY_MS,
      check_id: 1,
    },
    check_due: { probe_id: probeId, due_ms: nowMs + 30 * DAY_MS },
    alarm_event: { alarm_id: id, at_ms: nowMs - HOUR_MS, transition: 'acknowledged', note: 'Sam' },
    calling: { alarm_id: id, body: JSON.stringify(NOT_CALLED), look_again_ms: null },
  };
}

function rowsOfBatches(nowMs: number): Rows {
  return {
    batch: {
      place_id: OF.name,
      stuck_ms: nowMs - DAY_MS,
      entered: 1,
      closed_ms: nowMs,
      closed_entered: 5,
      body: JSON.stringify({
        crop: 'Poinsettia',
        count: 100,
        sheets: [{ sheetId: 'poinsettia', version: 1, fromMs: nowMs - DAY_MS, entered: 1 }],
        ...NO_DETAILS,
        cultivar: 'Early Red',
      }),
    },
    batch_stage: { batch_id: 1, n: 1, stage: 'sticking', from_ms: nowMs - DAY_MS, entered: 1 },
    batch_move: { batch_id: 1, n: 1, place_id: 'old', from_ms: nowMs - DAY_MS / 2, entered: 2 },
    batch_count: {
      batch_id: 1,
      n: 1,
      at_ms: nowMs - HOUR_MS,
      body: JSON.stringify({ looked: 20, rooted: 14, lost: [{ cause: 'rot', n: 2 }] }),
    },
    preparation: {
      batch_id: 1,
      deleted_ms: nowMs - HOUR_MS,
      body: JSON.stringify({
        crop: 'Poinsettia',
        stickOn: '2026-07-01',
        ...NO_PREPARATION_DETAILS,
        steps: [{ id: 'nitrogen', name: null, daysBefore: 14, doneMs: nowMs - DAY_MS }],
      }),
    },
    diary_entry: entryRow(nowMs),
  };
}

function entryRow(nowMs: number): Readonly<Record<string, Value>> {
  return {
    place_id: OF.name,
    batch_id: 1,
    kind: 'vented',
    at_ms: nowMs - DAY_MS,
    to_ms: nowMs - DAY_MS + HOUR_MS,
    note: 'opened for mist',
    by_name: 'Sam',
  };
}

function targetsBody(): string {
  const band = { day: { lowC: 18, highC: 24 }, night: { lowC: 16, highC: 22 } };
  return JSON.stringify({
    dayStart: '06:00',
    nightStart: '20:00',
    rootZone: band,
    air: { ...band, ceilingC: 26.7 },
    vpd: { lowKpa: 0.1, highKpa: 0.8 },
    saturation: { relativeHumidityPct: 99 },
  });
}

function rowsOfPeople({ nowMs }: Given): Rows {
  const notice = {
    type: 'alarm.raised',
    timestamp: new Date(nowMs).toISOString(),
    data: { subject: 'Bench 1', message: 'Air over ceiling.', answer: null, answerPath: null, alarm: null },
  };
  const escalation = { steps: [{ personId: 1, afterMin: 0 }], repeatMin: 5, morningAt: '07:00' };
  return {
    person: { id: 1, name: 'Sam', quiet_from: '22:00', quiet_to: '06:00' },
    way: { id: 1, person_id: 1, body: JSON.stringify({ kind: 'webhook', url: 'https://hook.example/1' }) },
    ladder: { id: 1, body: JSON.stringify(escalation) },
    weekly_test: { id: 1, body: JSON.stringify(FIRST_WEEKLY_TEST), since_ms: nowMs },
    path_test: {
      message_key: 'test-1',
      cause: 'asked',
      person_id: 1,
      way_id: 1,
      recipient: 'webhook to Sam',
      put_ms: nowMs - HOUR_MS,
      confirm_by_ms: nowMs + DAY_MS,
      taken_ms: nowMs - HOUR_MS,
      confirmed_ms: nowMs,
    },
    morning_sheet: { id: 1, day: new Date(nowMs).toISOString().slice(0, 10) },
    way_failing: { way_id: 1, since_ms: nowMs - HOUR_MS, attempts: 2, error: 'timed out', for_good: 0 },
    spent_link: { id: 'link-1', expires_ms: nowMs + DAY_MS },
    outbox: {
      message_key: 'message-1',
      channel: 'way',
      body: JSON.stringify(notice),
      state: 'sent',
      attempts: 1,
      created_ms: nowMs - HOUR_MS,
      next_at_ms: nowMs - HOUR_MS,
      way_id: 1,
      recipient: 'webhook to Sam',
      kind: 'alarm.raised',
      sent_ms: nowMs - HOUR_MS,
      priority: 0,
    },
    restore_gap: { way_id: 1, why: 'webhook-secret', since_ms: nowMs - DAY_MS },
  };
}

/** A shipped sheet as an own one is kept. */
const { id: _id, version: _version, own: _own, ...ownSheet } = shippedSheets()[0] as Sheet;

async function rowsOfAccess({ nowMs }: Given): Promise<Rows> {
  const mapping = {
    filter: 'other/+/air',
    device: { kind: 'level', level: 2 },
    placeId: null,
    time: { kind: 'arrival' },
    values: [{ pointer: '/t', probe: OF.probe, unit: 'Cel', scale: 1, offset: 0, optional: false }],
  };
  return {
    account: {
      id: 1,
      name: 'owner',
      role: 'own',
      password: await systemSecrets.keep('mist on the bench'),
      created_ms: nowMs,
    },
    'account ': {
      id: 2,
      name: 'tender',
      role: 'tend',
      created_ms: nowMs,
      password: await systemSecrets.keep('mist on the other bench'),
    },
    passkey: {
      account_id: 2,
      name: 'phone',
      credential: 'Y3JlZGVudGlhbA',
      public_key: new Uint8Array([1, 2]),
      counter: 3,
      transports: '["internal"]',
      host: 'bench.example.org',
      created_ms: nowMs,
    },
    access_event: {
      class: 'change',
      kind: 'passkey-added',
      first_ms: nowMs,
      at_ms: nowMs,
      count: 1,
      who: 'owner',
      whom: 'owner',
      address: '127.0.0.1',
      note: 'phone',
    },
    session: {
      fingerprint: FINGERPRINT,
      account_id: 1,
      created_ms: nowMs,
      seen_ms: nowMs,
      address: '127.0.0.1',
      agent: 'a browser',
    },
    device_login: { name: 'sensors', fingerprint: FINGERPRINT, created_ms: nowMs },
    device: {
      name: OF.device,
      fingerprint: FINGERPRINT,
      state: 'enabled',
      created_ms: nowMs,
      secret_ms: nowMs,
      state_ms: nowMs,
    },
    mapping: { body: JSON.stringify(mapping) },
    own_sheet: { id: 'own-1', version: 1, body: JSON.stringify(ownSheet), made_ms: nowMs, removed_ms: null },
    installation_key: { name: 'webhook-secret', value: KEY },
    'installation_key ': { name: 'link-key', value: KEY },
    ' installation_key': { name: 'push-keys', value: JSON.stringify(PAIR) },
  };
}

function rowsOfIntake({ nowMs }: Given): Rows {
  const payload = new TextEncoder().encode('[{"n":"air/temperature","u":"Cel","v":21}]');
  const topic = 'strikewell/1/new-node/readings';
  return {
    waiting_device: {
      device: 'new-node',
      state: 'waiting',
      first_ms: nowMs,
      last_ms: nowMs,
      received: 1,
      packs: 1,
      bytes: payload.length,
      dropped: 0,
    },
    waiting_pack: { device: 'new-node', topic, payload, arrived_ms: nowMs, retained: 0 },
    handshake: { key: 'node-1/7', content: FINGERPRINT, at_ms: nowMs },
    waiting_total: { id: 1, dropped: 3, turned_away: 2 },
    refused: {
      at_ms: nowMs,
      code: 'not-json',
      reason: 'it is not JSON',
      topic: 'strikewell/1/x/readings',
      bytes: 3,
      payload: 'abc',
      kept_bytes: 26,
    },
    refused_count: { code: 'not-json', n: 4 },
  };
}
