import { z } from 'zod';
import {
  accountNameSchema,
  deviceLoginNameSchema,
  passkeyNameSchema,
} from '../../../../shared/model/access.ts';
import {
  ACCESS_EVENT_KINDS,
  type AccessEventClass,
  classOf,
  MAX_EVENTS_OF_A_CLASS,
} from '../../../../shared/model/access-event.ts';
import { DEVICE_STATES, deviceNameSchema } from '../../../../shared/model/device.ts';
import { MAX_MAPPINGS, mappingSchema, sharesTopics } from '../../../../shared/model/mapping.ts';
import { ROLES } from '../../../../shared/model/roles.ts';
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
  copied: (row, { accounts }) => void accounts.add(Number(row['id'])),
};

const MAX_PUBLIC_KEY_BYTES = 4_096;

export const passkey: RowCheck = {
  key: ['name', 'host'],
  columns: {
    id,
    account_id: id,
    name: passkeyNameSchema,
    credential: like(/^[A-Za-z0-9_-]{1,2048}$/, 'is no id of a passkey'),
    public_key: bytes.refine((key) => key.length <= MAX_PUBLIC_KEY_BYTES, 'is longer than a public key'),
    counter: count,
    transports: json(z.array(z.string().max(20)).max(8)),
    host: like(/^[\w.-]{1,253}$/, 'is no host name'),
    created_ms: timeMs,
    used_ms: timeMs.nullable(),
  },
  whole: (row, { accounts }) =>
    accounts.has(Number(row['account_id'])) ? { row } : { leftOut: 'its account was not restored' },
};

export const accessEvent: RowCheck = {
  key: ['kind', 'id'],
  columns: {
    id,
    class: oneOf(['sign-in', 'refusal', 'change'] as const satisfies readonly AccessEventClass[]),
    kind: oneOf(ACCESS_EVENT_KINDS),
    first_ms: timeMs,
    at_ms: timeMs,
    count: count.min(1, 'is no count'),
    who: line(80).nullable(),
    whom: line(80).nullable(),
    address: line(80).nullable(),
    note: line(80).nullable(),
  },
  most: 3 * MAX_EVENTS_OF_A_CLASS,
  whole(row) {
    const kind = ACCESS_EVENT_KINDS.find((one) => one === row['kind']);
    return kind !== undefined && classOf(kind) === row['class']
      ? { row }
      : { leftOut: 'its kind is of another class' };
  },
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
