import { signal } from '@preact/signals';
import { onConfirmNeeded } from '../api.ts';

/** Whoever waits for the password to be given again: told whether it was. */
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
