import { signal } from '@preact/signals';
import { onConfirmNeeded } from '../api.ts';

/** What waits for the password to be given again; called with whether it was. */
export const confirming = signal<((given: boolean) => void) | null>(null);
let asked: Promise<boolean> | null = null;

/** Asks for the password again, once for all orders that wait for it. */
function askAgain(): Promise<boolean> {
  asked ??= new Promise<boolean>((resolve) => {
    confirming.value = resolve;
  }).finally(() => {
    asked = null;
    confirming.value = null;
  });
  return asked;
}

onConfirmNeeded(askAgain);
