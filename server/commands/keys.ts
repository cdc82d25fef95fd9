import { INSTALLATION_WEBHOOK_ID } from '../../shared/model/people/people.ts';
import { makePushKeys } from '../adapters/push/push.ts';
import { recordMadeMs } from '../adapters/sqlite/file/inspect.ts';
import { keysInAside } from '../adapters/sqlite/file/keys-beside.ts';
import { asideBeside } from '../adapters/system/files/aside.ts';
import { newSecret } from '../adapters/system/new-secret.ts';
import { systemSecrets } from '../adapters/system/secrets.ts';
import type { Settings } from '../config.ts';
import { isKey } from '../domain/people/key-shape.ts';
import { KEY_NAMES, type KeyName } from '../domain/people/keys.ts';
import { type FoundAtStart, isClosed, restoreGaps } from '../domain/people/restored.ts';
import type { Keep, Log, Store } from '../ports.ts';
import { recordFileIn } from './record-file.ts';

/** Fingerprints of the keys that were last in use in this data folder, so that others are noticed. */
const MARKS_KEPT_AS = 'key-marks';
/** A file whose key is not used is kept under this name. */
const UNUSED = 'unused';

type KeyDeps = {
  readonly store: Pick<Store, 'keys' | 'restoreGaps' | 'people' | 'outbox' | 'transaction'>;
  readonly keep: Keep;
  readonly settings: Pick<Settings, 'dataDir' | 'mail' | 'webhookUrl'>;
  readonly log: Log;
  readonly nowMs: number;
};

export type Keys = Readonly<Record<KeyName, string>>;
type Origin = 'record' | 'file' | 'aside' | 'made';
type Found = { readonly name: KeyName; readonly value: string; readonly from: Origin };

/**
 * The keys of the installation. They lie in the record; files of earlier versions are moved there, and removed once that
 * is committed. Where there are none they are taken from the record that a restore set aside, or made. What a restore
 * could not bring is noted in the same transaction.
 */
export function openKeys(deps: KeyDeps): Keys {
  const { store, keep, log } = deps;
  const found = KEY_NAMES.map((name) => find(name, deps));
  const marks = marksOf(found);
  try {
    store.transaction(() => {
      for (const { name, value, from } of found) if (from !== 'record') store.keys.write(name, value);
      noteGaps(found, { marks, deps });
    });
    keep.write(MARKS_KEPT_AS, JSON.stringify(marks));
    for (const name of KEY_NAMES) leaveFile(name, deps);
  } catch (cause) {
    // the watch goes on with the keys as they are now; trying again at the next start
    log.error('the keys could not be moved into the record', { error: String(cause) });
  }
  return Object.fromEntries(found.map(({ name, value }) => [name, value])) as Keys;
}

function find(name: KeyName, { store, keep, settings, log }: KeyDeps): Found {
  const fits = (text: string | null | undefined): text is string =>
    text !== null && text !== undefined && isKey(name, text);
  const inRecord = store.keys.read(name);
  if (fits(inRecord)) return { name, value: inRecord, from: 'record' };
  const inFile = keep.read(name);
  if (fits(inFile)) return { name, value: inFile, from: 'file' };
  const file = recordFileIn(settings.dataDir);
  const madeMs = recordMadeMs(file);
  const asides = asideBeside(file, ['.replaced-', '.damaged-']).toSorted().toReversed();
  const aside = asides.map((path) => keysInAside(path, madeMs).get(name)).find(fits);
  if (fits(aside)) return { name, value: aside, from: 'aside' };
  if (inRecord !== null || inFile !== null) log.error('a key is damaged, and another is made', { key: name });
  return { name, value: name === 'push-keys' ? makePushKeys() : newSecret(), from: 'made' };
}

type Marks = Readonly<Record<string, string>>;

function marksOf(found: readonly Found[]): Marks {
  return Object.fromEntries(found.map(({ name, value }) => [name, systemSecrets.fingerprint(value)]));
}

function marksBefore(keep: Keep): Marks | null {
  try {
    const kept: unknown = JSON.parse(keep.read(MARKS_KEPT_AS) ?? 'null');
    return typeof kept === 'object' ? (kept as Marks | null) : null;
  } catch {
    return null;
  }
}

type Noting = { readonly marks: Marks; readonly deps: KeyDeps };

function noteGaps(found: readonly Found[], { marks, deps }: Noting): void {
  const { store, keep, settings, nowMs } = deps;
  const before = marksBefore(keep);
  const changed = found.filter(
    ({ name }) => before !== null && (before[name] ?? marks[name]) !== marks[name],
  );
  const made = found.filter(({ from }) => from === 'made');
  const hasFiles = KEY_NAMES.some((name) => keep.read(name) !== null);
  const now: FoundAtStart = {
    ways: store.people.roster().people.flatMap(({ ways: methods }) => methods),
    newKeys: [...new Set([...changed, ...made].map(({ name }) => name))],
    fromElsewhere: changed.length > 0 || (before === null && !hasFiles),
    canMail: settings.mail !== null,
    houseWebhook: {
      isSet: settings.webhookUrl !== null,
      wasUsed: store.outbox.wasUsed(INSTALLATION_WEBHOOK_ID),
    },
  };
  for (const gap of store.restoreGaps.all()) if (isClosed(gap.why, now)) store.restoreGaps.close(gap.wayId);
  for (const gap of restoreGaps(now)) store.restoreGaps.note({ ...gap, sinceMs: nowMs });
}

/** Removes the file of a key that lies in the record; one that holds another key is kept under another name. */
function leaveFile(name: KeyName, { store, keep, log }: KeyDeps): void {
  const inFile = keep.read(name);
  if (inFile === null) return;
  if (inFile !== store.keys.read(name)) {
    keep.write(`${name}.${UNUSED}`, inFile);
    log.warn('a key file held another key than the record: it is kept and not used', { key: name });
  }
  keep.remove(name);
}
