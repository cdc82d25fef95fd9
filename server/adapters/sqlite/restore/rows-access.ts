import { z } from 'zod';
import {
  accountNameSchema,
  deviceLoginNameSchema,
  passkeyNameSchema,
} from '../../../../shared/model/people/access.ts';
import {
  ACCESS_EVENT_KINDS,
  type ACCESS_EVENTS,
  classOf,
  MAX_EVENTS_OF_A_CLASS,
} from '../../../../shared/model/people/access-event.ts';
import { ROLES } from '../../../../shared/model/people/roles.ts';
import { DEVICE_STATES, deviceNameSchema } from '../../../../shared/model/probes/device.ts';
import { MAX_MAPPINGS, mappingSchema, sharesTopics } from '../../../../shared/model/probes/mapping.ts';
import { isKeptPassword } from '../../../domain/access/kept-password.ts';
import { isKey } from '../../../domain/people/key-shape.ts';
import { KEY_NAMES, type KeyName } from '../../../domain/people/keys.ts';
import {
  bodyOf,
  bytes,
  count,
  id,
  json,
  like,
  line,
  oneOf,
  type RowCheck,
  text,
  timeMs,
} from './row-check.ts';

/** SHA-256 as base64url. */
const fingerprint = like(/^[A-Za-z0-9_-]{43}$/, 'is no fingerprint of a secret');

export const account: RowCheck = {
  key: ['name'],
  columns: {
    id,
    name: accountNameSchema,
    role: oneOf(ROLES),
    // never repeated in a message
    password: text(400).refine(isKeptPassword, 'is no password as it is kept'),
    created_ms: timeMs,
  },
};

export const passkey: RowCheck = {
  key: ['name', 'host'],
  columns: {
    id,
    account_id: id,
    name: passkeyNameSchema,
    credential: like(/^[A-Za-z0-9_-]{1,2048}$/, 'is no credential'),
    public_key: bytes,
    counter: count,
    transports: json(z.array(z.string().max(40)).max(20)),
    host: line(260),
    created_ms: timeMs,
    used_ms: timeMs.nullable(),
  },
};

const CLASSES = ['sign-in', 'refusal', 'change'] as const satisfies readonly (keyof typeof ACCESS_EVENTS)[];

export const accessEvent: RowCheck = {
  key: ['id', 'kind'],
  most: MAX_EVENTS_OF_A_CLASS * CLASSES.length,
  columns: {
    id,
    class: oneOf(CLASSES),
    kind: oneOf(ACCESS_EVENT_KINDS),
    first_ms: timeMs,
    at_ms: timeMs,
    count: count.min(1, 'is below 1'),
    who: line(200).nullable(),
    whom: line(200).nullable(),
    address: line(100).nullable(),
    note: line(400).nullable(),
  },
  whole: (row) =>
    classOf(oneOf(ACCESS_EVENT_KINDS).parse(row['kind'])) === row['class']
      ? { row }
      : { leftOut: 'its kind is of another class' },
};

export const deviceLogin: RowCheck = {
  key: ['name'],
  columns: { name: deviceLoginNameSchema, fingerprint, created_ms: timeMs },
};

export const device: RowCheck = {
  key: ['name'],
  columns: {
    name: deviceNameSchema,
    fingerprint,
    state: oneOf(DEVICE_STATES),
    created_ms: timeMs,
    secret_ms: timeMs,
    state_ms: timeMs,
  },
};

export const mapping: RowCheck = {
  key: ['id'],
  columns: { id, body: json(mappingSchema) },
  most: MAX_MAPPINGS,
  whole(row, { mappings }) {
    const { filter } = bodyOf(row, 'body', mappingSchema);
    return sharesTopics(filter, mappings) === null
      ? { row }
      : { leftOut: 'its topics are read by another mapping already' };
  },
  copied: (row, { mappings }) =>
    void mappings.push({ ...bodyOf(row, 'body', mappingSchema), id: Number(row['id']) }),
};

export const installationKey: RowCheck = {
  key: ['name'],
  columns: { name: oneOf(KEY_NAMES), value: text(1_000) },
  whole: (row) =>
    isKey(row['name'] as KeyName, String(row['value']))
      ? { row }
      : { leftOut: 'it is no key; another is made at the next start' },
};
