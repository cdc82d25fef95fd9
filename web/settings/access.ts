import { computed, signal } from '@preact/signals';
import type { RouteId } from '../../shared/routes/call.ts';
import type { AccessAnswer } from '../../shared/wire/access.ts';
import { ADDRESSES } from '../addresses.ts';
import { call } from '../api.ts';
import { forgetHouse } from '../state.ts';

/** What the installation says of who asks; null until it has been received. */
export const access = signal<AccessAnswer | null>(null);
/** whether somebody has to sign in before anything is shown */
export const signedOut = computed(() => access.value?.closed === true && access.value.who === null);
/** what the installation answers who asks */
const mayUse = computed(() => new Set(access.value?.may ?? []));

/** Whether who asks may use a route; the daemon says so, and checks it anyway. */
export function may(id: RouteId): boolean {
  return mayUse.value.has(ADDRESSES[id]);
}

let connect: () => void = () => undefined;

/** What is done once somebody signed in. */
export function onSignIn(run: () => void): void {
  connect = run;
}

/** How many answers were taken in. */
let taken = 0;

/** Takes in who asks; a browser whose user is signed out keeps nothing of the installation. */
export function applyAccess(answer: AccessAnswer): void {
  const before = signedOut.value;
  taken += 1;
  access.value = answer;
  if (signedOut.value) forgetHouse();
  else if (before) connect();
}

/**
 * Asks who asks. While the daemon is away, what was known stays. A question that was under way while somebody signed in
 * was asked by nobody: it is asked again.
 */
export async function askAccess(): Promise<void> {
  const before = taken;
  const answer = await call('getAccess').catch(() => null);
  if (answer === null) return;
  if (taken === before) applyAccess(answer);
  else await askAccess();
}
