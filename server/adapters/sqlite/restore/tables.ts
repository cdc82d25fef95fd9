import type { RowCheck } from './row-check.ts';
import {
  accessEvent,
  account,
  device,
  deviceLogin,
  installationKey,
  mapping,
  passkey,
} from './rows-access.ts';
import { alarm, alarmEvent, calling, outbox } from './rows-alarms.ts';
import {
  archiveItem,
  clockJump,
  handshake,
  refused,
  refusedCount,
  setAside,
  waitingDevice,
  waitingPack,
  waitingTotal,
} from './rows-intake.ts';
import {
  contactMethod,
  contactMethodFailing,
  escalation,
  morningSheet,
  pathTest,
  person,
  restoreGap,
  usedLink,
  weeklyTest,
} from './rows-people.ts';
import {
  batch,
  batchCount,
  batchMove,
  batchStage,
  checkDue,
  correction,
  diaryEntry,
  leading,
  ownSheet,
  place,
  preparation,
  probeCheck,
  targets,
} from './rows-places.ts';
import { horizon, journal, probe, sealed } from './rows-readings.ts';
import { settled, settledDay } from './rows-sums.ts';

/** One table of the record, what people call its rows, and how each row is checked. */
export type RestoredTable = { readonly table: string; readonly rows: string; readonly check: RowCheck };

/**
 * The tables a restore copies, parents before what refers to them. What is not in this list is not copied; a test holds
 * it, and the columns of each check, against the schema that the migrations make. A new table is one line here.
 */
export const RESTORED_TABLES: readonly RestoredTable[] = [
  { table: 'archive_item', rows: 'archived items', check: archiveItem },
  { table: 'place', rows: 'places', check: place },
  { table: 'targets', rows: 'edits of targets', check: targets },
  { table: 'batch', rows: 'batches', check: batch },
  { table: 'batch_stage', rows: 'stages of batches', check: batchStage },
  { table: 'batch_move', rows: 'moves of batches', check: batchMove },
  { table: 'batch_count', rows: 'counts of batches', check: batchCount },
  { table: 'leading', rows: 'choices of a leading batch', check: leading },
  { table: 'preparation', rows: 'planned batches', check: preparation },
  { table: 'diary_entry', rows: 'entries of the diary', check: diaryEntry },
  { table: 'probe', rows: 'probes', check: probe },
  { table: 'horizon', rows: 'marks of dropped readings', check: horizon },
  { table: 'sealed', rows: 'hours of readings', check: sealed },
  { table: 'journal', rows: 'groups of new readings', check: journal },
  { table: 'settled', rows: 'days of exposures', check: settled },
  { table: 'settled_day', rows: 'local days of exposures', check: settledDay },
  { table: 'clock_jump', rows: 'jumps of the clock', check: clockJump },
  { table: 'set_aside', rows: 'readings set aside', check: setAside },
  { table: 'probe_check', rows: 'checks of probes', check: probeCheck },
  { table: 'correction', rows: 'corrections', check: correction },
  { table: 'check_due', rows: 'checks that are due', check: checkDue },
  { table: 'alarm', rows: 'alarms', check: alarm },
  { table: 'alarm_event', rows: 'events of alarms', check: alarmEvent },
  { table: 'calling', rows: 'calls under way', check: calling },
  { table: 'person', rows: 'people', check: person },
  { table: 'way', rows: 'contact methods', check: contactMethod },
  { table: 'ladder', rows: 'escalation', check: escalation },
  { table: 'weekly_test', rows: 'weekly test', check: weeklyTest },
  { table: 'path_test', rows: 'test messages', check: pathTest },
  { table: 'morning_sheet', rows: 'morning sheet', check: morningSheet },
  { table: 'way_failing', rows: 'failing contact methods', check: contactMethodFailing },
  { table: 'spent_link', rows: 'used links', check: usedLink },
  { table: 'outbox', rows: 'messages', check: outbox },
  { table: 'restore_gap', rows: 'gaps of an earlier restore', check: restoreGap },
  { table: 'installation_key', rows: 'keys', check: installationKey },
  { table: 'account', rows: 'accounts', check: account },
  { table: 'passkey', rows: 'passkeys', check: passkey },
  { table: 'access_event', rows: 'sign-ins and changes', check: accessEvent },
  { table: 'device_login', rows: 'shared device login', check: deviceLogin },
  { table: 'device', rows: 'device logins', check: device },
  { table: 'own_sheet', rows: 'own target sheets', check: ownSheet },
  { table: 'mapping', rows: 'mappings', check: mapping },
  { table: 'waiting_device', rows: 'waiting devices', check: waitingDevice },
  { table: 'waiting_pack', rows: 'messages of waiting devices', check: waitingPack },
  { table: 'waiting_total', rows: 'counts of waiting devices', check: waitingTotal },
  { table: 'handshake', rows: 'open handshakes', check: handshake },
  { table: 'refused', rows: 'rejected messages', check: refused },
  { table: 'refused_count', rows: 'counts of rejected messages', check: refusedCount },
];

/** Tables that are not copied, each with the reason. */
export const NOT_RESTORED: Readonly<Record<string, string>> = {
  migration: 'the new record has its own; only when each was applied is copied',
  api_token: 'a token that was revoked since must not be valid again',
  session: 'a session that was ended since must not be valid again',
};
