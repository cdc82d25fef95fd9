import { accountNameSchema, deviceLoginNameSchema } from '../../../../shared/model/access.ts';
import { DEVICE_STATES, deviceNameSchema } from '../../../../shared/model/device.ts';
import { MAX_MAPPINGS, mappingSchema, sharesTopics } from '../../../../shared/model/mapping.ts';
import { ROLES } from '../../../../shared/model/roles.ts';
import { isKeptPassword } from '../../../domain/access/kept-password.ts';
import { isKey } from '../../../domain/people/key-shape.ts';
import { KEY_NAMES, type KeyName } from '../../../domain/people/keys.ts';
import { bodyOf, id, json, like, oneOf, type RowCheck, text, timeMs } from './row-check.ts';

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
