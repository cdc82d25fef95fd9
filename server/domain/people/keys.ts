/** The keys by which others know this installation, kept in the record; the list is closed. */
export const KEY_NAMES = ['webhook-secret', 'link-key', 'push-keys'] as const;
export type KeyName = (typeof KEY_NAMES)[number];
