import { setTimeout as sleep } from 'node:timers/promises';

/** How long a message is waited for once the record is known not to be writable, ms. */
const GRACE_MS = 500;
const CHECK_EVERY_MS = 50;

/**
 * Whether a message is acknowledged. One that the record cannot store is not refused, as MQTT 3.1.1 cannot: its
 * acknowledgement never comes.
 *
 * @param published settles with its acknowledgement
 * @param writable whether the record can be written now
 */
export async function isAcknowledged(
  published: Promise<void>,
  writable: () => Promise<boolean>,
): Promise<boolean> {
  let settled: boolean | null = null;
  published.then(
    () => {
      settled = true;
    },
    () => {
      settled = false;
    },
  );
  while (settled === null) {
    await sleep(CHECK_EVERY_MS);
    if (settled !== null || (await writable())) continue;
    await sleep(GRACE_MS);
    return settled ?? false;
  }
  return settled;
}
