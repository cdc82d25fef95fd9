import { z } from 'zod';
import {
  clockTimeSchema,
  newContactMethodSchema,
  personPatchSchema,
  quietSchema,
  readEscalation,
} from '../../../../shared/model/people/people.ts';
import { readWeeklyTest } from '../../../../shared/model/people/weekly-test.ts';
import { GAP_REASONS } from '../../../../shared/wire/people.ts';
import { count, flag, id, json, like, line, oneOf, type RowCheck, text, timeMs } from './row-check.ts';

const onlyRow = z.literal(1);
const personName = personPatchSchema.shape.name;

export const person: RowCheck = {
  key: ['id'],
  columns: {
    id,
    name: personName,
    quiet_from: clockTimeSchema.nullable(),
    quiet_to: clockTimeSchema.nullable(),
  },
  // whoever is left out is called by nobody, so what can be replaced is replaced
  fixed(row) {
    const nameFits = personName.safeParse(row['name']).success;
    const [from, to] = [row['quiet_from'], row['quiet_to']];
    const quietFits = (from === null && to === null) || quietSchema.safeParse({ from, to }).success;
    if (nameFits && quietFits) return { row };
    const changed = [
      ...(nameFits ? [] : ['the name does not fit, so it is the number now']),
      ...(quietFits ? [] : ['the quiet hours do not fit, so there are none']),
    ];
    const mended = {
      ...row,
      name: nameFits ? row['name'] : `person ${Number(row['id'])}`,
      ...(quietFits ? {} : { quiet_from: null, quiet_to: null }),
    };
    return { row: mended, changed: changed.join('; ') };
  },
  copied: (row, { people }) => void people.add(Number(row['id'])),
};

export const contactMethod: RowCheck = {
  key: ['id', 'person_id'],
  columns: { id, person_id: id, body: json(newContactMethodSchema) },
  copied: (row, { ways: methods }) => void methods.add(Number(row['id'])),
};

export const escalation: RowCheck = {
  key: ['id'],
  columns: { id: onlyRow, body: text(65_536) },
  whole: (row) =>
    readEscalation(String(row['body'])).defaulted
      ? { leftOut: 'who gets called does not fit: set it again under People' }
      : { row },
};

export const weeklyTest: RowCheck = {
  key: ['id'],
  columns: { id: onlyRow, body: text(65_536).nullable(), since_ms: timeMs },
  fixed(row) {
    if (row['body'] === null || !readWeeklyTest(String(row['body'])).defaulted) return { row };
    return { row: { ...row, body: null }, changed: 'it does not fit, so the default holds' };
  },
};

export const morningSheet: RowCheck = {
  key: ['id'],
  columns: { id: onlyRow, day: like(/^\d{4}-\d\d-\d\d$/, 'is no day') },
};

export const contactMethodFailing: RowCheck = {
  key: ['way_id'],
  columns: { way_id: count, since_ms: timeMs, attempts: count, error: text(4_000), for_good: flag },
};

export const usedLink: RowCheck = { key: ['id'], columns: { id: line(300), expires_ms: timeMs } };

export const pathTest: RowCheck = {
  key: ['id', 'recipient'],
  columns: {
    id,
    message_key: line(300),
    cause: oneOf(['weekly', 'asked']),
    person_id: id,
    way_id: id,
    recipient: text(500),
    put_ms: timeMs,
    confirm_by_ms: timeMs,
    taken_ms: timeMs.nullable(),
    error: text(4_000).nullable(),
    given_up: flag,
    confirmed_ms: timeMs.nullable(),
  },
};

export const restoreGap: RowCheck = {
  key: ['way_id'],
  columns: { way_id: count, why: oneOf(GAP_REASONS), since_ms: timeMs },
};
