import { computed, signal } from '@preact/signals';
import type { AccessAnswer } from '../shared/wire/access.ts';
import { accessApi } from './api-access.ts';
import { forgetHouse } from './state.ts';

/** What the house says of who asks; null until it was heard. */
export const access = signal<AccessAnswer | null>(null);
/** whether somebody has to sign in before anything is shown */
export const signedOut = computed(() => access.value?.closed === true && access.value.who === null);
/** whether who asks may do everything */
export const owns = computed(() => access.value?.closed === false || access.value?.who?.role === 'own');

/** whether who asks may check and correct probes */
export const tends = computed(() => owns.value || access.value?.who?.role === 'tend');

let connect: () => void = () => undefined;

/** What is done once somebody signed in. */
export function onSignIn(run: () => void): void {
  connect = run;
}

/** Takes in who asks; a browser whose user is signed out keeps nothing of the house. */
export function heardAccess(answer: AccessAnswer): void {
  const before = signedOut.value;
  access.value = answer;
  if (signedOut.value) forgetHouse();
  else if (before) connect();
}

/** Asks who asks. While the daemon is away, what was known stays. */
export async function askAccess(): Promise<void> {
  await accessApi.who().then(heardAccess, () => undefined);
}
