import { quoted } from '../../ingest/refusal.ts';
import type { ReadRow } from './rows.ts';

type FileItem = { readonly line: number } & ReadRow;

/** Items that are looked at before it is settled whose the readings of a file are. */
const SAMPLE_ITEMS = 50;

/** A part of a file, and the device it names; null where it names none, undefined where it cannot be read. */
type OfDevice = {
  readonly line: number;
  readonly device: string | null | undefined;
  readonly read: () => FileItem;
};

/**
 * Takes the readings of one device of a file, which are kept under the name that the order states: of the device that
 * was asked for; else of the one called so, which also has what names no device; else of the first. Whatever is of
 * a further device is bad, unless it was said whose are meant: then it is passed over.
 *
 * @param asked the device of the file that is meant, or null
 * @param own the name under which the readings are kept
 */
export function createOneDevice({ asked, own }: { readonly asked: string | null; readonly own: string }) {
  let taken = asked;
  let held: OfDevice[] | null = asked === null ? [] : null;
  const read = ({ line, device, read: readOne }: OfDevice): FileItem[] => {
    if (device === null || device === undefined || device === taken) return [readOne()];
    return asked === null ? [{ line, kind: 'bad', reason: otherDevice(device, taken ?? own) }] : [];
  };
  const settle = (): FileItem[] => {
    const all = held ?? [];
    held = null;
    const isOwn = all.some(({ device }) => device === own || device === null);
    taken ??= isOwn ? own : (all.find(({ device }) => device !== undefined)?.device ?? own);
    return all.flatMap(read);
  };
  return {
    take(items: readonly OfDevice[]): FileItem[] {
      if (held === null) return items.flatMap(read);
      held.push(...items);
      return held.length < SAMPLE_ITEMS ? [] : settle();
    },
    end: (): FileItem[] => settle(),
  };
}

function otherDevice(device: string, taken: string): string {
  return `other-device: it is of the device ${quoted(device)}, and the file is read as one of ${quoted(taken)}; to read the other, give --of ${device}`;
}
