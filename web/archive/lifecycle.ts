import type {
  AcceptedDevice,
  ArchiveContents,
  ArchiveItemView,
  ArchiveKind,
  WaitingAnswer,
  WaitingDeviceView,
} from '../../shared/wire/lifecycle.ts';
import { duration } from '../../shared/words/alarm.ts';
import { bytesText } from '../../shared/words/bytes.ts';
import { countText } from '../common/format.ts';
import { momentWords } from '../common/time.ts';

type Reader = { readonly timeZone: string; readonly nowMs: number };

/** What is archived or deleted: a place or a device by its id, a probe by its number. */
export type ArchiveTarget = { readonly kind: ArchiveKind; readonly id: string };

function counted(count: number, one: string, many = `${one}s`): string {
  return `${countText(count)} ${count === 1 ? one : many}`;
}

function momentText(at: string, reader: Reader): string {
  return momentWords({ atMs: Date.parse(at), ...reader });
}

/** How many new devices wait, as the benches say it; null while none does. */
export function waitingHeadline(devices: number): string | null {
  if (devices === 0) return null;
  return devices === 1 ? '1 new device is waiting.' : `${countText(devices)} new devices are waiting.`;
}

/** Since when a device waits and what is kept of it. */
export function waitingWords(row: WaitingDeviceView, reader: Reader): string {
  const ago = duration(Math.max(0, reader.nowMs - Date.parse(row.lastAt)));
  const kept = `${counted(row.kept, 'message')} kept (${bytesText(row.bytes)})`;
  const dropped = row.dropped > 0 ? `, ${countText(row.dropped)} not kept` : '';
  return `First seen ${momentText(row.since, reader)}, last ${ago} ago; ${kept}${dropped}.`;
}

/** Who ignored a device, with the messages received and not kept. */
export function ignoredWords(row: WaitingDeviceView, reader: Reader): string {
  const by = row.decidedBy === null ? '' : ` by ${row.decidedBy}`;
  const when = row.decidedAt === null ? '' : ` ${momentText(row.decidedAt, reader)}`;
  return `Ignored${by}${when}; ${counted(row.received, 'message')} so far, ${countText(row.dropped)} not kept.`;
}

/** What was lost to the limits; null while nothing was. */
export function lostWords({ turnedAway, dropped, limits }: WaitingAnswer): string | null {
  const full =
    turnedAway > 0
      ? `${counted(turnedAway, 'message')} of other new devices rejected: ${limits.devices} can wait at once.`
      : '';
  const gone =
    dropped > 0 ? `${counted(dropped, 'message')} of devices accepted or ignored since not kept.` : '';
  return full === '' && gone === '' ? null : [full, gone].filter(Boolean).join(' ');
}

/** The result of accepting a device. */
export function acceptedWords({ device, stored, refused, dropped }: AcceptedDevice): string {
  const lost = refused + dropped;
  const missing = lost > 0 ? `, ${counted(lost, 'message')} not kept` : '';
  return `${device} accepted: ${counted(stored, 'reading')} stored${missing}.`;
}

/** What goes with something that is archived or deleted, a clause each. */
export function contentsWords(contents: ArchiveContents, reader: Reader): string[] {
  const { places, probes, readingsFrom, activeAlarms, alarms, entries } = contents;
  const names = places.map(({ name }) => name).join(', ');
  return [
    ...(places.length > 0 ? [`${places.length === 1 ? 'place' : 'places'} ${names}`] : []),
    counted(probes, 'probe'),
    readingsFrom === null ? 'no readings' : `readings since ${momentText(readingsFrom, reader)}`,
    ...(alarms > 0 ? [`history of ${counted(alarms, 'alarm')}`] : []),
    ...(activeAlarms > 0 ? [`${counted(activeAlarms, 'active alarm')}: not judged any more`] : []),
    ...(entries > 0 ? [counted(entries, 'entry by hand', 'entries by hand')] : []),
  ];
}

/** The state of an entry of the archive, with what happens next. */
export function archiveWords(item: ArchiveItemView, reader: Reader): string {
  const by = item.by === null ? '' : ` by ${item.by}`;
  const when = momentText(item.since, reader);
  if (item.state === 'removing') return 'Being removed for good.';
  if (item.state === 'archived') return `Archived${by} ${when}. Kept until you delete it.`;
  const until = item.until === null ? '' : ` Removed for good ${momentText(item.until, reader)}.`;
  return `Deleted${by} ${when}.${until}`;
}

/** Readings that came for something in the archive; null while none did. */
export function leftOutWords({ leftOut }: ArchiveItemView): string | null {
  return leftOut > 0 ? `${counted(leftOut, 'reading')} not stored since Strikewell started.` : null;
}

/** What ordering it does, said before it is ordered. */
export function orderWords(deletes: boolean): string {
  return deletes
    ? 'It can be restored for 30 days, then it is removed for good.'
    : 'It is not judged, raises no alarm and is not listed until you restore it.';
}
