import { quoted } from '../../ingest/refusal.ts';

/** Of whom a line of a file is: taken, passed over as another's, or left undecided for the reason. */
export type Whose = 'taken' | 'passed-over' | { readonly reason: string };

/**
 * Whether what a file says of a device is read: of one device of the file at a time, which is kept under the name that
 * the order states. It is the one that was asked for, or else the first of the file; then the file may hold no other.
 *
 * @param asked the device of the file that is meant, or null
 */
export function createOneDevice(asked: string | null): (device: string) => Whose {
  let taken = asked;
  return (device) => {
    taken ??= device;
    if (device === taken) return 'taken';
    if (asked !== null) return 'passed-over';
    const reason = `it is of the device ${quoted(device)}, and what came before is of ${quoted(taken)}; say which of them is meant: --of ${device}`;
    return { reason };
  };
}
