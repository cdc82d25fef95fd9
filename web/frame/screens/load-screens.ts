import { signal } from '@preact/signals';
import type { screenOf } from './screens.tsx';

/** All screens but the benches, which come in a script of their own: most visits are to the benches alone. */
export const screens = signal<typeof screenOf | 'coming' | 'failed'>('coming');

let loading: Promise<void> | null = null;

/** Fetches the screens, once; what failed is tried again the next time. It never rejects. */
export function loadScreens(): Promise<void> {
  loading ??= import('./screens.tsx').then(
    (loaded) => {
      screens.value = loaded.screenOf;
    },
    () => {
      loading = null;
      screens.value = 'failed';
    },
  );
  return loading;
}
