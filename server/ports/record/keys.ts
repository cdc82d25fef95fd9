import type { GapReason } from '../../../shared/wire/people.ts';
import type { KeyName } from '../../domain/people/keys.ts';

/** Keys by which others know this installation. */
export type InstallationKeys = {
  read(name: KeyName): string | null;
  write(name: KeyName, value: string): void;
};

export type RestoreGap = { readonly wayId: number; readonly why: GapReason; readonly sinceMs: number };

/** Contact methods that a restore left without what they need. */
export type RestoreGaps = {
  all(): RestoreGap[];
  /** What is noted already stays as it is. */
  note(gap: RestoreGap): void;
  /** It was set up again, or delivered a message. */
  close(wayId: number): void;
};
